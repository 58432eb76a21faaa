"""What faults have done so far to one airplane: openness, added holes and tubes, shifted pointers."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ramstill.instruments import PointerEdit
from ramstill.pneumatics.schedule import Schedule

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.pneumatics import Network, Truth
    from ramstill.pneumatics.schedule import FloatArray
    from ramstill.pneumatics.surroundings import Surroundings

WALL_M = 1e-3  # thickness of what a leak goes through: the wall of a line or a case; assumed [m]


def turned(schedule: Schedule) -> Schedule:
    """Return 1 minus a schedule: how far open something is that is shut by the given share."""
    return Schedule(schedule.times_s, tuple(1.0 - value for value in schedule.values))


def scaled(schedule: Schedule, by: float) -> Schedule:
    """Return `by` times a schedule."""
    return Schedule(schedule.times_s, tuple(by * value for value in schedule.values))


@dataclass(frozen=True, slots=True)
class State:
    """The airplane with some faults in it. Every method returns a new one."""

    airplane: Airplane
    network: Network
    surroundings: Surroundings
    pointer_edits: tuple[PointerEdit, ...] = ()
    places: tuple[tuple[str, str], ...] = ()
    heat_lost: tuple[tuple[str, Schedule], ...] = ()

    def at(self, kind: str, name: str) -> State:
        """Note a place for the line map: kind "opening", "line", "fitting", "valve" or "instrument"."""
        return replace(self, places=(*self.places, (kind, name)))

    def with_network(self, network: Network) -> State:
        """Put in another network."""
        return replace(self, network=network)

    def shut(self, link: str, share: Schedule) -> State:
        """Shut an opening, line, valve or calibrated leak by `share` (1: wholly)."""
        return replace(self, network=self.network.with_openness(link, turned(share)))

    def hole(self, node: str, other: str, bore_m: float, share: Schedule, depth_m: float = WALL_M) -> State:
        """Add a hole of a bore [m] from a node to a boundary or node, open by `share` of its area."""
        name = self._free(f"hole at {node}")
        return replace(self, network=self.network.with_hole(name, node, other, bore_m, depth_m, share))

    def tube(self, a: str, b: str, length_m: float, bore_m: float, share: Schedule) -> State:
        """Add a tube between two nodes, open by `share`."""
        name = self._free(f"tube from {a} to {b}")
        return replace(self, network=self.network.with_tube(name, a, b, length_m, bore_m, share))

    def slug(
        self,
        line: str,
        a: str,
        b: str,
        hold_ab_pa: float,
        hold_ba_pa: float,
        conductance: float,
        share: Schedule,
    ) -> State:
        """Put water into a line, in place of what it passes otherwise: see `Network.with_slug`."""
        name = self._free(f"water in {line}")
        return self.with_network(
            self.network.with_slug(name, a, b, hold_ab_pa, hold_ba_pa, conductance, share)
        )

    def pointer(self, instrument: str, what: str, value: Schedule) -> State:
        """Add an edit of one instrument's own part."""
        return replace(self, pointer_edits=(*self.pointer_edits, PointerEdit(instrument, what, value)))

    def coefficient(self, opening: str, change: float, share: Schedule) -> State:
        """Change the pressure coefficient of an opening by `change` [-] times `share`."""
        return self.pressure(opening, lambda truth: change * truth.impact_pressure_pa, share)

    def pressure(self, boundary: str, change: Callable[[Truth], FloatArray], share: Schedule) -> State:
        """Change the pressure at a boundary by what `change` makes of the truth [Pa], times `share`.

        The times at which the fault sets in become knots first, as a jump between knots would be smeared.
        """
        around = self.surroundings
        finer = around.with_knots(np.array([t for t in share.knots if around.start_s <= t <= around.end_s]))
        second = np.concatenate([[False], np.diff(finer.knots_s) == 0.0])
        shares = np.where(second, share.at(finer.knots_s), share.at_left(finer.knots_s))
        added = change(finer.truth) * shares
        return replace(self, surroundings=finer.with_pressure_change(boundary, added))

    def cold(self, opening: str, share: Schedule) -> State:
        """Take a share of an opening's heater away."""
        return replace(self, heat_lost=(*self.heat_lost, (opening, share)))

    def heat_left(self, opening: str) -> Schedule:
        """Return the share of an opening's heater that works, over time."""
        left = Schedule.constant(1.0)
        for name, share in self.heat_lost:
            if name == opening:
                left = left.times(turned(share))
        return left

    def _free(self, name: str) -> str:
        """Return `name`, numbered where the network has a link of that name already."""
        taken, number, free = set(self.network.link_names), 1, name
        while free in taken:
            number += 1
            free = f"{name} ({number})"
        return free
