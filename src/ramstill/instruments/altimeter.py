"""The altimeter: a closed capsule in a case of still air, and the setting that moves its zero."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill import air
from ramstill.air.units import FT
from ramstill.instruments import mechanics
from ramstill.instruments.edits import Edited

if TYPE_CHECKING:
    from ramstill.airplane import Altimeter
    from ramstill.instruments.mechanics import Array

# The mechanism stops somewhere below the lowest calibrated point, which is -1,000 ft (14 CFR 43 appendix E,
# table I); the 1,000 ft of further travel are common practice, no source.
LOWEST_M = -2000.0 * FT


def pressure_altitude(case_pa: Array | float) -> Array:
    """Return the pressure altitude [m] of the still air in a case [Pa], held at 47 km, the top of the day."""
    thinnest = air.static_pressure(air.atmosphere.HIGHEST)
    return np.asarray(air.pressure_altitude(np.maximum(np.asarray(case_pa, dtype=float), thinnest)))


def altitude_shown(case_pa: Array, setting_pa: Array | float) -> Array:
    """Return the altitude [m] of the standard law: pressure altitude less that of the setting.

    `case_pa` is the still air in the case, `setting_pa` what stands in the setting window [Pa]; they
    broadcast. This is the law behind 14 CFR 43 appendix E table IV (change of altitude with setting).
    """
    return pressure_altitude(case_pa) - pressure_altitude(setting_pa)


def shown(
    instrument: Altimeter, time_s: Array, case_pa: Array, setting_pa: Array | float, edited: Edited
) -> Array:
    """Return what the pointers show [m], shape (t,).

    `setting_pa` is what the pilot believes is set [Pa]; the edit's offset is added and the knob stops at the
    ends of the window's range. Stops: the top mark, and 2,000 ft below zero.
    """
    setting = np.clip(
        np.asarray(setting_pa) + edited.setting_offset_pa,
        instrument.setting_lowest,
        instrument.setting_highest,
    )
    reading = altitude_shown(case_pa, setting)
    reading = mechanics.with_scale_error(reading, instrument.scale_error) + edited.pointer_offset
    reading = mechanics.play(reading, instrument.friction + edited.friction)
    reading = mechanics.held_back(reading, edited.stuck)
    reading = mechanics.first_order_lag(time_s, reading, instrument.lag)
    return mechanics.between_stops(reading, LOWEST_M, instrument.top_mark)
