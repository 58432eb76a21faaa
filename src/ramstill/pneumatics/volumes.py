"""The air in the volumes: how pressure, mass and swelling change with the flows, and the slopes of that.

State y (2 n + s,): pressures p [Pa], masses m [kg], swellings X [m3]. V, T = p V / (R m), and with H the
temperature of the air that a link passes (docs/physics.md)

    dm/dt = sum w,  V dp/dt = gamma R sum H w + heat (wall - T) - gamma p dV/dt,  dX/dt = (end - X) / settles

Linear systems are solved for changes of p and T: both rows of a volume then hold nothing of its
neighbours' but what the links between them do.
"""

from math import sqrt
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import P0, R_AIR
from ramstill.pneumatics._compiled import inner_jit
from ramstill.pneumatics.equations import (
    BY_A,
    BY_B,
    BY_FLOW_A,
    BY_FLOW_B,
    BY_WARM_A,
    BY_WARM_B,
)
from ramstill.pneumatics.plumbing import (
    AA,
    AB,
    BA,
    BB,
    FADE_2,
    FIXED_A,
    FIXED_B,
    GROWS,
    HEAT,
    MOST,
    SOFTNESS,
    VOLUME,
    WALL,
    WARM_A,
    WARM_B,
    YIELDS,
    A,
    B,
    Plumbing,
)
from ramstill.pneumatics.rows import clear
from ramstill.pneumatics.swelling import SETTLES_S, swollen

FloatArray = NDArray[np.float64]

# Rows of `room`: volume [m3], how fast it grows [m3/s]. Rows of `swelling`: dX/dt [m3/s], slope of what it
# comes to in the end [m3/Pa].
SIZE, GROWTH = range(2)
RATE, SLOPE = range(2)
# Columns of `into`: mass [kg/s]; mass times temperature [kg K/s].
MASS, HOT = range(2)


class Air(NamedTuple):
    """The air of each volume at one state: temperature (2 n,) [K], of the air, then of the walls; room (2, n)
    and swelling (2, s), rows as named above.
    """

    temperature: FloatArray
    room: FloatArray
    swelling: FloatArray


@inner_jit
def air_at(plumbing: Plumbing, y: FloatArray, air: Air) -> None:
    """Fill `air` from a state y."""
    volumes, ends = plumbing.volumes, plumbing.swell_ends
    temperature, room, swelling = air
    n, soft = volumes.shape[1], ends.shape[1]
    if soft > 0:
        for m in range(n):
            room[SIZE, m], room[GROWTH, m] = volumes[VOLUME, m], 0.0
    for s in range(soft):
        a, b = ends[GROWS, s], ends[YIELDS, s]
        beyond = y[b] if b >= 0 else P0
        end, slope = swollen(y[a] - beyond, plumbing.swells[SOFTNESS, s], plumbing.swells[MOST, s])
        rate = (end - y[2 * n + s]) / SETTLES_S
        swelling[RATE, s], swelling[SLOPE, s] = rate, slope
        room[SIZE, a] += y[2 * n + s]
        room[GROWTH, a] += rate
        if b >= 0:
            room[SIZE, b] -= y[2 * n + s]
            room[GROWTH, b] -= rate
    for m in range(n):
        temperature[m] = y[m] * room[SIZE, m] / (R_AIR * y[n + m])


@inner_jit
def carry(
    plumbing: Plumbing,
    temperature: FloatArray,
    flow: FloatArray,
    change: FloatArray,
    slopes: FloatArray,
    share: FloatArray,
    into: FloatArray,
) -> None:
    """Fill `into` (n + b, 2) for flows (l,) and for changes of them, by slopes known already.

    share (n + b,): how much of the heat that flows bring counts at each end, that of changes counting whole.
    """
    links, ends, carried = plumbing.links, plumbing.ends, 0.5 * plumbing.carried
    clear(into)
    for i in range(ends.shape[1]):
        a, b, w, dw = ends[A, i], ends[B, i], flow[i], change[i]
        first, second = temperature[ends[WARM_A, i]], temperature[ends[WARM_B, i]]
        lean = w / sqrt(w * w + links[FADE_2, i])
        upstream = carried * (first + second + lean * (first - second))
        into[a, MASS] -= w + dw
        into[a, HOT] -= share[a] * w * (upstream + links[FIXED_A, i]) + dw * slopes[BY_FLOW_A, i]
        into[b, MASS] += w + dw
        into[b, HOT] += share[b] * w * (upstream + links[FIXED_B, i]) + dw * slopes[BY_FLOW_B, i]


@inner_jit
def air_slopes(
    plumbing: Plumbing, air: Air, flow: FloatArray, slopes: FloatArray, stiffness: FloatArray
) -> None:
    """Fill the other rows of `slopes`, and `stiffness` (entries, 4): minus the slopes of both rows by p and
    T.
    """
    links, ends, carried = plumbing.links, plumbing.ends, 0.5 * plumbing.carried
    clear(stiffness)
    scale = plumbing.gamma * R_AIR
    for i in range(ends.shape[1]):
        first, second = air.temperature[ends[WARM_A, i]], air.temperature[ends[WARM_B, i]]
        w = flow[i]
        lean = w / sqrt(w * w + links[FADE_2, i])
        by_flow = carried * (first + second + lean * (2.0 - lean * lean) * (first - second))
        by_flow_a, by_flow_b = by_flow + links[FIXED_A, i], by_flow + links[FIXED_B, i]
        warm_a, warm_b = carried * (w + w * lean), carried * (w - w * lean)
        slopes[BY_FLOW_A, i], slopes[BY_FLOW_B, i] = by_flow_a, by_flow_b
        slopes[BY_WARM_A, i], slopes[BY_WARM_B, i] = warm_a, warm_b
        by_a, by_b = slopes[BY_A, i], slopes[BY_B, i]
        aa, ab, ba, bb = ends[AA, i], ends[AB, i], ends[BA, i], ends[BB, i]
        stiffness[aa, 0] += by_a
        stiffness[aa, 2] += scale * by_flow_a * by_a
        stiffness[aa, 3] += scale * warm_a
        stiffness[ab, 0] += by_b
        stiffness[ab, 2] += scale * by_flow_a * by_b
        stiffness[ab, 3] += scale * warm_b
        stiffness[ba, 0] -= by_a
        stiffness[ba, 2] -= scale * by_flow_b * by_a
        stiffness[ba, 3] -= scale * warm_a
        stiffness[bb, 0] -= by_b
        stiffness[bb, 2] -= scale * by_flow_b * by_b
        stiffness[bb, 3] -= scale * warm_b
    for m in range(plumbing.volumes.shape[1]):
        stiffness[m, 2] += plumbing.gamma * air.room[GROWTH, m]
        stiffness[m, 3] += plumbing.volumes[HEAT, m]


@inner_jit
def own_heat(plumbing: Plumbing, air: Air, pressure: float, m: int) -> float:
    """V dp/dt of a volume [Pa m3/s] but for what flows in: from its walls and from growing."""
    warming = plumbing.volumes[HEAT, m] * (plumbing.volumes[WALL, m] - air.temperature[m])
    return float(warming - plumbing.gamma * pressure * air.room[GROWTH, m])


@inner_jit
def rates(
    plumbing: Plumbing,
    y: FloatArray,
    flow: FloatArray,
    slopes: FloatArray,
    air: Air,
    still: FloatArray,
    share: FloatArray,
    into: FloatArray,
    out: FloatArray,
) -> None:
    """Fill `out` (2 n + s,) with dy/dt at a state and flows (l,) that keep to their law.

    still: (l,) zeros; share: (n + b,) ones.
    """
    n, scale = plumbing.volumes.shape[1], plumbing.gamma * R_AIR
    air_at(plumbing, y, air)
    carry(plumbing, air.temperature, flow, still, slopes, share, into)
    for m in range(n):
        out[m] = (own_heat(plumbing, air, y[m], m) + scale * into[m, HOT]) / air.room[SIZE, m]
        out[n + m] = into[m, MASS]
    for s in range(air.swelling.shape[1]):
        out[2 * n + s] = air.swelling[RATE, s]


def air_for(plumbing: Plumbing) -> Air:
    """Arrays of the right sizes, with the volumes and the walls' temperatures in place."""
    n, soft = plumbing.volumes.shape[1], plumbing.swell_ends.shape[1]
    temperature, room = np.zeros(2 * n), np.zeros((2, n))
    room[SIZE], temperature[n:] = plumbing.volume, plumbing.wall
    return Air(temperature, room, np.zeros((2, soft)))
