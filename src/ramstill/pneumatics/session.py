"""The pressures in a network, a little at a time: for a pilot, or a hand, that acts on what is shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces
from ramstill.pneumatics.equilibrium import settle
from ramstill.pneumatics.integrate import TOLERANCE_PA, Inside, advance, state_from
from ramstill.pneumatics.network import FloatArray, Network
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.surroundings import Surroundings
from ramstill.pneumatics.truth import Truth


@dataclass(frozen=True, slots=True, eq=False)
class Moment:
    """How a `Session` stands at one time; nothing in it changes any more."""

    time_s: float
    outside_pa: FloatArray
    slope_pa_s: FloatArray
    state: FloatArray
    network: Network
    opened: Mapping[str, Schedule]


class Session:
    """One network that goes on from where it stands, each time as far as is asked for."""

    def __init__(
        self,
        network: Network,
        outside_pa: ArrayLike | Mapping[str, float],
        start_s: float = 0.0,
        tolerance_pa: float = TOLERANCE_PA,
        inside: Inside | ArrayLike | None = None,
        around: Mapping[str, Schedule] | None = None,
    ) -> None:
        self.network, self.time_s, self.tolerance_pa = network, float(start_s), float(tolerance_pa)
        self._around, self._opened = dict(around or {}), dict[str, Schedule]()
        self._outside = self._held(outside_pa)
        self._slope = np.zeros_like(self._outside)
        air = settle(self._shared(), self._outside, at_s=self.time_s) if inside is None else inside
        self._plumbing, self._touched = assemble(network)
        self._state = state_from(network, self._plumbing, air)

    def _held(self, outside_pa: ArrayLike | Mapping[str, float]) -> FloatArray:
        if isinstance(outside_pa, Mapping):
            return np.array([outside_pa[name] for name in self.network.boundary_names], dtype=np.float64)
        return np.array(outside_pa, dtype=np.float64)

    def _shared(self) -> Network:
        network = self.network
        for name, schedule in self._around.items():
            network = network.with_openness(name, schedule)
        for name, schedule in self._opened.items():
            shares = list(network.openness)
            shares[network.link_of(name)] = schedule
            network = network._with(openness=tuple(shares))
        return network

    @property
    def pressure_pa(self) -> FloatArray:
        """Pressures now, (n,) [Pa]."""
        return self._state[: len(self.network.node_names)].copy()

    def advance(
        self,
        to_s: float,
        outside_pa: ArrayLike | Mapping[str, float],
        slope_pa_s: ArrayLike | Mapping[str, float] | None = None,
        *,
        jump: bool = False,
    ) -> FloatArray:
        """Go on to `to_s` [s] while the air outside goes from what it was to what is given (b,) [Pa]."""
        to, then = float(to_s), self._held(outside_pa)
        if to > self.time_s:
            times = np.array([self.time_s, to])
            first = then if jump else self._outside
            straight = (then - first) / (to - self.time_s)
            end = straight if slope_pa_s is None else self._held(slope_pa_s)
            begin = straight if slope_pa_s is None or jump else self._slope
            names = self.network.boundary_names
            both, slopes = np.stack([first, then]), np.stack([begin, end])
            around = Surroundings(times, names, both, slopes, slopes, Truth.steady(times))
            network = self._shared()
            outside = outside_arrays(around, self._touched, self.time_s, to)
            outside.right[1], outside.left[2] = outside.right[1], slopes[1][self._columns()]
            cut = pieces(network, around, outside, self.time_s, to)
            rows = np.empty((1, len(self._state)))
            advance(network, self._plumbing, outside, cut, self._state, times[1:], self.tolerance_pa, rows)
            self._slope, self.time_s = end, to
        self._outside = then
        return self.pressure_pa

    def _columns(self) -> list[int]:
        return [self.network.boundary_names.index(name) for name in self._touched]

    def open(self, link: str, share: float | Schedule | None) -> None:
        """From now on a link, or an opening by its name, is open by this share; None: as the network says."""
        self.network.link_of(link)
        if share is None:
            self._opened.pop(link, None)
        else:
            self._opened[link] = share if isinstance(share, Schedule) else Schedule.constant(share)

    def exchange(self, network: Network) -> None:
        """Go on with another network of the same volumes."""
        if network.node_names != self.network.node_names:
            raise ValueError("what is exchanged has the same volumes")
        self.network = network
        self._plumbing, self._touched = assemble(network)

    def state(self) -> Moment:
        """How it stands now."""
        return Moment(
            self.time_s, self._outside, self._slope, self._state.copy(), self.network, dict(self._opened)
        )

    def restore(self, state: Moment) -> None:
        """Stand again as it did."""
        self.exchange(state.network)
        self.time_s, self._outside, self._slope = state.time_s, state.outside_pa, state.slope_pa_s
        self._state, self._opened = state.state.copy(), dict(state.opened)
