"""What the air does at one instant: the flow of each link, how far it is out of its law, and the slopes.

A volume's pressure p, mass m and swelling X change as docs/physics.md has it; volumes.py works that out.
Links: the law of flow.py, as an equation between pressures and flow. A change of flow follows from changes
of pressure by the law's slopes, so flow by flow they are put in place of the flows.
"""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import inner_jit, outer_jit
from ramstill.pneumatics.flow import NEAR, link_flow, near_one, residual, residual_slopes
from ramstill.pneumatics.friction import LAMINAR_BELOW
from ramstill.pneumatics.plumbing import (
    AA,
    AB,
    BA,
    BB,
    COMPENSATED,
    CONDUCTANCE,
    HOLD_AB,
    HOLD_BA,
    INERTIA,
    PLAIN,
    REYNOLDS,
    STRAIGHT,
    A,
    B,
    Plumbing,
)
from ramstill.pneumatics.rows import fill

FloatArray = NDArray[np.float64]

# Rows of `slopes` (9, l'), all about one instant. The law's: slopes of the flow by its two pressures
# [kg/(s Pa)] and by time [kg/s2], flow for each unit of residual [-], by how much the flow is to change for
# the law to hold [kg/s]. What the flow carries (volumes.py): temperature by which a change of flow counts at
# either end [K], change of H w for each kelvin there [kg/s].
BY_A, BY_B, BY_TIME, PER_RESIDUAL, OUT_OF_LAW, BY_FLOW_A, BY_FLOW_B, BY_WARM_A, BY_WARM_B = range(9)
SLOPES = 9
# Rows of `drops` (2, l'): difference and sum of the pressures at either end [Pa]; 0 and 1 of dead links.
APART, TOGETHER = range(2)


@inner_jit
def law_of(plumbing: Plumbing, i: int) -> tuple[float, float, bool, float, float, float, float]:
    """What the functions of flow.py take of link i, after pressures, flow and openness."""
    links = plumbing.links
    return (
        links[CONDUCTANCE, i],
        links[INERTIA, i],
        plumbing.kind[i] == COMPENSATED,
        links[HOLD_AB, i],
        links[HOLD_BA, i],
        links[REYNOLDS, i],
        links[STRAIGHT, i],
    )


@outer_jit
def flows_by_law(plumbing: Plumbing, pressure: FloatArray, openness: FloatArray, flow: FloatArray) -> None:
    """Fill `flow` (l,) [kg/s] with what the law says at these pressures (n + b,) [Pa]."""
    ends = plumbing.ends
    for i in range(ends.shape[1]):
        pa, pb = pressure[ends[A, i]], pressure[ends[B, i]]
        flow[i] = link_flow(pa, pb, openness[i], *law_of(plumbing, i))


@inner_jit
def linearise(
    plumbing: Plumbing,
    pressure: FloatArray,
    pressure_rate: FloatArray,
    openness: FloatArray,
    opening_rate: FloatArray,
    flow: FloatArray,
    slopes: FloatArray,
) -> None:
    """Fill the law's rows of `slopes` about pressures (n + b,) and flows (l,).

    pressure_rate (n + b,) [Pa/s] is that of the boundaries: zero for the volumes.
    """
    ends = plumbing.ends
    for i in range(ends.shape[1]):
        a, b = ends[A, i], ends[B, i]
        excess, by_a, by_b, by_o, by_flow = residual_slopes(
            pressure[a], pressure[b], flow[i], openness[i], *law_of(plumbing, i)
        )
        per = 1.0 / by_flow
        by_a *= per
        by_b *= per
        slopes[BY_A, i], slopes[BY_B, i], slopes[PER_RESIDUAL, i] = by_a, by_b, per
        slopes[BY_TIME, i] = by_a * pressure_rate[a] + by_b * pressure_rate[b] + per * by_o * opening_rate[i]
        slopes[OUT_OF_LAW, i] = per * excess


@inner_jit
def put_in_law(
    plumbing: Plumbing,
    pressure: FloatArray,
    openness: FloatArray,
    flow: FloatArray,
    ahead: float,
    slopes: FloatArray,
    drops: FloatArray,
    change: FloatArray,
) -> None:
    """Fill change (l',) [kg/s]: what puts flows into their law at these pressures, and what they change by in
    a time `ahead` [s], both by slopes known already.

    Lanes of links at a time, as if all were plain, laminar and near no expansion, as nearly all are nearly
    always; then those that are not. drops (2, l') is worked in.
    """
    links, ends, kind = plumbing.links, plumbing.ends, plumbing.kind
    for i in range(ends.shape[1]):
        pa, pb = pressure[ends[A, i]], pressure[ends[B, i]]
        drops[APART, i], drops[TOGETHER, i] = pa - pb, pa + pb
    for i in range(links.shape[1]):
        w, apart, together = flow[i], drops[APART, i], drops[TOGETHER, i]
        lost = links[INERTIA, i] * near_one(abs(apart) / together) * abs(w)
        left = links[CONDUCTANCE, i] * openness[i] * openness[i] * apart * together - w * (1.0 + lost)
        change[i] = slopes[PER_RESIDUAL, i] * left + ahead * slopes[BY_TIME, i]
    for i in range(ends.shape[1]):
        laminar = links[REYNOLDS, i] * abs(flow[i]) <= LAMINAR_BELOW
        if kind[i] == PLAIN and laminar and abs(drops[APART, i]) <= NEAR * drops[TOGETHER, i]:
            continue
        pa, pb = pressure[ends[A, i]], pressure[ends[B, i]]
        left = residual(pa, pb, flow[i], openness[i], *law_of(plumbing, i))
        change[i] = slopes[PER_RESIDUAL, i] * left + ahead * slopes[BY_TIME, i]


@inner_jit
def stiffness_of(plumbing: Plumbing, slopes: FloatArray, stiffness: FloatArray) -> None:
    """Fill `stiffness` (flat, see Plan): how the flow out of each volume goes with each pressure."""
    ends = plumbing.ends
    fill(0.0, stiffness)
    for i in range(ends.shape[1]):
        stiffness[ends[AA, i]] += slopes[BY_A, i]
        stiffness[ends[AB, i]] += slopes[BY_B, i]
        stiffness[ends[BA, i]] -= slopes[BY_A, i]
        stiffness[ends[BB, i]] -= slopes[BY_B, i]


@inner_jit
def gather(plumbing: Plumbing, flow: FloatArray, slopes: FloatArray, into: FloatArray) -> None:
    """Fill `into` (n + b,) with what flows into each volume and boundary [kg/s] when flows are lawful."""
    ends = plumbing.ends
    fill(0.0, into)
    for i in range(ends.shape[1]):
        lawful = flow[i] + slopes[OUT_OF_LAW, i]
        into[ends[A, i]] -= lawful
        into[ends[B, i]] += lawful
