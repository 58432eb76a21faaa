"""Does it make sense? What no single field can tell: names, ends, ways, marks, reach."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from difflib import get_close_matches
from itertools import chain, pairwise
from math import dist
from typing import TYPE_CHECKING

from ramstill.airplane import flying, panel_checks
from ramstill.airplane.quantity import complain

if TYPE_CHECKING:
    from ramstill.airplane.description import Airplane
    from ramstill.airplane.plumbing import Line

RESERVED = ("cabin", "wing-bay", "outside")  # the airs inside and around, which are no elements
ROUND_OFF = 0.98  # a length may fall short of the way by this much, as both are read off a tape
SLACK_M = 0.6  # [m] a part may lie outside the outline, which is only drawn
# Which air may come to a port of a name; a variometer without compensation hangs on a static line.
AIRS_OF_PORT = {"pitot": ("pitot",), "static": ("static",), "probe": ("total-energy", "static")}


def spelt(name: str, names: Iterable[str]) -> str:
    """What is allowed instead of a name that is not there: the close spellings first, then all."""
    names = list(names)
    close = get_close_matches(name, names, n=3, cutoff=0.7)
    if not close:
        return ", ".join(names) or "none is described"
    others = [other for other in names if other not in close]
    return f"did you mean {' or '.join(close)}?" + (f" (also {', '.join(others)})" if others else "")


def names(plane: Airplane) -> None:
    """Each element's name is its own: openings, links and tappings share one list of names."""
    seen: dict[str, str] = dict.fromkeys(RESERVED, "the air around")
    groups = {
        "opening": plane.openings,
        "fitting": plane.fittings,
        "line": plane.lines,
        "valve": plane.valves,
        "instrument": plane.instruments,
    }
    for kind, elements in groups.items():
        for element in elements:
            if element.name in seen:
                raise complain(
                    f'"{element.name}", already the name of {seen[element.name]}',
                    "a name that nothing else has",
                    f'{kind} "{element.name}": name',
                )
            seen[element.name] = f"a {kind}" if kind[0] not in "aeiou" else f"an {kind}"


def ends(plane: Airplane) -> None:
    """Lines, valves and openings lead to something that is there."""
    fittings = [fitting.name for fitting in plane.fittings]
    ports = [port for instrument in plane.instruments for port in instrument.ports]
    for opening in plane.openings:
        _one_of(opening.into, fittings, f'opening "{opening.name}": into')
    for kind, links, places in (("line", plane.lines, fittings + ports), ("valve", plane.valves, fittings)):
        for link in links:
            _one_of(link.start, places, f'{kind} "{link.name}": from')
            _one_of(link.end, places, f'{kind} "{link.name}": to')
            if link.start == link.end:
                raise complain(f'"{link.end}", where it starts', "another end", f'{kind} "{link.name}": to')
    for valve in plane.valves:
        if valve.opposite is not None:
            others = [other.name for other in plane.valves if other is not valve]
            _one_of(valve.opposite, others, f'valve "{valve.name}": opposite')


def whole(plane: Airplane) -> None:
    """Everything else; needs the lines' ways."""
    for line in plane.lines:
        _way(line)
    _on_the_airplane(plane)
    _airs_apart(plane)
    _reached(plane)
    _arcs(plane)
    flying.sound(plane)
    for instrument in plane.instruments:
        panel_checks.sound(instrument, plane.speeds)
    for opening in plane.openings:
        if opening.sees in ("cabin", "wing-bay") and opening.pressure_coefficient.tables:
            raise complain(
                f"a table for an opening to the {opening.sees}",
                "a pressure coefficient where sees is ram, still or total-energy; [inside] has the others",
                f'opening "{opening.name}": pressure_coefficient',
            )
        if opening.heater_power is not None and not opening.heated:
            raise complain(
                f'"{opening.heater_power.text}" for an opening without a heater',
                "heater_power only where heated = true",
                f'opening "{opening.name}": heater_power',
            )


def _one_of(name: str, allowed: Collection[str], field: str) -> None:
    if name not in allowed:
        raise complain(f'"{name}"', spelt(name, allowed), field)


def _way(line: Line) -> None:
    straight = dist(line.way[0], line.way[-1])
    if line.length is not None and line.length < ROUND_OFF * straight:
        raise complain(
            f'"{line.length.text or line.length}"',
            f"{straight:.2f} m or more, the straight distance from {line.start} to {line.end}",
            f'line "{line.name}": length',
        )
    if line.length is not None and line.length < ROUND_OFF * line.way_length_m:
        raise complain(
            f"a way of {line.way_length_m:.2f} m",
            f"points on a way no longer than its length, {line.length.text}",
            f'line "{line.name}": via',
        )
    if line.length_m <= 0.0:
        raise complain(
            "no length, as both ends are at one place", "a length above zero", f'line "{line.name}": length'
        )


def _on_the_airplane(plane: Airplane) -> None:
    """A slip of a unit puts a part far off the airframe."""
    plan, side = plane.outline.plan, plane.outline.side
    for points, what in ((plan, "plan"), (side, "side")):
        if not points or any(len(polygon) < 3 for polygon in points):
            raise complain("fewer than 3 points", "polygons of 3 points or more", f"outline.{what}")
    xs = [point[0] for point in chain(*plan, *side)]
    reach = {
        "x": xs,
        "y": [point[1] for point in chain(*plan)],
        "z": [point[1] for point in chain(*side)],
    }
    limits = [(axis, min(values) - SLACK_M, max(values) + SLACK_M) for axis, values in reach.items()]
    parts = [
        (f'{kind} "{part.name}": at', part.at)
        for kind, group in (
            ("opening", plane.openings),
            ("fitting", plane.fittings),
            ("instrument", plane.instruments),
        )
        for part in group
    ]
    parts += [(f'line "{line.name}": via', point) for line in plane.lines for point in line.via]
    for field, point in parts:
        for value, (axis, low, high) in zip(point, limits, strict=True):
            if not low <= value <= high:
                raise complain(
                    f"{axis} = {float(value):g} m",
                    f"{low:.1f} to {high:.1f} m, on the airplane's outline",
                    field,
                )


def _airs_apart(plane: Airplane) -> None:
    """Lines of different airs never meet: crossing them is a fault to fly, not a description."""
    pairs = [(end, line) for line in plane.lines for end in (line.start, line.end)]
    for end, line in pairs:
        airs = AIRS_OF_PORT[end.rpartition(".")[2]] if "." in end else (line.serves,)
        if line.serves not in airs:
            field = f'line "{line.name}": serves'
            raise complain(f'"{line.serves}" on {end}', f"{' or '.join(airs)}, as the port is", field)
    first: dict[str, Line] = {}
    for end, line in pairs:
        other = first.setdefault(end, line)
        if other.serves != line.serves:
            raise complain(
                f'"{line.serves}" at {end}',
                f'{other.serves}, which "{other.name}" brings to {end}',
                f'line "{line.name}": serves',
            )


def _reached(plane: Airplane) -> None:
    """Every port hangs on a line, and air gets everywhere as the valves stand in ordinary flight."""
    neighbours = plane.neighbours
    for instrument in plane.instruments:
        for port in instrument.ports:
            if not any(port in (line.start, line.end) for line in plane.lines):
                raise complain(
                    f"no line at {port}", f'a line with to = "{port}"', f'instrument "{instrument.name}"'
                )
    closed = {valve.name for valve in plane.valves if valve.normally == "closed"}
    reached = {opening.into for opening in plane.openings}
    waiting = list(reached)
    while waiting:
        for link, other in neighbours[waiting.pop()]:
            if link not in closed and other not in reached:
                reached.add(other)
                waiting.append(other)
    for name in neighbours:
        if name not in reached:
            kind, what = ("instrument", name.rpartition(".")[0]) if "." in name else ("fitting", name)
            raise complain(
                f"no way for air from any opening to {name}",
                "lines and normally open valves from an opening to every fitting and port",
                f'{kind} "{what}"',
            )


def _arcs(plane: Airplane) -> None:
    speeds = plane.speeds
    for order in (
        ("stall_landing", "stall_clean", "normal_operating_limit", "never_exceed"),
        ("stall_landing", "flap_limit", "never_exceed"),
        ("stall_landing", "approach", "never_exceed"),
        ("stall_clean", "climb", "never_exceed"),
        ("stall_clean", "cruise", "never_exceed"),
    ):
        for lower, upper in pairwise(order):
            low, high = getattr(speeds, lower), getattr(speeds, upper)
            if low >= high:
                raise complain(f'"{high.text}"', f"a speed above {lower}, {low.text}", f"speeds.{upper}")
