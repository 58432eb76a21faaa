"""The calibrated leak of a vertical speed indicator or variometer: what flows through it, and how fast that
says the pressure altitude goes, whatever its dial is marked for.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill import air
from ramstill.air.constants import G0, P0, R_AIR, T0
from ramstill.instruments.altimeter import pressure_altitude
from ramstill.run.record import FloatArray

if TYPE_CHECKING:
    from ramstill.pneumatics import Network
    from ramstill.run.airs import Air

_ROUNDS, _CLOSE = 60, 1e-14  # of a search for a pressure, and how near it comes to be done [-]


class LeakRates:
    """One instrument's leak in the healthy network."""

    def __init__(self, healthy: Network, instrument: Any) -> None:
        from ramstill.pneumatics.laws import coefficients

        self.name = f"{instrument.name}.leak"
        self.behind = instrument.leak_ends[1]
        place, node = healthy.link_of(self.name), healthy.index_of(self.behind)
        conductance, inertia, compensated = coefficients(healthy)
        self._law = (float(conductance[place]), float(inertia[place]), bool(compensated[place]))
        self.capacity = float(healthy.volume_m3[node] / (R_AIR * healthy.temperature_k[node]))

    def rate(self, before_pa: FloatArray, behind_pa: FloatArray) -> FloatArray:
        """Rate of pressure altitude [m/s] that what flows through the leak tells, open as it was made: what
        fills or empties the case at that rate.
        """
        flow = _flow(*self._law, 1.0, before_pa, behind_pa)
        return np.asarray(-flow / self.capacity / _weight(before_pa))

    def settled(
        self, there: Air, before_pa: FloatArray, behind_pa: FloatArray, rate: FloatArray, rows: list[int]
    ) -> FloatArray:
        """Pressure behind the leak [Pa], (k,), once the air outside has gone on as it does for long.

        before_pa, behind_pa: settled pressures (k,); rate: of the pressure altitude before the leak [m/s].
        What the case takes up at that rate comes through all that leads into it.
        """
        from ramstill.pneumatics.assembly import open_shares
        from ramstill.pneumatics.laws import coefficients

        network, n = there.network, len(there.network.node_names)
        node, times = network.index_of(self.behind), there.time_s[rows]
        shares = open_shares(network, there.around)
        conductance, inertia, compensated = coefficients(network)
        ways = [i for i in range(len(shares)) if node in (network.link_a[i], network.link_b[i])]
        settled = there.settled(rows)
        links = []
        for i in ways:
            other = int(network.link_a[i] + network.link_b[i] - node)
            if other >= n:
                column = there.around.column(network.boundary_names[other - n])
                beyond = there.around.at(times)[:, column] + there.lift_pa[rows]
            elif network.link_names[i] == self.name:
                beyond = before_pa
            else:
                beyond = settled[:, other]
            share = shares[i]
            open_by = np.ones(len(rows)) if share is None else np.asarray(share.at(times))
            links.append((conductance[i], inertia[i], bool(compensated[i]), open_by, beyond))
        taken = -rate * _weight(before_pa) * self.capacity
        joined = np.any([open_by > 0.0 for *_, open_by, _ in links], axis=0)

        def into(pressure: FloatArray) -> FloatArray:
            return np.asarray(sum(_flow(g, e, c, o, p, pressure) for g, e, c, o, p in links)) - taken

        if not joined.any():
            return behind_pa
        found = _root(into, np.array(behind_pa))
        return np.where(joined, found, behind_pa)


def _root(falling: Callable[[FloatArray], FloatArray], near: FloatArray) -> FloatArray:
    """Where a function that falls is zero, each of (k,): secants between bounds that close in."""
    low, high = 0.5 * near, 1.5 * near
    other, here = near * (1.0 + 1e-6), near
    at_other, at_here = falling(other), falling(here)
    for _ in range(_ROUNDS):
        more = at_here > 0.0
        low, high = np.where(more, here, low), np.where(more, high, here)
        flat = at_here == at_other
        following = here - at_here * (here - other) / np.where(flat, 1.0, at_here - at_other)
        inside = (following > low) & (following < high) & ~flat
        following = np.where(at_here == 0.0, here, np.where(inside, following, 0.5 * (low + high)))
        moved = np.max(np.abs(following - here) / near)
        other, at_other, here = here, at_here, following
        if moved < _CLOSE:
            break
        at_here = falling(here)
    return here


def _weight(pressure_pa: FloatArray) -> FloatArray:
    """Pressure lost for each metre of pressure altitude [Pa/m]."""
    warmth = np.asarray(air.standard_temperature(pressure_altitude(pressure_pa)))
    return np.asarray(pressure_pa / (R_AIR * warmth) * G0)


def _flow(
    conductance: float,
    inertia: float,
    compensated: bool,
    openness: FloatArray | float,
    a: FloatArray,
    b: FloatArray,
) -> FloatArray:
    """Mass flow from a to b [kg/s] by the law of pneumatics.flow for small differences: nothing expands,
    chokes or is turbulent.
    """
    viscous = conductance * openness**2 * (a - b) * (a + b)
    if compensated:
        mean = np.clip(0.5 * (a + b), 1.0, 1.2 * P0)
        return np.asarray(viscous * T0 / np.asarray(air.standard_temperature(pressure_altitude(mean))))
    return np.asarray(2.0 * viscous / (1.0 + np.sqrt(1.0 + 4.0 * inertia * np.abs(viscous))))
