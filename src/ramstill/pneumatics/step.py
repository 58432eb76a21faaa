"""One step of the method through the equations, from known slopes at its beginning."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.elimination import factor, solve
from ramstill.pneumatics.equations import (
    Outside,
    Plumbing,
    net_flow,
    net_flow_and_slopes,
    outside_at,
    outside_rate,
)
from ramstill.pneumatics.rodas5p import GAMMA, NODES, STAGES, stage_side, stage_state

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Pieces(NamedTuple):
    """Stretches of time without a kink.

    begin (s + 1,): their ends [s]; first_knot, last_knot (s,): those of the surroundings that bear on each;
    openness, opening_rate (s, l): at the beginning of each [-] and its slope [1/s].
    """

    begin: FloatArray
    first_knot: IntArray
    last_knot: IntArray
    openness: FloatArray
    opening_rate: FloatArray


class Work(NamedTuple):
    """Arrays a run works in, made once. n volumes, b boundaries, l links.

    now, then (2, n + b): pressures [Pa] and boundary slopes [Pa/s] at begin and end of a step; y, new (n,):
    the solution there; state, flow, flow_rate, stage_flow (n + b,); stiffness, matrix: flat, see Plan;
    openness (l,); stages (8, n); dense (3, n).
    """

    now: FloatArray
    then: FloatArray
    y: FloatArray
    new: FloatArray
    state: FloatArray
    flow: FloatArray
    flow_rate: FloatArray
    stage_flow: FloatArray
    stiffness: FloatArray
    matrix: FloatArray
    openness: FloatArray
    stages: FloatArray
    dense: FloatArray


@jit
def work_for(plumbing: Plumbing, boundaries: int) -> Work:
    """Arrays of the right sizes."""
    n = len(plumbing.capacity)
    both = n + boundaries
    return Work(
        np.zeros((2, both)),
        np.zeros((2, both)),
        np.zeros(n),
        np.zeros(n),
        np.zeros(both),
        np.zeros(both),
        np.zeros(both),
        np.zeros(both),
        np.zeros(plumbing.entries),
        np.zeros(plumbing.entries),
        np.zeros(len(plumbing.a)),
        np.zeros((STAGES, n)),
        np.zeros((3, n)),
    )


@jit
def look(
    plumbing: Plumbing, outside: Outside, pieces: Pieces, piece: int, since: float, knot: int, work: Work
) -> int:
    """Evaluate everything where a step begins, `since` [s] after its piece does; return the knot."""
    n = len(plumbing.capacity)
    origin, rate = pieces.begin[piece], pieces.opening_rate[piece]
    knot = outside_at(outside, origin, since, knot, pieces.last_knot[piece], n, work.now[0])
    outside_rate(outside, origin, since, knot, n, work.now[1])
    work.now[0, :n] = work.y
    work.openness[:] = pieces.openness[piece] + since * rate
    net_flow_and_slopes(
        plumbing, work.now[0], work.now[1], work.openness, rate, work.flow, work.flow_rate, work.stiffness
    )
    return knot


@jit
def attempt(
    plumbing: Plumbing,
    outside: Outside,
    pieces: Pieces,
    piece: int,
    since: float,
    end: float,
    knot: int,
    work: Work,
) -> None:
    """Step from `since` to `end` [s after the beginning of the piece]; leaves stages, new and then filled."""
    n = len(plumbing.capacity)
    step = end - since
    origin, last_knot = pieces.begin[piece], pieces.last_knot[piece]
    work.matrix[:] = work.stiffness
    for m in range(n):
        work.matrix[m] += plumbing.capacity[m] / (GAMMA * step)
    factor(plumbing.plan, work.matrix)
    for stage in range(STAGES):
        if stage == 0:
            stage_side(stage, step, plumbing.capacity, work.flow, work.flow_rate, work.stages)
        else:
            if stage < 5:
                at = since + NODES[stage] * step
                outside_at(outside, origin, at, knot, last_knot, n, work.state)
                work.openness[:] = pieces.openness[piece] + at * pieces.opening_rate[piece]
            elif stage == 5:
                found = outside_at(outside, origin, end, knot, last_knot, n, work.state)
                outside_rate(outside, origin, end, found, n, work.then[1])
                work.then[0] = work.state
                work.openness[:] = pieces.openness[piece] + end * pieces.opening_rate[piece]
            stage_state(stage, work.y, work.stages, work.state)
            net_flow(plumbing, work.state, work.openness, work.stage_flow)
            stage_side(stage, step, plumbing.capacity, work.stage_flow, work.flow_rate, work.stages)
        solve(plumbing.plan, work.matrix, work.stages[stage])
    for m in range(n):
        work.new[m] = work.state[m] + work.stages[STAGES - 1, m]


@jit
def largest_error(work: Work) -> tuple[float, int]:
    """Largest error estimate [Pa] and the volume it belongs to; NaN counts as the largest."""
    worst, volume = 0.0, 0
    for m in range(len(work.y)):
        size = abs(work.stages[STAGES - 1, m])
        if not size <= worst:
            worst, volume = size, m
            if size != size:
                break
    return worst, volume
