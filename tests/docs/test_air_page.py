"""docs/air.md: its Python examples give what is printed there, its commands run, its options exist."""

import doctest
import re
import shlex
from pathlib import Path

from ramstill.cli import main

PAGE = Path(__file__).parents[2] / "docs" / "air.md"


def test_python_examples():
    found = doctest.testfile(str(PAGE), module_relative=False)
    assert found.attempted >= 10
    assert found.failed == 0


def test_commands(capsys):
    commands = re.findall(r"^\$ ramstill (.+)$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    assert commands
    for line in commands:
        assert main(shlex.split(line)) == 0
    capsys.readouterr()


def test_options_exist(capsys):
    assert main(["air", "--help"]) == 0
    text = capsys.readouterr().out
    named = set(re.findall(r"`(--[a-z-]+)", PAGE.read_text(encoding="utf-8")))
    assert {o for o in named if o not in text} == set()
