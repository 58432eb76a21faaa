"""A part of a system whose air has nothing to do with the rest: worked out alone, it takes less time."""

from collections.abc import Collection, Iterable
from dataclasses import replace

import numpy as np

from ramstill.pneumatics.network import IntArray, Network
from ramstill.pneumatics.surroundings import Surroundings

_ROUNDING = 1e-9  # of a cubic that was cut in two


def joined(network: Network, names: Iterable[str]) -> frozenset[str]:
    """Names of these volumes and of all that share air with them by any link, open or shut, or swell into
    them; boundaries, whose pressures are given, join nothing."""
    n = len(network.node_names)
    beside: list[set[int]] = [set() for _ in range(n)]
    ends = [(network.link_a, network.link_b), (network.swell_a, network.swell_b)]
    for one, other in ends:
        for a, b in zip(one.tolist(), other.tolist(), strict=True):
            if 0 <= a < n and 0 <= b < n:
                beside[a].add(b)
                beside[b].add(a)
    found: set[int] = set()
    left = [network.node_names.index(name) for name in names]
    while left:
        node = left.pop()
        if node not in found:
            found.add(node)
            left += beside[node] - found
    return frozenset(network.node_names[node] for node in found)


def part_of(network: Network, names: Collection[str]) -> Network:
    """The network of some volumes, which nothing joins to the others; all the boundaries."""
    n = len(network.node_names)
    kept = np.array([i for i, name in enumerate(network.node_names) if name in names], dtype=np.int64)
    place = np.full(n + len(network.boundary_names), -1, dtype=np.int64)
    place[kept] = np.arange(len(kept))
    place[n:] = len(kept) + np.arange(len(network.boundary_names))
    links = _within(network.link_a, network.link_b, place)
    swells = place[network.swell_a] >= 0
    heat = network.heat_w_k
    return replace(
        network,
        node_names=tuple(network.node_names[i] for i in kept),
        volume_m3=network.volume_m3[kept],
        temperature_k=network.temperature_k[kept],
        link_names=tuple(network.link_names[i] for i in links),
        link_kind=network.link_kind[links],
        link_a=place[network.link_a[links]],
        link_b=place[network.link_b[links]],
        link_size=network.link_size[links],
        openness=tuple(network.openness[i] for i in links),
        heat_w_k=None if heat is None else heat[kept],
        swell_a=place[network.swell_a[swells]],
        swell_b=np.where(network.swell_b[swells] < 0, -1, place[network.swell_b[swells]]),
        swell_m3_pa=network.swell_m3_pa[swells],
    )


def around_part(network: Network, surroundings: Surroundings) -> Surroundings:
    """The surroundings of a part: the same, but for what opens and shuts what is elsewhere."""
    shares = {name: s for name, s in surroundings.openness.items() if name in network.link_names}
    return replace(surroundings, openness=shares)


def same_air(network: Network, one: Surroundings, other: Surroundings) -> bool:
    """Whether a part feels the same in two surroundings of the same boundaries, be their knots where they
    may."""
    if one.boundary_names != other.boundary_names or dict(one.openness) != dict(other.openness):
        return False
    n = len(network.node_names)
    ends = {*network.link_a.tolist(), *network.link_b.tolist()}
    touched = [i for i in range(len(network.boundary_names)) if n + i in ends]
    columns = [one.column(network.boundary_names[i]) for i in touched]
    knots = np.unique(np.concatenate([one.knots_s, other.knots_s]))
    when = np.concatenate([knots, 0.5 * (knots[1:] + knots[:-1]), 0.25 * knots[1:] + 0.75 * knots[:-1]])
    sides = ((one.at(when), other.at(when)), (one.at_left(when), other.at_left(when)))
    return all(np.allclose(a[:, columns], b[:, columns], rtol=_ROUNDING, atol=0.0) for a, b in sides)


def _within(one: IntArray, other: IntArray, place: IntArray) -> IntArray:
    """The links that end at no volume that is left out."""
    return np.flatnonzero((place[one] >= 0) & (place[other] >= 0))
