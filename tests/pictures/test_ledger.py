"""The ledger as a drawing: bars as long as their amounts, to the right side, told apart without colour."""

import re
from dataclasses import replace
from math import nan
from xml.etree import ElementTree

import numpy as np
import pytest

from ramstill.air.units import FPM, FT, KT
from ramstill.pictures import ledger
from ramstill.pictures.columns import Reading
from ramstill.pictures.ledger import HALF, WIDE, Entry, Sheet, draw, reach, signed
from ramstill.pictures.of_accounts import REST, Kept, frozen, ledgers_of
from ramstill.run import load_scenario

SHEET = Sheet(
    "airspeed",
    "Airspeed indicator",
    "kt",
    1,
    (
        Entry("position error of the ram openings", "ram"),
        Entry("lag", "still", "still air"),
        Entry("cabin air in place of still air", "cabin"),
        Entry("pitot inlet blocked", "trouble", "fault"),
        Entry("all else", "plain"),
    ),
    10.0,
)
READING = Reading("88 kt", "75 kt")


def bars(text: str) -> dict[str, ElementTree.Element]:
    """Bars by the place of their part, without what lies over them."""
    root = ElementTree.fromstring(text)
    found = root.iter("{http://www.w3.org/2000/svg}rect")
    return {r.get("data-part", "sum"): r for r in found if not r.get("fill")}


def test_bars_are_as_long_as_their_amounts() -> None:
    drawn = bars(draw(SHEET, (1.0, -2.0, 0.0, 14.0, -0.5), READING, 12.0))
    a_knot = HALF / 20.0  # 14 kt fit into 20
    for place, amount in (("0", 1.0), ("1", -2.0), ("2", 0.0), ("3", 14.0), ("sum", 12.5)):
        left, wide = float(drawn[place].get("x", "")), float(drawn[place].get("width", ""))
        assert wide == pytest.approx(abs(amount) * a_knot, abs=0.01)
        assert left == pytest.approx(WIDE / 2 - (wide if amount < 0.0 else 0.0), abs=0.01)


def test_each_air_has_a_pattern_or_none() -> None:
    text = draw(SHEET, (1.0,) * 5, READING, 0.0, key="k")
    over = re.findall(r'class="over" fill="url\(#(k-\w+)\)"', text)
    assert over == ["k-still", "k-cabin", "k-trouble"]
    assert all(f'id="{name}"' in text for name in over)


def test_it_says_all_of_it_in_words() -> None:
    text = draw(SHEET, (1.0, -2.0, 0.0, 14.0, -0.5), READING, 185.0)
    assert "Ledger, Airspeed indicator at 3:05" in text
    assert "Shows 88 kt, true 75 kt; together +12.5 kt" in text
    assert "pitot inlet blocked +14.0" in text
    assert "cabin air in place of still air 0.0" in text


def test_nothing_shown_is_nothing_to_share() -> None:
    text = draw(SHEET, (nan,) * 5, Reading("–", "75 kt"), 0.0)
    assert "nothing to share out" in text
    assert "nan" not in text


@pytest.mark.parametrize(
    ("amounts", "far"),
    [((), 10.0), ((3.0, -9.0), 10.0), ((11.0,), 20.0), ((-20.0,), 20.0), ((21.0,), 50.0), ((510.0,), 1000.0)],
)
def test_how_far_bars_reach(amounts: tuple[float, ...], far: float) -> None:
    assert reach(amounts, 10.0) == far


def test_amounts_have_their_sign() -> None:
    assert [signed(SHEET, x) for x in (0.0, -0.04, 0.06, -1234.5, nan)] == [
        "0.0",
        "0.0",
        "+0.1",
        "−1,234.5",
        "–",
    ]


def test_a_long_title_takes_two_lines() -> None:
    long = Entry("a fault of which there is much to be said before it is over", "trouble", "fault")
    one, two = (
        draw(Sheet("a", "A", "ft", 0, (e,), 10.0), (5.0,), READING, 0.0) for e in (SHEET.entries[1], long)
    )
    heights = [float(re.search(r'height="([\d.]+)"', text)[1]) for text in (one, two)]  # type: ignore[index]
    assert heights[1] == heights[0] + ledger.LINE


def test_at_one_moment_all_that_is_small_is_one_line() -> None:
    run = load_scenario("alternate-static").run()
    kept = ledgers_of(run, [0])[0]
    amounts = np.array([[3.0], [0.04], [12.0], [0.03], [0.04], [2.0]])
    entries = tuple(Entry(f"part {i}", "plain") for i in range(5))
    sheet = replace(kept.sheet, decimals=1, entries=(*entries, Entry(REST, "plain")))
    text = frozen(run, Kept(sheet, kept.rows[:1], amounts), kept.rows[0])
    assert re.findall(r"(part \d|all else) ([+−\d.]+\d)", text.split("</desc>")[0]) == [
        ("part 0", "+3.0"),
        ("part 2", "+12.0"),
        ("all else", "+2.1"),
    ]


def test_what_is_drawn_of_a_run_adds_up() -> None:
    run = load_scenario("alternate-static").run()
    rows = list(range(0, len(run.time_s), 100))
    for kept in ledgers_of(run, rows):
        one = {"kt": KT, "ft": FT, "ft/min": FPM}[kept.sheet.unit]
        off = kept.amounts.sum(axis=0) - run.error(kept.sheet.name)[rows] / one
        assert abs(off).max() < 1e-6
        assert len(kept.sheet.entries) <= 9
