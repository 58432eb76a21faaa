"""SciPy's Radau over a network, restarted at every kink: with the engine's equations, or any other."""

from itertools import pairwise

import numpy as np
from scipy.integrate import solve_ivp

from ramstill.pneumatics.assembly import assemble, open_shares
from ramstill.pneumatics.equations import flows_by_law, gather
from ramstill.pneumatics.flow import residual_slopes
from ramstill.pneumatics.network import Network
from ramstill.pneumatics.surroundings import Surroundings

RTOL, ATOL = 1e-10, 1e-7


class SameEquations:
    """The engine's flow laws and slopes where Radau asks, with the surroundings' own interpolation."""

    def __init__(self, network: Network, surroundings: Surroundings) -> None:
        self.plumbing, touched = assemble(network)
        self.columns = [surroundings.column(name) for name in touched]
        self.surroundings = surroundings
        self.shares = open_shares(network, surroundings)
        self.n, self.links = len(network.node_names), len(network.link_names)

    def _evaluate(self, t, y, end):
        p = self.plumbing
        pressure = np.concatenate([y, outside(self.surroundings, t, end)[self.columns]])
        openness = np.array([1.0 if s is None else value(s, t, end) for s in self.shares])
        flow, into = np.zeros(self.links), np.zeros(len(pressure))
        flows_by_law(p, pressure, openness, flow)
        gather(p, flow, into)
        return pressure, openness, flow, into[: self.n] / p.capacity

    def slope(self, t, y, end):
        return self._evaluate(t, y, end)[3]

    def jacobian(self, t, y, end):
        p, n = self.plumbing, self.n
        pressure, openness, flow, _ = self._evaluate(t, y, end)
        full = np.zeros((len(pressure), len(pressure)))
        for i, (a, b) in enumerate(zip(p.a, p.b, strict=True)):
            _, by_a, by_b, _, by_flow = residual_slopes(
                pressure[a],
                pressure[b],
                flow[i],
                openness[i],
                p.conductance[i],
                p.inertia[i],
                p.compensated[i],
            )
            full[a, [a, b]] -= np.array([by_a, by_b]) / by_flow
            full[b, [a, b]] += np.array([by_a, by_b]) / by_flow
        return full[:n, :n] / p.capacity[:, None]


def outside(surroundings, t, end):
    """Boundary pressures; at the end of a piece, those just before it."""
    return (surroundings.at_left([t]) if t >= end else surroundings.at([t]))[0]


def value(schedule, t, end):
    return float(schedule.at_left([t])[0]) if t >= end else float(schedule.at(t))


def radau(network, surroundings, output_s, initial_pa, equations=None, rtol=RTOL, atol=ATOL):
    """Pressures (len(output_s), n) [Pa]."""
    equations = equations or SameEquations(network, surroundings)
    output_s = np.asarray(output_s, dtype=float)
    kinks = {surroundings.start_s, surroundings.end_s, *surroundings.kinks_s}
    kinks |= {t for s in open_shares(network, surroundings) if s is not None for t in s.knots}
    start, end = surroundings.start_s, float(output_s[-1])
    cuts = [start, *sorted(t for t in kinks if start < t < end), end]
    y, out = np.array(initial_pa, dtype=float), np.empty((len(output_s), len(initial_pa)))
    out[output_s <= start] = y
    for a, b in pairwise(cuts):
        wanted = (output_s > a) & (output_s <= b)
        found = solve_ivp(
            equations.slope,
            (a, b),
            y,
            method="Radau",
            rtol=rtol,
            atol=atol,
            t_eval=np.unique(np.append(output_s[wanted], b)),
            args=(b,),
            jac=getattr(equations, "jacobian", None),
            first_step=min(1e-6, 0.1 * (b - a)),
        )
        assert found.success, found.message
        out[wanted] = found.y.T[: int(wanted.sum())]
        y = found.y[:, -1]
    return out
