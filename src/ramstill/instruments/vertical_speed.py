"""The vertical speed indicator: still air in a capsule, and behind a calibrated leak in the case."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.instruments import mechanics
from ramstill.instruments.edits import Edited

if TYPE_CHECKING:
    from ramstill.airplane import VerticalSpeedIndicator
    from ramstill.instruments.mechanics import Array


def vertical_speed_shown(
    difference_pa: Array, full_scale_m_s: float, full_scale_difference_pa: float
) -> Array:
    """Return the vertical speed [m/s] for capsule minus case pressure [Pa]: a straight line through zero.

    Still air falls in a climb, the case behind its leak is late to follow, so the capsule is then below the
    case: a difference below zero is a climb. That the line is straight at every altitude is the work of the
    calibrated leak, not of the pointer.
    """
    return np.asarray(-full_scale_m_s * np.asarray(difference_pa) / full_scale_difference_pa)


def shown(
    instrument: VerticalSpeedIndicator, time_s: Array, capsule_pa: Array, case_pa: Array, edited: Edited
) -> Array:
    """Return what the pointer shows [m/s], shape (t,), climb positive. Stops: full scale both ways."""
    reading = vertical_speed_shown(
        np.asarray(capsule_pa) - np.asarray(case_pa),
        instrument.full_scale,
        instrument.leak.full_scale_difference,
    )
    reading = mechanics.play(reading + edited.pointer_offset, instrument.friction + edited.friction)
    reading = mechanics.held_back(reading, edited.stuck)
    reading = mechanics.first_order_lag(time_s, reading, instrument.lag)
    return mechanics.between_stops(reading, -instrument.full_scale, instrument.full_scale)
