"""Airspeeds beside what the airplane flies at, and what its indicator can show."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.diagnosis.agreement import flying

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

Array = NDArray[np.float64]

ABOVE_THE_TOP = 1.02  # times the top mark: beyond any rounding
AT_THE_STOP, OFF_THE_STOP = 0.03, 0.7  # of the top mark; share of readings that must be away from there
TRAPPED = 0.4  # spread of total pressure over that of static pressure below which the inlet may be shut
STILL_M = 30.0  # an altimeter that moves less than this may be shut off [m]


def share_in_range(airplane: Airplane, ias: Array) -> float:
    """Share of a flight's airspeeds (t,) [m/s] between a little below the stall and above never-exceed."""
    flown = flying(ias)
    low, high = 0.9 * float(airplane.speeds.stall_landing), 1.1 * float(airplane.speeds.never_exceed)
    return float(np.mean((flown >= low) & (flown <= high))) if len(flown) else 0.0


def beyond_its_pointer(airplane: Airplane, values: Mapping[str, Array], share: float) -> bool:
    """Whether at least a share of the airspeeds is above the indicator's top mark, and no sealed line's."""
    top, flown = _top_mark(airplane), flying(values["ias"])
    if not len(flown) or float(np.mean(flown > ABOVE_THE_TOP * top)) < share:
        return False
    return live(airplane, values)


def live(airplane: Airplane, values: Mapping[str, Array]) -> bool:
    """Whether airspeed and altitude are recorded, and move as with open lines.

    Behind a shut inlet total pressure stays; behind shut static openings the altimeter does, from then on.
    Either drives the airspeed anywhere, or to its upper stop.
    """
    if "ias" not in values or "altitude" not in values:
        return False
    known = ~(np.isnan(values["ias"]) | np.isnan(values["altitude"]))
    height, shown = values["altitude"][known], values["ias"][known]
    third = len(height) // 3
    if not third or float(np.ptp(height)) < STILL_M or float(np.ptp(height[-third:])) < STILL_M:
        return False
    top = _top_mark(airplane)
    has_a_stop = float(np.percentile(shown, 99)) < ABOVE_THE_TOP * top
    off_the_stop = (np.abs(shown / top - 1.0) > AT_THE_STOP) | (not has_a_stop)
    if np.mean(off_the_stop) < OFF_THE_STOP:
        return False
    static = np.asarray(air.static_pressure(height))
    total = static + np.asarray(air.impact_pressure(shown))
    return bool(
        np.std(total[off_the_stop]) > TRAPPED * np.std(static[off_the_stop])
        and np.std(total) > TRAPPED * np.std(static)
    )


def _top_mark(airplane: Airplane) -> float:
    """The highest airspeed that any of its instruments shows [m/s]; infinite where none does."""
    marks = [
        float(mark)
        for instrument in airplane.instruments
        for mark in (getattr(instrument, "top_mark", None), getattr(instrument, "highest_airspeed", None))
        if mark is not None and instrument.kind in ("airspeed-indicator", "air-data-computer")
    ]
    return max(marks, default=np.inf)
