"""Steady flight stays steady, agrees with the angle of attack of planned flights, and says what cannot be."""

from math import asin, cos, degrees

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air, airplane
from ramstill.air.units import FPM, KT
from ramstill.errors import InputError
from ramstill.flight import motion
from ramstill.flight import point_mass as of
from ramstill.flight.attitude import angle_of_attack
from ramstill.flight.trim import level_speed, slowest, trim

NAMES = airplane.hangar()
PLANES = {name: airplane.load(name) for name in NAMES}
ENGINED = [name for name in NAMES if PLANES[name].performance.engine is not None]


def flown(plane, day, start, seconds, by_angle=False):
    flyer, state, controls = of.flyer(plane, day), start.state(), start.controls(by_angle)
    for _ in range(seconds):
        state = motion.advance(flyer, state, controls, 1.0)
    return motion.look(flyer, state, controls), state


@settings(max_examples=20)
@given(
    name=st.sampled_from(NAMES),
    height=st.floats(0.0, 3000.0),
    share=st.floats(1.25, 1.8),
    power=st.floats(0.0, 1.0),
    flap=st.floats(0.0, 1.0),
    offset=st.floats(-20.0, 25.0),
)
def test_it_is_a_balance(name, height, share, power, flap, offset):
    """Along the path only what a climb at one calibrated airspeed takes is left; across it nothing."""
    plane, day = PLANES[name], air.Day(100000.0, offset)
    flyer = of.flyer(plane, day)
    start = trim(plane, day, height, share * slowest(flyer, height, flap), power=power, flap=flap)
    tiny = 1e-3
    after = motion.advance(flyer, start.state(), start.controls(by_angle=True), tiny)
    # across: with the angle held, the path turns only as the air thins out within the millisecond
    assert (after[of.PATH] - start.path_rad) / tiny == pytest.approx(0.0, abs=1e-5)
    before = motion.look(flyer, start.state(), start.controls())
    then = motion.look(flyer, after, start.controls())
    slope = (then[of.CALIBRATED] - before[of.CALIBRATED]) / tiny
    assert slope == pytest.approx(0.0, abs=1e-4)  # [m/s2]: differences over 20 m of height, table of air
    assert before[of.CLIMB] == pytest.approx(start.climb_m_s, rel=1e-9)


@pytest.mark.parametrize("name", ENGINED)
def test_a_climb_stays_a_climb(name):
    plane = PLANES[name]
    start = trim(plane, None, 500.0, plane.speeds.climb, power=0.9)
    seen, state = flown(plane, None, start, 30)
    # pitch is held and thrust falls as the air thins: the speed stays within 1.5 % over half a minute
    assert seen[of.CALIBRATED] == pytest.approx(plane.speeds.climb, rel=0.015)
    assert state[of.HEIGHT] - 500.0 == pytest.approx(30.0 * start.climb_m_s, rel=0.05)


@pytest.mark.parametrize("name", ENGINED)
@pytest.mark.parametrize("by_angle", [True, False])
def test_level_stays_level(name, by_angle):
    plane = PLANES[name]
    start = trim(plane, None, 1000.0, 1.5 * plane.speeds.stall_clean, climb_m_s=0.0)
    assert start.climb_m_s == 0.0
    seen, state = flown(plane, None, start, 120, by_angle)
    assert state[of.HEIGHT] == pytest.approx(1000.0, abs=0.01)
    assert seen[of.CALIBRATED] == pytest.approx(start.cas_m_s, rel=1e-5)


@settings(max_examples=20)
@given(
    name=st.sampled_from(NAMES),
    height=st.floats(0.0, 4000.0),
    share=st.floats(1.1, 2.0),
    flap=st.floats(0, 1),
)
def test_the_angle_is_that_of_planned_flights(name, height, share, flap):
    """attitude.angle_of_attack is told the load factor there is; without thrust that is cos(path)."""
    plane = PLANES[name]
    flyer = of.flyer(plane)
    cas = share * slowest(flyer, height, flap)
    for wanted in ({"power": 0.0}, {"power": 0.6}):
        start = trim(plane, None, height, cas, flap=flap, **wanted)
        seen = motion.look(flyer, start.state(), start.controls())
        planned = angle_of_attack(
            plane.wing,
            np.array([seen[of.STATIC]]),
            np.array([seen[of.MACH]]),
            np.array([seen[of.LOAD_FACTOR]]),
            np.array([flap]),
        )
        assert start.angle_of_attack_rad == pytest.approx(float(planned[0]), abs=1e-12)
        if wanted["power"] == 0.0:  # gravity at the height is less than standard by 2 h / R, 0.13 % at 4 km
            assert seen[of.LOAD_FACTOR] == pytest.approx(cos(start.path_rad), rel=1.5e-3)


@settings(max_examples=15)
@given(name=st.sampled_from(ENGINED), power=st.floats(0.2, 0.9), share=st.floats(1.3, 1.8))
def test_power_and_climb_are_one(name, power, share):
    plane = PLANES[name]
    cas = share * plane.speeds.stall_clean
    one = trim(plane, None, 1000.0, cas, power=power)
    other = trim(plane, None, 1000.0, cas, climb_m_s=one.climb_m_s)
    if of.flyer(plane)[of.ENGINE] == of.JET or power < 0.85:
        assert other.power == pytest.approx(power, rel=1e-6)
    assert other.pitch_rad == pytest.approx(one.pitch_rad, abs=1e-8)


@pytest.mark.parametrize("name", ENGINED)
def test_the_highest_level_speed(name):
    plane = PLANES[name]
    fast = level_speed(plane, None, 2000.0, 0.7)
    assert trim(plane, None, 2000.0, fast, power=0.7).climb_m_s == pytest.approx(0.0, abs=1e-6)
    assert trim(plane, None, 2000.0, 1.02 * fast, power=0.7).climb_m_s < 0.0
    assert level_speed(plane, None, 2000.0, 0.6) < fast


@pytest.mark.parametrize("name", NAMES)
def test_the_flattest_glide(name):
    """A parabolic polar's best lift over drag is 1 / (2 sqrt(CD0 k)), at a lift of sqrt(CD0 / k).

    Source: any text on flight mechanics, such as Anderson, section 5.4 (from memory).
    """
    plane = PLANES[name]
    drag, induced = plane.performance.zero_lift_drag, plane.performance.induced_drag
    stall = slowest(of.flyer(plane), 0.0)
    best = stall * (plane.performance.maximum_lift / (drag / induced) ** 0.5) ** 0.5
    glides = [trim(plane, None, 0.0, k * best, power=0.0) for k in (0.9, 1.0, 1.1)]
    flat = [-glide.climb_m_s / (glide.true_speed_m_s * cos(glide.path_rad)) for glide in glides]
    assert flat[1] < min(flat[0], flat[2])
    # at one calibrated speed true airspeed falls on the way down: flatter by V/g dV/dh, 0.5 % to 6 % here
    assert flat[1] == pytest.approx(2.0 * (drag * induced) ** 0.5, rel=0.06)


def test_pitch_is_path_and_angle():
    start = trim(PLANES["high-wing-tube"], None, 0.0, 65.0 * KT, climb_m_s=-350.0 * FPM, flap=1.0)
    assert start.pitch_rad == start.path_rad + start.angle_of_attack_rad
    assert start.path_rad == pytest.approx(asin(-350.0 * FPM / start.true_speed_m_s))
    # common practice, no source: with full flap the nose is below the horizon on the approach
    assert -8.0 < degrees(start.pitch_rad) < 0.0


@pytest.mark.parametrize(
    ("wanted", "cas", "line"),
    [
        ({"climb_m_s": 10.0}, 70.0, "low-wing-mast: climb: read +1969 ft/min at 70 kt; allowed: +"),
        ({"climb_m_s": -9.0}, 70.0, "low-wing-mast: climb: read -1772 ft/min at 70 kt; allowed: -"),
        ({"power": 0.5}, 40.0, "low-wing-mast: speed: read 40.0 kt; allowed: above the stall, 52.0 kt"),
    ],
)
def test_what_cannot_be_flown(wanted, cas, line):
    with pytest.raises(InputError) as caught:
        trim(PLANES["low-wing-mast"], None, 0.0, cas * KT, **wanted)
    assert str(caught.value).startswith(line)


def test_no_level_without_power():
    with pytest.raises(InputError, match="a power that holds a level"):
        level_speed(PLANES["twin-two-ports"], None, 2000.0, 0.05)
    with pytest.raises(InputError, match="a power that holds a level"):
        level_speed(PLANES["sailplane"], None, 2000.0, 1.0)
    with pytest.raises(ValueError, match="just one"):
        trim(PLANES["sailplane"], None, 0.0, 30.0)


def test_without_a_flight_model():
    table = airplane.table("low-wing-mast")
    del table["performance"]
    with pytest.raises(InputError, match=r"performance: read nothing; allowed: a \[performance\]"):
        of.flyer(airplane.from_dict(table))


def test_an_engine_too_weak_for_the_stated_climb():
    table = airplane.table("low-wing-mast")
    table["performance"]["engine"]["shaft_power"] = "60 kW"
    with pytest.raises(InputError) as caught:
        of.flyer(airplane.from_dict(table))
    line = str(caught.value)
    assert line.startswith('low-wing-mast: performance.engine.shaft_power: read "60 kW", which climbs +')
    assert "allowed: enough for 700 ft/min, as speeds.climb_rate states" in line
