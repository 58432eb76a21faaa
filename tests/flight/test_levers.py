"""A hand at a few levers: what never happens whatever is moved, and that it is the same flight every way."""

from collections.abc import Iterable
from dataclasses import replace
from functools import cache
from math import inf
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air, airplane
from ramstill.air.constants import G0
from ramstill.air.units import FPM, FT, KT
from ramstill.airplane import Airplane
from ramstill.errors import InputError
from ramstill.flight import hand, legs, outside
from ramstill.flight.hand import STEP_S, STEPS_A_SECOND, Phase
from ramstill.flight.levers import HandFlight, LeverPlan, Levers, Start, ranges, surroundings
from ramstill.pneumatics.truth import quantities

DAY = air.Day(100400.0, -9.0)
FIELD_M = 180.0
SOFTEST = 100 * FPM  # [m/s] it is set down with no more: the flare is planned to end at 60 ft/min
Q = {name: i for i, name in enumerate(quantities())}


@cache
def plane_of(name: str) -> Airplane:
    return airplane.load(name)


def share(value: float, pair: tuple[float, float]) -> float:
    return pair[0] + value * (pair[1] - pair[0])


SHARES = st.floats(0.0, 1.0)
HANDS = st.fixed_dictionaries(
    {},
    optional={
        "speed": SHARES,
        "climb": SHARES,
        "altitude": SHARES,
        "flap": SHARES,
        "gear": st.booleans(),
        "power": st.one_of(SHARES, st.just("fits")),
        "setting": st.floats(95000.0, 105000.0),
    },
)
# Some steps, then a move; altitudes near the ground, as that is where things happen.
COURSES = st.lists(st.tuples(st.integers(0, 600), HANDS), min_size=1, max_size=6)


def levers_of(plane: Airplane, moved: dict[str, Any]) -> Levers:
    reach = ranges(plane, FIELD_M)
    low = (FIELD_M, FIELD_M + 0.02 * (reach.altitude_m[1] - FIELD_M))

    def at(name: str, pair: tuple[float, float]) -> float | None:
        return share(moved[name], pair) if name in moved else None

    return Levers(
        at("speed", reach.speed_m_s),
        at("climb", reach.climb_m_s),
        at("altitude", low),
        moved.get("flap"),
        float(moved["gear"]) if "gear" in moved and reach.retracts else None,
        moved.get("power"),
        moved.get("setting"),
    )


def begun(plane: Airplane, on_ground: bool, above_m: float = 60.0) -> HandFlight:
    start = Start(altitude_m=FIELD_M + above_m, field_elevation_m=FIELD_M, on_ground=on_ground)
    return HandFlight(plane, start, DAY)


def fly(flight: HandFlight, seconds: float) -> np.ndarray:
    """Rows at each step, the one it stands at first."""
    return np.concatenate([flight.row[None], flight.through(round(seconds / STEP_S))[0]])


@settings(max_examples=40)
@given(name=st.sampled_from(airplane.hangar()), on_ground=st.booleans(), course=COURSES)
def test_whatever_is_moved_it_stays_within_what_is_usual(
    name: str, on_ground: bool, course: list[tuple[int, dict[str, Any]]]
) -> None:
    plane = plane_of(name)
    flight = begun(plane, on_ground)
    parts, phases = [flight.row[None]], [flight.phase]
    for steps, moved in [*course, (1200, {})]:
        rows, _, through = flight.through(steps)
        parts.append(rows)
        phases += through
        flight.move(levers_of(plane, moved))
    rows = np.concatenate(parts)
    grounded = [phase in (Phase.STANDING, Phase.ROLLING) for phase in phases]
    assert np.isfinite(rows).all()
    # never below the ground: to what a height of 20 km and back costs in double precision
    assert rows[:, Q["geometric_altitude_m"]].min() >= FIELD_M - 1e-6
    assert rows[:, Q["height_over_ground_m"]][grounded].max(initial=0.0) < 1e-6
    cas = rows[:, Q["cas_m_s"]]
    air_speeds = cas[~np.array(grounded)]
    # a flap that is drawn in raises the stall quicker than 0.5 m/s2 follows: the lower of the two
    assert air_speeds.min(initial=inf) > 0.99 * plane.speeds.stall_landing
    assert cas.max() <= plane.speeds.never_exceed + 1e-6
    assert rows[:, Q["tas_m_s"]].max() < 340.0
    # accelerations: those of a plan's legs, 0.5 m/s2 in the air and 2 m/s2 rolling, and nothing jumps; the
    # last of a roll, below 0.05 m/s, is dropped at once, which is up to 1 m/s2 more over a step
    slower = np.diff(cas) / STEP_S
    assert np.abs(slower).max() <= 2.0 + 1.0 + 1e-6
    moving = cas[1:] > 0.0
    assert np.abs(slower[moving]).max(initial=0.0) <= 2.0 + 1e-6
    assert np.abs(np.diff(slower)[moving[1:]]).max(initial=0.0) <= 4.0 * STEP_S + 1e-6
    # up and down: a quarter of the weight, by which the load factor is off 1; 0.05: the cosine of the slope
    load = rows[:, Q["load_factor"]]
    assert np.abs(load - 1.0).max() <= hand.STRONGEST_PULL / G0 + 0.05
    # rates jump only where the wheels meet the ground
    climb, down = rows[:, Q["climb_m_s"]], np.array(grounded)
    touched = np.concatenate([[False], down[1:] & ~down[:-1]])
    assert np.abs(np.diff(climb))[~touched[1:]].max() <= 1.001 * hand.STRONGEST_PULL * STEP_S
    assert -climb[:-1][touched[1:]].min(initial=0.0) < SOFTEST
    for lever, seconds in (("flap", legs.FLAP_TRAVEL_S), ("gear", legs.GEAR_TRAVEL_S)):
        assert np.abs(np.diff(rows[:, Q[lever]])).max() <= STEP_S / seconds + 1e-12


@settings(max_examples=25)
@given(
    name=st.sampled_from(airplane.hangar()),
    on_ground=st.booleans(),
    course=COURSES,
    back=st.integers(0, 5),
)
def test_a_state_is_all_there_is(
    name: str, on_ground: bool, course: list[tuple[int, dict[str, Any]]], back: int
) -> None:
    """Restored, it goes on the same to the last bit; so does another flight of the same start."""
    plane = plane_of(name)
    flight, other = begun(plane, on_ground), begun(plane, on_ground)
    kept, told = [], []

    def go_on(one: HandFlight, part: Iterable[tuple[int, dict[str, Any]]]) -> list[bytes]:
        found = []
        for steps, moved in part:
            one.move(levers_of(plane, moved))
            for _ in range(steps % 50):
                one.step()
                found.append(one.row.tobytes() + one.outside_pa.tobytes())
        return found

    for part in course:
        kept.append(flight.state())
        told.append(go_on(flight, [part]))
    at = back % len(course)
    wanted = [row for rows in told[at:] for row in rows]
    for one in (flight, other):
        one.restore(kept[at])
        assert one.state() == kept[at]
        assert go_on(one, course[at:]) == wanted


@settings(max_examples=25)
@given(name=st.sampled_from(airplane.hangar()), on_ground=st.booleans(), course=COURSES)
def test_a_plan_is_what_stepping_gave(
    name: str, on_ground: bool, course: list[tuple[int, dict[str, Any]]]
) -> None:
    plane = plane_of(name)
    flight = begun(plane, on_ground)
    moves, rows, felt = [], [flight.row], [flight.outside_pa]
    for steps, moved in course:
        levers = levers_of(plane, moved)
        moves.append((flight.time_s, levers))
        flight.move(levers)
        for _ in range(1 + steps % 60):
            flight.step()
            rows.append(flight.row)
            felt.append(flight.outside_pa)
    plan = LeverPlan(flight.start, tuple(moves), flight.time_s)
    found = surroundings(plane, plan, DAY)
    assert found.boundary_names == flight.boundary_names
    assert np.array_equal(found.knots_s, np.arange(len(rows)) / STEPS_A_SECOND)
    assert np.array_equal(found.pressure_pa, np.array(felt))
    for name_of, i in Q.items():
        assert np.array_equal(getattr(found.truth, name_of), np.array(rows)[:, i]), name_of
    # straight in between: half way, the mean
    middle = found.knots_s[:-1] + 0.5 * STEP_S
    mean = 0.5 * (found.pressure_pa[1:] + found.pressure_pa[:-1])
    assert found.at(middle) == pytest.approx(mean, abs=1e-6)


@pytest.mark.parametrize("name", airplane.hangar())
def test_it_is_the_air_and_the_openings_of_a_plan(name: str) -> None:
    """What is compiled here for one moment is what the rest of the program says of many."""
    plane = plane_of(name)
    speeds = plane.speeds
    up = Levers(speed_m_s=float(speeds.climb), climb_m_s=float(speeds.climb_rate))
    down = Levers(flap=0.5, speed_m_s=float(speeds.cruise), climb_m_s=-float(speeds.descent_rate))
    start = Start(field_elevation_m=FIELD_M, on_ground=True)
    found = surroundings(plane, LeverPlan(start, ((0.0, up), (120.0, down)), 180.0), DAY)
    truth = found.truth
    # the laws agree to round-off, relative to the static pressure of 1e5 Pa
    static = np.asarray(air.static_pressure(truth.pressure_altitude_m))
    assert truth.static_pressure_pa == pytest.approx(static, rel=1e-12)
    height = np.asarray(DAY.height(static))
    geometric = np.asarray(air.geometric_from_geopotential(height))
    assert truth.geometric_altitude_m == pytest.approx(geometric, abs=1e-6)
    assert truth.outside_temperature_k == pytest.approx(DAY.temperature(height), rel=1e-12)
    assert truth.impact_pressure_pa == pytest.approx(air.impact_pressure(truth.cas_m_s), rel=1e-12, abs=1e-9)
    mach = air.mach(truth.impact_pressure_pa, static)
    tas = np.asarray(air.true_airspeed(mach, truth.outside_temperature_k))
    assert truth.tas_m_s == pytest.approx(tas, rel=1e-9, abs=1e-9)
    # a pressurised cabin is tabled: 1 Pa at the kinks of its schedule
    wanted = outside.pressures(plane, truth)
    assert found.pressure_pa == pytest.approx(wanted, abs=1.0)
    still = [i for i, one in enumerate(found.boundary_names) if one != "cabin"]
    assert found.pressure_pa[:, still] == pytest.approx(wanted[:, still], rel=1e-10)
    # the true climb is how the height grows: middle of a step, where the rate does not bend
    grown = np.diff(truth.geometric_altitude_m) / STEP_S
    mean = 0.5 * (truth.climb_m_s[1:] + truth.climb_m_s[:-1])
    assert np.abs(grown - mean)[600:].max() < 1e-3


@pytest.mark.parametrize("name", airplane.hangar())
def test_every_airplane_takes_off_climbs_levels_off_comes_back_and_stops(name: str) -> None:
    plane = plane_of(name)
    flight = begun(plane, on_ground=True)
    flight.move(Levers(speed_m_s=float(plane.speeds.climb)))
    fly(flight, 5.0)
    assert flight.phase is Phase.ROLLING
    to = FIELD_M + 300.0
    flight.move(Levers(altitude_m=to))
    up = fly(flight, 300.0)
    offset = float(air.pressure_altitude(DAY.pressure(air.geopotential_from_geometric(FIELD_M)))) - FIELD_M
    shown = up[:, Q["pressure_altitude_m"]] - offset
    assert flight.phase is Phase.LEVEL
    assert shown.max() < to + 0.1  # does not pass it
    assert shown[-1] == pytest.approx(to, abs=0.1)  # exp(-t / 5 s) of the last 20 m
    assert flight.truth["cas_m_s"] == pytest.approx(float(plane.speeds.climb), abs=0.01)
    lift_off = np.flatnonzero(np.diff(shown) > 0.0)[0]
    stall = float(plane.speeds.stall_clean)
    assert up[lift_off, Q["cas_m_s"]] == pytest.approx(legs.LIFT_OFF_OVER_STALL * stall, abs=0.2)
    flight.move(Levers(speed_m_s=float(plane.speeds.approach), altitude_m=FIELD_M, flap=1.0))
    down = fly(flight, 500.0)
    assert flight.phase is Phase.STANDING
    assert flight.truth["cas_m_s"] == 0.0
    sink = -down[:, Q["climb_m_s"]]
    touched = np.flatnonzero(sink > 0.0)[-1]
    assert sink[touched] < SOFTEST


def test_levers_that_are_not_moved_stay_where_they_are() -> None:
    flight = begun(plane_of("twin-two-ports"), on_ground=False, above_m=900.0)
    assert flight.levers == Levers(
        float(flight.airplane.speeds.cruise), 0.0, None, 0.0, 0.0, "fits", flight.levers.setting_pa
    )
    flight.move(Levers(climb_m_s=-2.0, altitude_m=600.0, power=0.2, gear=1.0))
    assert flight.levers.altitude_m == 600.0
    flight.move(Levers(power="fits", flap=1.0))
    assert flight.levers == replace(
        flight.levers, climb_m_s=-2.0, altitude_m=600.0, flap=1.0, gear=1.0, power="fits"
    )
    flight.move(Levers(climb_m_s=1.0))  # lets go of the altitude
    assert flight.levers.altitude_m is None
    assert flight.levers.climb_m_s == 1.0


def test_the_setting_is_turned_with_the_next_step_and_moves_nothing_else() -> None:
    flight = begun(plane_of("high-wing-tube"), on_ground=False)
    before, setting = flight.outside_pa, flight.truth["altimeter_setting_pa"]
    flight.move(Levers(setting_pa=99000.0))
    assert flight.truth["altimeter_setting_pa"] == setting
    flight.step()
    assert flight.truth["altimeter_setting_pa"] == 99000.0
    assert np.array_equal(flight.outside_pa, before)


def test_a_climb_without_end_ends_at_the_top_and_below_the_highest_mach() -> None:
    plane = plane_of("business-jet")
    reach = ranges(plane, FIELD_M)
    flight = HandFlight(plane, Start(altitude_m=9000.0, field_elevation_m=FIELD_M), DAY)
    flight.move(Levers(speed_m_s=reach.speed_m_s[1], climb_m_s=reach.climb_m_s[1]))
    rows = fly(flight, 700.0)
    top = (
        reach.altitude_m[1]
        + hand.figures(plane, DAY, FIELD_M, flight.levers.setting_pa or 0.0)[hand.SHOWN_OFFSET]
    )
    assert rows[:, Q["pressure_altitude_m"]].max() == pytest.approx(top, abs=1.0)
    mach = air.mach(rows[:, Q["impact_pressure_pa"]], rows[:, Q["static_pressure_pa"]])
    # the limit falls as it climbs, and the speed follows at a lag of 3 s: 3 s * 25 m/s * 1e-4 a metre
    assert mach.max() <= hand.highest_mach(plane) + 0.01


BAD_STARTS = {
    "start_altitude": Start(altitude_m=100.0, field_elevation_m=200.0),
    "start_speed": Start(altitude_m=1000.0, speed_m_s=10.0),
    "field_elevation": Start(altitude_m=1000.0, field_elevation_m=90000.0),
    "altimeter_setting": Start(altitude_m=1000.0, setting_pa=1.0),
}


@pytest.mark.parametrize("field", BAD_STARTS)
def test_a_start_that_cannot_be_is_refused(field: str) -> None:
    with pytest.raises(InputError) as caught:
        HandFlight(plane_of("low-wing-mast"), BAD_STARTS[field], source="a.toml")
    assert (caught.value.source, caught.value.field) == ("a.toml", f"levers.{field}")


BAD_MOVES = {  # each with a lever that could be moved
    "speed": Levers(speed_m_s=300 * KT, flap=0.5),
    "climb": Levers(climb_m_s=-9000 * FPM, flap=0.5),
    "altitude": Levers(altitude_m=-100 * FT, climb_m_s=1.0),
    "flap": Levers(flap=1.5, speed_m_s=40.0),
    "gear": Levers(gear=0.0, speed_m_s=40.0),
    "power": Levers(power=float("nan"), climb_m_s=1.0),
    "altimeter_setting": Levers(setting_pa=-1.0, flap=1.0),
}


@pytest.mark.parametrize("field", BAD_MOVES)
def test_a_move_beyond_the_levers_is_refused_and_moves_none(field: str) -> None:
    flight = begun(plane_of("low-wing-mast"), on_ground=False)
    before = flight.levers
    with pytest.raises(InputError) as caught:
        flight.move(
            replace(BAD_MOVES[field], **({"speed_m_s": 40.0} if field != "speed" else {})), "levers.move[3]"
        )
    assert caught.value.field == f"levers.move[3].{field}"
    assert flight.levers == before


def test_a_gear_lever_has_two_positions() -> None:
    with pytest.raises(InputError, match="0, up, or 1, down"):
        begun(plane_of("twin-two-ports"), on_ground=False).move(Levers(gear=0.5))


HIGH = Start(altitude_m=900.0)
BAD_PLANS = {
    "move[2].at": LeverPlan(HIGH, ((9.0, Levers(flap=1.0)), (5.0, Levers(flap=0.0))), 60.0),
    "move[1].at": LeverPlan(HIGH, ((70.0, Levers(flap=1.0)),), 60.0),
    "move[1].flap": LeverPlan(HIGH, ((1.0, Levers(flap=2.0)),), 60.0),
    "duration": LeverPlan(HIGH, (), 90000.0),
}


@pytest.mark.parametrize("field", BAD_PLANS)
def test_a_plan_that_cannot_be_flown_is_refused(field: str) -> None:
    with pytest.raises(InputError) as caught:
        surroundings(plane_of("low-wing-mast"), BAD_PLANS[field], source="a.toml")
    assert caught.value.field == f"levers.{field}"
