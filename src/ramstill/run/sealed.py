"""Which parts of the system have no way to any air outside, and since when: read from the network itself."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from ramstill.pneumatics import Network, Surroundings

SHUT = 1e-9  # a link less open than this passes nothing that shows


@dataclass(frozen=True, slots=True)
class Sealed:
    """Tappings joined to one another and to nothing outside, from `since_s` until `until_s` [s]."""

    tappings: tuple[str, ...]
    since_s: float
    until_s: float


def sealed_over(network: Network, around: Surroundings) -> tuple[Sealed, ...]:
    """Every sealed volume over the whole of the surroundings, in the order of its beginning."""
    times = sorted({around.start_s, around.end_s, *_changes(network, around)})
    found: list[Sealed] = []
    for begin, end in pairwise(times):
        for tappings in sealed_at(network, around, 0.5 * (begin + end)):
            last = next((s for s in found if s.tappings == tappings and s.until_s == begin), None)
            if last is not None:
                found.remove(last)
            found.append(Sealed(tappings, begin if last is None else last.since_s, end))
    return tuple(sorted(found, key=lambda sealed: (sealed.since_s, sealed.tappings)))


def sealed_at(network: Network, around: Surroundings, at_s: float) -> tuple[tuple[str, ...], ...]:
    """Groups of tappings that are shut off from everything outside at a time [s]."""
    count = len(network.node_names)
    group = list(range(count))
    reached: set[int] = set()

    def root(node: int) -> int:
        while group[node] != node:
            node = group[node]
        return node

    open_links = [
        (int(a), int(b))
        for name, a, b, schedule in zip(
            network.link_names, network.link_a, network.link_b, network.openness, strict=True
        )
        if openness(name, schedule, around, at_s) > SHUT
    ]
    for a, b in open_links:
        if a < count and b < count:
            group[root(a)] = root(b)
    for a, b in open_links:
        if (a < count) != (b < count):
            reached.add(root(min(a, b)))
    closed = sorted({root(node) for node in range(count)} - reached)
    groups = (tuple(network.node_names[n] for n in range(count) if root(n) == c) for c in closed)
    return tuple(sorted(groups))


def openness(name: str, schedule: object, around: Surroundings, at_s: float) -> float:
    """How far a link is open at a time [s]: what the network says times what shuts it from outside."""
    inside = 1.0 if schedule is None else float(schedule.at(at_s))  # type: ignore[attr-defined]
    outside = around.openness.get(name)
    return inside * (1.0 if outside is None else float(outside.at(at_s)))


def _changes(network: Network, around: Surroundings) -> set[float]:
    schedules = [*(s for s in network.openness if s is not None), *around.openness.values()]
    knots = (t for schedule in schedules for t in schedule.knots)
    return {float(t) for t in knots if around.start_s < t < around.end_s}


def volume_m3(network: Network, tappings: tuple[str, ...]) -> float:
    """Volume of a group of tappings [m3]."""
    inside = np.isin(np.asarray(network.node_names), tappings)
    return float(np.sum(np.asarray(network.volume_m3)[inside]))
