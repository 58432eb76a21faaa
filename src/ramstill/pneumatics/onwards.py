"""Stepping on from where the air stands, a little at a time, for as long as the next little is known."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import lean_jit, outer_jit
from ramstill.pneumatics.network import Network
from ramstill.pneumatics.openness import over_pieces
from ramstill.pneumatics.output import Rows
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.plumbing import Plumbing
from ramstill.pneumatics.step import Pieces, Work
from ramstill.pneumatics.stepper import AFRESH, BENT, DONE, SMOOTH, cross

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

UNBENT = 1e-3  # a bend that makes a difference of this many tolerances within a call is none


class Shares(NamedTuple):
    """How far each link is open over all time, in straight stretches.

    knots (k,): where they meet [s]; openness, opening_rate (k + 1, l): where each begins [-], and its slope
    [1/s], the first of them being without slope.
    """

    knots: FloatArray
    openness: FloatArray
    opening_rate: FloatArray


def shares_of(network: Network) -> Shares:
    """How far its links are open, by their schedules."""
    knots = np.array(sorted({t for schedule in network.openness if schedule for t in schedule.knots}))
    begin = np.concatenate([[knots[0] - 1.0], knots, [knots[-1] + 1.0]]) if len(knots) else np.arange(2.0)
    return Shares(knots, *over_pieces(begin, network.openness))


@lean_jit
def onwards(
    plumbing: Plumbing,
    outside: Outside,
    piece: Pieces,
    shares: Shares,
    row: int,
    how: int,
    step: float,
    rows: Rows,
    tolerance: float,
    most_steps: int,
    counts: IntArray,
    reached: FloatArray,
    work: Work,
) -> tuple[int, float]:
    """Bring `work.y`, flows and all, from the first knot outside to the second; return what to go on with.

    outside: those two knots, the slope to the left of the first being what was before; piece: one, to work
    in; row: the stretch of `shares` that it stood in, or stands in where `how` is AFRESH; step: what to try
    first [s]; rows: none. Returns the stretch and the step to go on with. Counts as in `run`.
    """
    end, now = outside.knots[1], outside.knots[0]
    for i in range(len(counts)):
        counts[i] = 0
    if how != AFRESH:
        most = 0.0
        for j in range(outside.pressure.shape[1]):
            most = max(most, abs(outside.right[0, j] - outside.left[0, j]))
        how = BENT if most * (end - now) > UNBENT * tolerance else SMOOTH
    while now < end:
        if row < len(shares.knots) and shares.knots[row] <= now:
            how = min(how, how_it_opens(shares, row))
            row += 1
        until = min(end, shares.knots[row]) if row < len(shares.knots) else end
        since = now - shares.knots[row - 1] if row > 0 else 0.0
        piece.begin[0], piece.begin[1] = now, until
        for i in range(shares.openness.shape[1]):
            rate = shares.opening_rate[row, i]
            piece.openness[0, i], piece.opening_rate[0, i] = shares.openness[row, i] + since * rate, rate
        before = step
        _, step = cross(
            plumbing, outside, piece, 0, how, step, rows, 0, tolerance, most_steps, counts, reached, work
        )
        if counts[3] != DONE:
            break
        if how != AFRESH and counts[1] == 0 and until - now < before:
            step = max(step, before)  # it was cut short, not refused
        now, how = until, BENT
    return row, step


@outer_jit
def how_it_opens(shares: Shares, row: int) -> int:
    """How the stretch after a row begins: AFRESH where something opens or shuts at once, else BENT."""
    length = shares.knots[row] - shares.knots[row - 1] if row > 0 else 0.0
    for i in range(shares.openness.shape[1]):
        before = shares.openness[row, i] + length * shares.opening_rate[row, i]
        if abs(before - shares.openness[row + 1, i]) > 1e-12:
            return AFRESH
    return BENT
