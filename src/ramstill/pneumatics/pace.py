"""How large a step: the first one after a kink, the next after a good one, and what no step may leap over."""

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import R_AIR
from ramstill.pneumatics._compiled import inner_jit, outer_jit
from ramstill.pneumatics.blocks import solve_blocks
from ramstill.pneumatics.equations import (
    BY_A,
    BY_B,
    BY_FLOW_A,
    BY_FLOW_B,
    BY_TIME,
    BY_WARM_A,
    BY_WARM_B,
    law_of,
)
from ramstill.pneumatics.flow import link_flow
from ramstill.pneumatics.openness import SAME_SHARE
from ramstill.pneumatics.outside import Outside, outside_at, outside_rate, overlooked
from ramstill.pneumatics.plumbing import HEAT, WARM_A, WARM_B, A, B, Plumbing
from ramstill.pneumatics.rows import clear
from ramstill.pneumatics.step import CHANGE, PRESSURE, Pieces, Work
from ramstill.pneumatics.volumes import GROWTH, HOT, SIZE

FloatArray = NDArray[np.float64]

SMALLEST_STEP = 1e-18  # [s]
AS_GOOD_AS_SHUT = 1e-4
LONGEST_FIRST_STEP = 1e3  # [s]
FOR_EVER = float("inf")
SAFETY, PREDICTED_SAFETY, SHRINK_MOST, GROW_MOST = 0.9, 0.8, 0.15, 8.0
PER_ORDER = 0.2  # the estimate is of order 4: its size goes with the fifth power of the step
# What the air outside does between the knots of one step may stray this many tolerances from one cubic, and
# so far may a step leap over what the air inside does at once where the air outside bends.
OVERLOOK = 2.0


@outer_jit
def first_step(plumbing: Plumbing, opening_rate: FloatArray, work: Work, tolerance: float) -> float:
    """Step [s] in which the slope's own change moves the air by one tolerance.

    With K the stiffness, V p'' = F_t - K (p', T'). A link that opens from nothing has no slope by openness
    there, but has one an instant later.
    """
    n, air, ends = plumbing.volumes.shape[1], work.here, plumbing.ends
    fastest = bends_fastest(plumbing, work)
    step = (2.0 * tolerance / fastest) ** 0.5 if fastest > 0.0 else LONGEST_FIRST_STEP
    for i in range(ends.shape[1]):
        if work.openness[i] > 0.0 or opening_rate[i] <= 0.0:
            continue
        a, b = ends[A, i], ends[B, i]
        room = min(
            air.room[SIZE, min(a, n - 1)] if a < n else FOR_EVER,
            air.room[SIZE, min(b, n - 1)] if b < n else FOR_EVER,
        )
        while step > SMALLEST_STEP:
            pa, pb = work.now[PRESSURE, a], work.now[PRESSURE, b]
            flow = link_flow(pa, pb, opening_rate[i] * step, *law_of(plumbing, i))
            warmth = max(air.temperature[ends[WARM_A, i]], air.temperature[ends[WARM_B, i]])
            if plumbing.gamma * R_AIR * warmth * abs(flow) * step <= 2.0 * tolerance * room:
                break
            step *= 0.5
    return step


@inner_jit
def bends_fastest(plumbing: Plumbing, work: Work) -> float:
    """Largest second derivative of any pressure [Pa/s2] where a step begins."""
    n, y, rate, air = plumbing.volumes.shape[1], work.y, work.rate, work.here
    ends, slopes = plumbing.ends, work.slopes
    warming, into = work.warming, work.into
    clear(into)
    for m in range(n):
        part = rate[m] / y[m] + air.room[GROWTH, m] / air.room[SIZE, m] - rate[n + m] / y[n + m]
        warming[m] = air.temperature[m] * part
    for i in range(ends.shape[1]):
        a, b = ends[A, i], ends[B, i]
        change = slopes[BY_TIME, i]
        change += slopes[BY_A, i] * rate[a] if a < n else 0.0
        change += slopes[BY_B, i] * rate[b] if b < n else 0.0
        warmer = slopes[BY_WARM_A, i] * warming[ends[WARM_A, i]]
        warmer += slopes[BY_WARM_B, i] * warming[ends[WARM_B, i]]
        into[a, HOT] -= slopes[BY_FLOW_A, i] * change + warmer
        into[b, HOT] += slopes[BY_FLOW_B, i] * change + warmer
    fastest = 0.0
    for m in range(n):
        energy = plumbing.gamma * (R_AIR * into[m, HOT] - air.room[GROWTH, m] * rate[m])
        energy -= plumbing.volumes[HEAT, m] * warming[m]
        fastest = max(fastest, abs(energy / air.room[SIZE, m]))
    return fastest


@inner_jit
def while_it_halves(pieces: Pieces, piece: int, since: float) -> float:
    """Step [s] in which nothing that is shutting shuts by more than half of what is still open.

    As it shuts, its volume is held less and less stiffly to what lies beyond: slopes from far back would hide
    that, and the error with it.
    """
    longest = FOR_EVER
    for i in range(pieces.openness.shape[1]):
        rate = pieces.opening_rate[piece, i]
        if rate < 0.0:
            left = pieces.openness[piece, i] + since * rate
            if left > AS_GOOD_AS_SHUT:
                longest = min(longest, -0.5 * left / rate)
    return longest


@inner_jit
def next_growth(error: float, error_before: float, step: float, step_before: float) -> float:
    """By how much the next step may be larger, after one whose error was `error` tolerances.

    After an onset the air settles ever more slowly, and steps grow evenly: what the step before foretells
    then counts where it is the more. K. Gustafsson, Control-theoretic techniques for stepsize selection in
    implicit Runge-Kutta methods, ACM Trans. Math. Softw. 20 (1994) 496. step_before [s]: 0 for none.
    """
    grow = SAFETY * error**-PER_ORDER
    if step_before > 0.0:
        foretold = step / step_before * (error_before / (error * error)) ** PER_ORDER
        grow = max(grow, PREDICTED_SAFETY * foretold)
    return float(min(GROW_MOST, max(SHRINK_MOST, grow)))


@inner_jit
def goes_on(outside: Outside, pieces: Pieces, piece: int) -> bool:
    """Whether only slopes change where a piece begins: no pressure outside jumps, nothing opens at once.

    piece: any but the first.
    """
    length = pieces.begin[piece] - pieces.begin[piece - 1]
    for i in range(pieces.openness.shape[1]):
        before = pieces.openness[piece - 1, i] + length * pieces.opening_rate[piece - 1, i]
        if abs(before - pieces.openness[piece, i]) > SAME_SHARE:
            return False
    knot = pieces.first_knot[piece]
    return not (knot > 0 and outside.knots[knot] == outside.knots[knot - 1])


@outer_jit
def strayed(
    outside: Outside, pieces: Pieces, piece: int, since: float, end: float, knot: int, work: Work
) -> float:
    """How far [Pa] the air outside strays from one cubic over a step; see `overlooked`."""
    n, origin, last_knot = work.here.room.shape[1], pieces.begin[piece], pieces.last_knot[piece]
    found = outside_at(outside, origin, end, knot, last_knot, n, work.then[PRESSURE])
    outside_rate(outside, origin, end, found, n, work.then[CHANGE])
    return overlooked(outside, origin, since, end, knot, last_knot, n, work.now, work.then)


@outer_jit
def leapt_over(plumbing: Plumbing, step: float, work: Work) -> float:
    """Largest change [Pa] that quick volumes make within a step without being seen to.

    Where the air outside bends, a quick volume bends after it, late by a moment. A step much longer than that
    moment begins with another slope than the equations have there; what makes up for the difference is what
    it leapt over. work.dense is that of the step, work.matrix its factors.
    """
    n = work.here.room.shape[1]
    for m in range(n):
        rise = work.new[m] - work.y[m] + work.dense[0, m]
        gain = work.new[n + m] - work.y[n + m] + work.dense[0, n + m]
        work.move[m, 0] = work.rate[n + m] - gain / step
        work.move[m, 1] = (work.rate[m] - rise / step) * work.here.room[SIZE, m]
    solve_blocks(plumbing.plan, work.matrix, work.move)
    worst = 0.0
    for m in range(n):
        worst = max(worst, abs(work.move[m, 0]))
    return worst
