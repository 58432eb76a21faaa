"""One step of the method through the equations, from known slopes at its beginning."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.elimination import factor, solve
from ramstill.pneumatics.equations import Plumbing, Slopes, flows_by_law, gather, linearise, put_in_law
from ramstill.pneumatics.outside import Outside, outside_at, outside_rate
from ramstill.pneumatics.rodas5p import GAMMA, NODES, RATES, STAGES, history, stage_state

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

    now, then (2, n + b): pressures [Pa] and boundary slopes [Pa/s] where a step begins and ends; y, new (n,):
    pressures there; flow, new_flow (l,): flows there [kg/s]; state, into (n + b,) and stage_flow, out_of_law,
    openness (l,): within a stage; slopes; stiffness, matrix: flat, see Plan; stages (8, n), flow_stages (8,
    l): the method's increments; dense (3, n).
    """

    now: FloatArray
    then: FloatArray
    y: FloatArray
    new: FloatArray
    flow: FloatArray
    new_flow: FloatArray
    state: FloatArray
    into: FloatArray
    stage_flow: FloatArray
    out_of_law: FloatArray
    openness: FloatArray
    slopes: Slopes
    stiffness: FloatArray
    matrix: FloatArray
    stages: FloatArray
    flow_stages: FloatArray
    dense: FloatArray


@jit
def work_for(plumbing: Plumbing, boundaries: int) -> Work:
    """Arrays of the right sizes."""
    n, links = len(plumbing.capacity), len(plumbing.a)
    both = n + boundaries
    return Work(
        np.zeros((2, both)),
        np.zeros((2, both)),
        np.zeros(n),
        np.zeros(n),
        np.zeros(links),
        np.zeros(links),
        np.zeros(both),
        np.zeros(both),
        np.zeros(links),
        np.zeros(links),
        np.zeros(links),
        Slopes(np.zeros(links), np.zeros(links), np.zeros(links), np.zeros(links)),
        np.zeros(plumbing.entries),
        np.zeros(plumbing.entries),
        np.zeros((STAGES, n)),
        np.zeros((STAGES, links)),
        np.zeros((3, n)),
    )


@jit
def look(
    plumbing: Plumbing,
    outside: Outside,
    pieces: Pieces,
    piece: int,
    since: float,
    knot: int,
    anew: bool,
    work: Work,
) -> int:
    """Linearise where a step begins, `since` [s] after its piece does; return the knot.

    anew: take the flows from the law, as after a kink they are others than before it.
    """
    n = len(plumbing.capacity)
    origin, rate = pieces.begin[piece], pieces.opening_rate[piece]
    knot = outside_at(outside, origin, since, knot, pieces.last_knot[piece], n, work.now[0])
    outside_rate(outside, origin, since, knot, n, work.now[1])
    work.now[0, :n] = work.y
    work.openness[:] = pieces.openness[piece] + since * rate
    if anew:
        flows_by_law(plumbing, work.now[0], work.openness, work.flow)
    linearise(
        plumbing,
        work.now[0],
        work.now[1],
        work.openness,
        rate,
        work.flow,
        work.out_of_law,
        work.slopes,
        work.stiffness,
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
    n, links = len(plumbing.capacity), len(plumbing.a)
    step = end - since
    origin, last_knot = pieces.begin[piece], pieces.last_knot[piece]
    slopes = work.slopes
    work.matrix[:] = work.stiffness
    for m in range(n):
        work.matrix[m] += plumbing.capacity[m] / (GAMMA * step)
    factor(plumbing.plan, work.matrix)
    work.stage_flow[:] = work.flow
    out_of_law = work.flow_stages[0]
    out_of_law[:] = work.out_of_law
    for stage in range(STAGES):
        out_of_law = work.flow_stages[stage]  # turned into the stage's increment of flow below
        if stage > 0:
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
            stage_state(stage, work.flow, work.flow_stages, work.stage_flow)
            put_in_law(plumbing, work.state, work.openness, work.stage_flow, slopes, out_of_law)
        for i in range(links):
            out_of_law[i] += step * RATES[stage] * slopes.rate[i]
            work.stage_flow[i] += out_of_law[i]
        gather(plumbing, work.stage_flow, work.into)
        increment = work.stages[stage]
        history(stage, work.stages, increment)
        for m in range(n):
            increment[m] = work.into[m] + plumbing.capacity[m] * increment[m] / step
        solve(plumbing.plan, work.matrix, increment)
        for i in range(links):
            a, b = plumbing.a[i], plumbing.b[i]
            if a < n:
                out_of_law[i] += slopes.by_a[i] * increment[a]
            if b < n:
                out_of_law[i] += slopes.by_b[i] * increment[b]
    for m in range(n):
        work.new[m] = work.state[m] + work.stages[STAGES - 1, m]
    stage_state(STAGES - 1, work.flow, work.flow_stages, work.new_flow)
    for i in range(links):
        work.new_flow[i] += work.flow_stages[STAGES - 1, i]


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
