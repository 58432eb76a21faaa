"""How likely readings are, given what one set of faults makes the instruments show: a filter, compiled.

The flight is not known, only what was read of it. So its errors are carried along with it: a Kalman filter
(R. E. Kalman, Trans. ASME J. Basic Engineering 82, 1960) goes through the readings, holding how far the true
flight, the wind and so on may be from the reference flight that the engine flew, and adds up the likelihood
of each reading before it is taken in. Two things make it hold for airplanes: the flight is either steady or
being changed, and both are carried for one knot and put together again (G. A. Ackerson and K. S. Fu, IEEE
Trans. Automatic Control 15, 1970); readings scatter with heavier tails than a normal distribution (Student's
t, as in K. L. Lange, R. J. A. Little and J. M. G. Taylor, J. American Statistical Association 84, 1989).
Sources from memory.
"""

from math import erfc, exp, log, sqrt

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import G0
from ramstill.diagnosis._columns import (
    A_CABIN,
    ACROSS,
    AIRSPEED,
    AIRSPEED_PER_PA,
    AIRSPEED_PITOT,
    AIRSPEED_SCALE,
    AIRSPEED_STATIC,
    ALONG,
    ALTIMETER_STATIC,
    ALTITUDE,
    ALTITUDE_PER_PA,
    ANGLE_SLOPE,
    CABIN,
    CHANGING,
    CLIMB,
    CLIMB_CHANGING,
    CLIMB_REF,
    CLIMB_STEADY,
    COMPASS,
    DIFFERENT,
    DOF,
    EAST,
    EXCESS_SLOPE,
    FASTEST,
    GPS_ALTITUDE,
    GPS_OFFSET,
    GPS_STEP,
    GPS_STRETCH,
    GUST,
    GUST_LEFT,
    GUST_SD,
    HEIGHT,
    HEIGHT_REF,
    IMPACT,
    KINDS,
    KNOT_S,
    LATE,
    NORTH,
    OFF,
    OFF_LEFT_ALTITUDE,
    OFF_STEP_ALTITUDE,
    OWN,
    PITCH,
    PITCH_LEFT,
    PITCH_STEP,
    PITCH_ZERO,
    PORT,
    POWER_LEFT,
    POWER_STEP,
    POWER_ZERO,
    QUICK,
    QUICK_LEFT,
    QUICK_STEP_ALTITUDE,
    R_CABIN,
    R_LEFT,
    R_SHARE,
    RATE,
    RATE_SCALE,
    RATE_ZERO,
    READINGS,
    RHO_G,
    SHEAR_EAST,
    SHEAR_NORTH,
    SHEAR_STEP,
    SHOWN_AIRSPEED,
    SHOWN_ALTITUDE,
    SHOWN_RATE,
    SLOWEST,
    SLOWEST_FELT,
    SPEED,
    SPEED_CHANGING,
    SPEED_REF,
    SPEED_ROLLING,
    SPEED_STEADY,
    SPEEDING,
    SPEEDING_LEFT,
    T_CONSTANT,
    TAS,
    TAS_RATIO,
    TAS_SCALE,
    UNSURE,
    VERTICAL,
    WIND_EAST,
    WIND_NORTH,
    WIND_STEP,
)
from ramstill.instruments._laws import airspeed, impact_pressure, impact_pressure_slope
from ramstill.pneumatics._compiled import entry_jit, outer_jit

Array = NDArray[np.float64]
Places = NDArray[np.int64]
Flags = NDArray[np.bool_]

MISSING, NOT_MISSING, DEAD_BUT_READ = log(0.03), log(0.97), -10.0
HARDLY = 20.0  # [m/s] slower than this an air-data computer may show nothing
KM = 1000.0
FASTEST_FELT = 300.0  # [m/s], so that the law for subsonic air holds
SLACK = 3.0  # [m/s] how sharply slower than the stall is refused


@outer_jit
def _combine(p: Array, x: Array, row: int, at: Places, share: Array, count: int, old: Array) -> None:
    """State `row` becomes the sum of `share` of the states `at`."""
    n = len(x)
    for j in range(n):
        old[j] = 0.0
    value = 0.0
    for c in range(count):
        s, place = share[c], at[c]
        value += s * x[place]
        for j in range(n):
            old[j] += s * p[place, j]
    own = 0.0
    for c in range(count):
        own += share[c] * old[at[c]]
    x[row] = value
    for j in range(n):
        p[row, j] = old[j]
        p[j, row] = old[j]
    p[row, row] = own


@outer_jit
def _move(
    x: Array,
    p: Array,
    ref: Array,
    man: Array,
    noise: Array,
    changing: bool,
    at: Places,
    share: Array,
    old: Array,
) -> None:
    """One knot on: the flight, then the air inside, which follows it."""
    dt = noise[KNOT_S]
    at[0], at[1], share[0], share[1] = HEIGHT, CLIMB, 1.0, dt
    _combine(p, x, HEIGHT, at, share, 2, old)
    at[0], at[1] = SPEED, SPEEDING
    _combine(p, x, SPEED, at, share, 2, old)
    at[0], share[0] = SPEEDING, noise[SPEEDING_LEFT]
    _combine(p, x, SPEEDING, at, share, 1, old)
    at[0], share[0] = GUST, noise[GUST_LEFT]
    _combine(p, x, GUST, at, share, 1, old)
    for i in range(3):
        at[0], share[0] = OFF + i, noise[OFF_LEFT_ALTITUDE + i]
        _combine(p, x, OFF + i, at, share, 1, old)
        p[OFF + i, OFF + i] += noise[OFF_STEP_ALTITUDE + i] ** 2
        at[0], share[0] = QUICK + i, noise[QUICK_LEFT]
        _combine(p, x, QUICK + i, at, share, 1, old)
        p[QUICK + i, QUICK + i] += noise[QUICK_STEP_ALTITUDE + i] ** 2
    at[0], share[0] = PITCH_ZERO, noise[PITCH_LEFT]
    _combine(p, x, PITCH_ZERO, at, share, 1, old)
    p[PITCH_ZERO, PITCH_ZERO] += noise[PITCH_STEP] ** 2
    at[0], share[0] = POWER_ZERO, noise[POWER_LEFT]
    _combine(p, x, POWER_ZERO, at, share, 1, old)
    p[POWER_ZERO, POWER_ZERO] += noise[POWER_STEP] ** 2
    q = (noise[CLIMB_CHANGING] if changing else noise[CLIMB_STEADY]) ** 2
    p[HEIGHT, HEIGHT] += q * dt**3 / 3.0
    p[HEIGHT, CLIMB] += q * dt**2 / 2.0
    p[CLIMB, HEIGHT] += q * dt**2 / 2.0
    p[CLIMB, CLIMB] += q * dt
    q = (noise[SPEED_CHANGING] if changing else noise[SPEED_STEADY]) ** 2
    if changing and ref[SLOWEST] <= 0.0:
        q = noise[SPEED_ROLLING] ** 2
    p[SPEED, SPEED] += q * dt**3 / 3.0
    p[SPEED, SPEEDING] += q * dt**2 / 2.0
    p[SPEEDING, SPEED] += q * dt**2 / 2.0
    p[SPEEDING, SPEEDING] += q * dt
    p[GUST, GUST] += noise[GUST_SD] ** 2 * (1.0 - noise[GUST_LEFT] ** 2)
    q = ref[WIND_STEP] ** 2 + ref[SHEAR_STEP] ** 2
    p[WIND_NORTH, WIND_NORTH] += q
    p[WIND_EAST, WIND_EAST] += q
    p[GPS_OFFSET, GPS_OFFSET] += ref[GPS_STEP] ** 2
    # impact pressure is no straight line over airspeed: slope and value where the airplane is taken to be
    flown = min(max(x[SPEED] + x[GUST], SLOWEST_FELT), FASTEST_FELT)
    slope = impact_pressure_slope(flown)
    beyond = impact_pressure(flown) - impact_pressure(max(ref[SPEED_REF], SLOWEST_FELT)) - slope * flown
    for i in range(3):
        static, impact, left = man[3 * i], man[3 * i + 1], man[3 * i + 2]
        row = ALTIMETER_STATIC + i
        new = 1.0 - left
        at[0], share[0] = row, left
        at[1], share[1] = HEIGHT, -new * static * ref[RHO_G]
        at[2], share[2] = SPEED, new * impact * slope
        # a port's own error reaches every static side alike, and no inlet
        at[3], share[3] = PORT, new * (static - (1.0 if i == 2 else 0.0)) * ref[IMPACT]
        at[4], share[4] = GUST, new * impact * slope
        at[5], share[5] = CABIN, new * man[A_CABIN + i] * ref[IMPACT]
        _combine(p, x, row, at, share, 6, old)
        x[row] += new * static * ref[RHO_G] * ref[HEIGHT_REF] + new * impact * beyond
    at[0], share[0] = RATE, man[R_LEFT]
    at[1], share[1] = CLIMB, (1.0 - man[R_LEFT]) * man[R_SHARE]
    at[2], share[2] = CABIN, (1.0 - man[R_LEFT]) * man[R_CABIN] * ref[IMPACT]
    _combine(p, x, RATE, at, share, 3, old)
    x[RATE] -= (1.0 - man[R_LEFT]) * man[R_SHARE] * ref[CLIMB_REF]


@outer_jit
def _take(
    x: Array,
    p: Array,
    at: Places,
    share: Array,
    count: int,
    miss: float,
    variance: float,
    noise: Array,
    h: Array,
) -> float:
    """Take one reading in, which is `miss` off what was expected; return the log of how likely that was."""
    n = len(x)
    for j in range(n):
        h[j] = 0.0
    for c in range(count):
        s, place = share[c], at[c]
        for j in range(n):
            h[j] += s * p[place, j]
    s = variance
    for c in range(count):
        s += share[c] * h[at[c]]
    far = miss * miss / s
    dof = noise[DOF]
    told = float(noise[T_CONSTANT] - 0.5 * log(s) - 0.5 * (dof + 1.0) * log(1.0 + far / dof))
    weight = (dof + 1.0) / (dof + far)
    if weight < 1.0:  # the less it is believed, the less it moves
        s /= weight
    for i in range(n):
        gain = h[i] / s
        if gain != 0.0:
            x[i] += gain * miss
            for j in range(n):
                p[i, j] -= gain * h[j]
    return told


@outer_jit
def _look(
    x: Array,
    p: Array,
    ref: Array,
    shown: Array,
    seen: Array,
    present: Flags,
    man: Array,
    noise: Array,
    at: Places,
    share: Array,
    h: Array,
) -> float:
    """Take all readings of a knot in; return the log of their likelihood."""
    told = 0.0
    for i in range(READINGS):
        value, variance = seen[i, 0], seen[i, 1]
        if i <= VERTICAL and present[i]:
            blank = shown[i] != shown[i]
            if value != value and i == AIRSPEED and shown[SHOWN_AIRSPEED] <= HARDLY:
                continue  # too slow to be shown, or all but
            if value != value:
                told += NOT_MISSING if blank else MISSING
                continue
            if blank:
                told += DEAD_BUT_READ
                continue
        if value != value:
            continue
        if i <= VERTICAL:
            variance += shown[UNSURE + i]
        count, expected = 3, 0.0
        if i == ALTITUDE:
            at[0], share[0] = ALTIMETER_STATIC, shown[ALTITUDE_PER_PA]
            at[1], share[1] = OFF, 1.0
            at[2], share[2] = QUICK, 1.0
            at[3], share[3] = LATE, -x[CLIMB]
            count, expected = 4, shown[SHOWN_ALTITUDE]
        elif i == AIRSPEED:
            per_pa = shown[AIRSPEED_PER_PA]
            expected = shown[SHOWN_AIRSPEED]
            if per_pa > 0.0:  # nor is airspeed over pressure
                told_there = max(expected, SLOWEST_FELT)
                heard = per_pa * impact_pressure_slope(told_there)  # by the pointer
                more = heard * (x[AIRSPEED_PITOT] - x[AIRSPEED_STATIC])
                there = max(airspeed(impact_pressure(told_there) + more), SLOWEST_FELT)
                per_pa = heard / impact_pressure_slope(there)
                expected += there - told_there - per_pa * (x[AIRSPEED_PITOT] - x[AIRSPEED_STATIC])
            at[0], share[0] = AIRSPEED_PITOT, per_pa
            at[1], share[1] = AIRSPEED_STATIC, -per_pa
            at[2], share[2] = OFF + 1, 1.0
            at[3], share[3] = AIRSPEED_SCALE, shown[SHOWN_AIRSPEED]
            at[4], share[4] = QUICK + 1, 1.0
            at[5], share[5] = LATE + 1, -x[SPEEDING]
            count = 6
        elif i == VERTICAL:
            at[0], share[0] = RATE, 1.0
            at[1], share[1] = RATE_ZERO, 1.0
            at[2], share[2] = OFF + 2, 1.0
            at[3], share[3] = RATE_SCALE, shown[SHOWN_RATE]
            at[4], share[4] = QUICK + 2, 1.0
            behind = man[R_SHARE] * x[CLIMB] - shown[SHOWN_RATE] - x[RATE]
            lag = -noise[KNOT_S] / log(min(max(man[R_LEFT], 1e-3), 0.999))
            at[5], share[5] = LATE + 2, -behind / max(lag, 0.5 * noise[KNOT_S])
            count, expected = 6, shown[SHOWN_RATE]
        elif i == ALONG:
            at[0], share[0] = SPEED, ref[TAS_RATIO]
            at[1], share[1] = WIND_NORTH, ref[NORTH]
            at[2], share[2] = WIND_EAST, ref[EAST]
            at[3], share[3] = TAS_SCALE, ref[TAS]
            at[4], share[4] = SHEAR_NORTH, ref[NORTH] * ref[HEIGHT_REF] / KM
            at[5], share[5] = SHEAR_EAST, ref[EAST] * ref[HEIGHT_REF] / KM
            count = 6
        elif i == ACROSS:
            at[0], share[0] = WIND_NORTH, -ref[EAST]
            at[1], share[1] = WIND_EAST, ref[NORTH]
            at[2], share[2] = COMPASS, -ref[TAS]
            at[3], share[3] = SHEAR_NORTH, -ref[EAST] * ref[HEIGHT_REF] / KM
            at[4], share[4] = SHEAR_EAST, ref[NORTH] * ref[HEIGHT_REF] / KM
            count = 5
        elif i == GPS_ALTITUDE:
            at[0], share[0] = HEIGHT, 1.0
            at[1], share[1] = GPS_OFFSET, 1.0
            at[2], share[2] = GPS_STRETCH, ref[HEIGHT_REF]
        elif i == PITCH:
            at[0], share[0] = CLIMB, 1.0 / max(ref[TAS], 10.0)
            at[1], share[1] = SPEED, ref[ANGLE_SLOPE]
            at[2], share[2] = PITCH_ZERO, 1.0
            expected = -ref[ANGLE_SLOPE] * ref[SPEED_REF]
        else:
            # what climbs and speeds up is what power leaves over drag
            at[0], share[0] = CLIMB, 1.0
            at[1], share[1] = SPEEDING, ref[TAS_RATIO] * ref[TAS] / G0
            at[2], share[2] = SPEED, -ref[EXCESS_SLOPE]
            at[3], share[3] = POWER_ZERO, -1.0
            count, expected = 4, ref[EXCESS_SLOPE] * ref[SPEED_REF]
        if i <= VERTICAL:
            for k in range(KINDS):
                at[count + k], share[count + k] = OWN + k, ref[DIFFERENT + 3 * k + i]
            count += KINDS
        for c in range(count):
            expected += share[c] * x[at[c]]
        told += _take(x, p, at, share, count, value - expected, variance, noise, h)
    if ref[SLOWEST] > 0.0:
        told += _bounded(x, p, ref[SLOWEST], 1.0, noise, at, share, h)
        told += _bounded(x, p, ref[FASTEST], -1.0, noise, at, share, h)
    return told


@outer_jit
def _bounded(
    x: Array, p: Array, bound: float, sign: float, noise: Array, at: Places, share: Array, h: Array
) -> float:
    """An airplane in the air is neither much slower than its stall nor much faster than it may be."""
    inside = sign * (x[SPEED] - bound) / sqrt(p[SPEED, SPEED] + SLACK**2)
    if inside > 2.5:
        return 0.0
    told = log(0.5 * erfc(-max(inside, -6.0) / sqrt(2.0)))
    if inside < 0.0:
        at[0], share[0] = SPEED, 1.0
        _take(x, p, at, share, 1, bound - x[SPEED], (2.0 * SLACK) ** 2, noise, h)
    return told


@outer_jit
def _copy(x: Array, p: Array, x_to: Array, p_to: Array) -> None:
    for i in range(len(x)):
        x_to[i] = x[i]
        for j in range(len(x)):
            p_to[i, j] = p[i, j]


@entry_jit
def go_through(
    first: int,
    x: Array,
    p: Array,
    reference: Array,
    shown: Array,
    seen: Array,
    present: Flags,
    manners: Array,
    noise: Array,
    told: Array,
    states: Array,
    spreads: Array,
    room: Array,
    at: Places,
) -> None:
    """Go through the knots from `first` on.

    x (n), p (n, n): state after the knot before, or at the beginning, written over; reference (k, REFERENCE),
    shown (k, SHOWN), seen (k, READINGS, 2: value and variance, NaN for none), present (READINGS) where a
    column was recorded at all, manners (MANNERS), noise (NOISE). Filled in from `first` on: told (k), log
    likelihood of each knot's readings; states (k, n) and spreads (k, n, n), unless these are empty. Room to
    work in: room (n + 4, n) and at (6 + KINDS).
    """
    n = len(x)
    old, share, xb, pb = room[0], room[1], room[2], room[3 : n + 3]
    keep = len(states) > 0
    for k in range(first, len(told)):
        if k > 0:
            _copy(x, p, xb, pb)
            _move(x, p, reference[k], manners, noise, False, at, share, old)
            _move(xb, pb, reference[k], manners, noise, True, at, share, old)
            steady = _look(x, p, reference[k], shown[k], seen[k], present, manners, noise, at, share, old)
            changed = _look(xb, pb, reference[k], shown[k], seen[k], present, manners, noise, at, share, old)
            steady += log(1.0 - noise[CHANGING])
            changed += log(noise[CHANGING])
            top = max(steady, changed)
            both = exp(steady - top) + exp(changed - top)
            told[k] = top + log(both)
            b = exp(changed - top) / both
            a = 1.0 - b
            for i in range(n):
                for j in range(n):
                    apart = a * b * (xb[i] - x[i]) * (xb[j] - x[j])
                    p[i, j] = a * p[i, j] + b * pb[i, j] + apart
            for i in range(n):
                x[i] = a * x[i] + b * xb[i]
        else:
            told[0] = _look(x, p, reference[0], shown[0], seen[0], present, manners, noise, at, share, old)
        if keep:
            _copy(x, p, states[k], spreads[k])
