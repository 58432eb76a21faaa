"""What the air does at one instant: the flow of each link, how far it is out of its law, and the slopes.

A volume's pressure p, mass m and swelling X change as docs/physics.md has it; volumes.py works that out.
Links: the law of flow.py, as an equation between pressures and flow. A change of flow follows from changes
of pressure by the law's slopes, so flow by flow they are put in place of the flows.
"""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import lean_jit
from ramstill.pneumatics.flow import link_flow, plain_residual, residual, residual_slopes
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

FloatArray = NDArray[np.float64]

# Rows of `slopes` (9, l), all about one instant. The law's: slopes of the flow by its two pressures
# [kg/(s Pa)] and by time [kg/s2], flow for each unit of residual [-], by how much the flow is to change for
# the law to hold [kg/s]. What the flow carries (volumes.py): temperature by which a change of flow counts at
# either end [K], change of H w for each kelvin there [kg/s].
BY_A, BY_B, BY_TIME, PER_RESIDUAL, OUT_OF_LAW, BY_FLOW_A, BY_FLOW_B, BY_WARM_A, BY_WARM_B = range(9)
SLOPES = 9


@lean_jit
def law_of(plumbing: Plumbing, i: int, pa: float, pb: float, openness: float) -> float:
    """What the law says flows through link i [kg/s]."""
    links = plumbing.links
    return link_flow(
        pa,
        pb,
        openness,
        links[CONDUCTANCE, i],
        links[INERTIA, i],
        plumbing.kind[i] == COMPENSATED,
        links[HOLD_AB, i],
        links[HOLD_BA, i],
        links[REYNOLDS, i],
        links[STRAIGHT, i],
    )


@lean_jit
def law_slopes_of(
    plumbing: Plumbing, i: int, pa: float, pb: float, flow: float, openness: float
) -> tuple[float, float, float, float, float]:
    """`residual_slopes` of link i."""
    links = plumbing.links
    return residual_slopes(
        pa,
        pb,
        flow,
        openness,
        links[CONDUCTANCE, i],
        links[INERTIA, i],
        plumbing.kind[i] == COMPENSATED,
        links[HOLD_AB, i],
        links[HOLD_BA, i],
        links[REYNOLDS, i],
        links[STRAIGHT, i],
    )


@lean_jit
def flows_by_law(plumbing: Plumbing, pressure: FloatArray, openness: FloatArray, flow: FloatArray) -> None:
    """Fill `flow` (l,) [kg/s] with what the law says at these pressures (n + b,) [Pa]."""
    ends = plumbing.ends
    for i in range(ends.shape[1]):
        flow[i] = law_of(plumbing, i, pressure[ends[A, i]], pressure[ends[B, i]], openness[i])


@lean_jit
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
        excess, by_a, by_b, by_o, by_flow = law_slopes_of(
            plumbing, i, pressure[a], pressure[b], flow[i], openness[i]
        )
        per = 1.0 / by_flow
        by_a *= per
        by_b *= per
        slopes[BY_A, i], slopes[BY_B, i], slopes[PER_RESIDUAL, i] = by_a, by_b, per
        slopes[BY_TIME, i] = by_a * pressure_rate[a] + by_b * pressure_rate[b] + per * by_o * opening_rate[i]
        slopes[OUT_OF_LAW, i] = per * excess


@lean_jit
def put_in_law(
    plumbing: Plumbing,
    pressure: FloatArray,
    openness: FloatArray,
    flow: FloatArray,
    ahead: float,
    slopes: FloatArray,
    change: FloatArray,
) -> None:
    """Fill change (l,) [kg/s]: what puts flows into their law at these pressures, and what they change by in
    a time `ahead` [s], both by slopes known already.
    """
    ends, links, kind = plumbing.ends, plumbing.links, plumbing.kind
    for i in range(ends.shape[1]):
        pa, pb, w, o = pressure[ends[A, i]], pressure[ends[B, i]], flow[i], openness[i]
        g, e, reynolds, straight = (
            links[CONDUCTANCE, i],
            links[INERTIA, i],
            links[REYNOLDS, i],
            links[STRAIGHT, i],
        )
        if kind[i] == PLAIN:
            left = plain_residual(pa, pb, w, g * o * o, e, reynolds, straight)
        else:
            compensated, ab, ba = kind[i] == COMPENSATED, links[HOLD_AB, i], links[HOLD_BA, i]
            left = residual(pa, pb, w, o, g, e, compensated, ab, ba, reynolds, straight)
        change[i] = slopes[PER_RESIDUAL, i] * left + ahead * slopes[BY_TIME, i]


@lean_jit
def stiffness_of(plumbing: Plumbing, slopes: FloatArray, stiffness: FloatArray) -> None:
    """Fill `stiffness` (flat, see Plan): how the flow out of each volume goes with each pressure."""
    ends = plumbing.ends
    stiffness[:] = 0.0
    for i in range(ends.shape[1]):
        stiffness[ends[AA, i]] += slopes[BY_A, i]
        stiffness[ends[AB, i]] += slopes[BY_B, i]
        stiffness[ends[BA, i]] -= slopes[BY_A, i]
        stiffness[ends[BB, i]] -= slopes[BY_B, i]


@lean_jit
def gather(plumbing: Plumbing, flow: FloatArray, into: FloatArray) -> None:
    """Fill `into` (n + b,) with what flows into each volume and boundary [kg/s]."""
    ends = plumbing.ends
    into[:] = 0.0
    for i in range(ends.shape[1]):
        into[ends[A, i]] -= flow[i]
        into[ends[B, i]] += flow[i]
