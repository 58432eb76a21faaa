"""Which instrument hangs on which openings, read from the plumbing as it stands in ordinary flight."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

if TYPE_CHECKING:
    from ramstill.airplane import Airplane, Opening

Air = Literal["ram", "still", "total-energy"]
_MOUTHS: dict[str, Air] = {"pitot-inlet": "ram", "static-port": "still", "total-energy-probe": "total-energy"}


@dataclass(frozen=True, slots=True)
class Side:
    """One body of air: the openings it comes in by and the instruments that feel it.

    air: which air it is meant to hold; openings, drains, instruments: their names, in the order of the file;
    tappings: every place in it, by name.
    """

    air: Air
    openings: tuple[str, ...]
    drains: tuple[str, ...]
    instruments: tuple[str, ...]
    tappings: frozenset[str]


def sides(plane: Airplane) -> tuple[Side, ...]:
    """The bodies of air with an opening of their own: ram first, then still, in the order of the file.

    Lines and valves that are open in ordinary flight join; a calibrated leak, through which the instruments
    would meet too late, does not.
    """
    found: list[Side] = []
    for opening in plane.openings:
        air = _MOUTHS.get(opening.kind)
        if air is None or any(opening.into in side.tappings for side in found):
            continue
        inside = joined(plane, opening.into)
        here: list[Opening] = [one for one in plane.openings if one.into in inside]
        found.append(
            Side(
                air,
                tuple(one.name for one in here if one.kind in _MOUTHS),
                tuple(one.name for one in here if one.kind in ("pitot-drain", "static-drain")),
                tuple(i.name for i in plane.instruments if any(port in inside for port in i.ports)),
                inside,
            )
        )
    return tuple(sorted(found, key=lambda side: ("ram", "still", "total-energy").index(side.air)))


def joined(plane: Airplane, start: str) -> frozenset[str]:
    """Every tapping that air from `start` gets to without passing a closed valve or a calibrated leak."""
    shut = {valve.name for valve in plane.valves if valve.normally == "closed"}
    shut |= {f"{one.name}.leak" for one in plane.instruments}
    seen, queue = {start}, [start]
    while queue:
        for link, other in plane.neighbours.get(queue.pop(), ()):
            if other not in seen and link not in shut:
                seen.add(other)
                queue.append(other)
    return frozenset(seen)


def side_of(plane: Airplane, tapping: str) -> Side | None:
    """The body of air that a tapping, such as "altimeter.static", belongs to."""
    return next((side for side in sides(plane) if tapping in side.tappings), None)
