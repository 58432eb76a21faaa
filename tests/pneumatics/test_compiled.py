"""Where compiled code is kept: beside the package, at home, or among temporary files with one warning."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import ramstill

PACKAGE = Path(ramstill.__file__).parent
CALL = "from ramstill.pneumatics.flow import link_flow; print(link_flow(1e5, 9e4, 1.0, 1e-9, 1e5, False) > 0)"


def run(copy, code, **places):
    """Run code with a copy of the package whose own folder takes no cache, and no home."""
    nowhere = {"HOME": "/dev/null", "XDG_CACHE_HOME": "/dev/null", "PYTHONPATH": str(copy.parent)}
    kept = {k: v for k, v in os.environ.items() if k not in ("NUMBA_CACHE_DIR", "PYTHONSTARTUP")}
    return subprocess.run(
        [sys.executable, "-B", "-c", code],
        env=kept | nowhere | {"PYTHONDONTWRITEBYTECODE": "1"} | places,
        cwd=copy.parent,
        capture_output=True,
        text=True,
        timeout=240,
    )


def copied(tmp_path):
    """A copy of the package with a file where its cache folders would be: not even root can write there."""
    copy = tmp_path / "lib" / "ramstill"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__", "*.nb?"))
    (copy / "pneumatics" / "__pycache__").write_text("in the way")
    return copy


def test_with_nowhere_to_write_a_temporary_folder_is_used_with_one_warning(tmp_path):
    copy, folder = copied(tmp_path), tmp_path / "temporary"
    folder.mkdir()
    first = run(copy, CALL, TMPDIR=str(folder))
    assert first.stdout.split() == ["True"], first.stderr
    assert first.stderr.count("warning") == 1
    assert len(first.stderr.splitlines()) == 1
    kept = list(folder.rglob("*.nbi"))
    assert kept
    assert (folder / next(iter(folder.iterdir())).name).stat().st_mode & 0o077 == 0
    before = {path: path.stat().st_mtime_ns for path in folder.rglob("*.nbc")}
    again = run(copy, CALL, TMPDIR=str(folder))
    assert again.stdout.split() == ["True"], again.stderr
    assert {path: path.stat().st_mtime_ns for path in folder.rglob("*.nbc")} == before


def test_a_folder_somebody_else_could_write_to_is_not_trusted(tmp_path):
    copy, folder = copied(tmp_path), tmp_path / "temporary"
    name = f"ramstill-{os.getuid() if hasattr(os, 'getuid') else 'user'}"
    (folder / name).mkdir(parents=True)
    (folder / name).chmod(0o777)
    found = run(copy, CALL, TMPDIR=str(folder))
    assert found.stdout.split() == ["True"], found.stderr
    assert not list((folder / name).rglob("*.nbi"))
    assert list(folder.rglob("*.nbi"))


def test_with_no_temporary_folder_either_it_still_works(tmp_path):
    copy = copied(tmp_path)
    found = run(copy, f"import tempfile; tempfile.tempdir = '/dev/null'; {CALL}")
    assert found.stdout.split() == ["True"], found.stderr
    assert found.stderr.count("warning") == 1


def test_compiled_code_is_forgotten_when_any_kernel_source_changed(tmp_path):
    copy = tmp_path / "lib" / "ramstill"
    shutil.copytree(PACKAGE, copy, ignore=shutil.ignore_patterns("__pycache__", "*.nb?"))
    caller = "from ramstill.pneumatics.flow import compensation; print(compensation(101325.0)[0])"
    # the rounded corner at 11 km leaves 3e-7 at sea level
    assert abs(float(run(copy, caller).stdout) - 1.0) < 1e-6
    cache = copy / "pneumatics" / "__pycache__"
    stamp = cache / "ramstill-kernel.stamp"
    before, indexes = stamp.read_text(), list(cache.glob("*.nbi"))
    assert indexes
    with (copy / "pneumatics" / "rodas5p.py").open("a") as file:
        file.write("\n# changed\n")
    run(copy, "import ramstill.pneumatics.flow")
    assert stamp.read_text() != before
    assert not list(cache.glob("*.nbi"))


def test_nothing_is_compiled_before_it_is_needed():
    code = "import sys, ramstill, ramstill.cli, ramstill.pneumatics; print('numba' in sys.modules)"
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=60)
    assert found.stdout.split() == ["False"], found.stderr


def test_what_only_compiled_code_calls_says_so():
    code = """
import numpy as np
from ramstill.pneumatics import Network, Surroundings, integrate
from ramstill.pneumatics.rows import add
def refused():
    try:
        add(np.zeros(2), np.ones(2), np.zeros(2))
    except TypeError as error:
        return "only compiled code calls add" in str(error)
network = Network(("a",), np.ones(1), np.full(1, 288.15), ("b",)).with_hole("h", "a", "b", 1e-3, 1e-3)
before = refused()
integrate(network, Surroundings.steady(0.0, 1.0, {"b": 1e5}), [0.0, 1.0])
print(before, refused())
"""
    found = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, timeout=240)
    assert found.stdout.split() == ["True", "True"], found.stderr
