"""Where faults can be on an airplane: its openings, lines and fittings, and what lies behind what."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from functools import lru_cache
from math import dist
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.airplane.openings import Opening
    from ramstill.airplane.plumbing import Line, Valve

ALL, MAST = "all", "mast"
_MOUTHS = {"pitot": "pitot-inlet", "static": "static-port", "total-energy": "total-energy-probe"}
_NEAR_M = 0.5  # openings of one mast lie within this of its inlet


def openings(airplane: Airplane, *kinds: str) -> list[Opening]:
    """Return the openings of these kinds, in the order of the file."""
    return [opening for opening in airplane.openings if opening.kind in kinds]


def names(parts: Iterable[Opening | Line | Valve]) -> list[str]:
    """Return the names of parts."""
    return [part.name for part in parts]


def lines(airplane: Airplane, *serves: str) -> list[Line]:
    """Return the lines that carry this air ("pitot", "static")."""
    return [line for line in airplane.lines if line.serves in serves]


def of_kind(airplane: Airplane, *kinds: str) -> list[str]:
    """Return the names of the instruments of these kinds."""
    return [instrument.name for instrument in airplane.instruments if instrument.kind in kinds]


def fitting_names(airplane: Airplane) -> list[str]:
    """Return the names of all fittings."""
    return [fitting.name for fitting in airplane.fittings]


def air_around(airplane: Airplane, node: str) -> str:
    """Return the boundary that air leaks to or from at a fitting or an instrument's port.

    An instrument is in the cabin; a fitting is in the air of the lines that meet at it, the innermost
    where they differ, as that is where it can be reached and left loose.
    """
    for instrument in airplane.instruments:
        if node.partition(".")[0] == instrument.name:
            return str(instrument.surrounded_by)
    around = {line.through for line in airplane.lines if node in (line.start, line.end)}
    return next((air for air in ("cabin", "wing-bay", "outside") if air in around), "cabin")


def neighbours(airplane: Airplane, node: str, without: Collection[str] = ()) -> list[str]:
    """Return the nodes joined to `node` by a line or a normally open valve, leaving out those named."""
    ends = _open_ends(airplane, without)
    return [b for a, b in ends if a == node] + [a for a, b in ends if b == node]


def _open_ends(airplane: Airplane, without: Collection[str]) -> list[tuple[str, str]]:
    """Return the ends of every line and normally open valve but those named."""
    links = [*airplane.lines, *(valve for valve in airplane.valves if valve.normally == "open")]
    return [(link.start, link.end) for link in links if link.name not in without]


def reached(airplane: Airplane, start: Iterable[str], without: Collection[str] = ()) -> dict[str, int]:
    """Return every node that air gets to from `start` through open lines, with the count of links between."""
    return dict(_reached(tuple(_open_ends(airplane, without)), tuple(start)))


@lru_cache(maxsize=4096)
def _reached(ends: tuple[tuple[str, str], ...], start: tuple[str, ...]) -> tuple[tuple[str, int], ...]:
    joined: dict[str, list[str]] = {}
    for a, b in ends:
        joined.setdefault(a, []).append(b)
    for a, b in ends:
        joined.setdefault(b, []).append(a)
    steps = dict.fromkeys(start, 0)
    queue = list(steps)
    while queue:
        node = queue.pop(0)
        for other in joined.get(node, ()):
            if other not in steps:
                steps[other] = steps[node] + 1
                queue.append(other)
    return tuple(steps.items())


def trunks(airplane: Airplane, serves: str) -> list[Line]:
    """Return the lines that all instruments of this air hang on, the nearest to the openings first."""
    chambers = [opening.into for opening in openings(airplane, _MOUTHS[serves])]
    port = "probe" if serves == "total-energy" else serves
    ports = {f"{i.name}.{port}" for i in airplane.instruments if f"{i.name}.{port}" in i.ports}
    steps = reached(airplane, chambers)
    found = [
        line
        for line in lines(airplane, serves)
        if line.start in steps
        and line.end in steps
        and not ports & set(reached(airplane, chambers, without=(line.name,)))
    ]
    return sorted(found, key=lambda line: min(steps[line.start], steps[line.end]))


def outer_first(airplane: Airplane, line: Line) -> tuple[str, str]:
    """Return the two ends of a line, the one nearer to the openings first."""
    steps = reached(airplane, [opening.into for opening in openings(airplane, _MOUTHS[line.serves])])
    far = len(steps) + 1
    ends = (line.start, line.end)
    return ends if steps.get(line.start, far) <= steps.get(line.end, far) else ends[::-1]


def of_mast(airplane: Airplane, inlet: Opening) -> list[Opening]:
    """Return the openings that lie on one body with `inlet`: those close by, itself among them."""
    return [
        opening
        for opening in openings(airplane, "pitot-inlet", "pitot-drain", "static-port", "static-drain")
        if dist(opening.at, inlet.at) <= _NEAR_M
    ]


def masts(airplane: Airplane) -> list[str]:
    """Return the inlets that stand on a mast with static openings beside them."""
    return [
        inlet.name
        for inlet in openings(airplane, "pitot-inlet")
        if any(opening.kind == "static-port" for opening in of_mast(airplane, inlet))
    ]


def closed_valves_to(airplane: Airplane, *kinds: str) -> list[Valve]:
    """Return the normally closed valves with nothing but openings of these kinds on one side."""
    mouths = {opening.into for opening in openings(airplane, *kinds)}
    return [
        valve
        for valve in airplane.valves
        if valve.normally == "closed"
        and (mouths & set(reached(airplane, [valve.start])) or mouths & set(reached(airplane, [valve.end])))
    ]
