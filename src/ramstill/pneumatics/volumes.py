"""The air in the volumes: how pressure, mass and swelling change with the flows, and the slopes of that.

State y (2 n + s,): pressures p [Pa], masses m [kg], swellings X [m3]. V, T = p V / (R m), and with H the
temperature of the air that a link passes (docs/physics.md)

    dm/dt = sum w,  V dp/dt = gamma R sum H w + heat (wall - T) - gamma p dV/dt,  dX/dt = (end - X) / settles

Linear systems are solved for changes of p and T: both rows of a volume then hold nothing of its
neighbours' but what the links between them do.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import P0, R_AIR
from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.equations import Plumbing, Slopes
from ramstill.pneumatics.rows import clear
from ramstill.pneumatics.swelling import SETTLES_S, swollen

FloatArray = NDArray[np.float64]


class Air(NamedTuple):
    """The air of each volume at one state.

    volume (n,) [m3], growth (n,): its rate [m3/s]; temperature (2 n,): of the air, then of the walls [K];
    swell_rate (s,) [m3/s], swell_slope (s,): that of what it comes to in the end [m3/Pa].
    """

    volume: FloatArray
    growth: FloatArray
    temperature: FloatArray
    swell_rate: FloatArray
    swell_slope: FloatArray


class Carried(NamedTuple):
    """What each link carries about one instant.

    by_flow_a, by_flow_b (l,): temperature by which a change of flow counts at either end [K]; by_warm_a,
    by_warm_b (l,): change of H w for each kelvin at either end [kg/s].
    """

    by_flow_a: FloatArray
    by_flow_b: FloatArray
    by_warm_a: FloatArray
    by_warm_b: FloatArray


@jit
def air_at(plumbing: Plumbing, y: FloatArray, air: Air) -> None:
    """Fill `air` from a state y."""
    n = len(plumbing.volume)
    for at in range(len(plumbing.soft)):
        m = plumbing.soft[at]
        air.volume[m], air.growth[m] = plumbing.volume[m], 0.0
    for s in range(len(plumbing.swell_a)):
        a, b = plumbing.swell_a[s], plumbing.swell_b[s]
        beyond = y[b] if b >= 0 else P0
        end, air.swell_slope[s] = swollen(y[a] - beyond, plumbing.softness[s], plumbing.most[s])
        rate = (end - y[2 * n + s]) / SETTLES_S
        air.swell_rate[s] = rate
        air.volume[a] += y[2 * n + s]
        air.growth[a] += rate
        if b >= 0:
            air.volume[b] -= y[2 * n + s]
            air.growth[b] -= rate
    for i in range(n):
        air.temperature[i] = y[i] * air.volume[i] / (R_AIR * y[n + i])


@jit
def carry(
    plumbing: Plumbing,
    temperature: FloatArray,
    flow: FloatArray,
    change: FloatArray,
    carried: Carried,
    into: FloatArray,
) -> None:
    """Fill `into` (n + b, 3) for flows (l,) and for changes of them, by slopes known already.

    Mass of both [kg/s]; mass times temperature of the flows, and of their changes [kg K/s].
    """
    clear(into)
    for i in range(len(plumbing.a)):
        a, b, w, dw = plumbing.a[i], plumbing.b[i], flow[i], change[i]
        first, second = temperature[plumbing.warm_a[i]], temperature[plumbing.warm_b[i]]
        lean = w / (w * w + plumbing.fade[i] ** 2) ** 0.5
        upstream = 0.5 * plumbing.carried * (first + second + lean * (first - second))
        into[a, 0] -= w + dw
        into[a, 1] -= w * (upstream + plumbing.fixed_a[i])
        into[a, 2] -= dw * carried.by_flow_a[i]
        into[b, 0] += w + dw
        into[b, 1] += w * (upstream + plumbing.fixed_b[i])
        into[b, 2] += dw * carried.by_flow_b[i]


@jit
def air_slopes(
    plumbing: Plumbing, air: Air, flow: FloatArray, slopes: Slopes, carried: Carried, stiffness: FloatArray
) -> None:
    """Fill `carried`, and `stiffness` (entries, 4): minus the slopes of both rows by p and T."""
    clear(stiffness)
    scale = plumbing.gamma * R_AIR
    for i in range(len(plumbing.a)):
        first, second = air.temperature[plumbing.warm_a[i]], air.temperature[plumbing.warm_b[i]]
        w = flow[i]
        lean = w / (w * w + plumbing.fade[i] ** 2) ** 0.5
        by_flow = 0.5 * plumbing.carried * (first + second + lean * (2.0 - lean * lean) * (first - second))
        by_flow_a, by_flow_b = by_flow + plumbing.fixed_a[i], by_flow + plumbing.fixed_b[i]
        warm_a = 0.5 * plumbing.carried * (w + w * lean)
        warm_b = 0.5 * plumbing.carried * (w - w * lean)
        carried.by_flow_a[i], carried.by_flow_b[i] = by_flow_a, by_flow_b
        carried.by_warm_a[i], carried.by_warm_b[i] = warm_a, warm_b
        by_a, by_b = slopes.by_a[i], slopes.by_b[i]
        aa, ab = plumbing.slots[i, 0], plumbing.slots[i, 1]
        stiffness[aa, 0] += by_a
        stiffness[aa, 2] += scale * by_flow_a * by_a
        stiffness[aa, 3] += scale * warm_a
        stiffness[ab, 0] += by_b
        stiffness[ab, 2] += scale * by_flow_a * by_b
        stiffness[ab, 3] += scale * warm_b
        ba, bb = plumbing.slots[i, 2], plumbing.slots[i, 3]
        stiffness[ba, 0] -= by_a
        stiffness[ba, 2] -= scale * by_flow_b * by_a
        stiffness[ba, 3] -= scale * warm_a
        stiffness[bb, 0] -= by_b
        stiffness[bb, 2] -= scale * by_flow_b * by_b
        stiffness[bb, 3] -= scale * warm_b
    for m in range(len(plumbing.volume)):
        stiffness[m, 2] += plumbing.gamma * air.growth[m]
        stiffness[m, 3] += plumbing.heat[m]


@jit
def energy_rate(plumbing: Plumbing, air: Air, pressure: float, m: int, carried_in: float) -> float:
    """V dp/dt of a volume [Pa m3/s] from its air, its pressure [Pa] and what flows in [kg K/s]."""
    warming = plumbing.heat[m] * (plumbing.wall[m] - air.temperature[m])
    return float(plumbing.gamma * (R_AIR * carried_in - pressure * air.growth[m]) + warming)


@jit
def rates(
    plumbing: Plumbing,
    y: FloatArray,
    flow: FloatArray,
    air: Air,
    carried: Carried,
    into: FloatArray,
    out: FloatArray,
) -> None:
    """Fill `out` (2 n + s,) with dy/dt at a state and flows (l,) that keep to their law."""
    n = len(plumbing.volume)
    air_at(plumbing, y, air)
    carry(plumbing, air.temperature, flow, np.zeros(len(flow)), carried, into)
    for m in range(n):
        out[m] = energy_rate(plumbing, air, y[m], m, into[m, 1]) / air.volume[m]
        out[n + m] = into[m, 0]
    for s in range(len(plumbing.swell_a)):
        out[2 * n + s] = air.swell_rate[s]


@jit
def air_for(plumbing: Plumbing) -> Air:
    """Arrays of the right sizes, with the walls' temperatures in place."""
    n, soft = len(plumbing.volume), len(plumbing.swell_a)
    volume, temperature = np.zeros(n), np.zeros(2 * n)
    for m in range(n):
        volume[m], temperature[n + m] = plumbing.volume[m], plumbing.wall[m]
    return Air(volume, np.zeros(n), temperature, np.zeros(soft), np.zeros(soft))


@jit
def carried_for(links: int) -> Carried:
    """Arrays of the right sizes."""
    return Carried(np.zeros(links), np.zeros(links), np.zeros(links), np.zeros(links))
