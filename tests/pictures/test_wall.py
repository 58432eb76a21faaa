"""The pressure wall: columns as high as their pressure, lids on what is trapped."""

import re
from math import inf
from xml.etree import ElementTree

import pytest

from ramstill import air
from ramstill.air.units import INCH
from ramstill.pictures import columns, wall, wallgaps
from ramstill.pictures.columns import Column, Pair, Reading, Trap, Wall

COLUMNS = (
    Column("out.ram", "ram", "outside", "at the inlet"),
    Column("chamber", "ram", "line", "chamber"),
    Column("asi.pitot", "ram", "instrument", "airspeed", "capsule", "airspeed"),
    Column("asi.static", "still", "instrument", "airspeed", "case", "airspeed", (Trap(130.0, 300.0),)),
    Column("vsi.static", "still", "instrument", "vertical speed", "capsule", "vertical-speed"),
    Column("vsi.case", "still", "instrument", "vertical speed", "case", "vertical-speed"),
    Column("tee <b>", "still", "line", "tee <b>"),
    Column("out.still", "still", "outside", "outside"),
    Column("cabin", "cabin", "outside", "cabin"),
)
BANK = Wall(
    COLUMNS,
    (
        Pair("airspeed", "asi.pitot", "asi.static"),
        Pair("vertical-speed", "vsi.static", "vsi.case", lens=True),
    ),
    -1000.0,
    5000.0,
    {"airspeed": 2000.0, "vertical-speed": 200.0},
)
HEIGHTS = dict.fromkeys((c.name for c in COLUMNS), 0.0) | {
    "out.ram": 1700.0,
    "asi.pitot": 1700.0,
    "asi.static": 2900.0,
    "vsi.static": -100.0,
    "cabin": -40.0,
}
READINGS = {"airspeed": Reading("0 kt", "104 kt"), "vertical-speed": Reading("700 ft/min", "690 ft/min")}
NAMESPACE = "{http://www.w3.org/2000/svg}"


def drawn(at_s: float = 150.0, compact: bool = False) -> ElementTree.Element:
    return ElementTree.fromstring(wall.draw(BANK, HEIGHTS, READINGS, at_s, compact=compact))


def column(root: ElementTree.Element, name: str) -> ElementTree.Element:
    return next(g for g in root.iter(f"{NAMESPACE}g") if g.get("data-column") == name)


def level_of(root: ElementTree.Element, name: str) -> float:
    surface = next(g for g in column(root, name).iter(f"{NAMESPACE}g") if g.get("class") == "surface")
    found = re.fullmatch(r"translate\(0 (\S+)\)", surface.get("transform", ""))
    assert found is not None
    return float(found[1])


@pytest.mark.parametrize("name", [c.name for c in COLUMNS])
def test_a_column_is_as_high_as_its_pressure(name: str) -> None:
    root = drawn()
    zero, scale = float(root.get("data-zero", "nan")), float(root.get("data-scale", "nan"))
    assert level_of(root, name) == pytest.approx(zero - HEIGHTS[name] * scale, abs=0.02)  # two decimals


def test_the_scale_holds_its_range() -> None:
    root = drawn()
    zero, scale = float(root.get("data-zero", "nan")), float(root.get("data-scale", "nan"))
    assert zero - BANK.high_pa * scale == pytest.approx(float(root.get("data-top", "nan")), abs=0.02)
    assert zero - BANK.low_pa * scale == pytest.approx(float(root.get("data-floor", "nan")), abs=0.02)


@pytest.mark.parametrize(("at_s", "there"), [(100.0, False), (130.0, True), (299.0, True), (300.0, False)])
def test_a_lid_lies_on_a_trapped_column_only_while_it_is_trapped(at_s: float, there: bool) -> None:
    root = drawn(at_s)
    lids = [g for g in column(root, "asi.static").iter(f"{NAMESPACE}g") if g.get("data-from")]
    assert len(lids) == 1
    assert (lids[0].get("visibility") != "hidden") == there
    assert ("trapped since 2:10" in (root.find(f"{NAMESPACE}desc").text or "")) == there  # type: ignore[union-attr]


def test_the_gap_is_said_in_inches_of_water() -> None:
    inches = float(air.water_height(1700.0 - 2900.0)) / INCH
    assert f"−{abs(inches):.1f} in" in ElementTree.tostring(drawn(), encoding="unicode")


def test_a_phone_leaves_out_fittings_and_cabin() -> None:
    names = {g.get("data-column") for g in drawn(compact=True).iter(f"{NAMESPACE}g")} - {None}
    assert names == {"out.ram", "asi.pitot", "asi.static", "vsi.static", "vsi.case", "out.still"}


def test_the_lens_is_as_strong_as_its_glass_allows() -> None:
    assert wallgaps.magnification(2.0, 46.0) == 20.0
    assert wallgaps.magnification(40.0, 46.0) == 1.0
    assert wallgaps.magnification(0.0, 46.0) == 100.0


def test_ram_still_and_cabin_are_told_apart_without_colour() -> None:
    text = wall.draw(BANK, HEIGHTS, READINGS, 0.0)
    for words in ("Ram air", "Still air", "Cabin air", "url(#wall-still)", "url(#wall-cabin)"):
        assert words in text


def test_names_are_escaped() -> None:
    assert "<b>" not in wall.draw(BANK, HEIGHTS, READINGS, 0.0)


def test_a_trap_without_end_holds_for_ever() -> None:
    c = Column("x", "ram", "line", "x", traps=(Trap(5.0),))
    assert columns.trapped_at(c, 1e9) == Trap(5.0, inf)
    assert columns.trapped_at(c, 4.9) is None


def test_a_cabin_above_the_scale_says_how_far() -> None:
    high = HEIGHTS | {"cabin": 60_000.0}
    text = wall.draw(BANK, high, READINGS, 0.0)
    assert f"▲ {columns.inches_of_water(60_000.0):.0f}" in text
    assert "▲" not in wall.draw(BANK, HEIGHTS, READINGS, 0.0)


def test_heights_are_marked_where_they_are_worth_and_hidden_beyond_the_scale() -> None:
    root = ElementTree.fromstring(
        wall.draw(BANK, HEIGHTS, READINGS, 0.0, feet={1000: 3000.0, 9000: 30_000.0})
    )
    zero, scale = float(root.get("data-zero", "nan")), float(root.get("data-scale", "nan"))
    marks = {g.get("data-feet"): g for g in root.iter(f"{NAMESPACE}g") if g.get("data-feet")}
    assert marks["1000"].get("transform") == f"translate(0 {zero - 3000.0 * scale:.2f})".replace(".00)", ")")
    assert marks["1000"].get("visibility") is None
    assert marks["9000"].get("visibility") == "hidden"
