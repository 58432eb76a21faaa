"""The pressure wall: every tapping a column of fluid in a bank of manometers, side by side.

A column stands as high as the pressure at its tapping is above that of the still air outside at that moment,
so a healthy still column stands at the zero line and a trapped one walks away from it as the airplane climbs
or descends. Ram air comes in from the left, still air from the right; they meet in the airspeed indicator.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import inf

from ramstill import air
from ramstill.air.units import INCH, KT
from ramstill.pictures import svg
from ramstill.pictures.columns import (
    AIR_WORDS,
    Column,
    Pair,
    Reading,
    Trap,
    Wall,
    full_label,
    inches_of_water,
    trapped_at,
)
from ramstill.pictures.scales import clock, nice_step, spoken, ticks


@dataclass(frozen=True, slots=True)
class Sizes:
    width: float
    height: float
    left: float
    right: float
    top: float
    foot: float
    outside: float
    alone: float
    instrument: float
    line: float
    between: float
    tube: float


WIDE = Sizes(940, 500, 58, 64, 92, 118, 66, 78, 70, 30, 52, 30)
COMPACT = Sizes(360, 460, 36, 2, 92, 120, 44, 66, 40, 0, 20, 24)


def draw(
    wall: Wall,
    heights_pa: Mapping[str, float],
    readings: Mapping[str, Reading],
    at_s: float,
    *,
    compact: bool = False,
    key: str = "wall",
) -> str:
    """Return the wall at one instant as SVG.

    `heights_pa`: pressure of each column less that of the outside still air [Pa]; `readings`: by instrument
    name; `compact` leaves the fittings out so that it fits a phone. `key` keeps ids apart on one page.
    """
    size = COMPACT if compact else WIDE
    shown = [c for c in wall.columns if not (compact and (c.role == "line" or _spare(c, wall)))]
    x = _places(shown, wall.pairs, size)
    floor = size.height - size.foot
    scale = (floor - size.top) / (wall.high_pa - wall.low_pa)
    zero = size.top + wall.high_pa * scale

    def y(pa: float) -> float:
        return zero - min(max(pa, wall.low_pa), wall.high_pa) * scale

    drawn = [_patterns(key), _headings(shown, x, size), _axis(wall, size, y)]
    drawn += [_tube(c, x[c.name], y(heights_pa[c.name]), floor, size, key, at_s) for c in shown]
    drawn.append(svg.line(size.left - 4, zero, size.width - size.right + 4, zero, "datum"))
    for pair in wall.pairs:
        if pair.left in x and pair.right in x:
            drawn.append(_gap(pair, wall, heights_pa, x, y, scale, size, compact))
    drawn.append(_traps(shown, x, size, at_s))
    drawn.append(_labels(shown, x, readings, size, floor))
    return svg.picture(
        size.width,
        size.height,
        f"Pressure wall at {clock(at_s)}",
        describe(wall, heights_pa, readings, at_s),
        *drawn,
        key=key,
        class_="wall compact" if compact else "wall",
        data_zero=zero,
        data_scale=f"{scale:.6g}",
        data_inch=f"{float(air.water_pressure(INCH)):.6g}",
        data_top=size.top,
        data_floor=floor,
    )


def describe(
    wall: Wall, heights_pa: Mapping[str, float], readings: Mapping[str, Reading], at_s: float
) -> str:
    """The wall in words, for a reader who does not see it."""
    said = []
    for c in wall.columns:
        trap = trapped_at(c, at_s)
        note = f", trapped since {clock(trap.since_s)}" if trap else ""
        said.append(f"{full_label(c)} {spoken(inches_of_water(heights_pa[c.name]), 1)}{note}")
    reads = "; ".join(
        f"{name} shows {r.shown}{', true ' + r.true if r.true else ''}" for name, r in readings.items()
    )
    return f"Inches of water from the still air outside: {'; '.join(said)}. {reads}."


def _spare(column: Column, wall: Wall) -> bool:
    """A phone leaves out the columns beyond those of the first three instruments and the outside."""
    owners = list(dict.fromkeys(c.owner for c in wall.columns if c.role == "instrument"))
    return (column.role == "instrument" and column.owner in owners[3:]) or column.air == "cabin"


def _places(columns: Sequence[Column], pairs: Sequence[Pair], size: Sizes) -> dict[str, float]:
    """Middle of each column, spread over the width."""
    pitches = {"outside": size.outside, "instrument": size.alone, "line": size.line}
    lefts = {p.left for p in pairs}
    paired = lefts | {p.right for p in pairs}
    at, x = 0.0, {}
    for c in columns:
        pitch = size.instrument if c.name in paired else pitches[c.role]
        x[c.name] = at + pitch / 2
        at += pitch + (size.between if c.name in lefts else 0.0)
    room = size.width - size.left - size.right
    stretch = min(room / at, 1.25) if at else 1.0
    start = size.left + (room - at * stretch) / 2
    return {name: start + value * stretch for name, value in x.items()}


def _patterns(key: str) -> str:
    """Fluid of still air is lined, cabin air dotted, ram air plain: told apart without colour."""
    lined = svg.line(0, 2, 8, 2, "weave")
    dotted = svg.circle(3, 3, 1.3, "weave-dot")
    return svg.element(
        "defs",
        svg.element("pattern", lined, id=f"{key}-still", width=8, height=7, patternUnits="userSpaceOnUse"),
        svg.element("pattern", dotted, id=f"{key}-cabin", width=7, height=7, patternUnits="userSpaceOnUse"),
    )


def _headings(columns: Sequence[Column], x: Mapping[str, float], size: Sizes) -> str:
    drawn = []
    for kind in ("ram", "still", "cabin"):
        inside = [x[c.name] for c in columns if c.air == kind]
        if not inside:
            continue
        a, b = min(inside) - size.tube / 2 - 4, max(inside) + size.tube / 2 + 4
        words = AIR_WORDS[kind].capitalize()
        drawn.append(svg.line(a, 26, b, 26, f"pipe {kind}"))
        drawn.append(svg.text((a + b) / 2, 16, words, f"heading {kind}-ink", "middle"))
    return svg.group(*drawn)


def _axis(wall: Wall, size: Sizes, y: Callable[[float], float]) -> str:
    inch = float(air.water_pressure(INCH))
    low, high = wall.low_pa / inch, wall.high_pa / inch
    right = size.width - size.right
    drawn = [svg.text(4, size.top - 12, "in of water" if size is WIDE else "in H₂O", "small")]
    for value in ticks(low, high, 8):
        level = y(value * inch)
        drawn.append(svg.line(size.left, level, right, level, "grid"))
        drawn.append(
            svg.text(size.left - 8, level + 4, spoken(value, 0 if value == int(value) else 1), "small", "end")
        )
    if size is not WIDE:
        return svg.group(*drawn)
    drawn.append(svg.text(size.width - 4, size.top - 12, "worth, kt", "small", "end"))
    last = inf
    for knots in _knot_ticks(wall.high_pa):
        level = y(float(air.impact_pressure(knots * KT)))
        if last - level >= 15:
            drawn.append(svg.line(right, level, right + 6, level, "tick"))
            drawn.append(svg.text(right + 10, level + 4, spoken(knots), "small"))
            last = level
    return svg.group(*drawn)


def _knot_ticks(high_pa: float) -> list[float]:
    top = float(air.calibrated_airspeed(max(high_pa, 1.0))) / KT
    step = nice_step(top, 6)
    return [step * i for i in range(1, int(top / step) + 1)]


def _tube(c: Column, x: float, level: float, floor: float, size: Sizes, key: str, at_s: float) -> str:
    wide = size.tube * {"outside": 0.8, "instrument": 1.0, "line": 0.46}[c.role]
    left = x - wide / 2
    drawn = [svg.rect(left, size.top, wide, floor - size.top, "tube", rx=3)]
    drawn.append(svg.rect(left, level, wide, floor - level, f"fluid {c.air}"))
    if c.air != "ram":
        drawn.append(svg.rect(left, level, wide, floor - level, "weaving", fill=f"url(#{key}-{c.air})"))
    lids = [
        svg.group(
            svg.rect(left - 4, -7, wide + 8, 7, "lid", rx=1.5),
            svg.rect(x - 3, -11, 6, 5, "lid", rx=1.5),
            data_from=t.since_s,
            data_to=None if t.until_s == inf else t.until_s,
            visibility=None if t.since_s <= at_s < t.until_s else "hidden",
        )
        for t in c.traps
    ]
    drawn.append(
        svg.group(
            svg.line(left - 2, 0, left + wide + 2, 0, f"level {c.air}"),
            *lids,
            class_="surface",
            transform=f"translate(0 {svg.number(level)})",
        )
    )
    return svg.group(*drawn, class_=f"column {c.role}", data_column=c.name)


def _gap(
    pair: Pair,
    wall: Wall,
    heights: Mapping[str, float],
    x: Mapping[str, float],
    y: Callable[[float], float],
    scale: float,
    size: Sizes,
    compact: bool,
) -> str:
    """The difference a pointer lives on: an arrow between the two levels, or a lens where it is small."""
    left, right = x[pair.left], x[pair.right]
    middle = (left + right) / 2
    a, b = y(heights[pair.left]), y(heights[pair.right])
    data = {"data_left": pair.left, "data_right": pair.right}
    if pair.lens:
        return svg.group(_lens(middle, a, b, pair, wall, scale, size), class_="gap lens", **data)
    inches = spoken(inches_of_water(heights[pair.left] - heights[pair.right]), 1)
    reach = size.tube / 2 + 2
    drawn = [
        svg.line(left + reach, a, middle + 6, a, "reach end-a"),
        svg.line(middle - 6, b, right - reach, b, "reach end-b"),
        svg.line(middle, a, middle, b, "arrow"),
    ]
    if not compact:
        words = svg.text(0, 0, f"{inches} in", "gap-words", "middle")
        drawn.append(
            svg.group(
                words,
                class_="gap-label",
                data_x=middle,
                transform=f"translate({svg.number(middle)} {svg.number(min(a, b) - 7)})",
            )
        )
    return svg.group(*drawn, class_="gap", **data)


def _lens(middle: float, a: float, b: float, pair: Pair, wall: Wall, scale: float, size: Sizes) -> str:
    tall, half = 46.0, min(size.between * 0.4, 18.0)
    times = magnification(wall.largest_pa.get(pair.owner, 0.0) * scale, tall)
    centre = (a + b) / 2
    shift = min(max((b - a) / 2 * times, -tall / 2), tall / 2)  # positive: the right level is the lower one
    inside = [
        svg.rect(-half, -tall / 2, 2 * half, tall, "lens-glass"),
        svg.rect(-half, -shift, half, tall / 2 + shift, "fluid still lens-left"),
        svg.rect(0, shift, half, tall / 2 - shift, "fluid still lens-right"),
        svg.rect(-half, -tall / 2, 2 * half, tall, "lens-rim", rx=4),
        svg.text(0, tall / 2 + 12, f"×{times:g}", "small", "middle"),
    ]
    place = min(max(centre, size.top + tall / 2), size.height - size.foot - tall / 2 - 14)
    return svg.group(
        *inside,
        class_="lens-body",
        transform=f"translate({svg.number(middle)} {svg.number(place)})",
        data_x=middle,
        data_times=f"{times:g}",
        data_tall=tall,
        data_lowest=size.height - size.foot - tall / 2 - 14,
        data_highest=size.top + tall / 2,
    )


def magnification(largest_px: float, tall_px: float) -> float:
    """The round enlargement (1, 2, 5, 10 ...) at which the largest difference still fits into the lens."""
    times = 1.0
    for candidate in (2.0, 5.0, 10.0, 20.0, 50.0, 100.0):
        if largest_px * candidate <= tall_px:
            times = candidate
    return times


def _traps(columns: Sequence[Column], x: Mapping[str, float], size: Sizes, at_s: float) -> str:
    """A bar and words over the columns that share a trap; ram and still on rows of their own."""
    drawn = []
    events = sorted({(c.air, t.since_s, t.until_s) for c in columns for t in c.traps})
    for kind, since, until in events:
        where = [x[c.name] for c in columns if c.air == kind and Trap(since, until) in c.traps]
        a, b = min(where) - size.tube / 2 - 3, max(where) + size.tube / 2 + 3
        row = 46.0 if kind == "ram" else 66.0
        words = f"trapped since {clock(since)}"
        anchor, at = ("start", a) if kind == "ram" else ("middle", (a + b) / 2)
        drawn.append(
            svg.group(
                svg.line(a, row + 5, b, row + 5, "trap-bar"),
                svg.text(at, row, words, "trap-words", anchor),
                data_from=since,
                data_to=None if until == inf else until,
                visibility=None if since <= at_s < until else "hidden",
            )
        )
    return svg.group(*drawn)


def _labels(
    columns: Sequence[Column],
    x: Mapping[str, float],
    readings: Mapping[str, Reading],
    size: Sizes,
    floor: float,
) -> str:
    """Under the tubes: whose they are, which part, what it shows and what is true."""
    drawn = []
    below = 68.0 if size is WIDE else 82.0
    named = [c.name for c in columns if c.role == "line"]
    for c in columns:
        if c.role == "line":
            drawn.append(
                svg.text(x[c.name], floor + 18, chr(ord("a") + named.index(c.name)), "small", "middle")
            )
        elif c.role == "outside":
            drawn.append(svg.lines_of_text(x[c.name], floor + 18, svg.wrapped(c.label, 9), 13, "small"))
        elif c.part:
            drawn.append(svg.text(x[c.name], floor + 18, c.part, "small", "middle"))
    for owner in dict.fromkeys(c.owner for c in columns if c.role == "instrument"):
        own = [x[c.name] for c in columns if c.owner == owner and c.role == "instrument"]
        middle = (min(own) + max(own)) / 2
        if len(own) > 1:
            drawn.append(
                svg.path(
                    [
                        (min(own), floor + 26),
                        (min(own), floor + 31),
                        (max(own), floor + 31),
                        (max(own), floor + 26),
                    ],
                    "brace",
                )
            )
        names = svg.wrapped(owner.replace("-", " "), 20 if size is WIDE else 9)
        drawn.append(svg.lines_of_text(middle, floor + 46, names, 14, "name"))
        # of an instrument with several readings the first, which lives on the gap between its columns
        key = next((name for name in readings if name == owner or name.startswith(f"{owner}.")), owner)
        reading = readings.get(key)
        if reading:
            drawn.append(svg.text(middle, floor + below, reading.shown, "shown", "middle", data_shown=key))
            bare = size is not WIDE  # a phone has no room to say the unit twice
            words = f"true {reading.true.split()[0] if bare else reading.true}"
            marks = {"data_true": key, "data_bare": 1 if bare else None}
            drawn.append(svg.text(middle, floor + below + 18, words, "small", "middle", **marks))
    return svg.group(*drawn)
