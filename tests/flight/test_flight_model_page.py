"""docs/flight-model.md: its example runs, and its figures are the program's."""

import re

import pytest

from ramstill.flight import motion


@pytest.fixture
def page(request):
    return (request.config.rootpath / "docs" / "flight-model.md").read_text("utf-8")


def test_the_example_runs(page):
    (example,) = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    names: dict[str, object] = {}
    exec(example, names)
    assert names["state"].shape == (6,)
    assert names["steady"].climb_m_s == 0.0


def test_its_figures(page):
    words = " ".join(page.split())
    assert f"at most {motion.LONGEST_STEP_S:g} s at a time" in words
    assert f"up to {motion.HELD * 57.29578:.0f}° past the stall" in words
    assert f"over {motion.BREAK * 57.29578:.0f}° smoothly" in words
    assert f"{motion.KEPT:g} of the largest lift is left" in words
    assert f"at {motion.DOWNWARD:g} of the largest lift flaps up" in words
    assert f"/{motion.GAGG_FERRAR:g}$" in words
