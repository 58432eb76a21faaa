"""What the air does at one instant: the flow of each link, what is out of balance, and the slopes of both.

Volumes: C dp/dt = sum of the flows in. Links: the law of flow.py, as an equation between pressures and flow.
A change of flow follows from changes of pressure by the law's slopes, so only the pressures are solved for:
with K_ij the sums of those slopes, (C / (gamma h) + K) u = what flows in, once each flow is put in its place.
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
    """A network for the kernel: n volumes, then the boundaries its links touch.

    capacity (n,) [kg/Pa]; a, b (l,): ends; conductance, inertia, compensated, hold_ab, hold_ba (l,): G,
    E, f and the dead band of flow.py;
    slots (l, 4): matrix entries (a, a), (a, b), (b, a), (b, b), the spare one where an end is a boundary;
    entries: length of the matrix's flat array; plan: how to solve with it.
    """

    capacity: FloatArray
    a: IntArray
    b: IntArray
    conductance: FloatArray
    inertia: FloatArray
    compensated: NDArray[np.bool_]
    hold_ab: FloatArray
    hold_ba: FloatArray
    slots: IntArray
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
    stiffness: FloatArray,
) -> None:
    """Fill out_of_law (l,), slopes and stiffness K (flat, see Plan) about pressures (n + b,) and flows (l,).

    pressure_rate (n + b,) [Pa/s] is that of the boundaries: zero for the volumes. out_of_law [kg/s] is by how
    much each flow is to change for the law to hold.
    """
    stiffness[:] = 0.0
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
        )
        per = 1.0 / by_flow
        by_a *= per
        by_b *= per
        slopes.by_a[i], slopes.by_b[i], slopes.per_residual[i] = by_a, by_b, per
        slopes.rate[i] = by_a * pressure_rate[a] + by_b * pressure_rate[b] + per * by_o * opening_rate[i]
        out_of_law[i] = per * excess
        stiffness[plumbing.slots[i, 0]] += by_a
        stiffness[plumbing.slots[i, 1]] += by_b
        stiffness[plumbing.slots[i, 2]] -= by_a
        stiffness[plumbing.slots[i, 3]] -= by_b


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
        )


@jit
def gather(plumbing: Plumbing, flow: FloatArray, into: FloatArray) -> None:
    """Fill `into` (n + b,) with what flows into each volume and boundary [kg/s]."""
    into[:] = 0.0
    for i in range(len(plumbing.a)):
        into[plumbing.a[i]] -= flow[i]
        into[plumbing.b[i]] += flow[i]
