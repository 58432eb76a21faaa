"""The airspeed indicator: a capsule with ram air in it, in a case of still air."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill import air
from ramstill.instruments.edits import Edited
from ramstill.instruments.mechanics import Mechanism

if TYPE_CHECKING:
    from ramstill.airplane import AirspeedIndicator
    from ramstill.instruments.mechanics import Array


def airspeed_from_difference(difference_pa: Array) -> Array:
    """Return the airspeed [m/s] that the standard law gives for capsule minus case pressure [Pa].

    Below zero difference the law is mirrored (minus the airspeed of the opposite difference): the capsule
    is as springy inwards as outwards. What the pointer then shows is up to its stop.
    Source of the law: the definition of calibrated airspeed, see `ramstill.air.calibrated_airspeed`.
    """
    return np.asarray(air.calibrated_airspeed(np.asarray(difference_pa, dtype=float)))


def mechanism(instrument: AirspeedIndicator, edited: Edited) -> Mechanism:
    """Return what stands between its law and its pointer [m/s].

    Stops: the top mark above; below, zero where the airplane file says "pins", else its `below_zero_stop`
    ("goes-below").
    """
    return Mechanism.of(
        scale_error=instrument.scale_error,
        offset=edited.pointer_offset,
        band=instrument.friction + edited.friction,
        stuck=edited.stuck,
        lag_s=instrument.lag,
        lowest=instrument.lowest_reading,
        highest=instrument.top_mark,
    )
