"""The vertical speed indicator: still air in a capsule, and behind a calibrated leak in the case.

A variometer obeys the same law: its probe's side stands for the capsule, its flask for the case.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.instruments import mechanics
from ramstill.instruments.edits import Edited
from ramstill.pneumatics.leak import share_of_full_scale

if TYPE_CHECKING:
    from ramstill.airplane import Variometer, VerticalSpeedIndicator
    from ramstill.instruments.mechanics import Array


def vertical_speed_shown(
    difference_pa: Array,
    full_scale_m_s: float,
    full_scale_difference_pa: float,
    law: str = "compensated-laminar",
) -> Array:
    """Return the vertical speed [m/s] for capsule minus case pressure [Pa].

    Still air falls in a climb, the case behind its leak is late to follow, so the capsule is then below the
    case: a difference below zero is a climb. The dial is marked by what its calibrated leak does at standard
    sea level: evenly for a compensated one, by the square root towards full scale where an orifice takes its
    share (`pneumatics.share_of_full_scale`). At other heights the leak alone has to keep it right.
    """
    share = -np.asarray(difference_pa, dtype=float) / full_scale_difference_pa
    return np.asarray(full_scale_m_s * share_of_full_scale(law, share))


def shown(
    instrument: VerticalSpeedIndicator | Variometer,
    time_s: Array,
    capsule_pa: Array,
    case_pa: Array,
    edited: Edited,
) -> Array:
    """Return what the pointer shows [m/s], shape (t,), climb positive. Stops: full scale both ways.

    `case_pa` [Pa] is what stands behind the calibrated leak: case or flask, with what a pump has added.
    """
    reading = vertical_speed_shown(
        np.asarray(capsule_pa) - np.asarray(case_pa),
        instrument.full_scale,
        instrument.leak.full_scale_difference,
        instrument.leak.law,
    )
    reading = mechanics.play(reading + edited.pointer_offset, instrument.friction + edited.friction)
    reading = mechanics.held_back(reading, edited.stuck)
    reading = mechanics.first_order_lag(time_s, reading, instrument.lag)
    return mechanics.between_stops(reading, -instrument.full_scale, instrument.full_scale)
