"""The pages about flights, the bench and recordings: examples run, and every name is named."""

import re
import tomllib
from pathlib import Path

import pytest

from ramstill.bench import CAUTION
from ramstill.flight.columns import COLUMNS
from ramstill.flight.planned import FlightPlan
from ramstill.run.scenario import from_tables

DOCS = Path(__file__).parents[2] / "docs"
PAGES = ("flights", "bench", "recordings")


def page(name: str) -> str:
    return (DOCS / f"{name}.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("name", ["flights", "bench"])
def test_the_scenario_loads(name: str, tmp_path: Path) -> None:
    text = page(name).split("```toml\n", 1)[1].split("```", 1)[0]
    assert from_tables(tomllib.loads(text), f"docs/{name}.md", tmp_path).kind == name.rstrip("s")


@pytest.mark.parametrize("name", PAGES)
def test_the_python_runs(name: str) -> None:
    for code in re.findall(r"```python\n(.*?)```", page(name), re.S):
        exec(compile(code, f"docs/{name}.md", "exec"), {})


@pytest.mark.parametrize("name", PAGES)
def test_the_caution_is_there(name: str) -> None:
    assert CAUTION.startswith("A training and planning aid, not approved data")
    assert "a training and planning aid, not approved data" in page(name).lower()


def test_every_leg_step_and_column_is_named() -> None:
    from ramstill.bench import Programme

    for kind in FlightPlan.choices():
        assert f"`{kind}`" in page("flights")
    for what in Programme.choices():
        assert f"`{what}`" in page("bench")
    for column in COLUMNS:
        assert f"`{column}`" in page("recordings")
