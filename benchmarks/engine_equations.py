"""The engine's own laws as an ordinary differential equation, for solvers that want one.

dp/dt = (what flows in) / C, and its Jacobian, both compiled, from the functions the engine itself calls. All
that they need lies in one block of floats, so that C code can hand it on as one address. This file alone
knows how the engine stores its equations.
"""

from dataclasses import dataclass
from time import perf_counter

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import reverse_cuthill_mckee

from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces
from ramstill.pneumatics.flow import link_flow, residual_slopes
from ramstill.pneumatics.network import Network
from ramstill.pneumatics.outside import Outside, outside_at
from ramstill.pneumatics.surroundings import Surroundings

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Whole numbers at the head of the block: sizes, which pieces of time may be looked at, where we were last,
# and where each array begins.
SIZE, N, B, L, KNOTS, FIRST_PIECE, LAST_PIECE, PIECE, KNOT = range(9)
STARTS = 9
(
    CAPACITY,
    A,
    LINK_B,
    CONDUCTANCE,
    INERTIA,
    COMPENSATED,
    HOLD_AB,
    HOLD_BA,
    TIMES,
    PRESSURE,
    LEFT,
    RIGHT,
    BEGIN,
    FIRST_KNOT,
    LAST_KNOT,
    OPENNESS,
    RATE,
    STATE,
    OPEN,
) = range(STARTS, STARTS + 19)
HEAD = STARTS + 19


@dataclass(frozen=True, slots=True)
class Problem:
    """Equations of a network between two times, for any solver.

    block: see above; begin: ends of the pieces [s]; order (n,): which volume each unknown is, neighbours
    close together; width: furthest neighbour in that order; deadline_s: when to give up, by the clock.
    """

    block: FloatArray
    n: int
    begin: FloatArray
    order: IntArray
    width: int
    deadline_s: float = float("inf")

    def in_time(self) -> None:
        """ArithmeticError when the deadline is past."""
        if perf_counter() > self.deadline_s:
            raise ArithmeticError("too slow")

    def unpermuted(self, found: FloatArray) -> FloatArray:
        """Columns in the network's own order."""
        put = np.empty_like(found)
        put[:, self.order] = found
        return put

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
    n, links, b = len(network.node_names), len(plumbing.a), len(touched)
    order, width = _neighbours_together(n, plumbing.a, plumbing.b) if banded else (np.arange(n), n - 1)
    place = np.concatenate([np.argsort(order), np.arange(n, n + b)])
    arrays = {
        CAPACITY: plumbing.capacity[order],
        A: place[plumbing.a],
        LINK_B: place[plumbing.b],
        CONDUCTANCE: plumbing.conductance,
        INERTIA: plumbing.inertia,
        COMPENSATED: plumbing.compensated.astype(np.int64),
        HOLD_AB: plumbing.hold_ab,
        HOLD_BA: plumbing.hold_ba,
        TIMES: outside.knots,
        PRESSURE: outside.pressure,
        LEFT: outside.left,
        RIGHT: outside.right,
        BEGIN: cut.begin,
        FIRST_KNOT: cut.first_knot,
        LAST_KNOT: cut.last_knot,
        OPENNESS: cut.openness,
        RATE: cut.opening_rate,
        STATE: np.zeros(n + b),
        OPEN: np.zeros(links),
    }
    block = np.zeros(HEAD + sum(values.size for values in arrays.values()))
    whole = block.view(np.int64)
    whole[:STARTS] = len(block), n, b, links, len(outside.knots), 0, len(cut.begin) - 2, 0, 0
    at = HEAD
    for key, values in arrays.items():
        whole[key] = at
        where = whole if values.dtype == np.int64 else block
        where[at : at + values.size] = values.ravel()
        at += values.size
    return Problem(block, n, cut.begin, order, width)


def _neighbours_together(n: int, a: IntArray, b: IntArray) -> tuple[IntArray, int]:
    """An order of the volumes that makes the Jacobian's band narrow, and its width."""
    inner = (a < n) & (b < n)
    joined = coo_array((np.ones(inner.sum()), (a[inner], b[inner])), shape=(n, n))
    order = np.asarray(reverse_cuthill_mckee((joined + joined.T).tocsr(), symmetric_mode=True), np.int64)
    place = np.argsort(order)
    return order, int(np.max(np.abs(place[a[inner]] - place[b[inner]]), initial=0))


@njit(error_model="numpy")
def boundaries_and_openness(t: float, block: FloatArray) -> None:
    """Fill the block's STATE behind the volumes with the pressures outside, and OPEN with the open shares."""
    whole = block.view(np.int64)
    n, b, links, knots = whole[N], whole[B], whole[L], whole[KNOTS]
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
    )


@njit(error_model="numpy")
def flow_slopes_of(i: int, pa: float, pb: float, block: FloatArray, whole: IntArray) -> tuple[float, float]:
    """Slopes of that flow by its two pressures [kg/(s Pa)]."""
    _, by_a, by_b, _, by_flow = residual_slopes(
        pa,
        pb,
        flow_of(i, pa, pb, block, whole),
        block[whole[OPEN] + i],
        block[whole[CONDUCTANCE] + i],
        block[whole[INERTIA] + i],
        whole[whole[COMPENSATED] + i] != 0,
        block[whole[HOLD_AB] + i],
        block[whole[HOLD_BA] + i],
    )
    return by_a / by_flow, by_b / by_flow


@njit(error_model="numpy")
def slope(t: float, y: FloatArray, block: FloatArray, out: FloatArray) -> None:
    """Fill `out` (n,) with dp/dt [Pa/s] at pressures y (n,) [Pa] and time t [s]."""
    whole = block.view(np.int64)
    n, links = whole[N], whole[L]
    boundaries_and_openness(t, block)
    state = block[whole[STATE] : whole[STATE] + n + whole[B]]
    for i in range(n):
        state[i] = y[i]
        out[i] = 0.0
    for i in range(links):
        a, b = whole[whole[A] + i], whole[whole[LINK_B] + i]
        flow = flow_of(i, state[a], state[b], block, whole)
        if a < n:
            out[a] -= flow
        if b < n:
            out[b] += flow
    for i in range(n):
        out[i] /= block[whole[CAPACITY] + i]


@njit(error_model="numpy")
def jacobian(t: float, y: FloatArray, block: FloatArray, out: FloatArray, origin: int, stride: int) -> None:
    """Fill `out`, flat, with the Jacobian [1/s]: row i, column j at origin + i + j * stride.

    Columns one after the other: origin 0 and stride n; a band with s rows kept above the diagonal and columns
    `ldim` long: origin s and stride ldim - 1.
    """
    whole = block.view(np.int64)
    n, links = whole[N], whole[L]
    boundaries_and_openness(t, block)
    state = block[whole[STATE] : whole[STATE] + n + whole[B]]
    for i in range(n):
        state[i] = y[i]
    out[:] = 0.0
    for i in range(links):
        a, b = whole[whole[A] + i], whole[whole[LINK_B] + i]
        by_a, by_b = flow_slopes_of(i, state[a], state[b], block, whole)
        if a < n:
            per = 1.0 / block[whole[CAPACITY] + a]
            out[origin + a + a * stride] -= by_a * per
            if b < n:
                out[origin + a + b * stride] -= by_b * per
        if b < n:
            per = 1.0 / block[whole[CAPACITY] + b]
            out[origin + b + b * stride] += by_b * per
            if a < n:
                out[origin + b + a * stride] += by_a * per
