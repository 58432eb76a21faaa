"""The phugoid: a hands-off airplane trades speed for height with a period of pi sqrt(2) V / g.

Source: F. W. Lanchester, Aerodonetics (1908): angle of attack held, drag always made up for; the formula is
in any text on flight mechanics, such as B. Etkin and L. D. Reid, Dynamics of Flight (1996), section 6.3
(both from memory).

Lanchester leaves out that the air thins out with height, which pulls the airplane back harder:
omega^2 = 2 (g/V)^2 + g / H, H being the height over which density falls by e. That term follows from the same
balance, L proportional to density times V^2, and grows with speed: 1 % of the period at 35 m/s, 4 % at 134.
"""

from math import log, pi, sqrt

import numpy as np
import pytest

from ramstill import airplane
from ramstill.air.constants import G0, R_AIR
from ramstill.flight import motion
from ramstill.flight import point_mass as of
from ramstill.flight.trim import trim

NAMES = airplane.hangar()
HEIGHT = 1500.0


def constant_thrust(flyer, push):
    """The same airplane with an engine of the same thrust whatever it does: at most what trims it."""
    found = flyer.copy()
    found[of.ENGINE], found[of.RATED], found[of.DENSITY_EXPONENT], found[of.MACH_FALL] = (
        of.JET,
        push,
        0.0,
        0.0,
    )
    return found


def period(flyer, state, controls):
    """Mean time between crossings of the path angle through level, upwards [s]."""
    step, crossings, before = 0.05, [], state[of.PATH]
    for i in range(1, 12001):
        state = motion.advance(flyer, state, controls, step)
        now = state[of.PATH]
        if before < 0.0 <= now:
            crossings.append(step * (i - now / (now - before)))
        before = now
        if len(crossings) == 4:
            break
    return float(np.mean(np.diff(crossings)))


def disturbed(name):
    """Flyer, level trim, and the state with 2 % more speed than the trim."""
    plane = airplane.load(name)
    flyer = of.flyer(plane)
    glides = plane.performance.engine is None
    wanted = {"power": 0.0} if glides else {"climb_m_s": 0.0}
    start = trim(plane, None, HEIGHT, plane.speeds.climb, **wanted)
    seen = motion.look(flyer, start.state(), start.controls())
    state = start.state()
    state[of.SPEED] *= 1.02
    state[of.PATH] = 0.0
    return flyer, start, seen, state


def scale_height(flyer, height):
    p = [motion.air_at(flyer, h) for h in (height - 50.0, height + 50.0)]
    rho = [pressure / (R_AIR * temperature) for pressure, temperature in p]
    return 100.0 / log(rho[0] / rho[1])


@pytest.mark.parametrize("name", NAMES)
def test_hands_off_with_thrust_equal_to_drag(name):
    flyer, start, seen, state = disturbed(name)
    controls = start.controls(by_angle=True)
    controls[of.LEVER], state[of.POWER] = 1.0, 1.0
    found = period(constant_thrust(flyer, seen[of.DRAG]), state, controls)
    lanchester = pi * sqrt(2.0) * start.true_speed_m_s / G0
    assert found == pytest.approx(lanchester, rel=0.10)
    thinning = 2.0 * pi / sqrt(2.0 * (G0 / start.true_speed_m_s) ** 2 + G0 / scale_height(flyer, HEIGHT))
    # what is left: damping, and the lift of the thrust, which does not grow with speed
    assert found == pytest.approx(thinning, rel=0.04)


@pytest.mark.parametrize("name", NAMES)
def test_without_drag_and_thrust(name):
    """Lanchester's own case: nothing is left but the thinning air, and the swing's own size."""
    flyer, start, seen, state = disturbed(name)
    flyer = flyer.copy()
    flyer[[of.DRAG_ZERO, of.DRAG_INDUCED, of.DRAG_FLAP, of.DRAG_GEAR, of.DRAG_AIRBRAKE]] = 0.0
    flyer[of.ENGINE] = of.NO_ENGINE
    controls = start.controls(by_angle=True)
    # the speed at which this angle's lift is the weight
    level = start.true_speed_m_s / sqrt(seen[of.LOAD_FACTOR])
    found = period(flyer, state, controls)
    thinning = 2.0 * pi / sqrt(2.0 * (G0 / level) ** 2 + G0 / scale_height(flyer, HEIGHT))
    assert found == pytest.approx(thinning, rel=0.005)
    assert found == pytest.approx(pi * sqrt(2.0) * level / G0, rel=0.10)
