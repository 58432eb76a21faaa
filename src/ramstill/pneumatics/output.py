"""What a run leaves behind: chosen parts of its state at the times asked for, float64 or float32."""

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import lean_jit
from ramstill.pneumatics.rodas5p import DENSE, STAGES

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]
Narrow = NDArray[np.float32]


class Rows(NamedTuple):
    """Where output goes. times (t,) [s], rising; columns (c,): which parts of the state; and (t, c) of either
    wide or narrow, the other being empty: the kernel is compiled once for both.
    """

    times: FloatArray
    columns: IntArray
    wide: FloatArray
    narrow: Narrow


def rows_into(out: NDArray[Any], times: FloatArray, columns: IntArray | None = None) -> Rows:
    """Rows that fill `out` (t, c), float64 or float32, with these columns, by default the first c."""
    chosen = np.arange(out.shape[1]) if columns is None else columns
    if out.dtype == np.float32:
        return Rows(times, chosen, np.empty((0, 0)), out)
    return Rows(times, chosen, out, np.empty((0, 0), dtype=np.float32))


@lean_jit
def as_it_stands(rows: Rows, due: int, until: float, state: FloatArray) -> int:
    """Fill in the rows that are due up to a time [s] with a state; return which is due next."""
    while due < len(rows.times) and rows.times[due] <= until:
        for j in range(len(rows.columns)):
            value = state[rows.columns[j]]
            if len(rows.wide):
                rows.wide[due, j] = value
            else:
                rows.narrow[due, j] = value
        due += 1
    return due


@lean_jit
def along_a_step(
    rows: Rows,
    due: int,
    origin: float,
    since: float,
    end: float,
    state: FloatArray,
    new: FloatArray,
    stages: FloatArray,
) -> int:
    """Fill in the rows that are due within a step from `since` to `end` [s after origin]; return the next.

    From the state to the new one on the curve that rodas5p.DENSE gives, for the columns that are wanted only.
    """
    after = due
    while after < len(rows.times) and rows.times[after] - origin <= end:
        after += 1
    if after == due:
        return due
    step = end - since
    for j in range(len(rows.columns)):
        m = rows.columns[j]
        first = second = third = 0.0
        for i in range(STAGES):
            first += DENSE[0, i] * stages[i, m]
            second += DENSE[1, i] * stages[i, m]
            third += DENSE[2, i] * stages[i, m]
        here, rise = state[m], new[m] - state[m]
        for row in range(due, after):
            share = min(1.0, max(0.0, (rows.times[row] - origin - since) / step))
            curve = first + share * (second + share * third)
            value = here + share * (rise + (1.0 - share) * curve)  # exactly the same where nothing moves
            if len(rows.wide):
                rows.wide[row, j] = value
            else:
                rows.narrow[row, j] = value
    return after
