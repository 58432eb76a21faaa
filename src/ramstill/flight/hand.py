"""What an airplane, a day and a field are to a hand at a few levers, in one flat array, and its columns.

`figures` makes it; the columns of a state are named here too. The compiled steps in hand_motion.py take these
arrays and nothing else.
"""

from __future__ import annotations

from enum import IntEnum
from math import ceil
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.airplane.flying import HIGHEST_M
from ramstill.flight.course import USUAL_POWER
from ramstill.flight.legs import (
    FLAP_TRAVEL_S,
    GEAR_TRAVEL_S,
    LIFT_OFF_OVER_STALL,
    POWER_CHANGE_S,
    ROTATION_S,
)

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

Array = NDArray[np.float64]

# Compiled code takes these numbers in for good. Its cache is kept as long as no file changes that says jit
# at the end of a line, as this one does.
STEPS_A_SECOND = 20  # of a flight by levers
STEP_S = 1.0 / STEPS_A_SECOND  # [s]

# Columns of the figures, SI. Of the air: shown altitude to pressure altitude, the day, the field.
SHOWN_OFFSET, AIR_OFFSET, SEA_LEVEL_M, SEA_LEVEL_LOG, FIELD, GEOMETRIC_FIELD, TOP = range(7)
# Of the airplane: speeds, rates, the strongest pull, the wing.
STALL, LANDING_STALL, ROTATE, FAST, HIGHEST_MACH, USUAL_CLIMB, USUAL_DESCENT, PULL = range(7, 15)
MASS, WING_AREA, LIFT_SLOPE, ZERO_LIFT, ZERO_LIFT_SHIFT = range(15, 20)
# How far things travel in a step, and the power that fits: at the take-off, in the climb and so on.
FLAP_STEP, GEAR_STEP, POWER_STEP, WHEELS_STEP = range(20, 24)
TAKE_OFF_POWER, CLIMB_POWER, LEVEL_POWER, DESCENT_POWER, ROLLING_POWER = range(24, 29)
FIGURES = 29

# Columns of a state: what there is, then what the levers stand at. Infinite: no altitude, what fits.
SHOWN, SPEED, RATE, UP, ACCELERATION, FLAP, GEAR, POWER, WHEELS, GROUNDED, PHASE = range(11)
SPEED_LEVER, CLIMB_LEVER, HEIGHT_LEVER, FLAP_LEVER, GEAR_LEVER, POWER_LEVER, SETTING = range(11, 18)
STATES = 18

HIGHEST_MACH_USUAL = 0.95  # [-]; the laws used here end at Mach 1
SOFTEST_PULL_S = 2.0  # the usual rate of climb is reached in this time with the strongest pull [s]
STRONGEST_PULL = 2.5  # [m/s2] a quarter of the weight; common practice, no source


def step_at(time_s: float) -> int:
    """The first step at or after a time [s]."""
    return ceil(time_s / STEP_S - 1e-6)


class Phase(IntEnum):
    """What the airplane is doing."""

    STANDING = 0
    ROLLING = 1
    CLIMB = 2
    LEVEL = 3
    DESCENT = 4

    @property
    def title(self) -> str:
        """What it is called."""
        return self.name.lower()


def retracts(airplane: Airplane) -> bool:
    """Whether its gear can be drawn in: it makes drag when down, or an opening feels it."""
    performance = airplane.performance
    if performance is not None and performance.gear_drag > 0.0:
        return True
    return any(table.axis == "gear" for o in airplane.openings for table in o.pressure_coefficient.tables)


def driven(airplane: Airplane) -> bool:
    """Whether it has an engine, as far as its file says; without [performance] it is taken to have one."""
    return airplane.performance is None or airplane.performance.engine is not None


def top_of(airplane: Airplane) -> float:
    """The highest altitude [m] that every altimeter and computer of the panel can show; 20,000 m at most."""
    tops = [
        getattr(one, name)
        for one in airplane.instruments
        for name in ("top_mark", "highest_altitude")
        if one.kind in ("altimeter", "air-data-computer") and hasattr(one, name)
    ]
    return min([HIGHEST_M, *(float(top) for top in tops)])


def highest_mach(airplane: Airplane) -> float:
    """The Mach number that is not passed: where drag rises, by its [performance]; else 0.95."""
    performance = airplane.performance
    own = None if performance is None else performance.critical_mach
    return HIGHEST_MACH_USUAL if own is None else min(float(own), HIGHEST_MACH_USUAL)


def figures(airplane: Airplane, day: air.Day, field_elevation_m: float, right_setting_pa: float) -> Array:
    """The flat array (FIGURES,) of an airplane on a day, over ground at an elevation [m] all the way."""
    found = np.zeros(FIGURES)
    sea_level = float(air.pressure_altitude(day.sea_level_pressure_pa))
    found[SHOWN_OFFSET] = float(air.pressure_altitude(right_setting_pa))
    found[AIR_OFFSET], found[SEA_LEVEL_M] = day.temperature_offset_k, sea_level
    found[SEA_LEVEL_LOG] = float(np.log(day.sea_level_pressure_pa / air.constants.P0))
    found[FIELD] = found[GEOMETRIC_FIELD] = field_elevation_m
    found[TOP] = top_of(airplane)
    speeds = airplane.speeds
    found[STALL], found[LANDING_STALL] = speeds.stall_clean, speeds.stall_landing
    found[ROTATE] = LIFT_OFF_OVER_STALL * speeds.stall_clean
    found[FAST], found[HIGHEST_MACH] = speeds.never_exceed, highest_mach(airplane)
    found[USUAL_CLIMB], found[USUAL_DESCENT] = speeds.climb_rate, speeds.descent_rate
    usual = max(float(speeds.climb_rate), float(speeds.descent_rate))
    found[PULL] = min(usual / SOFTEST_PULL_S, STRONGEST_PULL)
    if airplane.wing is not None:
        wing = airplane.wing
        found[MASS], found[WING_AREA], found[LIFT_SLOPE] = wing.mass, wing.area, wing.lift_slope
        found[ZERO_LIFT], found[ZERO_LIFT_SHIFT] = wing.zero_lift_angle, wing.flap_zero_lift_shift
    found[FLAP_STEP], found[GEAR_STEP] = STEP_S / FLAP_TRAVEL_S, STEP_S / GEAR_TRAVEL_S
    found[POWER_STEP], found[WHEELS_STEP] = STEP_S / POWER_CHANGE_S, STEP_S / ROTATION_S
    if driven(airplane):
        found[TAKE_OFF_POWER], found[CLIMB_POWER] = USUAL_POWER["take-off"], USUAL_POWER["climb"]
        found[LEVEL_POWER], found[DESCENT_POWER] = USUAL_POWER["level"], USUAL_POWER["descent"]
        found[ROLLING_POWER] = USUAL_POWER["landing"]
    return found
