"""Help comes without the heavy libraries, and every wrong way of calling ends in one line and exit 2."""

import json
import subprocess
import sys

import pytest

from ramstill.cli.app import COMMANDS

HEAVY = ("numba", "scipy", "pint", "pydantic", "matplotlib", "polars")

PROBE = """
import json, sys
from ramstill.cli.app import main
code = main(sys.argv[1:])
print(json.dumps({"code": code, "heavy": [m for m in %r if m in sys.modules]}), file=sys.stderr)
"""


def probe(*arguments: str) -> tuple[dict[str, object], str]:
    """Call the command line in a fresh interpreter; return what it loaded and what it printed."""
    done = subprocess.run(
        [sys.executable, "-c", PROBE % (HEAVY,), *arguments], capture_output=True, text=True, check=True
    )
    return json.loads(done.stderr.splitlines()[-1]), done.stdout


def test_help_loads_no_heavy_library() -> None:
    found, printed = probe("--help")
    assert found == {"code": 0, "heavy": []}
    for command in COMMANDS:
        assert f"  {command}: " in printed


@pytest.mark.parametrize("command", COMMANDS)
def test_help_of_a_command_loads_no_heavy_library(command: str) -> None:
    found, printed = probe(command, "--help")
    assert found == {"code": 0, "heavy": []}
    assert printed.startswith(f"Usage: ramstill {command}")


def test_the_package_alone_loads_no_heavy_library() -> None:
    code = f"import sys, ramstill, ramstill.cli; print([m for m in {HEAVY!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


@pytest.mark.parametrize(
    "arguments",
    [
        ["fly"],
        ["run"],
        ["demo", "--colour", "red"],
        ["--json"],
        ["air", "--no-such"],
        ["hangar", "a", "b", "c"],
    ],
)
def test_a_wrong_call_is_one_line_and_exit_2(arguments: list[str]) -> None:
    done = subprocess.run([sys.executable, "-m", "ramstill", *arguments], capture_output=True, text=True)
    assert done.returncode == 2, done
    assert done.stdout == ""
    assert len(done.stderr.splitlines()) == 1, done.stderr
    assert done.stderr.startswith("ramstill: ")


def test_version_is_the_installed_one() -> None:
    from importlib.metadata import version

    assert probe("--version")[1].strip() == version("ramstill")
