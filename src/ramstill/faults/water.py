"""Water that has collected in the low point of a line: nothing passes until it is pushed up the far leg."""

from __future__ import annotations

from itertools import pairwise
from math import asin, dist
from typing import TYPE_CHECKING

import numpy as np

from ramstill.errors import InputError
from ramstill.faults.entry import Entry, Size
from ramstill.faults.places import lines, names, outer_first, trunks
from ramstill.faults.state import State

if TYPE_CHECKING:
    from collections.abc import Callable

    from ramstill.airplane import Airplane
    from ramstill.airplane.plumbing import Line
    from ramstill.pneumatics.schedule import Schedule


def lowest_point(airplane: Airplane, line: Line) -> int:
    """Return which of a line's way points water comes to rest at; its outer end drains to the outside."""
    outer, _ = outer_first(airplane, line)
    there = list(range(len(line.way)))
    there.remove(0 if outer == line.start else len(line.way) - 1)
    return min(there, key=lambda i: line.way[i][2])


def legs(line: Line, lowest: int, slug_m: float) -> tuple[float, float]:
    """Return how high a slug of a length [m] stands when all of it is in the leg before, or in that behind,
    the lowest of a line's way points [m].

    Where that is an end of the line, the next line's leg is taken to be like this one's.
    """
    way = np.array(line.way)
    along = np.concatenate([[0.0], np.cumsum([dist(a, b) for a, b in pairwise(way.tolist())])])
    along *= line.length_m / along[-1]
    heights = []
    for place in (along[lowest] - slug_m, along[lowest] + slug_m):
        rise = float(np.interp(place, along, way[:, 2]) - way[lowest, 2])
        heights.append(min(max(rise, 0.0), slug_m))
    if lowest == 0:
        heights[0] = heights[1]
    elif lowest == len(way) - 1:
        heights[1] = heights[0]
    return heights[0], heights[1]


def _lowest_first(serves: str) -> Callable[[Airplane], list[str]]:
    """Return places: of the lines that all instruments hang on the one that sags lowest, then the others."""

    def places(airplane: Airplane) -> list[str]:
        there = lines(airplane, serves)
        shared = trunks(airplane, serves) or there
        first = [min(shared, key=lambda one: one.way[lowest_point(airplane, one)][2]).name] if shared else []
        return first + [name for name in names(there) if name not in first]

    return places


def _water(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    from ramstill.pneumatics import water

    line = state.airplane.line(place)
    bore, room = float(line.bore), float(line.volume_m3)
    if size[1] >= room:
        read, most = f"{size[1] * 1e6:g} cm3", f"less water than {place} holds, {room * 1e6:.2g} cm3"
        raise InputError("fault", "size", read, most)
    # water at the temperature of the cabin, as all the air in the lines
    warmth = float(state.airplane.inside.cabin_temperature)
    slug = float(water.slug_length(size[1], bore))
    rises = legs(line, lowest_point(state.airplane, line), slug)
    held = [float(water.threshold_pa(bore, slug, asin(rise / slug), warmth)) for rise in rises]
    conductance = float(water.slug_conductance(bore, slug, warmth))
    state = state.at("line", place).shut(place, share)
    # pushed from the start towards the end it stands in the leg behind the lowest point, and so on
    return state.slug(place, line.start, line.end, held[1], held[0], conductance, share)


_SIZE = Size("the water in the line", "1 cm3", ("volume",))


def _entry(serves: str, says: str) -> Entry:
    return Entry(
        f"water-in-{serves}-line",
        f"Water in the {serves} line",
        f"Water stands in a low point of a {serves} line: {says}",
        "1: it is there or it is not",
        f"{serves} line",
        _lowest_first(serves),
        _water,
        comes="suddenly",
        size=_SIZE,
        whole=True,
    )


ENTRIES = (
    _entry("pitot", "air passes only when the difference is enough to push it up the far leg."),
    _entry("static", "the air behind it is late by what it takes to push it up the far leg."),
)
