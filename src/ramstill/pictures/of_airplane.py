"""From an airplane file to what the pictures draw."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from ramstill.air import units
from ramstill.pictures import faces, linemap
from ramstill.pictures.columns import AirKind
from ramstill.pictures.mapviews import FaultMark, Pipe, Point, Spot

if TYPE_CHECKING:
    from ramstill.airplane import Airplane, Line
    from ramstill.faults import Fault

_SEEN: dict[str, AirKind] = {
    "ram": "ram",
    "still": "still",
    "cabin": "cabin",
    "wing-bay": "cabin",
    "total-energy": "still",  # the side of still air, though speed draws on it
}

_SERVED: dict[str, AirKind] = {"pitot": "ram", "static": "still", "total-energy": "still"}
_MOUTHS = ("pitot-inlet", "static-port", "total-energy-probe")
SPEED_UNIT = {"kt": units.KT, "mph": units.MPH, "km/h": units.KM_H}


def plain(name: str) -> str:
    """A part's name as words."""
    return name.replace("-", " ").replace(".", " ")


def steps_in(airplane: Airplane) -> dict[str, int]:
    """How many lines and valves lie between each fitting or port and the nearest opening to outside air."""
    found = {o.into: 0 for o in airplane.openings if o.kind in _MOUTHS}
    todo = list(found)
    while todo:
        name = todo.pop(0)
        for _, other in airplane.neighbours.get(name, ()):
            if other not in found:
                found[other] = found[name] + 1
                todo.append(other)
    return found


def airs_of_fittings(airplane: Airplane) -> dict[str, AirKind]:
    """Which air each fitting is built to hold: that of its lines, or else of the openings into it."""
    found: dict[str, AirKind] = {o.into: _SEEN[o.sees] for o in airplane.openings}
    for valve in airplane.valves:
        for end in (valve.start, valve.end):
            found.setdefault(end, "still")
    for line in airplane.lines:
        for end in (line.start, line.end):
            found[end] = _SERVED[line.serves]
    return found


@dataclass(frozen=True, slots=True)
class System:
    """What hangs together: a pitot inlet and everything joined to it, the parts by name."""

    inlet: str
    parts: frozenset[str]


def systems(airplane: Airplane) -> tuple[System, ...]:
    """The airplane's systems, each with an inlet of its own, in the order of the file.

    Joined are the ends of lines, of valves (a shut one may be opened) and the ports of an instrument. What
    hangs on no pitot inlet, a total-energy probe for one, belongs to the first system.
    """
    group: dict[str, str] = {}

    def root(name: str) -> str:
        while group.setdefault(name, name) != name:
            name = group[name]
        return name

    joined = [(part.start, part.end) for part in (*airplane.lines, *airplane.valves)]
    joined += [(i.ports[0], port) for i in airplane.instruments for port in i.ports]
    joined += [(fitting.name, fitting.name) for fitting in airplane.fittings]
    for a, b in joined:
        group[root(a)] = root(b)
    inlets: dict[str, str] = {}
    for opening in airplane.openings:
        if opening.kind == "pitot-inlet":
            inlets.setdefault(root(opening.into), opening.name)
    first = next(iter(inlets), "")
    parts: dict[str, set[str]] = {name: set() for name in inlets or {"": ""}}
    for name in list(group):
        parts[root(name) if root(name) in parts else first].add(name)
    return tuple(System(inlets.get(name, ""), frozenset(inside)) for name, inside in parts.items())


def fittings_in_order(airplane: Airplane, system: System) -> dict[AirKind, list[str]]:
    """Fittings of a system by air, as one meets them on its wall: first inwards, then outwards."""
    steps, airs = steps_in(airplane), airs_of_fittings(airplane)
    found: dict[AirKind, list[str]] = {"ram": [], "still": [], "cabin": []}
    for fitting in airplane.fittings:
        if fitting.name in system.parts:
            found[airs.get(fitting.name, "still")].append(fitting.name)
    found["ram"].sort(key=lambda n: steps.get(n, 99))
    found["still"].sort(key=lambda n: -steps.get(n, 0))
    return found


def letters(airplane: Airplane) -> dict[str, str]:
    """The letter of each fitting, the same on the wall and on the map."""
    names = []
    for system in systems(airplane):
        names += [name for group in fittings_in_order(airplane, system).values() for name in group]
    return {name: _letter(i) for i, name in enumerate(names)}


def plumbing_of(airplane: Airplane, faults: Sequence[Fault] = ()) -> linemap.Plumbing:
    """What the line map draws. Raises InputError for a fault that the airplane cannot have."""
    airs, tags, steps = airs_of_fittings(airplane), letters(airplane), steps_in(airplane)
    spots = []

    def pipe(line: Line) -> Pipe:
        inwards = steps.get(line.start, 99) <= steps.get(line.end, 99)
        inner = line.end if inwards else line.start
        return Pipe(plain(line.name), _SERVED[line.serves], line.way, line.name, inner, inwards)

    for i, o in enumerate(airplane.openings):
        spots.append(Spot("opening", plain(o.name), _letter(i).upper(), _SEEN[o.sees], _point(o.at), o.name))
    for f in airplane.fittings:
        spots.append(
            Spot("fitting", plain(f.name), tags[f.name], airs.get(f.name, "still"), _point(f.at), f.name)
        )
    for i, v in enumerate(airplane.valves):
        spots.append(
            Spot("valve", plain(v.name), f"V{i + 1}", airs[v.start], airplane.position_of(v.name), v.name)
        )
    for i, g in enumerate(airplane.instruments):
        spots.append(Spot("instrument", plain(g.name), f"I{i + 1}", "still", _point(g.at), g.name))
    return linemap.Plumbing(
        title=airplane.title,
        plan=tuple(_flat(shape) for shape in airplane.outline.plan),
        side=tuple(_flat(shape) for shape in airplane.outline.side),
        pipes=tuple(pipe(line) for line in airplane.lines),
        spots=tuple(spots),
        links=(
            *((_point(o.at), airplane.position_of(o.into)) for o in airplane.openings),
            *((airplane.position_of(v.start), airplane.position_of(v.end)) for v in airplane.valves),
        ),
        faults=tuple(_marks(airplane, faults)),
    )


def airspeed_face(instrument: Any, airplane: Airplane) -> faces.AirspeedFace:
    """The marks of one airspeed indicator, in its own unit."""
    one, speeds = SPEED_UNIT[instrument.unit], airplane.speeds
    return faces.AirspeedFace(
        lowest=instrument.lowest_mark / one,
        top=instrument.top_mark / one,
        unit=instrument.unit,
        stall_landing=speeds.stall_landing / one,
        flap_limit=speeds.flap_limit / one,
        stall_clean=speeds.stall_clean / one,
        normal_limit=speeds.normal_operating_limit / one,
        never_exceed=speeds.never_exceed / one,
    )


def _marks(airplane: Airplane, faults: Sequence[Fault]) -> list[FaultMark]:
    """One mark for each place of each fault; the places of one fault share its number."""
    from ramstill.faults import catalogue, where_on_airplane

    marks = []
    for number, fault in enumerate(faults, 1):
        title = catalogue()[fault.name].title.lower()
        for kind, name in where_on_airplane(fault, airplane):
            at = _halfway(airplane.line(name).way) if kind == "line" else airplane.position_of(name)
            marks.append(FaultMark(number, title, at))
    return marks


def _halfway(way: tuple[Point, ...]) -> Point:
    """The point halfway along a line's longest straight piece [m]."""
    pieces = list(pairwise(way))
    a, b = max(pieces, key=lambda ends: sum((p - q) ** 2 for p, q in zip(*ends, strict=True)))
    return ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2)


def _point(place: Sequence[float]) -> Point:
    x, y, z = (float(v) for v in place)
    return x, y, z


def _flat(shape: Sequence[Sequence[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((float(p[0]), float(p[1])) for p in shape)


def _letter(index: int) -> str:
    return chr(ord("a") + index) if index < 26 else f"a{index - 25}"
