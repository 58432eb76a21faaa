"""Everything the equations of motion need to know of one airplane, one day and one wind, in one flat array.

`flyer` makes it; the columns are named below, as are those of a state, of controls and of what motion.look
tells. The compiled equations in motion.py take these arrays and nothing else.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.constants import RHO0
from ramstill.airplane.flying import HIGHEST_M, LOWEST_M, Jet, Propeller
from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.airplane import Airplane, Performance

Array = NDArray[np.float64]

# Compiled code takes these numbers in for good. Its cache is kept as long as no file changes that says jit
# at the end of a line, as this one does.
# Columns of a flyer. Coefficients [-] on the wing's area; angles [rad], the rest SI.
MASS, AREA, LIFT_SLOPE, ZERO_LIFT_ANGLE, FLAP_SHIFT, LIFT_MOST, LIFT_MOST_FLAP = range(7)
DRAG_ZERO, DRAG_INDUCED, DRAG_FLAP, DRAG_GEAR, DRAG_AIRBRAKE, MACH_CRITICAL = range(7, 13)
ENGINE, RATED, CRITICAL_SIGMA, DENSITY_EXPONENT, MACH_FALL, DISC_AREA, MERIT, ENGINE_LAG = range(13, 21)
PITCH_LAG, STALL_WARNING = 21, 22
HEADWIND, WIND_GRADIENT, WIND_HEIGHT = 23, 24, 25
AIR_START, AIR_STEP, AIR_COUNT, AIR = 26, 27, 28, 29  # from AIR on: log of pressure, then temperature

# ENGINE is one of these.
NO_ENGINE, PISTON, TURBINE, JET = 0.0, 1.0, 2.0, 3.0

# Columns of a state.
SPEED, PATH, HEIGHT, DISTANCE, PITCH, POWER = range(6)
STATES = 6

# Columns of controls. HOLD says what ATTITUDE is: a pitch attitude, or an angle of attack.
HOLD, ATTITUDE, LEVER, FLAP, GEAR, AIRBRAKE, BANK = range(7)
CONTROLS = 7
BY_PITCH, BY_ANGLE = 0.0, 1.0

# Columns of what motion.look tells.
(
    STATIC,
    TEMPERATURE,
    IMPACT,
    MACH,
    CALIBRATED,
    ANGLE,
    LOAD_FACTOR,
    CLIMB,
    GROUND_SPEED,
    LIFT,
    DRAG,
    THRUST,
    STALL_MARGIN,
) = range(13)
LOOKS = 13

PITCH_LAG_S = 1.0  # [s] assumed: with which the nose follows the stick
NO_CRITICAL_MACH = 9.0  # [-] where the file has none
STEP_M = 100.0  # [m] of the table of air


def flyer(
    plane: Airplane,
    day: air.Day | None = None,
    *,
    headwind_m_s: float = 0.0,
    wind_gradient_per_s: float = 0.0,
    wind_height_m: float = 0.0,
) -> Array:
    """The flat array that motion.advance and motion.look take for an airplane on a day.

    headwind_m_s [m/s]: steady, at wind_height_m [m, geometric above sea level], growing with height by
    wind_gradient_per_s [m/s per m]; a tailwind is negative.
    Raises InputError for an airplane without [performance], and for one that cannot do what it states.
    """
    from ramstill.flight.trim import can_climb

    can_climb(plane, _flat(plane, air.Day()))
    found = _flat(plane, day or air.Day())
    found[HEADWIND], found[WIND_GRADIENT] = headwind_m_s, wind_gradient_per_s
    found[WIND_HEIGHT] = wind_height_m
    return found


def _flat(plane: Airplane, day: air.Day) -> Array:
    performance = performance_of(plane)
    wing = plane.wing
    assert wing is not None  # airplane.checks saw to it
    count = round((HIGHEST_M - LOWEST_M) / STEP_M) + 1
    found = np.zeros(AIR + 2 * count)
    found[MASS], found[AREA], found[LIFT_SLOPE] = wing.mass, wing.area, wing.lift_slope
    found[ZERO_LIFT_ANGLE], found[FLAP_SHIFT] = wing.zero_lift_angle, wing.flap_zero_lift_shift
    found[LIFT_MOST], found[LIFT_MOST_FLAP] = performance.maximum_lift, performance.maximum_lift_flap
    found[DRAG_ZERO], found[DRAG_INDUCED] = performance.zero_lift_drag, performance.induced_drag
    found[DRAG_FLAP], found[DRAG_GEAR] = performance.flap_drag, performance.gear_drag
    found[DRAG_AIRBRAKE] = performance.airbrake_drag
    found[MACH_CRITICAL] = performance.critical_mach or NO_CRITICAL_MACH
    found[PITCH_LAG], found[STALL_WARNING] = PITCH_LAG_S, performance.stall_warning or 0.0
    _engine(performance, found)
    _air(day, found, count)
    return found


def performance_of(plane: Airplane) -> Performance:
    """The airplane's [performance]; InputError where it has none."""
    if plane.performance is None:
        raise InputError(
            plane.name,
            "performance",
            "nothing",
            "a [performance] table (docs/airplane-files.md); without it the airplane is flown from a plan "
            "or a recording only",
        )
    return plane.performance


def state(
    true_speed_m_s: float,
    height_m: float,
    path_rad: float = 0.0,
    pitch_rad: float = 0.0,
    power: float = 0.0,
) -> Array:
    """A state: true airspeed [m/s], geometric height above sea level [m], path angle and pitch [rad], power
    as the engine gives it [0 to 1]; distance over the ground counts from here."""
    return np.array([true_speed_m_s, path_rad, height_m, 0.0, pitch_rad, power], dtype=float)


def controls(
    pitch_rad: float | None = None,
    angle_of_attack_rad: float | None = None,
    power: float = 0.0,
    flap: float = 0.0,
    gear: float = 0.0,
    airbrake: float = 0.0,
    bank_rad: float = 0.0,
) -> Array:
    """Controls: a pitch attitude or an angle of attack to hold [rad], just one of them; the lever, flap,
    gear and airbrake [0 to 1], bank [rad]."""
    if (pitch_rad is None) == (angle_of_attack_rad is None):
        raise ValueError("controls hold a pitch attitude or an angle of attack, just one of them")
    hold, attitude = (BY_PITCH, pitch_rad) if pitch_rad is not None else (BY_ANGLE, angle_of_attack_rad)
    return np.array([hold, attitude, power, flap, gear, airbrake, bank_rad], dtype=float)


def _engine(performance: Performance, found: Array) -> None:
    engine = performance.engine
    found[ENGINE], found[ENGINE_LAG], found[CRITICAL_SIGMA], found[DENSITY_EXPONENT] = (
        NO_ENGINE,
        1.0,
        1.0,
        1.0,
    )
    found[DISC_AREA], found[MERIT] = 1.0, 1.0
    if isinstance(engine, Propeller):
        found[ENGINE] = PISTON if engine.falls == "piston" else TURBINE
        found[RATED] = engine.count * engine.shaft_power
        found[CRITICAL_SIGMA] = air.standard_density(float(engine.critical_altitude)) / RHO0
        found[DENSITY_EXPONENT], found[MERIT] = engine.density_exponent, engine.figure_of_merit
        found[DISC_AREA] = engine.count * np.pi / 4.0 * engine.diameter**2
        found[ENGINE_LAG] = engine.response
    elif isinstance(engine, Jet):
        found[ENGINE], found[RATED] = JET, engine.count * engine.static_thrust
        found[DENSITY_EXPONENT], found[MACH_FALL] = engine.density_exponent, engine.mach_fall
        found[ENGINE_LAG] = engine.response


def _air(day: air.Day, found: Array, count: int) -> None:
    """Log of pressure and temperature every 100 m; motion.air_at goes between them by the hydrostatic law."""
    heights = LOWEST_M + STEP_M * np.arange(count)
    geopotential = np.asarray(air.geopotential_from_geometric(heights))
    found[AIR_START], found[AIR_STEP], found[AIR_COUNT] = LOWEST_M, STEP_M, count
    found[AIR : AIR + count] = np.log(np.asarray(day.pressure(geopotential)))
    found[AIR + count : AIR + 2 * count] = np.asarray(day.temperature(geopotential))
