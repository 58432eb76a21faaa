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


def shown(
    instrument: AirspeedIndicator, time_s: Array, capsule_pa: Array, case_pa: Array, edited: Edited
) -> Array:
    """Return what the pointer shows [m/s], shape (t,).

    `capsule_pa` is the ram air in the capsule and `case_pa` the still air around it [Pa]. Stops: the top
    mark above; below, zero where the airplane file says "pins", else its `below_zero_stop` ("goes-below").
    """
    law = airspeed_from_difference(np.asarray(capsule_pa) - np.asarray(case_pa))
    return mechanism(instrument, edited).pointer(time_s, law)


def mechanism(instrument: AirspeedIndicator, edited: Edited) -> Mechanism:
    """Return what stands between its law and its pointer."""
    return Mechanism.of(
        scale_error=instrument.scale_error,
        offset=edited.pointer_offset,
        band=instrument.friction + edited.friction,
        stuck=edited.stuck,
        lag_s=instrument.lag,
        lowest=instrument.lowest_reading,
        highest=instrument.top_mark,
    )
