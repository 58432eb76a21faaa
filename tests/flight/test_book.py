"""Each airplane of the hangar does what its own file states, within 3 %."""

import pytest

from ramstill import airplane
from ramstill.air.units import KT
from ramstill.errors import InputError
from ramstill.flight.book import book_figures

NAMES = airplane.hangar()


@pytest.mark.parametrize("name", NAMES)
def test_book_figures(name):
    plane = airplane.load(name)
    rows = book_figures(plane)
    for row in rows:
        assert row.worked_out == pytest.approx(row.stated, rel=0.03), row.what
        assert row.agrees
    kinds = [row.kind for row in rows]
    assert kinds.count("stall") == 2
    if plane.performance.engine is None:
        assert kinds.count("glide") >= 3
    else:
        assert kinds.count("climb") == kinds.count("level") == 2
        assert kinds.count("approach") == 1


@pytest.mark.parametrize("name", NAMES)
def test_the_book_and_the_speeds_agree(name):
    """The usual rate of climb lies between the book's, the usual cruise at its quickest level."""
    plane = airplane.load(name)
    stalls = {float(one.flap): one.speed for one in plane.performance.book if one.kind == "stall"}
    assert stalls[0.0] == pytest.approx(plane.speeds.stall_clean, rel=0.03)
    assert stalls[1.0] == pytest.approx(plane.speeds.stall_landing, rel=0.03)
    climbs = [one.rate for one in plane.performance.book if one.kind == "climb"]
    levels = [one.speed for one in plane.performance.book if one.kind == "level"]
    if climbs:
        assert min(climbs) < 1.03 * plane.speeds.climb_rate < 1.03 * 1.03 * max(climbs)
        assert max(levels) == pytest.approx(plane.speeds.cruise, rel=0.03)


def test_what_is_off_is_said_in_its_own_units():
    table = airplane.table("sailplane")
    table["performance"]["book"][2]["sink"] = "1.2 m/s"
    (row,) = [row for row in book_figures(airplane.from_dict(table)) if not row.agrees]
    assert (row.kind, row.what, row.unit) == ("glide", "sinking in a glide, 80 km/h", "m/s")
    assert row.stated == pytest.approx(1.2)
    assert row.off == pytest.approx(row.worked_out / 1.2 - 1.0)


def test_a_figure_that_cannot_be_flown_at_all():
    table = airplane.table("low-wing-mast")
    table["performance"]["book"][2]["speed"] = "40 kt"
    with pytest.raises(InputError) as caught:
        book_figures(airplane.from_dict(table))
    assert str(caught.value).startswith(
        "low-wing-mast: performance.book number 3 (climb): speed: read 40.0 kt"
    )


def test_stalls_at_part_flap():
    table = airplane.table("high-wing-tube")
    table["performance"]["book"].append({"kind": "stall", "flap": 0.5, "speed": "49 kt"})
    row = book_figures(airplane.from_dict(table))[-1]
    assert row.what == "stall, 50 % flap"
    assert 46.0 < row.worked_out < 53.0
    assert row.worked_out * KT == pytest.approx(49.0 * KT, rel=0.03)
