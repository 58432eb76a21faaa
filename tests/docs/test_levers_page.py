"""docs/levers.md: its example runs, and its figures are the program's."""

import doctest
from pathlib import Path

from ramstill.flight import legs

PAGE = Path(__file__).parents[2] / "docs" / "levers.md"


def test_the_example_runs() -> None:
    found = doctest.testfile(str(PAGE), module_relative=False)
    assert found.attempted >= 12
    assert found.failed == 0


def test_its_figures_are_the_program_s() -> None:
    from ramstill.flight import hand, hand_motion, levers

    text = PAGE.read_text(encoding="utf-8")
    for said in (
        f"{hand_motion.IN_THE_AIR:g} m/s² at most in the air",
        f"{hand_motion.ON_THE_GROUND:g} m/s² on the ground",
        f"| {legs.FLAP_TRAVEL_S:g} s from up to full",
        f"| {legs.GEAR_TRAVEL_S:g} s; stays",
        f"Mach {hand.HIGHEST_MACH_USUAL:g}",
        f"({legs.LIFT_OFF_OVER_STALL:g} times the stall)",
    ):
        assert said in text
    assert levers.RATES_OVER_USUAL == 2.0
    assert "twice the usual rates" in text
