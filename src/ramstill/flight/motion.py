"""The airplane as a point of mass in the vertical plane, compiled: forces, equations of motion, a step.

State: true airspeed V, path angle, geometric height, distance over the ground, pitch attitude, power.

    m V'      = T cos a - D - m g sin(path) + m w' cos(path)
    m V path' = L cos(bank) + T sin a - m g cos(path) - m w' sin(path)

a is the angle of attack, pitch less path angle; w the headwind and w' how fast it grows as the airplane
climbs through it. Sources: any text on flight mechanics, such as J. D. Anderson, Aircraft Performance and
Design (1999), chapters 2 to 6, from memory; which law is whose stands with each function. Importing this
brings Numba in: import it inside the function that flies.
"""

from math import ceil, cos, exp, pi, sin, sqrt

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import A0, EARTH_RADIUS, G0, GAMMA, P0, R_AIR, RHO0
from ramstill.flight.point_mass import (
    AIR,
    AIR_COUNT,
    AIR_START,
    AIR_STEP,
    AIRBRAKE,
    ANGLE,
    AREA,
    ATTITUDE,
    BANK,
    BY_ANGLE,
    CALIBRATED,
    CLIMB,
    CRITICAL_SIGMA,
    DENSITY_EXPONENT,
    DISC_AREA,
    DISTANCE,
    DRAG,
    DRAG_AIRBRAKE,
    DRAG_FLAP,
    DRAG_GEAR,
    DRAG_INDUCED,
    DRAG_ZERO,
    ENGINE,
    ENGINE_LAG,
    FLAP,
    FLAP_SHIFT,
    GEAR,
    GROUND_SPEED,
    HEADWIND,
    HEIGHT,
    HOLD,
    IMPACT,
    JET,
    LEVER,
    LIFT,
    LIFT_MOST,
    LIFT_MOST_FLAP,
    LIFT_SLOPE,
    LOAD_FACTOR,
    LOOKS,
    MACH,
    MACH_CRITICAL,
    MACH_FALL,
    MASS,
    MERIT,
    NO_ENGINE,
    PATH,
    PISTON,
    PITCH,
    PITCH_LAG,
    POWER,
    RATED,
    SPEED,
    STALL_MARGIN,
    STATIC,
    TEMPERATURE,
    THRUST,
    WIND_GRADIENT,
    WIND_HEIGHT,
    ZERO_LIFT_ANGLE,
)
from ramstill.pneumatics._compiled import jit

Array = NDArray[np.float64]
Five = tuple[float, float, float, float, float]
Six = tuple[float, float, float, float, float, float]

LONGEST_STEP_S = 0.05  # [s]; the quickest of these equations, lift turning the path, takes about 0.5 s
SLOWEST = 5.0  # [m/s]; below it the path turns no quicker than at it: nothing here flies that slowly
BREAK = 8.0 * pi / 180.0  # [rad] assumed: past the stall, over which the flow goes from attached to parted
KEPT = 0.7  # [-] assumed: share of the largest lift that is left once the flow has parted
HELD = 5.0 * pi / 180.0  # [rad] assumed: past the stall, the most that the elevator can hold the nose up to
DOWNWARD = 0.6  # [-] assumed: largest lift downwards, over that upwards
GAGG_FERRAR = 7.55  # [-] of (sigma - (1 - sigma) / 7.55); NACA TR 474 (1934), from memory
DRAG_RISE = 20.0  # [-] of 20 (M - critical)^4, Lock's law as aerodynamics texts give it, from memory


@jit
def air_at(flyer: Array, height_m: float) -> tuple[float, float]:
    """Static pressure [Pa] and temperature [K] at a geometric height [m] of the flyer's day.

    Between the table's heights the log of pressure is the cubic with the hydrostatic slope -g/(R T) at both,
    temperature a straight line; beyond the table's ends the end's air.
    """
    count, step = int(flyer[AIR_COUNT]), flyer[AIR_STEP]
    at = min(max((height_m - flyer[AIR_START]) / step, 0.0), count - 1.0)
    i = min(int(at), count - 2)
    u = at - i
    p, t = AIR + i, AIR + count + i
    cold, warm = flyer[t + 1], flyer[t]
    below = -step * gravity(flyer[AIR_START] + i * step) / (R_AIR * warm)
    above = -step * gravity(flyer[AIR_START] + (i + 1) * step) / (R_AIR * cold)
    rise = flyer[p + 1] - flyer[p]
    bend = u * (1.0 - u) * ((1.0 - u) * (below - rise) - u * (above - rise))
    return exp(flyer[p] + u * rise + bend), warm + u * (cold - warm)


@jit
def gravity(height_m: float) -> float:
    """Gravity [m/s2] at a geometric height [m], so that geopotential height times G0 is the work done."""
    far = EARTH_RADIUS / (EARTH_RADIUS + height_m)
    return float(G0 * far * far)


@jit
def most_lift(flyer: Array, flap: float) -> float:
    """Largest lift coefficient [-]."""
    return float(flyer[LIFT_MOST] + flap * (flyer[LIFT_MOST_FLAP] - flyer[LIFT_MOST]))


@jit
def stall_angle(flyer: Array, flap: float) -> float:
    """Angle of attack [rad] of the largest lift."""
    line = flyer[ZERO_LIFT_ANGLE] + flap * flyer[FLAP_SHIFT]
    return float(line + most_lift(flyer, flap) / flyer[LIFT_SLOPE])


@jit
def coefficients(
    flyer: Array, angle: float, mach: float, flap: float, gear: float, airbrake: float
) -> tuple[float, float]:
    """Lift and drag coefficients [-] at an angle of attack [rad].

    Attached: the straight line of [wing] and the parabolic polar (Anderson, chapter 2). Past the stall, over
    BREAK, it goes smoothly to a parted flow whose force stands on the wing's chord, as on a flat plate:
    KEPT of the largest lift, and the drag that goes with it. Downwards the same, sooner.
    """
    line = flyer[LIFT_SLOPE] * (angle - flyer[ZERO_LIFT_ANGLE] - flap * flyer[FLAP_SHIFT])
    most = most_lift(flyer, flap)
    if line < 0.0:
        most = -DOWNWARD * flyer[LIFT_MOST]
    past = max(abs(line) - abs(most), 0.0) / flyer[LIFT_SLOPE]
    lift = line if past == 0.0 else most
    drag = flyer[DRAG_INDUCED] * lift * lift
    if past > 0.0:
        u = min(past / BREAK, 1.0)
        parted = u * u * (3.0 - 2.0 * u)
        plate = angle - flyer[ZERO_LIFT_ANGLE]
        edge = plate - np.copysign(past, line)
        normal = KEPT * most / max(cos(edge), 0.5)
        lift += parted * (normal * cos(plate) - lift)
        drag += parted * (normal * sin(plate) - drag)
    drag += flyer[DRAG_ZERO] + flap * flyer[DRAG_FLAP] + gear * flyer[DRAG_GEAR]
    drag += airbrake * flyer[DRAG_AIRBRAKE]
    over = max(mach - flyer[MACH_CRITICAL], 0.0)
    return lift, drag + DRAG_RISE * over**4


@jit
def thrust(flyer: Array, power: float, speed: float, pressure: float, temperature: float) -> float:
    """Thrust [N] for a share of the rated power, at a true airspeed [m/s] in air [Pa], [K].

    A jet's falls with a power of density and straight with Mach. An engine with a propeller gives the share
    of its rated power that is asked for, as far as the air lets it (`available`), and the propeller makes
    thrust of it as an actuator disc: figure of merit * power = T (V + v), T = 2 rho A (V + v) v; a cubic for
    V + v with one positive root. Sources: W. J. M. Rankine and R. E. Froude's momentum theory, in any text
    (Anderson, section 3.2 and appendix; from memory). Assumed: the figure of merit holds at every speed.
    """
    kind = flyer[ENGINE]
    asked = min(max(power, 0.0), 1.0)
    if kind == NO_ENGINE or asked == 0.0:
        return 0.0
    density = pressure / (R_AIR * temperature)
    if kind == JET:
        mach = speed / sqrt(GAMMA * R_AIR * temperature)
        fall = (density / RHO0) ** flyer[DENSITY_EXPONENT]
        return float(asked * flyer[RATED] * fall * max(1.0 - flyer[MACH_FALL] * mach, 0.0))
    given = flyer[MERIT] * flyer[RATED] * min(asked, available(flyer, density))
    if given <= 0.0:
        return 0.0
    # (V + v)^3 - V (V + v)^2 = c
    c = given / (2.0 * density * flyer[DISC_AREA])
    third = max(speed, 0.0) / 3.0
    inner = third**3 + 0.5 * c
    outer = (inner + sqrt(c * (third**3 + 0.25 * c))) ** (1.0 / 3.0)
    through = third + outer + third * third / outer
    return float(given / through)


@jit
def available(flyer: Array, density: float) -> float:
    """Share of rated power [-] that an engine with a propeller has in air of a density [kg/m3].

    A piston engine: sigma - (1 - sigma) / 7.55 (R. F. Gagg and E. V. Ferrar, 1934, from memory); a turbine:
    a power of the density. Both rated up to their critical altitude, sigma being density over that there.
    """
    sigma = density / (RHO0 * flyer[CRITICAL_SIGMA])
    if flyer[ENGINE] == PISTON:
        return float(min(max(sigma - (1.0 - sigma) / GAGG_FERRAR, 0.0), 1.0))
    return float(min(sigma ** flyer[DENSITY_EXPONENT], 1.0))


@jit
def angle_of(flyer: Array, state: Array, controls: Array) -> float:
    """Angle of attack [rad]: the one held, or pitch less path angle."""
    if controls[HOLD] == BY_ANGLE:
        return float(controls[ATTITUDE])
    return float(state[PITCH] - state[PATH])


@jit
def _rates(
    flyer: Array, controls: Array, v: float, path: float, height: float, pitch: float, power: float
) -> Six:
    by_angle = controls[HOLD] == BY_ANGLE
    angle = controls[ATTITUDE] if by_angle else pitch - path
    flap = controls[FLAP]
    pressure, temperature = air_at(flyer, height)
    mach2 = v * v / (GAMMA * R_AIR * temperature)
    lift, drag = coefficients(flyer, angle, sqrt(mach2), flap, controls[GEAR], controls[AIRBRAKE])
    load = 0.5 * GAMMA * pressure * mach2 * flyer[AREA] / flyer[MASS]
    push = thrust(flyer, power, v, pressure, temperature) / flyer[MASS]
    g = gravity(height)
    climb, along = v * sin(path), v * cos(path)
    gust = flyer[WIND_GRADIENT] * climb
    faster = push * cos(angle) - load * drag - g * sin(path) + gust * cos(path)
    across = load * lift * cos(controls[BANK]) + push * sin(angle) - g * cos(path) - gust * sin(path)
    turn = across / max(v, SLOWEST)
    wind = flyer[HEADWIND] + flyer[WIND_GRADIENT] * (height - flyer[WIND_HEIGHT])
    if by_angle:
        nose = turn
    else:
        # past what the elevator can hold the nose falls through, however the stick is held
        top = stall_angle(flyer, flap) + HELD
        bottom = flyer[ZERO_LIFT_ANGLE] - DOWNWARD * flyer[LIFT_MOST] / flyer[LIFT_SLOPE] - HELD
        wanted = min(max(controls[ATTITUDE], path + bottom), path + top)
        nose = (wanted - pitch) / flyer[PITCH_LAG]
    spool = (min(max(controls[LEVER], 0.0), 1.0) - power) / flyer[ENGINE_LAG]
    return faster, turn, climb, along - wind, nose, spool


@jit
def _moved(now: Five, rates: Six, by: float) -> Five:
    v, path, height, pitch, power = now
    return (
        v + by * rates[0],
        path + by * rates[1],
        height + by * rates[2],
        pitch + by * rates[4],
        power + by * rates[5],
    )


@jit
def advance_into(flyer: Array, state: Array, controls: Array, dt: float, out: Array) -> None:
    """The state (6,) after dt [s] of steady controls (7,), into `out`, which may be `state` itself.

    Runge and Kutta's fourth-order steps of 0.05 s at most.
    """
    v, path, height = state[SPEED], state[PATH], state[HEIGHT]
    distance, pitch, power = state[DISTANCE], state[PITCH], state[POWER]
    if controls[HOLD] == BY_ANGLE:
        pitch = path + controls[ATTITUDE]
    steps = max(ceil(dt / LONGEST_STEP_S - 1e-9), 1)
    h = dt / steps
    for _ in range(steps):
        now = (v, path, height, pitch, power)
        a = _rates(flyer, controls, v, path, height, pitch, power)
        b = _rates(flyer, controls, *_moved(now, a, 0.5 * h))
        c = _rates(flyer, controls, *_moved(now, b, 0.5 * h))
        d = _rates(flyer, controls, *_moved(now, c, h))
        k = h / 6.0
        v += k * (a[0] + 2.0 * b[0] + 2.0 * c[0] + d[0])
        path += k * (a[1] + 2.0 * b[1] + 2.0 * c[1] + d[1])
        height += k * (a[2] + 2.0 * b[2] + 2.0 * c[2] + d[2])
        distance += k * (a[3] + 2.0 * b[3] + 2.0 * c[3] + d[3])
        pitch += k * (a[4] + 2.0 * b[4] + 2.0 * c[4] + d[4])
        power += k * (a[5] + 2.0 * b[5] + 2.0 * c[5] + d[5])
        if v < 0.0:  # a tail slide: it has turned round
            v, path = -v, path + pi
        if abs(path) > pi:
            turned = -2.0 * pi if path > 0.0 else 2.0 * pi
            path, pitch = path + turned, pitch + turned
    out[SPEED], out[PATH], out[HEIGHT] = v, path, height
    out[DISTANCE], out[PITCH], out[POWER] = distance, pitch, power


@jit
def advance(flyer: Array, state: Array, controls: Array, dt: float) -> Array:
    """The state (6,) after dt [s] of steady controls (7,)."""
    out = np.empty_like(state)
    advance_into(flyer, state, controls, dt, out)
    return out


@jit
def look_into(flyer: Array, state: Array, controls: Array, out: Array) -> None:
    """What there is to know of a moment, (13,), into `out`: see the columns in point_mass.py.

    Pressures [Pa], temperature [K], calibrated speed, climb and ground speed [m/s], angle of attack [rad],
    forces [N]; load factor: lift over weight [-]; stall margin: speed over the speed at which this angle's
    lift would be the largest there is [-], below 1 past the stall.
    """
    v, path, height = state[SPEED], state[PATH], state[HEIGHT]
    pressure, temperature = air_at(flyer, height)
    mach2 = v * v / (GAMMA * R_AIR * temperature)
    angle, flap = angle_of(flyer, state, controls), controls[FLAP]
    lift, drag = coefficients(flyer, angle, sqrt(mach2), flap, controls[GEAR], controls[AIRBRAKE])
    load = 0.5 * GAMMA * pressure * mach2 * flyer[AREA]
    line = flyer[LIFT_SLOPE] * (angle - flyer[ZERO_LIFT_ANGLE] - flap * flyer[FLAP_SHIFT])
    impact = pressure * ((1.0 + 0.5 * (GAMMA - 1.0) * mach2) ** (GAMMA / (GAMMA - 1.0)) - 1.0)
    wind = flyer[HEADWIND] + flyer[WIND_GRADIENT] * (height - flyer[WIND_HEIGHT])
    out[STATIC], out[TEMPERATURE], out[IMPACT], out[MACH] = pressure, temperature, impact, sqrt(mach2)
    out[CALIBRATED] = A0 * sqrt(2.0 / (GAMMA - 1.0) * ((impact / P0 + 1.0) ** ((GAMMA - 1.0) / GAMMA) - 1.0))
    out[ANGLE], out[LOAD_FACTOR] = angle, load * lift / (flyer[MASS] * G0)
    out[CLIMB], out[GROUND_SPEED] = v * sin(path), v * cos(path) - wind
    out[LIFT], out[DRAG] = load * lift, load * drag
    out[THRUST] = thrust(flyer, state[POWER], v, pressure, temperature)
    out[STALL_MARGIN] = sqrt(most_lift(flyer, flap) / max(line, 1e-6))


@jit
def look(flyer: Array, state: Array, controls: Array) -> Array:
    """As `look_into`, into an array of its own."""
    out = np.empty(LOOKS)
    look_into(flyer, state, controls, out)
    return out
