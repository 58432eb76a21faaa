"""A system as the engine sees it: volumes, boundaries, and links between them."""

from dataclasses import dataclass, field, fields, replace
from math import isfinite
from typing import Literal, get_args

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

# What the walls do to the air: pass heat at their own pace, keep it at their temperature, or nothing.
Heat = Literal["walls", "isothermal", "adiabatic"]
_HEATS = get_args(Heat)


@dataclass(frozen=True, slots=True)
class Network:
    """Volumes joined by links; every `with_` method returns a new one.

    node_names, volume_m3, temperature_k: (n,) the volumes of air and the temperatures of their walls;
    boundary_names (b); link_names (l), link_kind (l,), link_a, link_b (l,): 0..n-1 a volume, n.. a boundary;
    link_size (l, 4), see the kinds above; openness (l): share of the flow area that is open over time, None
    for always 1. heat: whether the walls pass heat; heat_w_k (n,): how much for each kelvin [W/K], that of
    spheres where it is not given. swell_a, swell_b (s,): a volume that grows when its pressure is above the
    other's, which loses that, or above standard sea level where the other is -1; swell_m3_pa (s,): how much.
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
    heat: Heat = "walls"
    heat_w_k: FloatArray | None = None
    swell_a: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    swell_b: IntArray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    swell_m3_pa: FloatArray = field(default_factory=lambda: np.zeros(0))

    def __post_init__(self) -> None:
        n = len(self.node_names)
        if not n or np.shape(self.volume_m3) != (n,) or np.shape(self.temperature_k) != (n,):
            raise ValueError("a network needs one volume and one temperature for each of its nodes")
        for values, what in ((self.volume_m3, "volume"), (self.temperature_k, "temperature")):
            if not (float(values.min()) > 0.0 and isfinite(float(values.sum()))):
                bad = ~(np.isfinite(values) & (values > 0.0))
                raise ValueError(f"the {what} of {self.node_names[int(np.argmax(bad))]!r} is not above zero")
        names, links = {*self.node_names, *self.boundary_names}, set(self.link_names)
        if len(names) < n + len(self.boundary_names) or len(links) < len(self.link_names):
            raise ValueError("two parts of a network share a name")
        if self.heat not in _HEATS:
            raise ValueError(f"heat is one of {', '.join(_HEATS)}")
        given = self.heat_w_k
        if given is not None and (
            np.shape(given) != (n,) or not (float(given.min()) >= 0.0 and isfinite(float(given.sum())))
        ):
            raise ValueError("walls pass zero or more watts for each kelvin, one figure for each volume")

    @property
    def capacity(self) -> FloatArray:
        """Mass each volume takes up for each pascal at its walls' temperature, V / (R T) [kg/Pa], (n,)."""
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
        new = never_negative(link, there.times(schedule) if there else schedule)
        return self._with(openness=(*self.openness[:place], new, *self.openness[place + 1 :]))

    def opened_by(self, link: str, schedule: Schedule) -> "Network":
        """The same with a link open by a schedule, whatever it was open by."""
        place, new = self.link_of(link), never_negative(link, schedule)
        return self._with(openness=(*self.openness[:place], new, *self.openness[place + 1 :]))

    def with_link(
        self, name: str, kind: int, a: str, b: str, size: tuple[float, ...], schedule: Schedule | None = None
    ) -> "Network":
        """The same with one link more, from `a` to `b`; for `size` see the kinds. ValueError as it may be."""
        ends = self.index_of(a), self.index_of(b)
        if min(ends) >= len(self.node_names) or ends[0] == ends[1]:
            raise ValueError(f"{name!r} must join a volume to something else")
        if not np.isfinite(size).all() or min(size) < 0.0:
            raise ValueError(f"the sizes of {name!r} must be numbers of zero or more")
        if name in self.link_names:
            raise ValueError("two parts of a network share a name")
        row = np.zeros((1, 4))
        row[0, : len(size)] = size
        return self._with(
            link_names=(*self.link_names, name),
            link_kind=np.append(self.link_kind, kind),
            link_a=np.append(self.link_a, ends[0]),
            link_b=np.append(self.link_b, ends[1]),
            link_size=np.concatenate([self.link_size, row]),
            openness=(*self.openness, never_negative(name, schedule)),
        )

    def _with(self, **changes: object) -> "Network":
        """The same with some parts changed to what is known to be good: nothing is looked at again."""
        made = object.__new__(Network)
        for name in _FIELDS:
            object.__setattr__(made, name, changes[name] if name in changes else getattr(self, name))
        return made

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

    def with_heat(self, heat: Heat) -> "Network":
        """The same with walls that pass heat at their own pace, at once ("isothermal") or never."""
        return replace(self, heat=heat)

    def with_swelling(self, a: str, b: str | None, compliance_m3_pa: float) -> "Network":
        """The same with a volume that grows with its pressure over that of another, which loses as much.

        b: the other; None where it is the case `a` around sealed capsules, which is as large as stated at
        standard sea level. compliance_m3_pa [m3/Pa], see `swelling.py`. ValueError for unknown names, and
        for one so soft that capsules would burst before anything else happens.
        """
        ends = [self.index_of(name) for name in (a, b) if name is not None]
        if max(ends) >= len(self.node_names) or len(set(ends)) < len(ends):
            raise ValueError("what swells is a volume, and so is what it swells into")
        room = softest(float(min(self.volume_m3[end] for end in ends)), sealed=b is None)
        if not 0.0 <= compliance_m3_pa <= room:
            raise ValueError(f"what swells from {a!r} must do so by 0 to {room:.3g} m3/Pa")
        return replace(
            self,
            swell_a=np.append(self.swell_a, ends[0]),
            swell_b=np.append(self.swell_b, ends[1] if b is not None else -1),
            swell_m3_pa=np.append(self.swell_m3_pa, compliance_m3_pa),
        )

    def with_volume(self, node: str, volume_m3: float) -> "Network":
        """The same with another volume of air [m3] at one node; its links and its walls stay as they are."""
        volumes = np.array(self.volume_m3)
        volumes[self.index_of(node)] = volume_m3
        return replace(self, volume_m3=volumes)


_FIELDS = tuple(field.name for field in fields(Network))


def softest(volume_m3: float, sealed: bool) -> float:
    """Largest compliance [m3/Pa] taken for air of a volume [m3]: half of it for 20 hPa, or for no air at all.

    sealed: the volume around sealed capsules, which feel all of the pressure.
    """
    from ramstill.air.constants import P0

    return 0.5 * volume_m3 / (P0 if sealed else 2000.0)


def never_negative(link: str, schedule: Schedule | None) -> Schedule | None:
    """The open share of a link, rounding below zero taken off; ValueError for more than that."""
    if schedule is None:
        return None
    if min(schedule.values) < -1e-9:
        raise ValueError(f"{link!r} cannot be open by less than nothing")
    if min(schedule.values) >= 0.0:
        return schedule
    return Schedule(schedule.times_s, tuple(max(0.0, value) for value in schedule.values))
