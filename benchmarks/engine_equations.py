"""The engine's own laws as an ordinary differential equation, for solvers that want one.

dy/dt and its Jacobian, both compiled, from the laws the engine itself calls: of pressures, and of masses and
swellings as the pressure they make, so that one weight fits all. All that they need lies in one block of
floats, so that C code can hand it on as one address. This file alone knows how the engine stores its
equations.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import count
from time import perf_counter

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import csr_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from ramstill.air.constants import P0, R_AIR
from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces, state_of
from ramstill.pneumatics.equations import Plumbing
from ramstill.pneumatics.flow import link_flow, residual_slopes
from ramstill.pneumatics.network import Network
from ramstill.pneumatics.outside import Outside, outside_at
from ramstill.pneumatics.surroundings import Surroundings
from ramstill.pneumatics.swelling import SETTLES_S, swollen

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Whole numbers at the head of the block: sizes (N: unknowns), which pieces of time may be looked at, where we
# were last, and where each array begins.
SIZE, N, V, B, L, S, KNOTS, FIRST_PIECE, LAST_PIECE, PIECE, KNOT = range(11)
STARTS = 11
_number = count(STARTS)
# of the plumbing, in the engine's words; PER_A to WARM: worked in
(VOLUME, WALL, HEAT, A, LINK_B, CONDUCTANCE, INERTIA, COMPENSATED, HOLD_AB, HOLD_BA, REYNOLDS, STRAIGHT) = (
    next(_number) for _ in range(12)
)
(WARM_A, WARM_B, FIXED_A, FIXED_B, FADE, SWELL_A, SWELL_B, SOFTNESS, MOST, NUMBERS) = (
    next(_number) for _ in range(10)
)
(TIMES, PRESSURE, LEFT, RIGHT, BEGIN, FIRST_KNOT, LAST_KNOT, OPENNESS, RATE) = (
    next(_number) for _ in range(9)
)
(PER, PLACE, STATE, OPEN, FLOW, ROOM, GROWTH, WARM, INTO, HOT, SWELL_RATE, SWELL_SLOPE, WHOLE) = (
    next(_number) for _ in range(13)
)
HEAD = next(_number)


@dataclass(frozen=True, slots=True)
class Problem:
    """Equations of a network between two times, for any solver.

    block: see above; n: unknowns; begin: ends of the pieces [s]; order (n,): which of the engine's each
    unknown is, neighbours close together; width: furthest neighbour in that order; per (n,): the engine's for
    one of ours, in its order; deadline_s: when to give up, by the clock.
    """

    block: FloatArray
    n: int
    begin: FloatArray
    order: IntArray
    width: int
    per: FloatArray
    plumbing: Plumbing
    deadline_s: float = float("inf")

    def in_time(self) -> None:
        """ArithmeticError when the deadline is past."""
        if perf_counter() > self.deadline_s:
            raise ArithmeticError("too slow")

    def start(self, pressure_pa: FloatArray) -> FloatArray:
        """The unknowns where all the air is as warm as its walls, at pressures of the volumes [Pa]."""
        pressure = np.asarray(pressure_pa, dtype=np.float64)
        return (state_of(self.plumbing, pressure, self.plumbing.wall) / self.per)[self.order]

    def unpermuted(self, found: FloatArray) -> FloatArray:
        """Pressures of the volumes, in the network's own order."""
        place = np.argsort(self.order)
        return found[:, place[: len(self.plumbing.volume)]]

    def only(self, first_piece: int, last_piece: int) -> None:
        """Look at these pieces of time alone, as between two restarts."""
        whole = self.block.view(np.int64)
        whole[FIRST_PIECE], whole[LAST_PIECE], whole[PIECE] = first_piece, last_piece, first_piece

    def stops(self, restarts: bool) -> IntArray:
        """Pieces that begin with a restart, and how many pieces there are."""
        count = len(self.begin) - 1
        return np.arange(count + 1) if restarts else np.array([0, count])


def pose(
    network: Network, surroundings: Surroundings, start_s: float, end_s: float, banded: bool = False
) -> Problem:
    """Pack a network and its surroundings; banded: with neighbours close together."""
    plumbing, touched = assemble(network)
    outside = outside_arrays(surroundings, touched, start_s, end_s)
    cut = pieces(network, surroundings, outside, start_s, end_s)
    v, links, b, s = len(network.node_names), len(plumbing.a), len(touched), len(plumbing.swell_a)
    n = 2 * v + s
    order, width = _neighbours_together(plumbing) if banded else (np.arange(n), n - 1)
    per = np.concatenate([np.ones(v), plumbing.capacity, plumbing.volume[plumbing.swell_a] / P0])
    p = plumbing
    arrays = {
        VOLUME: p.volume,
        WALL: p.wall,
        HEAT: p.heat,
        A: p.a,
        LINK_B: p.b,
        CONDUCTANCE: p.conductance,
        INERTIA: p.inertia,
        COMPENSATED: p.compensated.astype(np.int64),
        HOLD_AB: p.hold_ab,
        HOLD_BA: p.hold_ba,
        REYNOLDS: p.reynolds,
        STRAIGHT: p.straight,
        WARM_A: p.warm_a,
        WARM_B: p.warm_b,
        FIXED_A: p.fixed_a,
        FIXED_B: p.fixed_b,
        FADE: p.fade,
        SWELL_A: p.swell_a,
        SWELL_B: p.swell_b,
        SOFTNESS: p.softness,
        MOST: p.most,
        NUMBERS: np.array([p.gamma, p.carried]),
        TIMES: outside.knots,
        PRESSURE: outside.pressure,
        LEFT: outside.left,
        RIGHT: outside.right,
        BEGIN: cut.begin,
        FIRST_KNOT: cut.first_knot,
        LAST_KNOT: cut.last_knot,
        OPENNESS: cut.openness,
        RATE: cut.opening_rate,
        PER: per,
        PLACE: np.argsort(order),
        STATE: np.zeros(v + b),
        OPEN: np.zeros(links),
        FLOW: np.zeros(links),
        ROOM: p.volume.copy(),
        GROWTH: np.zeros(v),
        WARM: np.concatenate([p.wall, p.wall]),
        INTO: np.zeros(v + b),
        HOT: np.zeros(v + b),
        SWELL_RATE: np.zeros(s),
        SWELL_SLOPE: np.zeros(s),
        WHOLE: np.zeros(n),
    }
    block = np.zeros(HEAD + sum(values.size for values in arrays.values()))
    whole = block.view(np.int64)
    whole[:STARTS] = len(block), n, v, b, links, s, len(outside.knots), 0, len(cut.begin) - 2, 0, 0
    at = HEAD
    for key, values in arrays.items():
        whole[key] = at
        where = whole if values.dtype == np.int64 else block
        where[at : at + values.size] = values.ravel()
        at += values.size
    return Problem(block, n, cut.begin, order, width, per, plumbing)


def _neighbours_together(plumbing: Plumbing) -> tuple[IntArray, int]:
    """An order of the unknowns that makes the Jacobian's band narrow, and its width."""
    v, s = len(plumbing.volume), len(plumbing.swell_a)
    of: list[list[int]] = [[i, v + i] for i in range(v)]
    for k, (a, b) in enumerate(zip(plumbing.swell_a.tolist(), plumbing.swell_b.tolist(), strict=True)):
        for end in (a, b) if b >= 0 else (a,):
            of[end].append(2 * v + k)
    joined = np.eye(2 * v + s, dtype=bool)

    def join(some: Sequence[int]) -> None:
        joined[np.ix_(some, some)] = True

    for a, b in zip(plumbing.a.tolist(), plumbing.b.tolist(), strict=True):
        join([k for end in (a, b) if end < v for k in of[end]])
    for a, b in zip(plumbing.swell_a.tolist(), plumbing.swell_b.tolist(), strict=True):
        join([*of[a], *(of[b] if b >= 0 else ())])
    order = np.asarray(reverse_cuthill_mckee(csr_array(joined), symmetric_mode=True), np.int64)
    place = np.argsort(order)
    rows, columns = np.nonzero(joined)
    return order, int(np.max(np.abs(place[rows] - place[columns])))


@njit(error_model="numpy")
def boundaries_and_openness(t: float, block: FloatArray) -> None:
    """Fill the block's STATE behind the volumes with the pressures outside, and OPEN with the open shares."""
    whole = block.view(np.int64)
    n, b, links, knots = whole[V], whole[B], whole[L], whole[KNOTS]
    begin = whole[BEGIN]
    piece = whole[PIECE]
    while piece < whole[LAST_PIECE] and block[begin + piece + 1] <= t:
        piece += 1
    while piece > whole[FIRST_PIECE] and block[begin + piece] > t:
        piece -= 1
    if piece != whole[PIECE]:
        whole[PIECE] = piece
    knot = max(whole[KNOT], whole[whole[FIRST_KNOT] + piece])
    knot = min(knot, whole[whole[LAST_KNOT] + piece])
    while knot > whole[whole[FIRST_KNOT] + piece] and block[whole[TIMES] + knot] > t:
        knot -= 1
    outside = Outside(
        block[whole[TIMES] : whole[TIMES] + knots],
        block[whole[PRESSURE] : whole[PRESSURE] + knots * b].reshape((knots, b)),
        block[whole[LEFT] : whole[LEFT] + knots * b].reshape((knots, b)),
        block[whole[RIGHT] : whole[RIGHT] + knots * b].reshape((knots, b)),
    )
    since = t - block[begin + piece]
    state = block[whole[STATE] : whole[STATE] + n + b]
    whole[KNOT] = outside_at(
        outside, block[begin + piece], since, knot, whole[whole[LAST_KNOT] + piece], n, state
    )
    row = piece * links
    for i in range(links):
        block[whole[OPEN] + i] = block[whole[OPENNESS] + row + i] + since * block[whole[RATE] + row + i]


@njit(error_model="numpy")
def flow_of(i: int, pa: float, pb: float, block: FloatArray, whole: IntArray) -> float:
    """The engine's law of link i [kg/s]."""
    return link_flow(
        pa,
        pb,
        block[whole[OPEN] + i],
        block[whole[CONDUCTANCE] + i],
        block[whole[INERTIA] + i],
        whole[whole[COMPENSATED] + i] != 0,
        block[whole[HOLD_AB] + i],
        block[whole[HOLD_BA] + i],
        block[whole[REYNOLDS] + i],
        block[whole[STRAIGHT] + i],
    )


@njit(error_model="numpy")
def flow_slopes_of(i: int, pa: float, pb: float, block: FloatArray, whole: IntArray) -> tuple[float, float]:
    """Slopes of that flow by its two pressures [kg/(s Pa)]."""
    _, by_a, by_b, _, by_flow = residual_slopes(
        pa,
        pb,
        block[whole[FLOW] + i],
        block[whole[OPEN] + i],
        block[whole[CONDUCTANCE] + i],
        block[whole[INERTIA] + i],
        whole[whole[COMPENSATED] + i] != 0,
        block[whole[HOLD_AB] + i],
        block[whole[HOLD_BA] + i],
        block[whole[REYNOLDS] + i],
        block[whole[STRAIGHT] + i],
    )
    return by_a / by_flow, by_b / by_flow


@njit(error_model="numpy")
def look(t: float, y: FloatArray, block: FloatArray) -> None:
    """Fill in state, air and flows at unknowns y (n,) and time t [s]; dy/dt, unscaled, in WHOLE."""
    whole = block.view(np.int64)
    v, soft = whole[V], whole[S]
    gamma, carried = block[whole[NUMBERS]], block[whole[NUMBERS] + 1]
    boundaries_and_openness(t, block)
    per, place, state, rate = whole[PER], whole[PLACE], whole[STATE], whole[WHOLE]
    room, growth, warm, into, hot = whole[ROOM], whole[GROWTH], whole[WARM], whole[INTO], whole[HOT]
    for i in range(v):
        block[state + i] = y[whole[place + i]]
        block[room + i], block[growth + i] = block[whole[VOLUME] + i], 0.0
    for i in range(v + whole[B]):
        block[into + i] = block[hot + i] = 0.0
    for k in range(soft):
        a, b = whole[whole[SWELL_A] + k], whole[whole[SWELL_B] + k]
        beyond = block[state + b] if b >= 0 else P0
        grown = y[whole[place + 2 * v + k]] * block[per + 2 * v + k]
        end, block[whole[SWELL_SLOPE] + k] = swollen(
            block[state + a] - beyond, block[whole[SOFTNESS] + k], block[whole[MOST] + k]
        )
        swelling = (end - grown) / SETTLES_S
        block[whole[SWELL_RATE] + k] = block[rate + 2 * v + k] = swelling
        block[room + a] += grown
        block[growth + a] += swelling
        if b >= 0:
            block[room + b] -= grown
            block[growth + b] -= swelling
    for i in range(v):
        mass = y[whole[place + v + i]] * block[per + v + i]
        block[warm + i] = block[state + i] * block[room + i] / (R_AIR * mass)
    for i in range(whole[L]):
        a, b = whole[whole[A] + i], whole[whole[LINK_B] + i]
        w = flow_of(i, block[state + a], block[state + b], block, whole)
        block[whole[FLOW] + i] = w
        first = block[warm + whole[whole[WARM_A] + i]]
        second = block[warm + whole[whole[WARM_B] + i]]
        lean = w / (w * w + block[whole[FADE] + i] ** 2) ** 0.5
        upstream = 0.5 * carried * (first + second + lean * (first - second))
        block[into + a] -= w
        block[hot + a] -= w * (upstream + block[whole[FIXED_A] + i])
        block[into + b] += w
        block[hot + b] += w * (upstream + block[whole[FIXED_B] + i])
    for i in range(v):
        heat = block[whole[HEAT] + i] * (block[whole[WALL] + i] - block[warm + i])
        work = gamma * (R_AIR * block[hot + i] - block[state + i] * block[growth + i])
        block[rate + i] = (work + heat) / block[room + i]
        block[rate + v + i] = block[into + i]


@njit(error_model="numpy")
def slope(t: float, y: FloatArray, block: FloatArray, out: FloatArray) -> None:
    """Fill `out` (n,) with dy/dt [Pa/s] at unknowns y (n,) [Pa] and time t [s]."""
    look(t, y, block)
    whole = block.view(np.int64)
    for k in range(whole[N]):
        out[whole[whole[PLACE] + k]] = block[whole[WHOLE] + k] / block[whole[PER] + k]


@njit(error_model="numpy")
def _add(
    out: FloatArray, origin: int, stride: int, block: FloatArray, row: int, column: int, value: float
) -> None:
    """Add to the slope of the engine's unknown `row` by `column`."""
    whole = block.view(np.int64)
    per, place = whole[PER], whole[PLACE]
    at = origin + whole[place + row] + whole[place + column] * stride
    out[at] += value * block[per + column] / block[per + row]


@njit(error_model="numpy")
def _by_warmth(
    out: FloatArray,
    origin: int,
    stride: int,
    y: FloatArray,
    block: FloatArray,
    row: int,
    m: int,
    value: float,
) -> None:
    """Add what a slope by the temperature of volume m is by its pressure, mass and swelling."""
    whole = block.view(np.int64)
    v, warmth = whole[V], block[whole[WARM] + m]
    mass = y[whole[whole[PLACE] + v + m]] * block[whole[PER] + v + m]
    _add(out, origin, stride, block, row, m, value * warmth / block[whole[STATE] + m])
    _add(out, origin, stride, block, row, v + m, -value * warmth / mass)
    for k in range(whole[S]):
        sign = 1.0 if whole[whole[SWELL_A] + k] == m else (-1.0 if whole[whole[SWELL_B] + k] == m else 0.0)
        if sign != 0.0:
            _add(out, origin, stride, block, row, 2 * v + k, sign * value * warmth / block[whole[ROOM] + m])


@njit(error_model="numpy")
def jacobian(t: float, y: FloatArray, block: FloatArray, out: FloatArray, origin: int, stride: int) -> None:
    """Fill `out`, flat, with the Jacobian [1/s]: row i, column j at origin + i + j * stride.

    Columns one after the other: origin 0 and stride n; a band with s rows kept above the diagonal and columns
    `ldim` long: origin s and stride ldim - 1.
    """
    look(t, y, block)
    whole = block.view(np.int64)
    v, state, warm, room = whole[V], whole[STATE], whole[WARM], whole[ROOM]
    gamma, carried = block[whole[NUMBERS]], block[whole[NUMBERS] + 1]
    out[:] = 0.0
    for i in range(whole[L]):
        a, b = whole[whole[A] + i], whole[whole[LINK_B] + i]
        by_a, by_b = flow_slopes_of(i, block[state + a], block[state + b], block, whole)
        w = block[whole[FLOW] + i]
        warm_a, warm_b = whole[whole[WARM_A] + i], whole[whole[WARM_B] + i]
        first, second = block[warm + warm_a], block[warm + warm_b]
        lean = w / (w * w + block[whole[FADE] + i] ** 2) ** 0.5
        by_flow = 0.5 * carried * (first + second + lean * (2.0 - lean * lean) * (first - second))
        for end in range(2):
            m = a if end == 0 else b
            if m >= v:
                continue
            sign = -1.0 if end == 0 else 1.0
            fixed = block[(whole[FIXED_A] if end == 0 else whole[FIXED_B]) + i]
            scale = sign * gamma * R_AIR / block[room + m]
            if a < v:
                _add(out, origin, stride, block, v + m, a, sign * by_a)
                _add(out, origin, stride, block, m, a, scale * (by_flow + fixed) * by_a)
                _by_warmth(out, origin, stride, y, block, m, a, scale * 0.5 * carried * (w + w * lean))
            if b < v:
                _add(out, origin, stride, block, v + m, b, sign * by_b)
                _add(out, origin, stride, block, m, b, scale * (by_flow + fixed) * by_b)
                _by_warmth(out, origin, stride, y, block, m, b, scale * 0.5 * carried * (w - w * lean))
    for m in range(v):
        heat = block[whole[HEAT] + m]
        if heat != 0.0:
            _by_warmth(out, origin, stride, y, block, m, m, -heat / block[room + m])
    for k in range(whole[S]):
        x, a, b = 2 * v + k, whole[whole[SWELL_A] + k], whole[whole[SWELL_B] + k]
        soft = block[whole[SWELL_SLOPE] + k] / SETTLES_S
        _add(out, origin, stride, block, x, x, -1.0 / SETTLES_S)
        for end in range(2):
            m, sign = (a, 1.0) if end == 0 else (b, -1.0)
            if m < 0:
                continue
            _add(out, origin, stride, block, x, m, sign * soft)
            push = sign * gamma * block[state + m] / block[room + m]
            _add(out, origin, stride, block, m, a, -push * soft)
            if b >= 0:
                _add(out, origin, stride, block, m, b, push * soft)
            rising = sign * block[whole[WHOLE] + m] / block[room + m]
            _add(out, origin, stride, block, m, x, push / SETTLES_S - rising)
            _add(
                out,
                origin,
                stride,
                block,
                m,
                m,
                -gamma * sign * block[whole[SWELL_RATE] + k] / block[room + m],
            )
