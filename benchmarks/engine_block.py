"""A network and its surroundings in one block of floats, for the equations in engine_equations.py.

C code can hand such a block on as one address. These two files alone know how the engine keeps its equations.
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

from ramstill.air.constants import P0
from ramstill.pneumatics import plumbing as rows
from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces, state_of
from ramstill.pneumatics.network import Network
from ramstill.pneumatics.plumbing import Plumbing
from ramstill.pneumatics.surroundings import Surroundings

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# As the engine's own functions are compiled: nobody counts references, and all is put in place.
lean_jit = njit(error_model="numpy", fastmath={"contract"}, _nrt=False, forceinline=True)

# Whole numbers at the head of the block: sizes (N: unknowns), which pieces of time may be looked at, where we
# were last, and where each array begins.
SIZE, N, V, B, L, S, KNOTS, FIRST_PIECE, LAST_PIECE, PIECE, KNOT = range(11)
STARTS = 11
_number = count(STARTS)
# of the plumbing, in the engine's words; PER_A to WARM: worked in
(VOLUME, WALL, HEAT, A, LINK_B, CONDUCTANCE, INERTIA, COMPENSATED, HOLD_AB, HOLD_BA, REYNOLDS, STRAIGHT) = (
    next(_number) for _ in range(12)
)
(WARM_A, WARM_B, FIXED_A, FIXED_B, FADE_2, SWELL_A, SWELL_B, SOFTNESS, MOST, NUMBERS) = (
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
        VOLUME: p.volumes[rows.VOLUME],
        WALL: p.volumes[rows.WALL],
        HEAT: p.volumes[rows.HEAT],
        A: p.ends[rows.A],
        LINK_B: p.ends[rows.B],
        CONDUCTANCE: p.links[rows.CONDUCTANCE, :links],
        INERTIA: p.links[rows.INERTIA, :links],
        COMPENSATED: (p.kind == rows.COMPENSATED).astype(np.int64),
        HOLD_AB: p.links[rows.HOLD_AB, :links],
        HOLD_BA: p.links[rows.HOLD_BA, :links],
        REYNOLDS: p.links[rows.REYNOLDS, :links],
        STRAIGHT: p.links[rows.STRAIGHT, :links],
        WARM_A: p.ends[rows.WARM_A],
        WARM_B: p.ends[rows.WARM_B],
        FIXED_A: p.links[rows.FIXED_A, :links],
        FIXED_B: p.links[rows.FIXED_B, :links],
        FADE_2: p.links[rows.FADE_2, :links],
        SWELL_A: p.swell_a,
        SWELL_B: p.swell_b,
        SOFTNESS: p.swells[rows.SOFTNESS],
        MOST: p.swells[rows.MOST],
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
