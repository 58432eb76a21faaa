"""The altimeter: a closed capsule in a case of still air, and the setting that moves its zero."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import numpy as np

from ramstill import air
from ramstill.air.units import FT
from ramstill.instruments.edits import Edited
from ramstill.instruments.hysteresis import with_hysteresis
from ramstill.instruments.mechanics import Mechanism

if TYPE_CHECKING:
    from ramstill.airplane import Altimeter
    from ramstill.instruments.mechanics import Array

# The mechanism stops somewhere below the lowest calibrated point, which is -1,000 ft (14 CFR 43 appendix E,
# table I); the 1,000 ft of further travel are common practice, no source.
LOWEST_M = -2000.0 * FT

# What shaking leaves of the friction of a mechanism, and the power at which an engine shakes as well as a
# vibrator does: common practice, no source (the friction test of 14 CFR 43 appendix E takes a vibrated
# pointer as the right one).
SHAKEN_SHARE = 0.1
SHAKING_POWER = 0.2


def pressure_altitude(case_pa: Array | float) -> Array:
    """Return the pressure altitude [m] of the still air in a case [Pa], held at 47 km, the top of the day."""
    held = np.maximum(np.asarray(case_pa, dtype=float), thinnest_pa())
    return np.asarray(air.pressure_altitude(held))


@cache
def thinnest_pa() -> float:
    """Return the lowest pressure the law takes [Pa]: that at 47 km."""
    return float(air.static_pressure(air.atmosphere.HIGHEST))


def altitude_of_setting(setting_pa: Array) -> Array:
    """Return the pressure altitude [m] of a setting [Pa], () or (t,); worked out once where it stays."""
    if setting_pa.ndim == 0 or not setting_pa.size or (setting_pa != setting_pa.flat[0]).any():
        return pressure_altitude(setting_pa)
    return pressure_altitude(setting_pa.flat[0])


def altitude_shown(case_pa: Array, setting_pa: Array | float) -> Array:
    """Return the altitude [m] of the standard law: pressure altitude less that of the setting.

    `case_pa` is the still air in the case, `setting_pa` what stands in the setting window [Pa]; they
    broadcast. This is the law behind 14 CFR 43 appendix E table IV (change of altitude with setting).
    """
    return pressure_altitude(case_pa) - pressure_altitude(setting_pa)


def friction_left(instrument: Altimeter, power: Array | float, edited: Edited) -> Array:
    """Return how far the pointers may hang back [m]: what shaking leaves, and what an edit adds to that.

    `power` [0 to 1] is the engine's; a vibrator, unless it has failed, shakes at any. What an edit adds
    (rust, a bent staff) is not shaken off.
    """
    engine = np.clip(np.asarray(power) / SHAKING_POWER, 0.0, 1.0)
    # a vibrator is for airplanes whose engines run too smoothly to do its work
    shaken = 1.0 - np.asarray(edited.vibrator_lost) if instrument.vibrator else engine
    return np.asarray(instrument.friction * (1.0 - (1.0 - SHAKEN_SHARE) * shaken) + edited.friction)


def law(instrument: Altimeter, case_pa: Array) -> Array:
    """Return the pressure altitude [m], (t,), that its capsules make of the still air in its case [Pa].

    Hysteresis is that of the capsules, so the setting has none.
    """
    return with_hysteresis(pressure_altitude(case_pa), float(instrument.hysteresis))


def mechanism(
    instrument: Altimeter, setting_pa: Array | float, edited: Edited, power: Array | float = 0.0
) -> Mechanism:
    """Return what stands between its law and its pointers [m].

    `setting_pa` is what the pilot believes is set [Pa]; the edit's offset is added and the knob stops at the
    ends of the window's range. `power` [0 to 1]: the engine's, which shakes. Stops: the top mark, and
    2,000 ft below zero.
    """
    setting = np.clip(
        np.asarray(setting_pa) + edited.setting_offset_pa,
        instrument.setting_lowest,
        instrument.setting_highest,
    )
    return Mechanism.of(
        datum=altitude_of_setting(setting),
        scale_error=instrument.scale_error,
        offset=edited.pointer_offset,
        band=friction_left(instrument, power, edited),
        stuck=edited.stuck,
        lag_s=instrument.lag,
        lowest=LOWEST_M,
        highest=instrument.top_mark,
    )
