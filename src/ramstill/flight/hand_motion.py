"""An airplane that does what a few levers ask, tick by tick, compiled: kinematics, the air, the openings.

Nothing here weighs thrust against drag: speed and rate of climb go where the levers stand, as fast as a
passenger would call usual, and never jump. Importing this brings Numba in: import it inside the function
that flies.
"""

from math import exp, expm1, isinf, log1p, sqrt

import numpy as np
from numpy.typing import NDArray

from ramstill.air.airspeed import HALF
from ramstill.air.airspeed import POWER as EXPONENT
from ramstill.air.atmosphere import LAYERS
from ramstill.air.constants import A0, EARTH_RADIUS, G0, GAMMA, P0, R_AIR
from ramstill.flight.attitude import LARGEST_ANGLE, SLOWEST_MACH
from ramstill.flight.hand import (
    ACCELERATION,
    AIR_OFFSET,
    CLIMB_LEVER,
    CLIMB_POWER,
    DESCENT_POWER,
    FAST,
    FIELD,
    FLAP,
    FLAP_LEVER,
    FLAP_STEP,
    GEAR,
    GEAR_LEVER,
    GEAR_STEP,
    GEOMETRIC_FIELD,
    GROUNDED,
    HEIGHT_LEVER,
    HIGHEST_MACH,
    LANDING_STALL,
    LEVEL_POWER,
    LIFT_SLOPE,
    MASS,
    PHASE,
    POWER,
    POWER_LEVER,
    POWER_STEP,
    PULL,
    RATE,
    ROLLING_POWER,
    ROTATE,
    SEA_LEVEL_LOG,
    SEA_LEVEL_M,
    SETTING,
    SHOWN,
    SHOWN_OFFSET,
    SPEED,
    SPEED_LEVER,
    STALL,
    STEP_S,
    TAKE_OFF_POWER,
    TOP,
    UP,
    USUAL_CLIMB,
    USUAL_DESCENT,
    WHEELS,
    WHEELS_STEP,
    WING_AREA,
    ZERO_LIFT,
    ZERO_LIFT_SHIFT,
    Phase,
)
from ramstill.flight.pilots.onward import AXES, Layout, pressures
from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.truth import quantities

Array = NDArray[np.float64]

_FOOT, _LAPSE, _WARMTH, _LOG = LAYERS
_LAST = len(_FOOT) - 1
_Q = {name: i for i, name in enumerate(quantities())}
_PRESSURE_ALTITUDE, _GEOMETRIC = _Q["pressure_altitude_m"], _Q["geometric_altitude_m"]
_STATIC, _IMPACT = _Q["static_pressure_pa"], _Q["impact_pressure_pa"]
_CAS, _TAS, _CLIMB = _Q["cas_m_s"], _Q["tas_m_s"], _Q["climb_m_s"]
_TEMPERATURE, _SETTING = _Q["outside_temperature_k"], _Q["altimeter_setting_pa"]
_ALPHA, _SIDESLIP = _Q["angle_of_attack_rad"], _Q["sideslip_rad"]
_FLAP, _GEAR, _POWER = _Q["flap"], _Q["gear"], _Q["power"]
_HEIGHT, _GROUND_SPEED, _LOAD = _Q["height_over_ground_m"], _Q["ground_speed_m_s"], _Q["load_factor"]

# Common practice, no source, all of them: what a smooth hand does.
IN_THE_AIR, ON_THE_GROUND = 0.5, 2.0  # accelerations of the legs of a plan [m/s2]
AIR_ONSET_S, GROUND_ONSET_S = 2.0, 1.0  # from none to all of them [s]
PULL_ONSET_S = 1.0  # from level flight to the strongest pull [s]
SETTLES_S, GROUND_SETTLES_S = 3.0, 1.0  # time constants at the end of a change of speed [s]
RATE_SETTLES_S, LEVELS_S = 0.7, 5.0  # of a rate of climb, of levelling off [s]
FLARE_LEAD_S = 1.0  # how far ahead the flare looks [s]
KEPT_BACK = 0.6  # share of a limit that is planned with: the rest is for what lags behind
TOUCH = 0.3  # sink at touchdown [m/s]
STANDS = 0.05  # slower than this it stands [m/s]
LANDS_BELOW = 1.0  # an altitude asked for that is no higher over the ground is a landing [m]
CLIMBS, LEVELS = 0.5, 0.25  # rates above which it counts as a climb, below which as level [m/s]

_STANDING_PHASE, _ROLLING_PHASE = float(Phase.STANDING), float(Phase.ROLLING)
_CLIMB_PHASE, _LEVEL_PHASE, _DESCENT_PHASE = float(Phase.CLIMB), float(Phase.LEVEL), float(Phase.DESCENT)


@jit
def led(off: float, most: float, onset: float, settles_s: float) -> float:
    """The rate at which to close in on something that is `off` away, so that it can be ended without a jump.

    Close by, straight in proportion, with the time constant `settles_s` [s]; further off with the square
    root, so that the rate falls at `onset` [per s]; `most` at most.
    """
    far = abs(off)
    near = onset * settles_s * settles_s
    rate = far / settles_s if far <= near else sqrt(2.0 * onset * (far - 0.5 * near))
    return float(np.copysign(min(rate, most), off))


@jit
def towards(now: float, to: float, step: float) -> float:
    """`to`, or as far as `step` leads there."""
    return min(max(to, now - step), now + step)


@jit
def layer_of(altitude_m: float) -> tuple[float, float]:
    """ln(p/P0) [-] and temperature [K] of the standard day at a pressure altitude [m]."""
    i = 0
    while i < _LAST and altitude_m >= _FOOT[i + 1]:
        i += 1
    lapse, warmth, up = _LAPSE[i], _WARMTH[i], altitude_m - _FOOT[i]
    column = up / warmth if lapse == 0.0 else log1p(lapse * up / warmth) / lapse
    return float(_LOG[i] - G0 / R_AIR * column), float(warmth + lapse * up)


@jit
def calibrated_at(mach: float, static_pa: float) -> float:
    """Calibrated airspeed [m/s] of a Mach number below 1 at a static pressure [Pa]."""
    ratio = expm1(EXPONENT * log1p(HALF * mach * mach)) * static_pa / P0
    return float(A0 * sqrt(expm1(log1p(ratio) / EXPONENT) / HALF))


@jit
def wanted_rate(figures: Array, state: Array) -> float:
    """The rate of climb that the levers ask for here [m/s of pressure altitude]."""
    shown, climb, to = state[SHOWN], state[CLIMB_LEVER], state[HEIGHT_LEVER]
    onset = KEPT_BACK * 0.5 * figures[PULL]
    if not isinf(to):
        up = to > shown
        size = abs(climb) if climb != 0.0 else figures[USUAL_CLIMB] if up else figures[USUAL_DESCENT]
        if to - figures[FIELD] < LANDS_BELOW and not up:
            climb = -size
        else:
            climb = led(to - shown, size, onset, LEVELS_S)
    if climb > 0.0:
        return float(min(climb, max(led(figures[TOP] - shown, climb, onset, LEVELS_S), 0.0)))
    # as high as it will be once the rate has followed: else it would touch down with the rate of before
    above = max(shown + FLARE_LEAD_S * state[RATE] - figures[FIELD], 0.0)
    return float(max(climb, -TOUCH - sqrt(2.0 * onset * above)))


@jit
def asks_down(figures: Array, state: Array) -> bool:
    """Whether the levers ask for less altitude than the ground has: on it, for brakes."""
    to = state[HEIGHT_LEVER]
    return bool(state[CLIMB_LEVER] < 0.0 if isinf(to) else to - figures[FIELD] < LANDS_BELOW)


@jit
def asks_up(figures: Array, state: Array) -> bool:
    """Whether the levers ask for more altitude than the ground has."""
    to = state[HEIGHT_LEVER]
    return bool(state[CLIMB_LEVER] > 0.0 if isinf(to) else to - figures[FIELD] >= LANDS_BELOW)


@jit
def move_on(figures: Array, state: Array) -> None:
    """STEP_S further, in place."""
    grounded = state[GROUNDED] > 0.0
    if grounded and state[SPEED] >= figures[ROTATE] and asks_up(figures, state):
        grounded = False
    _speed(figures, state, grounded)
    if grounded:
        state[RATE], state[UP] = 0.0, 0.0
    else:
        most = figures[PULL]
        onset = most / PULL_ONSET_S
        off = wanted_rate(figures, state) - state[RATE]
        pull = led(off, most, KEPT_BACK * onset, RATE_SETTLES_S)
        pull = towards(state[UP], pull, onset * STEP_S)
        rate = state[RATE] + 0.5 * STEP_S * (state[UP] + pull)
        state[SHOWN] += 0.5 * STEP_S * (state[RATE] + rate)
        state[RATE], state[UP] = rate, pull
        if state[SHOWN] <= figures[FIELD]:
            state[SHOWN], state[RATE], state[UP] = figures[FIELD], 0.0, 0.0
            grounded = True
    state[GROUNDED] = 1.0 if grounded else 0.0
    state[WHEELS] = towards(state[WHEELS], state[GROUNDED], figures[WHEELS_STEP])
    state[FLAP] = towards(state[FLAP], state[FLAP_LEVER], figures[FLAP_STEP])
    if not grounded:
        state[GEAR] = towards(state[GEAR], state[GEAR_LEVER], figures[GEAR_STEP])
    fits = _fitting(figures, state) if isinf(state[POWER_LEVER]) else state[POWER_LEVER]
    state[POWER] = towards(state[POWER], fits, figures[POWER_STEP])
    state[PHASE] = _phase(figures, state)


@jit
def _speed(figures: Array, state: Array, grounded: bool) -> None:
    """The speed a step further: rolling where the wheels carry, never below the stall where they do not."""
    to = state[SPEED_LEVER]
    if grounded:
        most, onset_s, settles = ON_THE_GROUND, GROUND_ONSET_S, GROUND_SETTLES_S
        if asks_down(figures, state):
            to = 0.0
    else:
        most, onset_s, settles = IN_THE_AIR, AIR_ONSET_S, SETTLES_S
        flap = state[FLAP]
        to = max(to, figures[STALL] + flap * (figures[LANDING_STALL] - figures[STALL]))
    level, _ = layer_of(state[SHOWN] + figures[SHOWN_OFFSET])
    to = min(to, figures[FAST], calibrated_at(figures[HIGHEST_MACH], P0 * exp(level)))
    # the onset of the ground for a while after lift-off: nothing of what the roll had is dropped at once
    onset = max(most, abs(state[ACCELERATION])) / onset_s
    faster = led(to - state[SPEED], most, KEPT_BACK * onset, settles)
    faster = towards(state[ACCELERATION], faster, onset * STEP_S)
    speed = state[SPEED] + 0.5 * STEP_S * (state[ACCELERATION] + faster)
    if grounded and to == 0.0 and speed < STANDS:
        speed, faster = 0.0, 0.0
    state[SPEED], state[ACCELERATION] = max(speed, 0.0), faster


@jit
def _fitting(figures: Array, state: Array) -> float:
    """The power that fits what is asked for, as a share."""
    if state[GROUNDED] > 0.0:
        if asks_up(figures, state) and state[SPEED_LEVER] >= figures[ROTATE]:
            return float(figures[TAKE_OFF_POWER])
        return float(figures[ROLLING_POWER]) if state[SPEED] > 0.0 else 0.0
    rate, level = wanted_rate(figures, state), figures[LEVEL_POWER]
    if rate >= 0.0:
        return float(level + (figures[CLIMB_POWER] - level) * min(rate / figures[USUAL_CLIMB], 1.0))
    return float(level + (figures[DESCENT_POWER] - level) * min(-rate / figures[USUAL_DESCENT], 1.0))


@jit
def _phase(figures: Array, state: Array) -> float:
    if state[GROUNDED] > 0.0:
        return _ROLLING_PHASE if state[SPEED] > 0.0 else _STANDING_PHASE
    rate, was, wanted = state[RATE], state[PHASE], wanted_rate(figures, state)
    if rate > CLIMBS or (was in (_CLIMB_PHASE, _ROLLING_PHASE) and max(rate, wanted) > LEVELS):
        return _CLIMB_PHASE
    if rate < -CLIMBS or (was == _DESCENT_PHASE and min(rate, wanted) < -LEVELS):
        return _DESCENT_PHASE
    return _LEVEL_PHASE


@jit
def look_into(figures: Array, openings: Layout, state: Array, row: Array, outside_pa: Array) -> None:
    """All of `pneumatics.Truth` at this moment into `row` (q,), and the pressures outside (b,) [Pa].

    The same laws as `flight.path` and `flight.outside`, for one moment and wings level.
    """
    altitude = state[SHOWN] + figures[SHOWN_OFFSET]
    level, standard = layer_of(altitude)
    static = P0 * exp(level)
    temperature = standard + figures[AIR_OFFSET]
    thicker = figures[AIR_OFFSET] * (R_AIR / G0) * (figures[SEA_LEVEL_LOG] - level)
    height = altitude - figures[SEA_LEVEL_M] + thicker
    geometric = EARTH_RADIUS * height / (EARTH_RADIUS - height)
    stretch = temperature / standard * (1.0 + geometric / EARTH_RADIUS) ** 2
    cas = state[SPEED]
    impact = P0 * expm1(EXPONENT * log1p(HALF * (cas / A0) ** 2))
    mach = sqrt(expm1(log1p(impact / static) / EXPONENT) / HALF)
    tas = mach * sqrt(GAMMA * R_AIR * temperature)
    climb = state[RATE] * stretch
    slope = min(max(climb / max(tas, 1.0), -1.0), 1.0)
    lifted = sqrt(1.0 - slope * slope) + state[UP] * stretch / G0
    airborne = 1.0 - state[WHEELS]
    alpha = 0.0
    if figures[WING_AREA] > 0.0:
        dynamic = 0.5 * GAMMA * static * max(mach, SLOWEST_MACH) ** 2
        lift = figures[MASS] * G0 * lifted / (dynamic * figures[WING_AREA])
        alpha = figures[ZERO_LIFT] + state[FLAP] * figures[ZERO_LIFT_SHIFT] + lift / figures[LIFT_SLOPE]
        alpha = min(max(alpha, -LARGEST_ANGLE), LARGEST_ANGLE) * airborne
    above = max(geometric - figures[GEOMETRIC_FIELD], 0.0)
    row[_PRESSURE_ALTITUDE], row[_GEOMETRIC], row[_STATIC], row[_IMPACT] = altitude, geometric, static, impact
    row[_CAS], row[_TAS], row[_CLIMB], row[_TEMPERATURE] = cas, tas, climb, temperature
    row[_SETTING], row[_ALPHA], row[_SIDESLIP] = state[SETTING], alpha, 0.0
    row[_FLAP], row[_GEAR], row[_POWER] = state[FLAP], state[GEAR], state[POWER]
    row[_HEIGHT], row[_GROUND_SPEED] = above, sqrt(max(tas * tas - climb * climb, 0.0))
    row[_LOAD] = lifted * airborne + state[WHEELS]
    met = np.empty(len(AXES))
    met[0], met[1], met[2], met[3] = alpha, 0.0, state[FLAP], state[GEAR]
    met[4], met[5], met[6] = mach, state[POWER], above
    pressures(openings, static, impact, met, outside_pa)


@jit
def fly_on(figures: Array, openings: Layout, state: Array, row: Array, outside_pa: Array) -> None:
    """One step further, and a look."""
    move_on(figures, state)
    look_into(figures, openings, state, row, outside_pa)


@jit
def fly_through(
    figures: Array, openings: Layout, state: Array, rows: Array, outside_pa: Array, phases: Array
) -> None:
    """As many steps as there are rows, with the levers as they stand: (k, q), (k, b), (k,)."""
    for i in range(len(rows)):
        fly_on(figures, openings, state, rows[i], outside_pa[i])
        phases[i] = state[PHASE]
