"""A system as the engine sees it: volumes, boundaries, and links between them."""

from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics.schedule import Schedule

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Kinds of link, and what its row of `link_size` holds.
TUBE = 0  # length [m], bore [m], count [-]
HOLE = 1  # depth [m], bore [m], count [-]
LEAK_LAMINAR = 2  # time constant at standard sea level [s], volume behind it [m3]
LEAK_ORIFICE = 3  # time constant [s], volume behind it [m3], difference at full scale [Pa], both at sea level
SLUG = 4  # what holds it from a to b [Pa], and from b to a [Pa], conductance beyond that [kg/(s Pa^2)]


@dataclass(frozen=True, slots=True)
class Network:
    """Volumes joined by links; every `with_` method returns a new one.

    node_names, volume_m3, temperature_k: (n,) the volumes of air, each at one temperature; boundary_names
    (b); link_names (l), link_kind (l,), link_a, link_b (l,): 0..n-1 a volume, n.. a boundary; link_size (l,
    4), see the kinds above; openness (l): share of the flow area that is open over time, None for always 1.
    """

    node_names: tuple[str, ...]
    volume_m3: FloatArray
    temperature_k: FloatArray
    boundary_names: tuple[str, ...]
    link_names: tuple[str, ...] = ()
    link_kind: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    link_a: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    link_b: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    link_size: FloatArray = field(default_factory=lambda: np.zeros((0, 4)))
    openness: tuple[Schedule | None, ...] = ()

    def __post_init__(self) -> None:
        n = len(self.node_names)
        if not n or np.shape(self.volume_m3) != (n,) or np.shape(self.temperature_k) != (n,):
            raise ValueError("a network needs one volume and one temperature for each of its nodes")
        for values, what in ((self.volume_m3, "volume"), (self.temperature_k, "temperature")):
            bad = ~(np.isfinite(values) & (values > 0.0))
            if bad.any():
                raise ValueError(f"the {what} of {self.node_names[int(np.argmax(bad))]!r} is not above zero")
        names = (*self.node_names, *self.boundary_names)
        if len(set(names)) != len(names) or len(set(self.link_names)) != len(self.link_names):
            raise ValueError("two parts of a network share a name")

    @property
    def capacity(self) -> FloatArray:
        """Mass each volume takes up for each pascal, V / (R T) [kg/Pa], (n,)."""
        from ramstill.air.constants import R_AIR

        return np.asarray(self.volume_m3 / (R_AIR * self.temperature_k))

    def index_of(self, name: str) -> int:
        """Place of a volume, or n plus the place of a boundary. ValueError for an unknown name."""
        if name in self.node_names:
            return self.node_names.index(name)
        if name in self.boundary_names:
            return len(self.node_names) + self.boundary_names.index(name)
        raise ValueError(f"the network has no volume or boundary {name!r}")

    def link_of(self, name: str) -> int:
        """Place of a link. ValueError for an unknown name."""
        if name not in self.link_names:
            raise ValueError(f"the network has no link {name!r}")
        return self.link_names.index(name)

    def with_openness(self, link: str, schedule: Schedule) -> "Network":
        """The same with a link's open share multiplied by a schedule."""
        place = self.link_of(link)
        there = self.openness[place]
        new = _checked(link, there.times(schedule) if there else schedule)
        return replace(self, openness=(*self.openness[:place], new, *self.openness[place + 1 :]))

    def with_link(
        self, name: str, kind: int, a: str, b: str, size: tuple[float, ...], schedule: Schedule | None = None
    ) -> "Network":
        """The same with one link more, from `a` to `b`; for `size` see the kinds. ValueError as it may be."""
        ends = self.index_of(a), self.index_of(b)
        if min(ends) >= len(self.node_names) or ends[0] == ends[1]:
            raise ValueError(f"{name!r} must join a volume to something else")
        if not np.isfinite(size).all() or min(size) < 0.0:
            raise ValueError(f"the sizes of {name!r} must be numbers of zero or more")
        row = np.zeros((1, 4))
        row[0, : len(size)] = size
        return replace(
            self,
            link_names=(*self.link_names, name),
            link_kind=np.append(self.link_kind, kind),
            link_a=np.append(self.link_a, ends[0]),
            link_b=np.append(self.link_b, ends[1]),
            link_size=np.concatenate([self.link_size, row]),
            openness=(*self.openness, _checked(name, schedule)),
        )

    def with_hole(
        self, name: str, a: str, b: str, bore_m: float, depth_m: float, schedule: Schedule | None = None
    ) -> "Network":
        """The same with a round hole from a volume to a boundary or another volume; a bore of 0 is shut."""
        return self.with_link(name, HOLE, a, b, (depth_m, bore_m, 1.0), schedule)

    def with_tube(
        self, name: str, a: str, b: str, length_m: float, bore_m: float, schedule: Schedule | None = None
    ) -> "Network":
        """The same with a tube; its own volume is not added. A bore of 0 is shut."""
        return self.with_link(name, TUBE, a, b, (length_m, bore_m, 1.0), schedule)

    def with_slug(
        self,
        name: str,
        a: str,
        b: str,
        hold_ab_pa: float,
        hold_ba_pa: float,
        conductance: float,
        schedule: Schedule | None = None,
    ) -> "Network":
        """The same with a slug of water between two volumes; see water.py for the three figures of it."""
        return self.with_link(name, SLUG, a, b, (hold_ab_pa, hold_ba_pa, conductance), schedule)

    def with_volume(self, node: str, volume_m3: float) -> "Network":
        """The same with another volume of air [m3] at one node; its links stay as they are."""
        volumes = np.array(self.volume_m3)
        volumes[self.index_of(node)] = volume_m3
        return replace(self, volume_m3=volumes)


def _checked(link: str, schedule: Schedule | None) -> Schedule | None:
    if schedule is None:
        return None
    if min(schedule.values) < -1e-9:
        raise ValueError(f"{link!r} cannot be open by less than nothing")
    return Schedule(schedule.times_s, tuple(max(0.0, value) for value in schedule.values))
