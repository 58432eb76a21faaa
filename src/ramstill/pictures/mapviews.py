"""The pieces of a line map: one view of the plumbing, its parts, and labels led to what they name."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from ramstill.pictures import svg
from ramstill.pictures.columns import AirKind
from ramstill.pictures.labels import Box, beside, spread

Point = tuple[float, float, float]
Polygon = Sequence[tuple[float, float]]
Flat = Callable[[float, float], tuple[float, float]]
Spatial = Callable[[Point], tuple[float, float]]

_APART = 2.6  # ram and still lines that share a way are drawn this far to either side of it [px]
_GAUGE_M = 0.040  # half the width of a standard instrument, 3 1/8 in (common practice, no source) [m]


@dataclass(frozen=True, slots=True)
class Pipe:
    """One line along its way points [m]; `part` is its name in the file, `inner` its end away from the air
    outside, and `inwards` whether its way runs there.
    """

    name: str
    air: AirKind
    way: tuple[Point, ...]
    part: str = ""
    inner: str = ""
    inwards: bool = True


@dataclass(frozen=True, slots=True)
class Spot:
    """Something with a place [m]: an opening, a fitting, an instrument or a valve; `tag` is its letter,
    `part` its name in the file.
    """

    kind: Literal["opening", "fitting", "instrument", "valve"]
    label: str
    tag: str
    air: AirKind
    at: Point
    part: str = ""


@dataclass(frozen=True, slots=True)
class FaultMark:
    """A fault where it happens [m], numbered from 1."""

    number: int
    label: str
    at: Point


def fit(box: Box, frame: Box, upward: bool = False) -> tuple[Flat, float]:
    """Map metres (across, down; or up) into a frame of pixels at one scale, centred; and the scale [px/m]."""
    scale = min((frame[2] - frame[0]) / (box[2] - box[0]), (frame[3] - frame[1]) / (box[3] - box[1]))
    middle = ((frame[0] + frame[2]) / 2, (frame[1] + frame[3]) / 2)
    centre = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2)
    turn = -1.0 if upward else 1.0
    return (
        lambda a, b: (middle[0] + (a - centre[0]) * scale, middle[1] + turn * (b - centre[1]) * scale)
    ), scale


def around(points: Sequence[tuple[float, float]], share: float, least: float) -> Box:
    """The box of points, wider by a share of its longer side and by `least` on every side [m]."""
    a, b = [p[0] for p in points], [p[1] for p in points]
    more = share * max(max(a) - min(a), max(b) - min(b)) + least
    return min(a) - more, min(b) - more, max(a) + more, max(b) + more


def pipes(lines: Sequence[Pipe], flat: Spatial, thin: str = "") -> str:
    """Lines with a pale casing, so that they stay apart where they cross; ram and still side by side."""
    drawn = []
    for pipe in sorted(lines, key=lambda p: p.air == "ram"):
        points = drawn_way(pipe, flat)
        drawn.append(svg.path(points, f"casing {thin}".strip()))
        drawn.append(svg.path(points, f"pipe {pipe.air} {thin}".strip()))
    return svg.group(*drawn)


def drawn_way(pipe: Pipe, flat: Spatial) -> list[tuple[float, float]]:
    """The points of a line on the drawing, moved to the side that its air keeps to."""
    push = {"ram": -_APART, "still": _APART, "cabin": 0.0}[pipe.air]
    return [(x + push, y + push) for x, y in (flat(p) for p in pipe.way)]


def spot(part: Spot, x: float, y: float, scale: float) -> str:
    """Openings are rings, fittings dots, valves squares, instruments double rings."""
    if part.kind == "opening":
        return svg.circle(x, y, 6, f"opening {part.air}")
    if part.kind == "fitting":
        return svg.circle(x, y, 3.8, "fitting")
    if part.kind == "valve":
        return svg.rect(x - 5, y - 5, 10, 10, "valve")
    radius = min(max(_GAUGE_M * scale, 6.0), 26.0)
    return svg.group(svg.circle(x, y, radius, "gauge"), svg.circle(x, y, 0.8 * radius, "gauge-glass"))


def discs(faults: Sequence[FaultMark], flat: Spatial) -> list[str]:
    """The numbers of the faults, a little off their places; side by side where they share one."""
    drawn, taken = [], set[tuple[int, int]]()
    for fault in faults:
        x, y = flat(fault.at)
        a, b = x + 12.0, y - 12.0
        while (round(a / 12), round(b / 12)) in taken:
            a += 24.0
        taken.add((round(a / 12), round(b / 12)))
        mark = svg.circle(a, b, 11, "fault-disc")
        drawn.append(svg.group(mark, svg.text(a, b + 4.5, str(fault.number), "fault-number", "middle")))
    return drawn


def once(faults: Sequence[FaultMark]) -> list[FaultMark]:
    """The first mark of each fault: one at several places is named once."""
    return list({f.number: f for f in reversed(faults)}.values())[::-1]


def named(spots: Sequence[Spot], faults: Sequence[FaultMark], flat: Spatial, frame: Box) -> str:
    """Names in the margins left and right of the frame, each led to its place; faults in bold."""
    entries = [(f"{s.tag}  {s.label}".strip(), *flat(s.at), "label") for s in spots]
    entries += [(f"{f.number}  {f.label}", *flat(f.at), "trouble-words") for f in once(faults)]
    lefts = _left_ones([x for _, x, _, _ in entries], int((frame[3] - frame[1]) / 24.0))
    drawn = []
    for on_left in (True, False):
        mine = [e for i, e in enumerate(entries) if (i in lefts) == on_left]
        rows = spread([y for _, _, y, _ in mine], 24.0, frame[1] + 8, frame[3] - 8)
        edge = frame[0] - 6 if on_left else frame[2] + 6
        for (label, x, y, class_), row in zip(mine, rows, strict=True):
            knee = edge + (16 if on_left else -16)
            leader = "leader" if class_ == "label" else "leader trouble-leader"
            drawn.append(svg.path([(edge, row), (knee, row), (x, y)], leader))
            words = svg.wrapped(label, 29)
            beyond, anchor = (edge - 5, "end") if on_left else (edge + 5, "start")
            drawn.append(
                svg.lines_of_text(beyond, row + 4 - 6.5 * (len(words) - 1), words, 13, class_, anchor)
            )
    return svg.group(*drawn)


def _left_ones(across: Sequence[float], room: int) -> set[int]:
    """Which labels go to the left margin: those left of the middle, evened out where a margin is full."""
    order = sorted(range(len(across)), key=lambda i: across[i])
    middle = (across[order[0]] + across[order[-1]]) / 2 if order else 0.0
    count = sum(x < middle for x in across)
    if max(count, len(across) - count) > room:
        count = len(across) // 2
    return set(order[:count])


def tagged(spots: Sequence[Spot], faults: Sequence[FaultMark], flat: Spatial) -> str:
    """Letters beside the parts, for a phone."""
    places = [flat(s.at) for s in spots]
    taken: list[Box] = [(x - 8, y - 8, x + 8, y + 8) for x, y in places]
    taken += [(x - 11, y - 11, x + 11, y + 11) for x, y in (flat(f.at) for f in faults)]
    drawn = []
    for part, (x, y) in zip(spots, places, strict=True):
        box = beside(x, y, 17.0, 13.0, 12.0, taken)
        taken.append(box)
        drawn.append(svg.text((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 + 4, part.tag, "tag", "middle"))
    return svg.group(*drawn)
