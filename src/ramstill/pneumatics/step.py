"""One step of the method through the equations, from known slopes at its beginning."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import R_AIR
from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.blocks import factor_blocks, solve_blocks
from ramstill.pneumatics.equations import Plumbing, Slopes, flows_by_law, linearise, put_in_law
from ramstill.pneumatics.outside import Outside, outside_at, outside_rate
from ramstill.pneumatics.rodas5p import GAMMA, NODES, RATES, STAGES, history, stage_state
from ramstill.pneumatics.rows import add, copy
from ramstill.pneumatics.swelling import SETTLES_S
from ramstill.pneumatics.volumes import (
    Air,
    Carried,
    air_at,
    air_for,
    air_slopes,
    carried_for,
    carry,
    energy_rate,
    rates,
)

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
    """Arrays a run works in, made once. n volumes, b boundaries, l links, s that swell; y (2 n + s,).

    now, then (2, n + b): pressures [Pa] and boundary slopes [Pa/s] where a step begins and ends; y, new:
    states there, rate: dy/dt where it begins; flow, new_flow (l,): flows there [kg/s]; here: the air where it
    begins, there: in a stage; slopes, carried: about the beginning; trial: state, pressure (n + b,),
    stage_flow, change, openness (l,) and into (n + b, 3) in a stage; stiffness, matrix (entries, 4), see
    blocks.py; move (n, 2); stages (8, 2 n + s), flow_stages (8, l): the method's increments; dense (3, 2 n +
    s).
    """

    now: FloatArray
    then: FloatArray
    y: FloatArray
    new: FloatArray
    rate: FloatArray
    flow: FloatArray
    new_flow: FloatArray
    here: Air
    there: Air
    slopes: Slopes
    carried: Carried
    out_of_law: FloatArray
    trial: FloatArray
    pressure: FloatArray
    stage_flow: FloatArray
    openness: FloatArray
    into: FloatArray
    stiffness: FloatArray
    matrix: FloatArray
    move: FloatArray
    stages: FloatArray
    flow_stages: FloatArray
    dense: FloatArray


@jit
def work_for(plumbing: Plumbing, boundaries: int) -> Work:
    """Arrays of the right sizes."""
    n, links = len(plumbing.volume), len(plumbing.a)
    both, whole = n + boundaries, 2 * n + len(plumbing.swell_a)
    return Work(
        np.zeros((2, both)),
        np.zeros((2, both)),
        np.zeros(whole),
        np.zeros(whole),
        np.zeros(whole),
        np.zeros(links),
        np.zeros(links),
        air_for(plumbing),
        air_for(plumbing),
        Slopes(np.zeros(links), np.zeros(links), np.zeros(links), np.zeros(links)),
        carried_for(links),
        np.zeros(links),
        np.zeros(whole),
        np.zeros(both),
        np.zeros(links),
        np.zeros(links),
        np.zeros((both, 3)),
        np.zeros((plumbing.entries, 4)),
        np.zeros((plumbing.entries, 4)),
        np.zeros((n, 2)),
        np.zeros((STAGES, whole)),
        np.zeros((STAGES, links)),
        np.zeros((3, whole)),
    )


@jit
def open_at(pieces: Pieces, piece: int, since: float, openness: FloatArray) -> None:
    """Fill `openness` (l,) with the open shares `since` [s] after a piece begins."""
    for i in range(len(openness)):
        openness[i] = pieces.openness[piece, i] + since * pieces.opening_rate[piece, i]


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
    n = len(plumbing.volume)
    origin, opening_rate = pieces.begin[piece], pieces.opening_rate[piece]
    knot = outside_at(outside, origin, since, knot, pieces.last_knot[piece], n, work.now[0])
    outside_rate(outside, origin, since, knot, n, work.now[1])
    for m in range(n):
        work.now[0, m] = work.y[m]
    open_at(pieces, piece, since, work.openness)
    if anew:
        flows_by_law(plumbing, work.now[0], work.openness, work.flow)
    linearise(
        plumbing,
        work.now[0],
        work.now[1],
        work.openness,
        opening_rate,
        work.flow,
        work.out_of_law,
        work.slopes,
    )
    rates(plumbing, work.y, work.flow, work.here, work.carried, work.into, work.rate)
    air_slopes(plumbing, work.here, work.flow, work.slopes, work.carried, work.stiffness)
    return knot


@jit
def fill_matrix(plumbing: Plumbing, per: float, work: Work) -> None:
    """Fill `matrix`: the stiffness, and what a stage holds against change, `per` [1/s] of it."""
    n, y, air = len(plumbing.volume), work.y, work.here
    for i in range(plumbing.entries):
        for k in range(4):
            work.matrix[i, k] = work.stiffness[i, k]
    for m in range(n):
        work.matrix[m, 0] += per * y[n + m] / y[m]
        work.matrix[m, 1] -= per * y[n + m] / air.temperature[m]
        work.matrix[m, 2] += per * air.volume[m]
    for s in range(len(plumbing.swell_a)):
        soft = air.swell_slope[s] / (1.0 + per * SETTLES_S)
        for end in range(2):
            m = plumbing.swell_a[s] if end == 0 else plumbing.swell_b[s]
            if m < 0:
                continue
            mass, energy = grown(plumbing, per, work, m, soft if end == 0 else -soft)
            own, other = plumbing.swell_slots[s, 2 * end], plumbing.swell_slots[s, 2 * end + 1]
            work.matrix[own, 0] += mass
            work.matrix[own, 2] += energy
            work.matrix[other, 0] -= mass
            work.matrix[other, 2] -= energy


@jit
def grown(plumbing: Plumbing, per: float, work: Work, m: int, volume: float) -> tuple[float, float]:
    """What growing by a volume [m3] takes in both rows of a volume."""
    n = len(plumbing.volume)
    mass = per * work.y[n + m] / work.here.volume[m] * volume
    return mass, (work.rate[m] + plumbing.gamma * work.y[m] * per) * volume


@jit
def solve_stage(plumbing: Plumbing, step: float, air: Air, increment: FloatArray, work: Work) -> None:
    """Turn `increment` (2 n + s,), which comes with sum B_ij u_j, into the stage's own.

    air: that of the stage; work.into: what flows in there.
    """
    n, here, move = len(plumbing.volume), work.here, work.move
    per, scale, rest = 1.0 / (GAMMA * step), plumbing.gamma * R_AIR, 1.0 / step
    for m in range(n):
        held = increment[n + m] * rest + work.into[m, 0]
        energy = energy_rate(plumbing, air, work.trial[m], m, work.into[m, 1])
        increment[n + m] = move[m, 0] = held
        move[m, 1] = energy + here.volume[m] * increment[m] * rest + scale * work.into[m, 2]
    for at in range(len(plumbing.soft)):
        m = plumbing.soft[at]
        energy = energy_rate(plumbing, air, work.trial[m], m, work.into[m, 1])
        move[m, 1] += energy * (here.volume[m] / air.volume[m] - 1.0)
    for s in range(len(plumbing.swell_a)):
        side = air.swell_rate[s] + increment[2 * n + s] * rest
        alone = side * SETTLES_S / (1.0 + per * SETTLES_S)
        increment[2 * n + s] = alone
        for end in range(2):
            m = plumbing.swell_a[s] if end == 0 else plumbing.swell_b[s]
            if m < 0:
                continue
            sign = 1.0 if end == 0 else -1.0
            mass, energy = grown(plumbing, per, work, m, sign * alone)
            move[m, 0] -= mass
            move[m, 1] -= energy - sign * plumbing.gamma * work.y[m] * side
    solve_blocks(plumbing.plan, work.matrix, move)
    for m in range(n):
        increment[m] = move[m, 0]
    for s in range(len(plumbing.swell_a)):
        a, b = plumbing.swell_a[s], plumbing.swell_b[s]
        difference = move[a, 0] - (move[b, 0] if b >= 0 else 0.0)
        increment[2 * n + s] += here.swell_slope[s] / (1.0 + per * SETTLES_S) * difference


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
    n, links = len(plumbing.volume), len(plumbing.a)
    step = end - since
    origin, last_knot = pieces.begin[piece], pieces.last_knot[piece]
    slopes = work.slopes
    fill_matrix(plumbing, 1.0 / (GAMMA * step), work)
    factor_blocks(plumbing.plan, work.matrix)
    copy(work.flow, work.stage_flow)
    copy(work.y, work.trial)
    copy(work.out_of_law, work.flow_stages[0])
    air = work.here
    for stage in range(STAGES):
        change = work.flow_stages[stage]  # of the flows: first what the law asks for, in the end the stage's
        if stage > 0:
            if stage < 5:
                at = since + NODES[stage] * step
                outside_at(outside, origin, at, knot, last_knot, n, work.pressure)
                open_at(pieces, piece, at, work.openness)
            elif stage == 5:
                found = outside_at(outside, origin, end, knot, last_knot, n, work.pressure)
                outside_rate(outside, origin, end, found, n, work.then[1])
                copy(work.pressure, work.then[0])
                open_at(pieces, piece, end, work.openness)
            stage_state(stage, work.y, work.stages, work.trial)
            stage_state(stage, work.flow, work.flow_stages, work.stage_flow)
            for m in range(n):
                work.pressure[m] = work.trial[m]
            put_in_law(plumbing, work.pressure, work.openness, work.stage_flow, slopes, change)
            air = work.there
            air_at(plumbing, work.trial, air)
        if RATES[stage] != 0.0:
            for i in range(links):
                change[i] += step * RATES[stage] * slopes.rate[i]
        carry(plumbing, air.temperature, work.stage_flow, change, work.carried, work.into)
        increment = work.stages[stage]
        history(stage, work.stages, increment)
        solve_stage(plumbing, step, air, increment, work)
        for i in range(links):
            a, b = plumbing.a[i], plumbing.b[i]
            pushed = 0.0
            if a < n:
                pushed += slopes.by_a[i] * increment[a]
            if b < n:
                pushed += slopes.by_b[i] * increment[b]
            change[i] += pushed
            if a < n:
                increment[n + a] -= pushed
            if b < n:
                increment[n + b] += pushed
        for m in range(n):
            increment[n + m] *= GAMMA * step
    add(work.trial, work.stages[STAGES - 1], work.new)
    add(work.stage_flow, work.flow_stages[STAGES - 1], work.new_flow)


@jit
def largest_error(work: Work) -> tuple[float, int]:
    """Largest error estimate [Pa] and the volume it belongs to; NaN counts as the largest.

    Of the pressure, and of the mass as the pressure it would make.
    """
    worst, volume = 0.0, 0
    n = len(work.here.volume)
    last = work.stages[STAGES - 1]
    for m in range(n):
        size = max(abs(last[m]), abs(last[n + m] * work.y[m] / work.y[n + m]))
        if not size <= worst:
            worst, volume = size, m
            if size != size:
                break
    return worst, volume
