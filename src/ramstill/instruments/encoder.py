"""The altitude encoder: pressure altitude in steps for the transponder. No setting ever reaches it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.air.units import FT
from ramstill.instruments.altimeter import pressure_altitude
from ramstill.instruments.edits import Edited

if TYPE_CHECKING:
    from ramstill.airplane import Encoder
    from ramstill.instruments.mechanics import Array


# The span of the codes, -1,000 ft to 126,750 ft (AD0615818, see below).
LOWEST_M, HIGHEST_M = -1000.0 * FT, 126_750.0 * FT


def encoded_altitude(pressure_altitude_m: Array, step_m: float) -> Array:
    """Return the coded altitude [m]: the nearest whole step within the span of the codes, a tie going up.

    Mode C codes are 100 ft steps from -1,000 ft to 126,750 ft against a fixed datum of 1013.2 hPa, never the
    altimeter setting: Height code tables for use with air traffic control radar beacon system, AD0615818
    (1962), which restates ICAO's recommendation. The 25 ft steps of Mode S: ICAO Annex 10 volume IV, from
    memory.
    """
    lowest, highest = span_of_codes(step_m)
    steps = np.floor(np.asarray(pressure_altitude_m) / step_m + 0.5)
    return np.asarray(np.clip(steps, lowest, highest) * step_m)


def span_of_codes(step_m: float) -> tuple[float, float]:
    """Return the lowest and the highest whole step there is a code for."""
    return float(np.ceil(LOWEST_M / step_m)), float(np.floor(HIGHEST_M / step_m))


def shown(instrument: Encoder, case_pa: Array, edited: Edited) -> Array:
    """Return the altitude it reports [m], shape (t,), from the still air in its case [Pa]."""
    altitude = pressure_altitude(case_pa) + edited.pointer_offset
    return encoded_altitude(altitude, instrument.step)
