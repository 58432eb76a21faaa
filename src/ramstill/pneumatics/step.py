"""One step of the method through the equations, from known slopes at its beginning."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import R_AIR
from ramstill.pneumatics._compiled import inner_jit, outer_jit
from ramstill.pneumatics.blocks import factor_blocks, solve_blocks
from ramstill.pneumatics.equations import (
    BY_A,
    BY_B,
    BY_TIME,
    OUT_OF_LAW,
    SLOPES,
    TOGETHER,
    flows_by_law,
    linearise,
    put_in_law,
)
from ramstill.pneumatics.outside import Outside, outside_at, outside_rate
from ramstill.pneumatics.plumbing import GROWS, GROWS_GROWS, YIELDS, A, B, Plumbing
from ramstill.pneumatics.rodas5p import GAMMA, NODES, RATES, STAGES, history, stage_state
from ramstill.pneumatics.rows import add, clear, copy, fill
from ramstill.pneumatics.swelling import SETTLES_S
from ramstill.pneumatics.volumes import (
    HOT,
    MASS,
    RATE,
    SIZE,
    SLOPE,
    Air,
    air_at,
    air_for,
    air_slopes,
    carry,
    own_heat,
    rates,
)

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Rows of `now` and `then`.
PRESSURE, CHANGE = range(2)


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
    """Arrays a run works in, made once. n volumes, b boundaries, l' links in lanes, s that swell.

    Along states: y, new (2 n + s + l',), the state of volumes.py where a step begins and ends, and behind it
    the flows [kg/s]; trial, the same in a stage; stages (8, 2 n + s + l'), the method's increments of it;
    held (2 n + s,), what a stage keeps of those before; dense (3, 2 n + s), for the curve in between; rate (2
    n + s,), dy/dt where a step begins.

    At volumes and boundaries: now, then (2, n + b), pressures [Pa] and boundary slopes [Pa/s] where a step
    begins and ends; pressure (n + b,) in a stage; share (n + b,), volumes where it begins over those of the
    stage; into (n + b, 2), see volumes.py; move (n + b, 2), changes of pressure [Pa] and temperature [K],
    none at the boundaries. here: the air where a step begins, there: in a stage; warming (2 n,): dT/dt [K/s]
    where a run looks that far.

    Along links: openness (l',) in a stage; slopes (9, l') about the beginning and drops (2, l'), see
    equations.py. stiffness, matrix (entries, 4): see blocks.py.
    """

    y: FloatArray
    new: FloatArray
    trial: FloatArray
    rate: FloatArray
    stages: FloatArray
    held: FloatArray
    dense: FloatArray
    now: FloatArray
    then: FloatArray
    pressure: FloatArray
    openness: FloatArray
    here: Air
    there: Air
    warming: FloatArray
    share: FloatArray
    slopes: FloatArray
    drops: FloatArray
    into: FloatArray
    stiffness: FloatArray
    matrix: FloatArray
    move: FloatArray


def work_for(plumbing: Plumbing, boundaries: int) -> Work:
    """Arrays of the right sizes."""
    n, links = plumbing.volumes.shape[1], plumbing.links.shape[1]
    both, state = n + boundaries, 2 * n + plumbing.swell_ends.shape[1]
    whole, blocks = state + links, (plumbing.entries, 4)
    drops = np.zeros((2, links))
    drops[TOGETHER] = 1.0
    return Work(
        y=np.zeros(whole),
        new=np.zeros(whole),
        trial=np.zeros(whole),
        rate=np.zeros(state),
        stages=np.zeros((STAGES, whole)),
        held=np.zeros(state),
        dense=np.zeros((3, state)),
        now=np.zeros((2, both)),
        then=np.zeros((2, both)),
        pressure=np.zeros(both),
        openness=np.zeros(links),
        here=air_for(plumbing),
        there=air_for(plumbing),
        warming=np.zeros(2 * n),
        share=np.zeros(both),
        slopes=np.zeros((SLOPES, links)),
        drops=drops,
        into=np.zeros((both, 2)),
        stiffness=np.zeros(blocks),
        matrix=np.zeros(blocks),
        move=np.zeros((both, 2)),
    )


@inner_jit
def open_at(pieces: Pieces, piece: int, since: float, openness: FloatArray) -> None:
    """Fill `openness` (l,) with the open shares `since` [s] after a piece begins."""
    for i in range(pieces.openness.shape[1]):
        openness[i] = pieces.openness[piece, i] + since * pieces.opening_rate[piece, i]


@outer_jit
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

    anew: take the flows from the law, as after a kink they are others than before it. `rate` is worked out
    then, and where something swells: nothing else asks for it. Callers work it out, as a True or False
    written out would have `look` compiled once for each.
    """
    n, soft = plumbing.volumes.shape[1], plumbing.swell_ends.shape[1]
    flow = work.y[2 * n + soft :]
    origin, opening_rate = pieces.begin[piece], pieces.opening_rate[piece]
    knot = outside_at(outside, origin, since, knot, pieces.last_knot[piece], n, work.now[PRESSURE])
    outside_rate(outside, origin, since, knot, n, work.now[CHANGE])
    pressure = work.now[PRESSURE]
    for m in range(n):
        pressure[m] = work.y[m]
    open_at(pieces, piece, since, work.openness)
    if anew:
        flows_by_law(plumbing, pressure, work.openness, flow)
    linearise(plumbing, pressure, work.now[CHANGE], work.openness, opening_rate, flow, work.slopes)
    air_at(plumbing, work.y, work.here)
    air_slopes(plumbing, work.here, flow, work.slopes, work.stiffness)
    if anew or soft > 0:
        fill(1.0, work.share)
        still = work.stages[0, 2 * n + soft :]
        fill(0.0, still)
        rates(plumbing, work.y, flow, work.slopes, work.here, still, work.share, work.into, work.rate)
    return knot


@inner_jit
def fill_matrix(plumbing: Plumbing, per: float, work: Work) -> None:
    """Fill `matrix`: the stiffness, and what a stage holds against change, `per` [1/s] of it."""
    n, y, air, ends, matrix = plumbing.volumes.shape[1], work.y, work.here, plumbing.swell_ends, work.matrix
    for i in range(plumbing.entries):
        for k in range(4):
            matrix[i, k] = work.stiffness[i, k]
    for m in range(n):
        matrix[m, 0] += per * y[n + m] / y[m]
        matrix[m, 1] -= per * y[n + m] / air.temperature[m]
        matrix[m, 2] += per * air.room[SIZE, m]
    for s in range(ends.shape[1]):
        soft = air.swelling[SLOPE, s] / (1.0 + per * SETTLES_S)
        for end in range(2):
            m = ends[GROWS + end, s]
            if m < 0:
                continue
            mass, energy = grown(plumbing, per, work, m, soft if end == 0 else -soft)
            own, other = ends[GROWS_GROWS + 2 * end, s], ends[GROWS_GROWS + 2 * end + 1, s]
            matrix[own, 0] += mass
            matrix[own, 2] += energy
            matrix[other, 0] -= mass
            matrix[other, 2] -= energy


@inner_jit
def grown(plumbing: Plumbing, per: float, work: Work, m: int, volume: float) -> tuple[float, float]:
    """What growing by a volume [m3] takes in both rows of a volume."""
    n = plumbing.volumes.shape[1]
    mass = per * work.y[n + m] / work.here.room[SIZE, m] * volume
    return mass, (work.rate[m] + plumbing.gamma * work.y[m] * per) * volume


@inner_jit
def solve_stage(plumbing: Plumbing, step: float, air: Air, increment: FloatArray, work: Work) -> None:
    """Fill `increment` (2 n + s + l,), which comes with what the law asks of the flows, with the stage's own.

    air: that of the stage; work.into: what flows in there; work.held: sum B_ij u_j.
    """
    n, here, move, into = plumbing.volumes.shape[1], work.here, work.move, work.into
    ends, slopes, swells, held = plumbing.ends, work.slopes, plumbing.swell_ends, work.held
    per, scale, rest = 1.0 / (GAMMA * step), plumbing.gamma * R_AIR, 1.0 / step
    for m in range(n):
        into[m, MASS] += held[n + m] * rest
        heat = work.share[m] * own_heat(plumbing, air, work.trial[m], m) + scale * into[m, HOT]
        move[m, 0], move[m, 1] = into[m, MASS], heat + here.room[SIZE, m] * held[m] * rest
    for s in range(swells.shape[1]):
        side = air.swelling[RATE, s] + held[2 * n + s] * rest
        alone = side * SETTLES_S / (1.0 + per * SETTLES_S)
        increment[2 * n + s] = alone
        for end in range(2):
            m = swells[GROWS + end, s]
            if m < 0:
                continue
            sign = 1.0 if end == 0 else -1.0
            mass, energy = grown(plumbing, per, work, m, sign * alone)
            move[m, 0] -= mass
            move[m, 1] -= energy - sign * plumbing.gamma * work.y[m] * side
    solve_blocks(plumbing.plan, work.matrix, move)
    for s in range(swells.shape[1]):
        a, b = swells[GROWS, s], swells[YIELDS, s]
        difference = move[a, 0] - (move[b, 0] if b >= 0 else 0.0)
        increment[2 * n + s] += here.swelling[SLOPE, s] / (1.0 + per * SETTLES_S) * difference
    first = 2 * n + swells.shape[1]
    for i in range(ends.shape[1]):
        a, b = ends[A, i], ends[B, i]
        pushed = slopes[BY_A, i] * move[a, 0] + slopes[BY_B, i] * move[b, 0]
        increment[first + i] += pushed
        into[a, MASS] -= pushed
        into[b, MASS] += pushed
    for m in range(n):
        increment[m], increment[n + m] = move[m, 0], into[m, MASS] * (GAMMA * step)


@inner_jit
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
    n, soft = plumbing.volumes.shape[1], plumbing.swell_ends.shape[1]
    step, state = end - since, 2 * n + soft
    origin, last_knot = pieces.begin[piece], pieces.last_knot[piece]
    fill_matrix(plumbing, 1.0 / (GAMMA * step), work)
    factor_blocks(plumbing.plan, work.matrix)
    copy(work.y, work.trial)
    flow, pressure, stages, air = work.trial[state:], work.pressure, work.stages, work.here
    fill(1.0, work.share)
    clear(stages)  # what is not known yet counts nothing, whatever an attempt before left there
    for stage in range(STAGES):
        increment, ahead = stages[stage], step * RATES[stage]
        change = increment[state:]  # of the flows: first what the law asks for, in the end the stage's
        if stage > 0:
            if stage < 5:
                at = since + NODES[stage] * step
                outside_at(outside, origin, at, knot, last_knot, n, pressure)
                open_at(pieces, piece, at, work.openness)
            elif stage == 5:
                found = outside_at(outside, origin, end, knot, last_knot, n, pressure)
                outside_rate(outside, origin, end, found, n, work.then[CHANGE])
                copy(pressure, work.then[PRESSURE])
                open_at(pieces, piece, end, work.openness)
            stage_state(stage, work.y, stages, work.trial)
            for m in range(n):
                pressure[m] = work.trial[m]
            put_in_law(plumbing, pressure, work.openness, flow, ahead, work.slopes, work.drops, change)
            air = work.there
            air_at(plumbing, work.trial, air)
            if soft > 0:
                for m in range(n):
                    work.share[m] = work.here.room[SIZE, m] / air.room[SIZE, m]
        else:
            for i in range(len(change)):
                change[i] = work.slopes[OUT_OF_LAW, i] + ahead * work.slopes[BY_TIME, i]
        carry(plumbing, air.temperature, flow, change, work.slopes, work.share, work.into)
        history(stage, stages, work.held)
        solve_stage(plumbing, step, air, increment, work)
    add(work.trial, stages[STAGES - 1], work.new)


@inner_jit
def largest_error(plumbing: Plumbing, work: Work) -> tuple[float, int]:
    """Largest error estimate [Pa] and the volume it belongs to; NaN counts as the largest.

    Of the pressure, and of the mass as the pressure it would make.
    """
    worst, volume = 0.0, 0
    n = plumbing.volumes.shape[1]
    last = work.stages[STAGES - 1]
    for m in range(n):
        size = max(abs(last[m]), abs(last[n + m] * work.y[m] / work.y[n + m]))
        if not size <= worst:
            worst, volume = size, m
            if size != size:
                break
    return worst, volume
