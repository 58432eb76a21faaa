"""The figures of a card: what they rest on, and that they follow from the plumbing and the flight model."""

from math import degrees, isnan

import pytest

from ramstill import air, airplane
from ramstill.air.units import FT, KT
from ramstill.run import card_figures
from ramstill.run.card_lines import joined, side_of, sides
from ramstill.run.card_steady import Held, airspeed, altitude, at_rest
from ramstill.run.card_tables import alternate, blockages

NAMES = airplane.hangar()
WITH_ALTERNATE = ["glass-trainer", "high-wing-tube", "pressurised-turboprop", "twin-two-ports"]


@pytest.mark.parametrize("name", NAMES)
def test_every_airplane_of_the_hangar(name):
    figures = card_figures(airplane.load(name))
    assert figures.example
    assert figures.measured == 0
    assert figures.no_phases == ""
    assert all(figures.assumed.values())
    assert (figures.alternate is not None) == (name in WITH_ALTERNATE)
    low, high = figures.altitudes_m
    assert 2000 * FT == low < high
    for row in figures.phases:
        assert row.at[0] is not None
        for one in row.at:
            if one is not None:
                assert 0.0 <= one.power <= 1.0
                assert abs(degrees(one.pitch_rad)) < 20.0
                # a healthy indicator errs by what its openings do, a few knots at most
                assert one.shown_m_s == pytest.approx(one.cas_m_s, abs=4 * KT)
    speeds = [mark.speed_m_s for mark in figures.speeds]
    assert speeds == sorted(speeds)


def test_pitch_and_power_are_those_of_the_flight_model():
    from ramstill.flight.trim import trim

    plane = airplane.load("high-wing-tube")
    rows = {row.name: row.at for row in card_figures(plane).phases}
    height = float(air.geometric_from_geopotential(2000 * FT))
    level = trim(plane, None, height, float(plane.speeds.cruise), climb_m_s=0.0)
    assert (rows["cruise"][0].pitch_rad, rows["cruise"][0].power) == (level.pitch_rad, level.power)
    approach = rows["approach"][0]
    # 3 degrees of the path through the air
    warmth, pressure = air.standard_temperature(2000 * FT), air.static_pressure(2000 * FT)
    tas = float(air.true_from_calibrated(approach.cas_m_s, pressure, warmth))
    assert approach.climb_m_s / tas == pytest.approx(-0.0523, abs=1e-4)
    assert rows["approach"][1] is None
    climb = rows["climb"]
    assert climb[1].climb_m_s < climb[0].climb_m_s  # thinner air, less power
    assert climb[1].full
    assert not rows["descent"][0].full


def test_cruise_is_as_fast_as_all_power_holds_where_the_usual_speed_is_too_fast():
    plane = airplane.load("low-wing-mast")
    rows = {row.name: row.at for row in card_figures(plane).phases}
    low, high = rows["cruise"]
    assert low.cas_m_s == float(plane.speeds.cruise)
    assert high.cas_m_s < low.cas_m_s
    assert high.full
    assert not low.full
    assert high.climb_m_s == 0.0


def test_a_glider_glides():
    rows = card_figures(airplane.load("sailplane")).phases
    assert [row.name for row in rows] == ["glide, slow", "glide, fast", "approach"]
    assert all(row.at[0].power == 0.0 and row.at[0].climb_m_s < 0.0 for row in rows)


def test_without_a_flight_model_there_is_no_pitch_and_power_but_all_the_rest():
    table = airplane.table("twin-two-ports")
    del table["performance"]
    figures = card_figures(airplane.from_dict(table))
    assert figures.phases == ()
    assert "[performance]" in figures.no_phases
    assert figures.alternate is not None
    assert len(figures.blockages) == 3


def test_measured_figures_make_it_somebody_s_card():
    table = airplane.table("twin-two-ports")
    table["invented"] = False
    assert card_figures(airplane.from_dict(table)).example  # nothing measured
    known = {"basis": "measured", "date": "2026-03-01", "source": "flight manual, section 2"}
    table["speeds"] |= known
    figures = card_figures(airplane.from_dict(table))
    assert not figures.example
    assert not any(mark.assumed for mark in figures.speeds)
    assert figures.assumed["alternate"]
    table["invented"] = True
    assert card_figures(airplane.from_dict(table)).example


@pytest.mark.parametrize("name", NAMES)
def test_sides_are_what_hangs_together(name):
    plane = airplane.load(name)
    found = sides(plane)
    for side in found:
        assert side.openings
        for one in side.instruments:
            assert any(port in side.tappings for port in plane.instrument(one).ports)
    mouths = [
        o.name for o in plane.openings if o.kind in ("pitot-inlet", "static-port", "total-energy-probe")
    ]
    assert sorted(name for side in found for name in side.openings) == sorted(mouths)
    for a in found:
        assert all(not a.tappings & b.tappings for b in found if b is not a)
    assert side_of(plane, "nowhere") is None


def test_a_calibrated_leak_and_a_closed_valve_join_nothing():
    plane = airplane.load("high-wing-tube")
    still = joined(plane, "port-chamber")
    assert "vertical-speed.static" in still
    assert "vertical-speed.case" not in still
    assert "alternate-cup" not in still


def test_two_systems_share_nothing():
    found = sides(airplane.load("pressurised-turboprop"))
    felt = [set(side.instruments) for side in found if side.air == "still"]
    assert len(felt) == 2
    assert not felt[0] & felt[1]
    other = card_figures(airplane.load("pressurised-turboprop")).alternate
    assert "altimeter-left" in other.moves
    assert other.same == ("airspeed-right", "altimeter-right")
    assert not other.mixed


def test_the_alternate_source_shows_the_cabin():
    """With the ports shut the still side holds what is in the cabin: static plus its coefficient times q."""
    plane = airplane.load("high-wing-tube")
    cas, height = 100 * KT, 6000 * FT
    found = alternate(plane, [("level", cas, 0.0)], (height,), 0.65)
    static, q = float(air.static_pressure(height)), float(air.impact_pressure(cas))
    cabin = static + float(plane.inside.cabin_pressure_coefficient) * q
    (row,) = found.rows
    held = Held(height, cas)
    from ramstill.pneumatics import compile_network

    ports = at_rest(plane, compile_network(plane), held)
    higher = float(air.pressure_altitude(cabin)) - altitude(plane.instrument("altimeter"), ports)
    # settled to 1e-7 Pa: micrometres
    assert row.higher_m[0] == pytest.approx(higher, abs=1e-4)
    assert row.normal_m_s == airspeed(plane.instrument("airspeed"), ports)
    ram = ports["airspeed.pitot"]
    assert row.shown_m_s[0] == pytest.approx(float(air.calibrated_airspeed(ram - cabin)), abs=1e-6)
    assert found.mixed
    assert 0.5 < found.practice_share < 1.0  # port and cabin share the line


def test_a_window_that_presses_the_cabin_up_turns_the_correction_round():
    table = airplane.table("high-wing-tube")
    table["inside"]["cabin_pressure_coefficient"] = 0.05
    (row,) = alternate(airplane.from_dict(table), [("level", 100 * KT, 0.0)], (6000 * FT,), 0.65).rows
    assert row.shown_m_s[0] < row.normal_m_s
    assert row.higher_m[0] < 0.0


def test_blockages_come_from_the_plumbing():
    plane = airplane.load("high-wing-tube")
    inlet, both, static = blockages(plane, 2000 * FT, float(plane.speeds.climb), 0.65)
    assert inlet.free == ("tube-drain",)
    assert max(inlet.airspeed_m_s) < 20 * KT  # bleeds away through the drain
    assert both.airspeed_m_s[1] > both.airspeed_m_s[0] > both.airspeed_m_s[2]
    assert static.airspeed_m_s[1] < static.airspeed_m_s[0] < static.airspeed_m_s[2]
    # the altimeter follows while its ports are open: 500 ft, to what position error there is
    assert both.altimeter_m[1] / FT == pytest.approx(500, abs=1)
    assert [moved / FT for moved in static.altimeter_m] == pytest.approx([0, 0, 0], abs=1)


def test_shut_ram_air_shows_what_its_pressure_is_worth_500_ft_higher():
    """Trapped total pressure over the thinner air outside: no leak, no friction, so to 0.2 kt of friction
    and capsule, which gives way by 6 cm3 at most."""
    plane = airplane.load("low-wing-mast")
    (inlet, _) = blockages(plane, 2000 * FT, float(plane.speeds.climb), 0.65)
    before = float(air.impact_pressure(inlet.really_m_s))
    thinner = float(air.static_pressure(2000 * FT) - air.static_pressure(2500 * FT))
    worth = float(air.calibrated_airspeed(before + thinner))
    assert inlet.airspeed_m_s[1] == pytest.approx(worth, abs=0.5 * KT)


def test_a_computer_shows_nothing_below_its_limit():
    plane = airplane.load("glass-trainer")
    inlet = blockages(plane, 2000 * FT, float(plane.speeds.climb), 0.65)[0]
    assert all(isnan(value) for value in inlet.airspeed_m_s)
