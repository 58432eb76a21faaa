"""What the air does at one instant: the flow of each link, how far it is out of its law, and the slopes.

A volume's pressure p, mass m and swelling X change as docs/physics.md has it; volumes.py works that out.
Links: the law of flow.py, as an equation between pressures and flow. A change of flow follows from changes
of pressure by the law's slopes, so flow by flow they are put in place of the flows.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.elimination import Plan
from ramstill.pneumatics.flow import link_flow, residual, residual_slopes

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Plumbing(NamedTuple):
    """A network for the kernel: n volumes, then the boundaries its links touch; l links, s that swell.

    capacity (n,): mass for each pascal at the walls' temperature [kg/Pa]; volume (n,): with nothing swollen
    [m3]; wall (n,): temperature [K]; heat (n,): gamma - 1 times what the walls pass [W/K]; gamma: 1.4, or 1
    where the air keeps its temperature;
    a, b (l,): ends; conductance, inertia, compensated, hold_ab, hold_ba, reynolds, straight (l,): G, E, f,
    the dead band, Re for each unit of flow and a tube's own share of flow.py; warm_a, warm_b (l,): which of
    n temperatures of the air and n of the walls the air at either end has; fixed_a, fixed_b (l,) [K] and
    carried: the air that passes has the temperature fixed + carried times that upstream; fade (l,): flow
    [kg/s] in which upstream turns over;
    swell_a, swell_b (s,): what grows and what gives way (-1 for nothing); softness (s,) [m3/Pa]; most (s,):
    swelling at the stops [m3]; soft: all volumes that
    change;
    slots (l, 4), swell_slots (s, 4): matrix entries (a, a), (a, b), (b, a), (b, b), the spare one where an
    end is a boundary; entries: how many there are; plan: how to solve with them.
    """

    capacity: FloatArray
    volume: FloatArray
    wall: FloatArray
    heat: FloatArray
    gamma: float
    a: IntArray
    b: IntArray
    conductance: FloatArray
    inertia: FloatArray
    compensated: NDArray[np.bool_]
    hold_ab: FloatArray
    hold_ba: FloatArray
    reynolds: FloatArray
    straight: FloatArray
    warm_a: IntArray
    warm_b: IntArray
    fixed_a: FloatArray
    fixed_b: FloatArray
    carried: float
    fade: FloatArray
    swell_a: IntArray
    swell_b: IntArray
    softness: FloatArray
    most: FloatArray
    soft: IntArray
    slots: IntArray
    swell_slots: IntArray
    entries: int
    plan: Plan


class Slopes(NamedTuple):
    """The law about one instant: (l,) slopes of each flow by its two pressures and by time, and what tames
    it.

    by_a, by_b [kg/(s Pa)]; rate [kg/s2]; per_residual [-]: flow for each unit of residual.
    """

    by_a: FloatArray
    by_b: FloatArray
    rate: FloatArray
    per_residual: FloatArray


@jit
def flows_by_law(plumbing: Plumbing, pressure: FloatArray, openness: FloatArray, flow: FloatArray) -> None:
    """Fill `flow` (l,) [kg/s] with what the law says at these pressures (n + b,) [Pa]."""
    for i in range(len(plumbing.a)):
        flow[i] = link_flow(
            pressure[plumbing.a[i]],
            pressure[plumbing.b[i]],
            openness[i],
            plumbing.conductance[i],
            plumbing.inertia[i],
            plumbing.compensated[i],
            plumbing.hold_ab[i],
            plumbing.hold_ba[i],
            plumbing.reynolds[i],
            plumbing.straight[i],
        )


@jit
def linearise(
    plumbing: Plumbing,
    pressure: FloatArray,
    pressure_rate: FloatArray,
    openness: FloatArray,
    opening_rate: FloatArray,
    flow: FloatArray,
    out_of_law: FloatArray,
    slopes: Slopes,
) -> None:
    """Fill out_of_law (l,) and slopes about pressures (n + b,) and flows (l,).

    pressure_rate (n + b,) [Pa/s] is that of the boundaries: zero for the volumes. out_of_law [kg/s] is by how
    much each flow is to change for the law to hold.
    """
    for i in range(len(plumbing.a)):
        a, b = plumbing.a[i], plumbing.b[i]
        excess, by_a, by_b, by_o, by_flow = residual_slopes(
            pressure[a],
            pressure[b],
            flow[i],
            openness[i],
            plumbing.conductance[i],
            plumbing.inertia[i],
            plumbing.compensated[i],
            plumbing.hold_ab[i],
            plumbing.hold_ba[i],
            plumbing.reynolds[i],
            plumbing.straight[i],
        )
        per = 1.0 / by_flow
        by_a *= per
        by_b *= per
        slopes.by_a[i], slopes.by_b[i], slopes.per_residual[i] = by_a, by_b, per
        slopes.rate[i] = by_a * pressure_rate[a] + by_b * pressure_rate[b] + per * by_o * opening_rate[i]
        out_of_law[i] = per * excess


@jit
def stiffness_of(plumbing: Plumbing, slopes: Slopes, stiffness: FloatArray) -> None:
    """Fill `stiffness` (flat, see Plan): how the flow out of each volume goes with each pressure."""
    stiffness[:] = 0.0
    for i in range(len(plumbing.a)):
        stiffness[plumbing.slots[i, 0]] += slopes.by_a[i]
        stiffness[plumbing.slots[i, 1]] += slopes.by_b[i]
        stiffness[plumbing.slots[i, 2]] -= slopes.by_a[i]
        stiffness[plumbing.slots[i, 3]] -= slopes.by_b[i]


@jit
def put_in_law(
    plumbing: Plumbing,
    pressure: FloatArray,
    openness: FloatArray,
    flow: FloatArray,
    slopes: Slopes,
    out_of_law: FloatArray,
) -> None:
    """Fill out_of_law (l,) [kg/s] at these pressures and flows, by slopes known already."""
    for i in range(len(plumbing.a)):
        out_of_law[i] = slopes.per_residual[i] * residual(
            pressure[plumbing.a[i]],
            pressure[plumbing.b[i]],
            flow[i],
            openness[i],
            plumbing.conductance[i],
            plumbing.inertia[i],
            plumbing.compensated[i],
            plumbing.hold_ab[i],
            plumbing.hold_ba[i],
            plumbing.reynolds[i],
            plumbing.straight[i],
        )


@jit
def gather(plumbing: Plumbing, flow: FloatArray, into: FloatArray) -> None:
    """Fill `into` (n + b,) with what flows into each volume and boundary [kg/s]."""
    into[:] = 0.0
    for i in range(len(plumbing.a)):
        into[plumbing.a[i]] -= flow[i]
        into[plumbing.b[i]] += flow[i]
