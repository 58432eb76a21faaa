"""A network as the kernel holds it: few arrays, each with a row for every figure it has.

Rows lie one after the other in memory, so that a loop over links or volumes runs along them. Few arrays also
compile quickly: every one that is handed from function to function costs time there.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics.elimination import Plan

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Rows of `volumes`: mass for each pascal at the walls' temperature [kg/Pa]; room with nothing swollen [m3];
# the walls' temperature [K]; gamma - 1 times what they pass [W/K].
CAPACITY, VOLUME, WALL, HEAT = range(4)
# Rows of `links`: G [kg/(s Pa^2)] and E [s/kg] of flow.py; Re for each unit of flow [s/kg] and a tube's own
# share [-]; difference held back either way [Pa]; square of the flow in which upstream turns over [kg2/s2];
# temperature of the air that passes, at either end [K], on top of `carried` times that upstream.
CONDUCTANCE, INERTIA, REYNOLDS, STRAIGHT, HOLD_AB, HOLD_BA, FADE_2, FIXED_A, FIXED_B = range(9)
# Rows of `ends`: volumes or boundaries a link joins; which of n temperatures of the air and n of the walls
# the air at either end has; matrix entries (a, a), (a, b), (b, a), (b, b), the spare one where an end is a
# boundary.
A, B, WARM_A, WARM_B, AA, AB, BA, BB = range(8)
# Kinds of link: viscous and inertial losses alone; a compensated leak; what holds a difference back.
PLAIN, COMPENSATED, HOLDING = range(3)
# Rows of `swells`: compliance [m3/Pa]; swelling at the stops [m3].
SOFTNESS, MOST = range(2)
# Rows of `swell_ends`: what grows, what gives way (-1 for nothing), and matrix entries as in `ends`.
GROWS, YIELDS, GROWS_GROWS, GROWS_YIELDS, YIELDS_GROWS, YIELDS_YIELDS = range(6)

LANES = 8  # links worked out side by side


class Plumbing(NamedTuple):
    """n volumes, then the b boundaries its links touch; l links, s that swell. Rows as named above.

    volumes (4, n), links (9, l'), ends (8, l), kind (l,), swells (2, s), swell_ends (6, s); l' is l and as
    many dead ones as it takes to make up whole `LANES`; gamma: 1.4, or 1 where the air keeps its
    temperature; carried: the air that passes has fixed + carried times the temperature upstream; entries: how
    many the matrix has, the spare one the last; plan: how to solve with them.
    """

    volumes: FloatArray
    links: FloatArray
    ends: IntArray
    kind: IntArray
    swells: FloatArray
    swell_ends: IntArray
    gamma: float
    carried: float
    entries: int
    plan: Plan

    @property
    def volume(self) -> FloatArray:
        """With nothing swollen, (n,) [m3]."""
        return np.asarray(self.volumes[VOLUME])

    @property
    def capacity(self) -> FloatArray:
        """Mass for each pascal at the walls' temperature, (n,) [kg/Pa]."""
        return np.asarray(self.volumes[CAPACITY])

    @property
    def wall(self) -> FloatArray:
        """Temperature of the walls, (n,) [K]."""
        return np.asarray(self.volumes[WALL])

    @property
    def conductance(self) -> FloatArray:
        """G of each link, (l,) [kg/(s Pa^2)]."""
        return np.asarray(self.links[CONDUCTANCE, : len(self.kind)])

    @property
    def a(self) -> IntArray:
        """Where each link begins, (l,)."""
        return np.asarray(self.ends[A])

    @property
    def b(self) -> IntArray:
        """Where each link ends, (l,)."""
        return np.asarray(self.ends[B])

    @property
    def swell_a(self) -> IntArray:
        """What grows, (s,)."""
        return np.asarray(self.swell_ends[GROWS])

    @property
    def swell_b(self) -> IntArray:
        """What gives way, (s,); -1 for nothing."""
        return np.asarray(self.swell_ends[YIELDS])
