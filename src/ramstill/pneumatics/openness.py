"""How far each link is open in each stretch of time, for the kernel: straight from beginning to end."""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.schedule import Schedule

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

SAME_SHARE = 1e-12  # open shares that differ by less differ by rounding: nothing opens at once


def over_pieces(begin: FloatArray, schedules: Sequence[Schedule | None]) -> tuple[FloatArray, FloatArray]:
    """Open share [-] where each of s pieces begins, and its slope [1/s], (s, l) each; begin (s + 1,) [s].

    schedules (l): None for always open. None of them may bend within a piece.
    """
    openness = np.ones((len(begin) - 1, len(schedules)))
    rate = np.zeros_like(openness)
    columns = [i for i, schedule in enumerate(schedules) if schedule is not None]
    if columns:
        times: list[float] = []
        values: list[float] = []
        first = [0]
        for schedule in schedules:
            if schedule is not None:
                times += schedule.times_s
                values += schedule.values
                first.append(len(times))
        _fill(begin, np.array(columns), np.array(first), np.array(times), np.array(values), openness, rate)
    return openness, rate


@jit
def _fill(
    begin: FloatArray,
    columns: IntArray,
    first: IntArray,
    times: FloatArray,
    values: FloatArray,
    openness: FloatArray,
    rate: FloatArray,
) -> None:
    for j in range(len(columns)):
        left = right = first[j]
        for i in range(len(begin) - 1):
            while right < first[j + 1] and times[right] <= begin[i]:
                right += 1
            while left < first[j + 1] and times[left] < begin[i + 1]:
                left += 1
            here = _between(times, values, first[j], first[j + 1], right, begin[i])
            there = _between(times, values, first[j], first[j + 1], left, begin[i + 1])
            openness[i, columns[j]] = here
            rate[i, columns[j]] = (there - here) / (begin[i + 1] - begin[i])


@jit
def _between(times: FloatArray, values: FloatArray, first: int, end: int, after: int, at: float) -> float:
    """Value at a time, `after` being the knot beyond it: held before the first and after the last."""
    if after == first:
        return float(values[first])
    if after == end:
        return float(values[end - 1])
    share = (at - times[after - 1]) / (times[after] - times[after - 1])
    return float(values[after - 1] + share * (values[after] - values[after - 1]))
