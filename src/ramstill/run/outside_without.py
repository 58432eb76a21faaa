"""What the openings would be given without their position error, and the air inside without a cabin's own
pressure; and what of a network has a way to a tapping at all.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np

from ramstill import air
from ramstill.air.constants import G0
from ramstill.run.column import Column
from ramstill.run.parts import inside_boundaries, ram_openings, still_openings
from ramstill.run.record import FloatArray, Run

if TYPE_CHECKING:
    from ramstill.pneumatics import Network, Schedule, Surroundings

OUTSIDE = "outside"  # the boundary at which the true still air stands
SAME_PA = 1e-6  # an opening that is given no more than this beside what it ought to has no error [Pa]
_LOOKS = 8  # times at which the loss through a drain is worked out
_ROUNDS = 3  # to find what makes up for it: each leaves about a thousandth of it


class Outside:
    """The surroundings of a run without some of what they do to the openings."""

    def __init__(self, run: Run) -> None:
        self.run, self.around = run, run.surroundings
        self.healthy = run.healthy_network
        self.ram, self.still = ram_openings(run), still_openings(run)
        self.inside = inside_boundaries(run)
        self._variants: dict[tuple[bool, bool], Surroundings] = {}

    def variant(self, ram: bool, still: bool) -> Surroundings:
        """The surroundings with what the ram and the still openings are really given, or ought to be."""
        if (ram, still) not in self._variants:
            self._variants[ram, still] = self._made(ram, still)
        return self._variants[ram, still]

    def has_error(self, ram: bool) -> bool:
        """Whether the ram openings, or the still ones, are ever given anything but what they ought to be."""
        names = self.ram if ram else self.still
        if any(name in self.around.openness for name in names):
            return True
        ideal = self.variant(not ram, ram)
        columns = [self.around.column(name) for name in names]
        off = self.around.pressure_pa[:, columns] - ideal.pressure_pa[:, columns]
        return bool(np.max(np.abs(off), initial=0.0) > SAME_PA)

    def without_cabin(self, around: Surroundings) -> Surroundings:
        """The same with true still air in the cabin and in the wing bay."""
        still = around.truth.static_pressure_pa
        return _with(around, {name: still for name in self.inside if name in around.boundary_names})

    def lift(self, time_s: FloatArray) -> FloatArray:
        """True pressure less that of the outside boundary (t,) [Pa]: the truth is straight between knots."""
        true = self.around.truth.at(time_s).static_pressure_pa
        if OUTSIDE not in self.around.boundary_names:
            return np.zeros_like(true)
        return np.asarray(true - self.around.at(time_s)[:, self.around.column(OUTSIDE)])

    def _made(self, ram: bool, still: bool) -> Surroundings:
        if ram and still:
            return self.around
        truth, columns = self.around.truth, {}
        gone = (() if ram else self.ram) + (() if still else self.still)
        for opening in self.run.airplane.openings:
            if opening.name not in gone:
                continue
            ought = truth.static_pressure_pa
            if opening.sees == "ram":
                ought = ought + truth.impact_pressure_pa
            elif opening.sees == "total-energy":
                ought = total_energy(self.around)
            columns[opening.name] = ought
        made = _with(self.around, columns)
        kept = {name: s for name, s in self.around.openness.items() if name not in gone}
        made = replace(made, openness=kept)
        return made if ram else self._made_up_for(made)

    def _made_up_for(self, around: Surroundings) -> Surroundings:
        """The same with as much more at each inlet as a drain lets go, so that true ram air is behind it."""
        from ramstill.pneumatics.equilibrium import settle_each

        inlets = [o for o in self.run.airplane.openings if o.name in self.ram and o.sees == "ram"]
        truth = around.truth
        looks = np.unique(np.linspace(0, len(truth.time_s) - 1, _LOOKS).astype(int))
        looks = looks[truth.impact_pressure_pa[looks] > 1.0]
        drained = {o.into for o in self.run.airplane.openings if o.kind == "pitot-drain"}
        if not len(looks) or not drained:
            return around
        names = self.healthy.boundary_names
        held = around.pressure_pa[looks][:, [around.column(name) for name in names]]
        impact = truth.impact_pressure_pa
        total = (truth.static_pressure_pa + impact)[looks]
        nodes = [self.healthy.index_of(o.into) for o in inlets]
        places = [names.index(o.name) for o in inlets]
        times, start = truth.time_s[looks], np.repeat(total[:, None], len(self.healthy.node_names), axis=1)
        for _ in range(_ROUNDS):
            start = settle_each(self.healthy, held, start, times)
            held[:, places] += total[:, None] - start[:, nodes]
        more = (held[:, places] - total[:, None]) / impact[looks, None]
        return _with(
            around,
            {
                o.name: truth.static_pressure_pa + impact * (1.0 + np.interp(truth.time_s, times, more[:, i]))
                for i, o in enumerate(inlets)
            },
        )


def total_energy(around: Surroundings) -> FloatArray:
    """What a perfect total-energy probe would be at [Pa], on the knots: still air as much higher as the
    airplane's speed could carry it, counted as a meter counts it, in standard air.
    """
    column, truth = Column.of(around.truth), around.truth
    higher = truth.tas_m_s**2 / (2.0 * G0) / (column.warmth * column.lightness)
    return np.asarray(air.static_pressure(column.pressure_altitude_m + higher))


def _with(around: Surroundings, columns: Mapping[str, FloatArray]) -> Surroundings:
    """The same with other pressures (k,) [Pa] at some boundaries, splined as all are."""
    from ramstill.pneumatics import Surroundings

    if not columns:
        return around
    some = Surroundings.from_samples(
        around.knots_s, tuple(columns), np.stack(list(columns.values()), axis=1), around.truth, around.kinks_s
    )
    made = {n: getattr(around, n).copy() for n in ("pressure_pa", "slope_left_pa_s", "slope_right_pa_s")}
    places = [around.column(name) for name in columns]
    for name, array in made.items():
        array[:, places] = getattr(some, name)
    return replace(around, **made)


@dataclass(frozen=True, slots=True)
class Reach:
    """What ever has a way to a tapping: places of nodes and links, names of boundaries."""

    nodes: frozenset[int]
    links: tuple[int, ...]
    boundaries: frozenset[str]


def ever_open(network: Network, around: Surroundings, tapping: str, end_s: float) -> Reach:
    """What has a way to a tapping at any time up to an end [s], also by a capsule that swells into it."""
    from ramstill.pneumatics.assembly import open_shares

    n = len(network.node_names)
    shares = open_shares(network, around)
    there = [i for i, share in enumerate(shares) if share is None or _opens(share, end_s)]
    pairs = [(int(network.link_a[i]), int(network.link_b[i])) for i in there]
    swells = [(int(a), int(b)) for a, b in zip(network.swell_a, network.swell_b, strict=True) if b >= 0]
    beside: dict[int, list[int]] = {}
    for a, b in (*pairs, *swells):
        beside.setdefault(a, []).append(b)
        beside.setdefault(b, []).append(a)
    seen, queue = {network.index_of(tapping)}, [network.index_of(tapping)]
    while queue:
        for other in beside.get(queue.pop(), ()):
            if other not in seen:
                seen.add(other)
                if other < n:  # nothing gets through the air outside
                    queue.append(other)
    links = tuple(i for i, (a, b) in zip(there, pairs, strict=True) if min(a, b) in seen)
    outer = frozenset(network.boundary_names[i - n] for i in seen if i >= n)
    return Reach(frozenset(i for i in seen if i < n), links, outer)


def reach(network: Network, around: Surroundings, tapping: str, end_s: float) -> object:
    """Something that is the same for two networks if all that has a way to a tapping is, up to an end [s]."""
    from ramstill.pneumatics.assembly import open_shares

    there = ever_open(network, around, tapping, end_s)
    shares = open_shares(network, around)
    names = (*network.node_names, *network.boundary_names)
    links = sorted(
        (
            int(network.link_kind[i]),
            names[network.link_a[i]],
            names[network.link_b[i]],
            network.link_size[i].tobytes(),
            _said(shares[i], end_s),
        )
        for i in there.links
    )
    nodes = sorted(there.nodes)
    heat = b"" if network.heat_w_k is None else network.heat_w_k[nodes].tobytes()
    columns = [around.column(name) for name in sorted(there.boundaries)]
    knots = around.knots_s
    upto = int(np.searchsorted(knots, end_s, "right")) + 1
    outside = around.pressure_pa[:upto, columns].tobytes()
    swells = [
        (int(a), int(b), float(size))
        for a, b, size in zip(network.swell_a, network.swell_b, network.swell_m3_pa, strict=True)
        if int(a) in there.nodes
    ]
    return (
        tuple(nodes),
        network.volume_m3[nodes].tobytes(),
        network.temperature_k[nodes].tobytes(),
        network.heat,
        heat,
        tuple(links),
        tuple(swells),
        tuple(sorted(there.boundaries)),
        knots[:upto].tobytes(),
        outside,
    )


def _opens(share: Schedule, end_s: float) -> bool:
    """Whether a link is ever open before an end [s]."""
    return any(value > 0.0 for _, value in _said(share, end_s) or ((0.0, 1.0),))


def _said(share: Schedule | None, end_s: float) -> tuple[tuple[float, float], ...]:
    """Knots (time, value) of an open share up to an end [s], () for one that is always open."""
    if share is None or set(share.values) == {1.0}:
        return ()
    first = share.values[0]
    inside = [(t, v) for t, v in zip(share.times_s, share.values, strict=True) if t <= end_s]
    found = (*inside, (end_s, float(share.at(end_s))))
    if all(value == first for _, value in found):
        return () if first == 1.0 else ((0.0, first),)
    return found
