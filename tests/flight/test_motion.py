"""The point of mass: energy, air, thrust, lift and stall, and what no step may change."""

from math import cos, exp, pi, radians, sqrt

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air, airplane
from ramstill.air.constants import G0, R_AIR, RHO0
from ramstill.air.units import FT, KT
from ramstill.airplane.flying import QUICKEST_S
from ramstill.flight import motion
from ramstill.flight import point_mass as of
from ramstill.flight.trim import trim

NAMES = airplane.hangar()
PLANES = {name: airplane.load(name) for name in NAMES}
FLYERS = {name: of.flyer(plane) for name, plane in PLANES.items()}
ENGINED = [name for name in NAMES if PLANES[name].performance.engine is not None]


def steady(name, height=1500.0, share=1.4):
    """Level flight, or for a sailplane its glide, at a share of the stall speed."""
    plane = PLANES[name]
    wanted = {"climb_m_s": 0.0} if name in ENGINED else {"power": 0.0}
    return trim(plane, None, height, share * plane.speeds.stall_clean, **wanted)


def smooth(name):
    """The flyer without drag and without an engine."""
    found = FLYERS[name].copy()
    found[[of.DRAG_ZERO, of.DRAG_INDUCED, of.DRAG_FLAP, of.DRAG_GEAR, of.DRAG_AIRBRAKE]] = 0.0
    found[of.ENGINE], found[of.MACH_CRITICAL] = of.NO_ENGINE, of.NO_CRITICAL_MACH
    return found


def energy(state):
    """Of a kilogram [J]: gravity falls with height, so it is geopotential height that counts."""
    return 0.5 * state[of.SPEED] ** 2 + G0 * air.geopotential_from_geometric(state[of.HEIGHT])


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("by_angle", [True, False])
def test_energy_is_kept_without_thrust_and_drag(name, by_angle):
    """Ten minutes, disturbed. 1e-9 is what fourth-order steps of 0.05 s lose at most at these frequencies."""
    start = steady(name)
    flyer, state, controls = smooth(name), start.state(), start.controls(by_angle)
    state[of.SPEED] *= 1.05
    controls[of.LEVER], controls[of.BANK] = 1.0, radians(10.0)
    before = energy(state)
    low, high = np.inf, -np.inf
    for _ in range(600):
        state = motion.advance(flyer, state, controls, 1.0)
        low, high = min(low, state[of.HEIGHT]), max(high, state[of.HEIGHT])
        assert energy(state) == pytest.approx(before, rel=1e-9)
    if by_angle:
        assert high - low > 5.0  # it did trade one for the other


@settings(max_examples=15)
@given(
    offset=st.floats(-30.0, 30.0), sea_level=st.floats(95000.0, 105000.0), height=st.floats(-1400.0, 19000.0)
)
def test_air_is_the_days(offset, sea_level, height):
    day = air.Day(sea_level, offset)
    pressure, temperature = motion.air_at(of.flyer(PLANES["sailplane"], day), height)
    geopotential = air.geopotential_from_geometric(height)
    # a table of 100 m: temperature is straight but at the tropopause, whose corner is cut by 0.2 K
    assert temperature == pytest.approx(day.temperature(geopotential), abs=0.2)
    assert pressure == pytest.approx(day.pressure(geopotential), rel=1e-5)


@settings(max_examples=15)
@given(name=st.sampled_from(ENGINED), speed=st.floats(0.0, 250.0), power=st.floats(0.01, 1.0))
def test_thrust_is_that_of_a_disc(name, speed, power):
    """Momentum theory: T (V + v) is the power, T = 2 rho A (V + v) v."""
    flyer = FLYERS[name]
    pressure, temperature = motion.air_at(flyer, 3000.0)
    push = motion.thrust(flyer, power, speed, pressure, temperature)
    rho = pressure / (R_AIR * temperature)
    if flyer[of.ENGINE] == of.JET:
        assert push < flyer[of.RATED] * power
        return
    given_w = flyer[of.MERIT] * flyer[of.RATED] * min(power, motion.available(flyer, rho))
    v = push and given_w / push - speed
    assert push * (speed + v) == pytest.approx(given_w, rel=1e-12)
    assert 2.0 * rho * flyer[of.DISC_AREA] * (speed + v) * v == pytest.approx(push, rel=1e-9)


def test_engines_in_thin_air():
    piston, turbine, jet = (FLYERS[n] for n in ("low-wing-mast", "pressurised-turboprop", "business-jet"))
    # common practice, no source: a piston engine without a blower has three quarters left at about 8,000 ft
    assert motion.available(piston, float(air.standard_density(8000.0 * FT))) == pytest.approx(0.75, abs=0.02)
    assert motion.available(piston, RHO0) == 1.0
    assert motion.available(piston, 0.05) == 0.0
    critical, above = (float(air.standard_density(h * FT)) for h in (14000.0, 20000.0))
    assert motion.available(turbine, critical) == pytest.approx(1.0, rel=1e-12)
    assert motion.available(turbine, above) == pytest.approx((above / critical) ** 0.9, rel=1e-12)
    at = [motion.thrust(jet, 1.0, 0.0, *motion.air_at(jet, h)) for h in (0.0, 5000.0, 12000.0)]
    assert at[0] == pytest.approx(28000.0)
    assert at[0] > at[1] > at[2] > 0.0
    assert motion.thrust(jet, 1.0, 5000.0, *motion.air_at(jet, 0.0)) == 0.0  # never backwards
    assert motion.thrust(FLYERS["sailplane"], 1.0, 30.0, *motion.air_at(jet, 0.0)) == 0.0


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("flap", [0.0, 0.5, 1.0])
def test_the_lift_line_and_its_break(name, flap):
    flyer, wing = FLYERS[name], PLANES[name].wing
    stall = motion.stall_angle(flyer, flap)
    angles = np.radians(np.arange(-30.0, 60.0, 0.1))
    lift, drag = np.transpose([motion.coefficients(flyer, a, 0.2, flap, 0.0, 0.0) for a in angles])
    line = wing.lift_slope * (angles - wing.zero_lift_angle - flap * wing.flap_zero_lift_shift)
    attached = (angles < stall) & (line > 0.0)
    assert lift[attached] == pytest.approx(line[attached], rel=1e-12)
    most = PLANES[name].performance.largest_lift(flap)
    assert lift.max() <= most * (1.0 + 1e-12)
    gone = np.argmin(np.abs(angles - stall - motion.BREAK))
    assert lift[gone] < 0.75 * most
    assert drag[gone] > 1.5 * drag[np.argmin(np.abs(angles - stall))]
    assert np.all(drag > 0.0)
    # nothing jumps: a tenth of a degree changes lift by a few times what the line would, at most
    assert np.abs(np.diff(lift)).max() < 4.0 * wing.lift_slope * radians(0.1)
    assert np.abs(np.diff(drag)).max() < 0.05


@pytest.mark.parametrize("name", NAMES)
def test_a_stall_loses_height(name):
    """Nose held up without power: it stalls at its stall speed, sinks, and the nose falls through."""
    start = steady(name, 2000.0, 1.3)
    flyer, state, controls = FLYERS[name], start.state(), start.controls()
    controls[of.LEVER], controls[of.ATTITUDE] = 0.0, start.pitch_rad + radians(10.0)
    stalled_at, sinks, nose, heights = 0.0, 0.0, np.inf, []
    for _ in range(600):
        seen = motion.look(flyer, state, controls)
        if seen[of.STALL_MARGIN] < 1.0 and not stalled_at:
            stalled_at = seen[of.CALIBRATED] / sqrt(max(seen[of.LOAD_FACTOR], 0.1))
        sinks, nose = min(sinks, seen[of.CLIMB]), min(nose, state[of.PITCH])
        heights.append(state[of.HEIGHT])
        state = motion.advance(flyer, state, controls, 0.1)
    assert stalled_at == pytest.approx(PLANES[name].speeds.stall_clean, rel=0.03)
    assert sinks < -8.0
    assert nose < 0.0
    assert heights[-1] < heights[0] - 60.0


def test_flown_without_a_stall_it_glides():
    """The same without pulling: at most the sink of its glide."""
    start = steady("low-wing-mast", 2000.0, 1.3)
    state, controls = start.state(), start.controls(by_angle=True)
    controls[of.LEVER] = 0.0
    for _ in range(300):
        state = motion.advance(FLYERS["low-wing-mast"], state, controls, 1.0)
    seen = motion.look(FLYERS["low-wing-mast"], state, controls)
    assert seen[of.STALL_MARGIN] == pytest.approx(1.3, rel=0.05)
    assert -5.0 < seen[of.CLIMB] < -2.0


@pytest.mark.parametrize("name", NAMES)
def test_a_step_is_two_halves(name):
    start = steady(name)
    state, controls = start.state(), start.controls()
    controls[of.ATTITUDE] += radians(3.0)
    whole = motion.advance(FLYERS[name], state, controls, 1.0)
    halves = motion.advance(FLYERS[name], motion.advance(FLYERS[name], state, controls, 0.5), controls, 0.5)
    assert whole == pytest.approx(halves, rel=1e-13)
    fine = state
    for _ in range(200):
        fine = motion.advance(FLYERS[name], fine, controls, 0.005)
    assert whole == pytest.approx(fine, rel=1e-6, abs=1e-7)  # what fourth order leaves at 0.05 s
    motion.advance_into(FLYERS[name], state, controls, 1.0, state)
    assert np.array_equal(state, whole)


def test_nose_and_engine_lag():
    start = steady("business-jet")
    state, controls = start.state(), start.controls()
    controls[of.ATTITUDE] += 0.01
    controls[of.LEVER] = 1.0
    after = motion.advance(FLYERS["business-jet"], state, controls, 1.0)
    assert after[of.PITCH] - start.pitch_rad == pytest.approx(0.01 * (1.0 - exp(-1.0)), rel=1e-5)
    assert after[of.POWER] - 1.0 == pytest.approx((start.power - 1.0) * exp(-1.0 / 3.0), rel=1e-5)


def test_the_quickest_engine_is_followed():
    """Two steps for its time constant: fourth order is off by 1 % of what is left to go at most."""
    flyer, start = FLYERS["low-wing-mast"].copy(), steady("low-wing-mast")
    flyer[of.ENGINE_LAG] = QUICKEST_S
    assert QUICKEST_S >= 2.0 * motion.LONGEST_STEP_S
    state, controls = start.state(), start.controls()
    controls[of.LEVER] = 1.0
    left = 1.0 - motion.advance(flyer, state, controls, QUICKEST_S)[of.POWER]
    assert left == pytest.approx((1.0 - start.power) * exp(-1.0), rel=0.01)


def test_wind():
    """A steady wind moves the ground and nothing else; one that grows with height helps a climb into it."""
    plane = PLANES["high-wing-tube"]
    start = trim(plane, None, 500.0, 40.0, power=1.0)
    still, steady_wind, sheared = (
        of.flyer(plane, headwind_m_s=w, wind_gradient_per_s=g, wind_height_m=500.0)
        for w, g in ((0.0, 0.0), (10.0, 0.0), (10.0, 0.02))
    )
    flown = [motion.advance(f, start.state(), start.controls(), 20.0) for f in (still, steady_wind, sheared)]
    others = [of.SPEED, of.PATH, of.HEIGHT, of.PITCH]
    assert flown[1][others] == pytest.approx(flown[0][others], rel=1e-14)
    assert flown[0][of.DISTANCE] - flown[1][of.DISTANCE] == pytest.approx(200.0, rel=1e-12)
    assert flown[2][of.SPEED] > flown[0][of.SPEED]
    assert energy(flown[2]) > energy(flown[0])
    seen = motion.look(sheared, flown[2], start.controls())
    blown = 10.0 + 0.02 * (flown[2][of.HEIGHT] - 500.0)
    assert seen[of.GROUND_SPEED] == pytest.approx(flown[2][of.SPEED] * cos(flown[2][of.PATH]) - blown)


def test_what_is_seen_is_what_air_says():
    day = air.Day(99000.0, 12.0)
    plane = PLANES["twin-two-ports"]
    flyer = of.flyer(plane, day)
    start = trim(plane, day, 2345.0, 130.0 * KT, power=0.8)
    seen = motion.look(flyer, start.state(), start.controls())
    h = air.geopotential_from_geometric(2345.0)
    # relative 1e-6: the table of air
    assert seen[of.STATIC] == pytest.approx(day.pressure(h), rel=1e-6)
    assert seen[of.TEMPERATURE] == pytest.approx(day.temperature(h), rel=1e-6)
    assert seen[of.CALIBRATED] == pytest.approx(130.0 * KT, rel=1e-9)
    assert seen[of.IMPACT] == pytest.approx(air.impact_pressure(130.0 * KT), rel=1e-9)
    assert seen[of.MACH] == pytest.approx(air.mach(seen[of.IMPACT], seen[of.STATIC]), rel=1e-12)
    assert seen[of.CLIMB] == pytest.approx(start.climb_m_s, rel=1e-12)
    assert seen[of.ANGLE] == pytest.approx(start.angle_of_attack_rad, rel=1e-12)


@settings(max_examples=25)
@given(
    name=st.sampled_from(NAMES),
    speed=st.floats(0.0, 150.0),
    path=st.floats(-pi, pi),
    pitch=st.floats(-1.5, 1.5),
    wanted=st.floats(-1.5, 1.5),
    lever=st.floats(-1.0, 2.0),
    flap=st.floats(0.0, 1.0),
    airbrake=st.floats(0.0, 1.0),
    bank=st.floats(-1.2, 1.2),
)
def test_whatever_is_done_to_it(name, speed, path, pitch, wanted, lever, flap, airbrake, bank):
    """A minute of anything, upside down and standing still included: numbers stay numbers, speed in reach."""
    state = of.state(speed, 8000.0, path, pitch, 0.5)
    controls = of.controls(
        pitch_rad=wanted, power=lever, flap=flap, gear=1.0, airbrake=airbrake, bank_rad=bank
    )
    for _ in range(60):
        state = motion.advance(FLYERS[name], state, controls, 1.0)
        assert np.all(np.isfinite(state))
        assert 0.0 <= state[of.SPEED] < 600.0
        assert abs(state[of.PATH]) <= pi
        assert 0.0 <= state[of.POWER] <= 1.0
        assert np.all(np.isfinite(motion.look(FLYERS[name], state, controls)))


@settings(max_examples=20)
@given(name=st.sampled_from(NAMES), angle=st.floats(-3.0, 12.0), speed=st.floats(30.0, 100.0))
def test_without_an_engine_energy_only_falls(name, angle, speed):
    flyer = FLYERS[name].copy()
    flyer[of.ENGINE] = of.NO_ENGINE
    state, controls = of.state(speed, 3000.0), of.controls(angle_of_attack_rad=radians(angle))
    before = energy(state)
    for _ in range(60):
        state = motion.advance(flyer, state, controls, 1.0)
        assert energy(state) < before
        before = energy(state)


def test_a_turn_takes_more_lift():
    """Wings banked at the same angle of attack it sinks: the lift across the path is L cos(bank)."""
    start = steady("glass-trainer")
    state, controls = start.state(), start.controls(by_angle=True)
    controls[of.BANK] = radians(45.0)
    after = motion.advance(FLYERS["glass-trainer"], state, controls, 1.0)
    # to first order: (cos 45 deg - 1) of the lift, as the path has not yet turned
    turned = (cos(radians(45.0)) - 1.0) * G0 / start.true_speed_m_s
    assert after[of.PATH] == pytest.approx(turned, rel=0.1)


def test_controls_hold_one_thing():
    with pytest.raises(ValueError, match="just one"):
        of.controls()
    with pytest.raises(ValueError, match="just one"):
        of.controls(pitch_rad=0.1, angle_of_attack_rad=0.1)
