"""docs/reported-defects.md against the program: its words, figures, example and safety sentence."""

import re
from pathlib import Path

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis import behaviours, noticing, phases, priors, reported, saying
from ramstill.safety import SAFETY

PAGE = (Path(__file__).parents[2] / "docs" / "reported-defects.md").read_text(encoding="utf-8")
FLOWING = " ".join(PAGE.split())
UNITS = {
    "airspeed": (KT, "kt"),
    "altitude": (FT, "ft"),
    "vertical-speed": (FPM, "ft/min"),
    "encoder": (FT, "ft"),
    "variometer": (FPM, "ft/min"),
}


def rows(first: str) -> list[list[str]]:
    """The cells of the table whose first heading this is."""
    after = PAGE.split(f"| {first} | ", 1)[1].split("\n\n", 1)[0]
    return [[cell.strip() for cell in line.strip("| ").split(" | ")] for line in after.splitlines()[2:]]


def test_words() -> None:
    assert rows("phase") == [[w.name, ", ".join(w.also), w.meaning] for w in saying.PHASES]
    assert rows("behaviour") == [[w.name, ", ".join(w.also), w.meaning] for w in saying.BEHAVIOURS]


def test_instruments_and_noticeable_amounts() -> None:
    expected = []
    for shows, names in saying.INSTRUMENTS.items():
        unit, word = UNITS[shows]
        amount = f"{noticing.NOTICEABLE[shows] / unit:g} {word}"
        expected.append([names[0], ", ".join(names[1:]), amount])
    assert rows("instrument") == expected


def test_figures() -> None:
    assert f"no word is less likely than {noticing.SLIP:g}" in FLOWING
    assert f"as likely with every fault, {noticing.UNDECIDED:g}," in FLOWING
    assert f"makes every behaviour as likely as {behaviours.OF_NOTHING_KNOWN:g}" in FLOWING
    assert (
        f"no fault {priors.NO_FAULT:.2f}, outside the catalogue {priors.OUTSIDE_THE_CATALOGUE:.2f}" in FLOWING
    )
    assert f"before the flight in {priors.BEFORE_THE_START:g} of the cases" in FLOWING
    assert f"no more than {phases.SLOWER:g} of cruise" in FLOWING
    assert f"at {phases.COLD_K - 273.15:.0f} °C" in FLOWING
    assert f"likelier by more than {reported.SAME:g} with one" in FLOWING
    assert f"{100 * reported.LEADING:g} in 100 or more" in FLOWING
    assert (noticing.SLOPE, noticing.SETTLE_S, reported.AS_LIKELY, reported.MOST_LEADING) == (
        3.0,
        10.0,
        2.0,
        8,
    )
    assert behaviours.SEVERITIES == (1.0, 0.5)
    assert (noticing.STILL, noticing.JUMP, noticing.JUMP_S, noticing.SWINGS, noticing.LATE_S) == (
        0.5,
        0.5,
        2.0,
        4.0,
        4.0,
    )  # as the meanings of the words have them
    assert noticing.ZERO_AMOUNTS == {"airspeed": 3.0}


def test_example_and_safety() -> None:
    assert SAFETY in FLOWING
    printed: list[str] = []
    code = re.search(r"```python\n(.+?)```", PAGE, re.DOTALL)
    assert code
    exec(code[1], {"print": lambda *values: printed.append(" ".join(map(str, values)))})
    assert printed[0].startswith("('static-ports-blocked',)")
    assert "Every instrument shows the same" in printed[3]
