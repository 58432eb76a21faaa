"""How finely readings are written, and which of them cannot be right."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
# Round steps an instrument, a recorder or a transponder writes in, times powers of ten.
_ROUND = (1.0, 2.0, 2.5, 4.0, 5.0)
_ENOUGH = 0.99  # share of readings that have to be whole steps
_ENOUGH_DIFFERENT = 0.9  # and share of the different ones, as a steady flight repeats a few
_EXACT = 1e-5  # of a step: rounding of the figures as written
_DIFFERENT = 4  # fewer different readings than this do not tell a step
_FINEST = 0.1  # of the usual step: a record written finer than this is as good as continuous


def step_of(readings: Array, usual: float) -> float:
    """Return the step the readings are written in, in their own unit.

    readings (t,), NaN where missing. The largest round step of which nearly all readings are whole
    multiples; `usual` where there are too few different readings to tell. Never below a tenth of `usual`.
    """
    known = readings[~np.isnan(readings)]
    different = np.unique(known)
    if len(different) < _DIFFERENT:
        return usual
    finest = _FINEST * usual
    candidates = sorted((r * 10.0**p for r in _ROUND for p in range(-4, 4)), reverse=True)
    for step in (c for c in candidates if finest <= c <= 100.0 * usual):
        off = np.abs(known / step - np.round(known / step))
        each = np.abs(different / step - np.round(different / step)) < _EXACT
        if np.mean(off < _EXACT) >= _ENOUGH and np.mean(each) >= _ENOUGH_DIFFERENT:
            finest = step
            break
    return max(finest, _lattice(different, finest))


def _lattice(different: Array, written: float) -> float:
    """A step that is no round figure, as of feet written in metres: gaps are whole multiples of the least.

    `different`: the readings, each once, rising; `written`: how finely they are written. 0 where there is
    none.
    """
    gaps = np.diff(different)
    least = float(np.median(gaps[gaps < 1.5 * gaps.min() + written]))
    if least <= 2.0 * written:
        return 0.0
    off = np.abs(gaps - least * np.round(gaps / least))
    return least if np.mean(off <= 1.01 * written) >= _ENOUGH and written < 0.2 * least else 0.0


def garbled(time_s: Array, readings: Array, step: float, fastest: float, jump: float) -> NDArray[np.bool_]:
    """Return which readings cannot be right, (t,): away from their neighbours and back again at once.

    A reading is garbled when it lies further than `jump` from the middle one of the three readings either
    side (and further than it could have changed at `fastest` [unit/s] since the one before). A change that
    stays is no such thing. No reading is thrown away for it: the curve is not led through it, and its time is
    named.
    """
    known = np.flatnonzero(~np.isnan(readings))
    found = np.zeros(len(readings), dtype=bool)
    if len(known) < 4:
        return found
    value, when = readings[known], time_s[known]
    padded = np.pad(value, 3, mode="edge")
    around = np.lib.stride_tricks.sliding_window_view(padded, 7)
    usual = np.median(around, axis=1)
    span = np.pad(when, 3, mode="edge")
    reach = np.lib.stride_tricks.sliding_window_view(span, 7)
    allowed = np.maximum(max(jump, 10.0 * step), fastest * (reach[:, -1] - reach[:, 0]) / 6.0)
    found[known] = np.abs(value - usual) > allowed
    return found
