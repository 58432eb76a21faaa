"""docs/account.md: its example runs, and it tells every kind of part and no other."""

import re
from pathlib import Path
from typing import get_args

import pytest

from ramstill.run.account import EXACT, EXACT_AIR, ORDERS
from ramstill.run.parts import Kind

TEXT = (Path(__file__).parents[2] / "docs" / "account.md").read_text(encoding="utf-8")


def test_the_example_runs(capsys: pytest.CaptureFixture[str]) -> None:
    code = TEXT.split("```python\n", 1)[1].split("```", 1)[0]
    exec(compile(code, "account.md", "exec"), {})
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 4
    assert lines[1].startswith("pitot inlet blocked: +")


def test_every_kind_is_told() -> None:
    assert re.findall(r"^\| `([a-z]+)` \|", TEXT, re.MULTILINE) == list(get_args(Kind))


def test_its_numbers_are_the_program_s() -> None:
    words = {8: "eight", 11: "eleven", 24: "24"}
    assert f"Up to {words[EXACT_AIR]} parts that need the engine" in TEXT
    assert f"{words[EXACT]} in all" in TEXT
    assert f"{words[ORDERS // 2]} pairs" in TEXT
