"""One airplane's pitot-static system, whole: what every other part of the program takes as its airplane."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Annotated, Any, Literal, TypeVar

from pydantic import BaseModel, Field, PrivateAttr, model_validator

from ramstill.airplane import checks
from ramstill.airplane.airframe import Inside, Outline, Speeds, Wing
from ramstill.airplane.element import Element, Name, Named
from ramstill.airplane.figure import Figure
from ramstill.airplane.flying import Performance
from ramstill.airplane.instruments import Instrument
from ramstill.airplane.openings import Opening
from ramstill.airplane.plumbing import Fitting, Line, Point, Valve
from ramstill.airplane.rates import Variometer, VerticalSpeedIndicator
from ramstill.errors import InputError

N = TypeVar("N", bound=Named)


class Airplane(Element):
    """An airplane file, read and checked.

    Lengths [m], volumes [m3], pressures [Pa], speeds [m/s], angles [rad].
    Axes: x aft of the nose, y to the right of the centre line, z up from the ground [m].
    """

    format: Literal[1]
    """version of the file format"""
    name: Name
    """what commands and other files call it"""
    title: str
    """what people call it"""
    invented: Annotated[bool, Field(strict=True)]
    """whether this is an invented example and no real airplane"""
    note: str = ""
    """what a reader should know about the file"""
    outline: Outline
    """the airframe for drawing"""
    wing: Wing | None = None
    """without it, angle of attack is left out"""
    speeds: Speeds
    """speeds it is flown at"""
    performance: Performance | None = None
    """how it flies; without it, it is flown from a plan or a recording only"""
    inside: Inside
    """air inside it"""
    openings: Annotated[tuple[Opening, ...], Field(alias="opening", min_length=1)]
    """where outside air comes in"""
    fittings: Annotated[tuple[Fitting, ...], Field(alias="fitting", min_length=1)]
    """where lines meet"""
    lines: Annotated[tuple[Line, ...], Field(alias="line", min_length=1)]
    """tubes"""
    valves: Annotated[tuple[Valve, ...], Field(alias="valve")] = ()
    """valves"""
    instruments: Annotated[tuple[Instrument, ...], Field(alias="instrument", min_length=1)]
    """instruments"""

    _places: dict[str, Point] = PrivateAttr(default_factory=dict)

    @model_validator(mode="after")
    def _whole(self) -> Airplane:
        checks.names(self)
        self._places.update(_places(self))
        checks.ends(self)
        for line in self.lines:
            ends = (self._places[line.start], self._places[line.end])
            line._way = (ends[0], *(_point(point) for point in line.via), ends[1])
        checks.whole(self)
        return self

    def opening(self, name: str) -> Opening:
        """The opening of that name; InputError lists them for any other."""
        return self._find("opening", self.openings, name)

    def fitting(self, name: str) -> Fitting:
        """The fitting of that name."""
        return self._find("fitting", self.fittings, name)

    def line(self, name: str) -> Line:
        """The line of that name."""
        return self._find("line", self.lines, name)

    def valve(self, name: str) -> Valve:
        """The valve of that name."""
        return self._find("valve", self.valves, name)

    def instrument(self, name: str) -> Instrument:
        """The instrument of that name."""
        return self._find("instrument", self.instruments, name)

    def instruments_of(self, kind: str) -> tuple[Instrument, ...]:
        """The instruments of a kind, such as "altimeter", in the order of the file."""
        return tuple(instrument for instrument in self.instruments if instrument.kind == kind)

    @property
    def tappings(self) -> tuple[str, ...]:
        """Every place with a pressure of its own: the fittings, then the instruments' ports and cases."""
        inside = (tapping for instrument in self.instruments for tapping in instrument.volumes)
        return (*(fitting.name for fitting in self.fittings), *inside)

    @property
    def volumes(self) -> dict[str, float]:
        """Air at each tapping [m3]: its own, and half of each line that ends there."""
        volumes = {fitting.name: float(fitting.volume) for fitting in self.fittings}
        for instrument in self.instruments:
            volumes |= instrument.volumes
        for line in self.lines:
            for end in (line.start, line.end):
                volumes[end] += line.volume_m3 / 2.0
        return volumes

    @property
    def neighbours(self) -> Mapping[str, tuple[tuple[str, str], ...]]:
        """For each tapping: (name of a line, valve or calibrated leak, the tapping at its other end)."""
        found: dict[str, list[tuple[str, str]]] = {name: [] for name in self._places if name in self.tappings}
        links = [(line.name, line.start, line.end) for line in self.lines]
        links += [(valve.name, valve.start, valve.end) for valve in self.valves]
        links += [
            (f"{instrument.name}.leak", *instrument.leak_ends)
            for instrument in self.instruments
            if isinstance(instrument, VerticalSpeedIndicator | Variometer)
        ]
        for name, start, end in links:
            found[start].append((name, end))
            found[end].append((name, start))
        return MappingProxyType({name: tuple(others) for name, others in found.items()})

    def position_of(self, name: str) -> Point:
        """Where an opening, a fitting, an instrument or a port is [m]; a valve is halfway along."""
        if name not in self._places:
            raise InputError(self.name, "place", f'"{name}"', checks.spelt(name, self._places))
        return self._places[name]

    def figures(self) -> Iterator[tuple[str, Figure]]:
        """Every figure with where it stands, such as 'line "pitot-wing": bore'; not the outline's."""
        for key in type(self).model_fields:
            if key != "outline":
                yield from figures_in(key, getattr(self, key))

    def _find(self, what: str, among: tuple[N, ...], name: str) -> N:
        for element in among:
            if element.name == name:
                return element
        raise InputError(self.name, what, f'"{name}"', checks.spelt(name, [e.name for e in among]))


def _point(place: tuple[Figure, ...]) -> Point:
    x, y, z = (float(part) for part in place)
    return x, y, z


def _places(plane: Airplane) -> dict[str, Point]:
    placed = (*plane.openings, *plane.fittings, *plane.instruments)
    places = {element.name: _point(element.at) for element in placed}
    for instrument in plane.instruments:
        places |= dict.fromkeys(instrument.volumes, places[instrument.name])
    for valve in plane.valves:
        if valve.start in places and valve.end in places:
            (x0, y0, z0), (x1, y1, z1) = places[valve.start], places[valve.end]
            places[valve.name] = ((x0 + x1) / 2.0, (y0 + y1) / 2.0, (z0 + z1) / 2.0)
    return places


def figures_in(where: str, value: Any) -> Iterator[tuple[str, Figure]]:
    if isinstance(value, Figure):
        yield where, value
    elif isinstance(value, BaseModel):
        joint = ": " if isinstance(value, Named) else "."
        for key in type(value).model_fields:
            yield from figures_in(f"{where}{joint}{key}", getattr(value, key))
    elif isinstance(value, tuple):
        for part in value:
            named = f'{where.removesuffix("s")} "{part.name}"' if isinstance(part, Named) else where
            yield from figures_in(named, part)
