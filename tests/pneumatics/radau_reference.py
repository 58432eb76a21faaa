"""SciPy's Radau over a network, restarted at every kink: with the engine's equations, or any other."""

from itertools import pairwise

import numpy as np
from numba import njit
from scipy.integrate import solve_ivp

from ramstill.pneumatics import Inside
from ramstill.pneumatics.assembly import assemble, open_shares, outside_arrays, pieces, state_of
from ramstill.pneumatics.equations import SLOPES, flows_by_law, linearise
from ramstill.pneumatics.network import Network
from ramstill.pneumatics.outside import outside_at
from ramstill.pneumatics.plumbing import AA, GROWS, MOST, YIELDS, A, B
from ramstill.pneumatics.surroundings import Surroundings
from ramstill.pneumatics.swelling import SETTLES_S
from ramstill.pneumatics.volumes import SIZE, SLOPE, air_for, air_slopes, rates

RTOL = 1e-10
# Pressures [Pa], and the rest as what it makes in pressure at 1 bar: masses and swellings over their volume.
ATOL_PA = 1e-7


@njit(error_model="numpy")
def _slope(plumbing, outside, cut, piece, t, y, scratch, out):
    pressure, openness, flow, air, slopes, into = scratch
    n = plumbing.volumes.shape[1]
    origin = cut.begin[piece]
    outside_at(outside, origin, t - origin, cut.first_knot[piece], cut.last_knot[piece], n, pressure)
    pressure[:n] = y[:n]
    openness[:] = cut.openness[piece] + (t - origin) * cut.opening_rate[piece]
    flows_by_law(plumbing, pressure, openness, flow)
    still, whole = np.zeros(len(flow)), np.ones(len(pressure))
    rates(plumbing, y, flow, slopes, air, still, whole, into, out)


@njit(error_model="numpy")
def _jacobian(plumbing, outside, cut, piece, t, y, scratch, jac):
    """Slopes of dy/dt, dense: those of the engine's linear system, without its change of unknowns."""
    pressure, openness, flow, air, slopes, _ = scratch
    n, links, ends = plumbing.volumes.shape[1], plumbing.ends.shape[1], plumbing.ends
    rate, idle = np.zeros(len(y)), np.zeros(links)
    _slope(plumbing, outside, cut, piece, t, y, scratch, rate)
    linearise(plumbing, pressure, np.zeros(len(pressure)), openness, idle, flow, slopes)
    stiffness = np.zeros((plumbing.entries, 4))
    air_slopes(plumbing, air, flow, slopes, stiffness)
    jac[:] = 0.0
    by_warmth = np.zeros((2 * n, n))
    done = np.zeros(plumbing.entries, dtype=np.bool_)
    for i in range(links):
        a, b = ends[A, i], ends[B, i]
        for k, (row, column) in enumerate(((a, a), (a, b), (b, a), (b, b))):
            slot = ends[AA + k, i]
            if max(row, column) >= n or done[slot]:
                continue
            done[slot] = True
            jac[n + row, column] = -stiffness[slot, 0]
            jac[row, column] = -stiffness[slot, 2] / air.room[SIZE, row]
            by_warmth[row, column] = -stiffness[slot, 3] / air.room[SIZE, row]
    for m in range(n):
        if not done[m]:  # a volume without a link
            jac[m, m] = -stiffness[m, 2] / air.room[SIZE, m]
            by_warmth[m, m] = -stiffness[m, 3] / air.room[SIZE, m]
    for m in range(n):
        warmth = air.temperature[m]
        for row in range(n):
            jac[row, m] += by_warmth[row, m] * warmth / y[m]
            jac[row, n + m] -= by_warmth[row, m] * warmth / y[n + m]
    swells = plumbing.swell_ends
    for s in range(swells.shape[1]):
        x, slope = 2 * n + s, air.swelling[SLOPE, s]
        jac[x, x] = -1.0 / SETTLES_S
        for end in range(2):
            m = swells[GROWS + end, s]
            if m < 0:
                continue
            sign = 1.0 if end == 0 else -1.0
            jac[x, m] = sign * slope / SETTLES_S
            for row in range(n):
                jac[row, x] += sign * by_warmth[row, m] * air.temperature[m] / air.room[SIZE, m]
            jac[m, x] -= sign * rate[m] / air.room[SIZE, m]
        for end in range(2):
            m = swells[GROWS + end, s]
            if m < 0:
                continue
            sign = 1.0 if end == 0 else -1.0
            pushed = plumbing.gamma * y[m] / air.room[SIZE, m] * sign
            jac[m, x] += pushed / SETTLES_S
            jac[m, swells[GROWS, s]] -= pushed * slope / SETTLES_S
            if swells[YIELDS, s] >= 0:
                jac[m, swells[YIELDS, s]] += pushed * slope / SETTLES_S


class SameEquations:
    """The engine's own rates of change where Radau asks."""

    def __init__(self, network: Network, surroundings: Surroundings, start: float, end: float) -> None:
        self.plumbing, touched = assemble(network)
        self.outside = outside_arrays(surroundings, touched, start, end)
        self.pieces = pieces(network, surroundings, self.outside, start, end)
        n, links = len(network.node_names), len(network.link_names)
        both = n + len(touched)
        self.scratch = (
            np.zeros(both),
            np.zeros(links),
            np.zeros(links),
            air_for(self.plumbing),
            np.zeros((SLOPES, links)),
            np.zeros((both, 2)),
        )
        volume = self.plumbing.volume
        self.per_pa = np.concatenate([np.ones(n), self.plumbing.capacity, self.plumbing.swells[MOST] * 1e-5])
        assert (volume > 0.0).all()

    def state(self, inside: Inside):
        return state_of(self.plumbing, inside.pressure_pa, inside.temperature_k)

    def slope(self, t, y, piece, _end=None):
        out = np.zeros(len(y))
        _slope(self.plumbing, self.outside, self.pieces, piece, t, y, self.scratch, out)
        return out

    def jacobian(self, t, y, piece, _end=None):
        out = np.zeros((len(y), len(y)))
        _jacobian(self.plumbing, self.outside, self.pieces, piece, t, y, self.scratch, out)
        return out


def radau(network, surroundings, output_s, initial, equations=None, rtol=RTOL, atol_pa=ATOL_PA):
    """Pressures (len(output_s), n) [Pa]. initial: pressures, or an `Inside`."""
    output_s = np.asarray(output_s, dtype=float)
    start, end = surroundings.start_s, float(output_s[-1])
    if not isinstance(initial, Inside):
        initial = Inside(np.array(initial, dtype=float), np.array(network.temperature_k))
    equations = (equations or SameEquations)(network, surroundings, start, end)
    n = len(network.node_names)
    kinks = {surroundings.start_s, surroundings.end_s, *surroundings.kinks_s}
    kinks |= {t for s in open_shares(network, surroundings) if s is not None for t in s.knots}
    cuts = [start, *sorted(t for t in kinks if start < t < end), end]
    y, out = equations.state(initial), np.empty((len(output_s), n))
    out[output_s <= start] = y[:n]
    for piece, (a, b) in enumerate(pairwise(cuts)):
        wanted = (output_s > a) & (output_s <= b)
        found = solve_ivp(
            equations.slope,
            (a, b),
            y,
            method="Radau",
            rtol=rtol,
            atol=atol_pa * equations.per_pa,
            t_eval=np.unique(np.append(output_s[wanted], b)),
            args=(piece, b),
            jac=getattr(equations, "jacobian", None),
            first_step=min(1e-6, 0.1 * (b - a)),
        )
        assert found.success, found.message
        out[wanted] = found.y[:n].T[: int(wanted.sum())]
        y = found.y[:, -1]
    return out
