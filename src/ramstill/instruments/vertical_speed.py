"""The vertical speed indicator: still air in a capsule, and behind a calibrated leak in the case.

A variometer obeys the same law: its probe's side stands for the capsule, its flask for the case.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.instruments.edits import Edited
from ramstill.instruments.mechanics import Mechanism
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


def law(instrument: VerticalSpeedIndicator | Variometer, capsule_pa: Array, case_pa: Array) -> Array:
    """Return what its dial says [m/s], (t,), climb positive.

    `case_pa` [Pa] is what stands behind the calibrated leak: case or flask, with what a pump has added.
    """
    return vertical_speed_shown(
        np.asarray(capsule_pa) - np.asarray(case_pa),
        instrument.full_scale,
        instrument.leak.full_scale_difference,
        instrument.leak.law,
    )


def mechanism(instrument: VerticalSpeedIndicator | Variometer, edited: Edited) -> Mechanism:
    """Return what stands between its law and its pointer [m/s]. Stops: full scale both ways."""
    return Mechanism.of(
        offset=edited.pointer_offset,
        band=instrument.friction + edited.friction,
        stuck=edited.stuck,
        lag_s=instrument.lag,
        lowest=-instrument.full_scale,
        highest=instrument.full_scale,
    )
