"""The pressure wall: every tapping a column of fluid in a bank of manometers, side by side.

A column stands as high as the pressure at its tapping is above that of the still air outside at that moment,
so a healthy still column stands at the zero line and a trapped one walks away from it as the airplane climbs
or descends. Ram air comes in from the left, still air from the right; they meet in the airspeed indicator.
"""

from collections.abc import Callable, Mapping, Sequence
from functools import partial
from math import inf

from ramstill import air
from ramstill.air.units import INCH
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
from ramstill.pictures.scales import clock, spoken
from ramstill.pictures.wallgaps import gap
from ramstill.pictures.wallscales import COMPACT, WIDE, Sizes, axis, worth


def draw(
    wall: Wall,
    heights_pa: Mapping[str, float],
    readings: Mapping[str, Reading],
    at_s: float,
    *,
    feet: Mapping[int, float] | None = None,
    compact: bool = False,
    key: str = "wall",
) -> str:
    """Return the wall at one instant as SVG.

    `heights_pa`: pressure of each column less that of the outside still air [Pa]; `readings`: by instrument
    name; `feet`: what the marks on the scale of heights are worth at the time [Pa]; `compact` leaves the
    fittings out so that it fits a phone. `key` keeps ids apart on one page.
    """
    size = COMPACT if compact else WIDE
    shown = [c for c in wall.columns if not (compact and (c.role == "line" or spare(c, wall)))]
    x = places(shown, wall.pairs, size)
    floor = size.height - size.foot
    scale = (floor - size.top) / (wall.high_pa - wall.low_pa)
    zero = size.top + wall.high_pa * scale

    def y(pa: float) -> float:
        return zero - min(max(pa, wall.low_pa), wall.high_pa) * scale

    drawn = [patterns(key), headings(shown, x, size), axis(wall, size, y)]
    if not compact:
        drawn.append(worth(wall, size, y, feet or {}))
    for c in shown:
        beyond = heights_pa[c.name] if heights_pa[c.name] > wall.high_pa else None
        drawn.append(tube(c, x[c.name], y(heights_pa[c.name]), floor, size, key, at_s, beyond))
    drawn.append(svg.line(size.left - 4, zero, size.width - size.right + 4, zero, "datum"))
    for pair in wall.pairs:
        if pair.left in x and pair.right in x:
            drawn.append(gap(pair, wall, heights_pa, x, y, scale, size, compact))
    drawn.append(_traps(shown, x, size, at_s))
    drawn.append(labels(shown, x, readings, size, floor))
    return svg.picture(
        size.width,
        size.height,
        f"{named(wall)} at {clock(at_s)}",
        describe(wall, heights_pa, readings, at_s),
        *drawn,
        key=key,
        class_="wall compact" if compact else "wall",
        data_name=named(wall),
        data_zero=zero,
        data_scale=f"{scale:.6g}",
        data_inch=f"{float(air.water_pressure(INCH)):.6g}",
        data_top=size.top,
        data_floor=floor,
    )


def named(wall: Wall) -> str:
    """What a wall is called."""
    return f"Pressure wall, {wall.title[:1].lower()}{wall.title[1:]}" if wall.title else "Pressure wall"


def describe(
    wall: Wall, heights_pa: Mapping[str, float], readings: Mapping[str, Reading], at_s: float
) -> str:
    """The wall in words, for a reader who does not see it."""
    said, owners = [], {c.owner for c in wall.columns}
    for c in wall.columns:
        trap = trapped_at(c, at_s)
        note = f", trapped since {clock(trap.since_s)}" if trap else ""
        said.append(f"{full_label(c)} {spoken(inches_of_water(heights_pa[c.name]), 1)}{note}")
    reads = "; ".join(
        f"{name} shows {r.shown}{', true ' + r.true if r.true else ''}"
        for name, r in readings.items()
        if name.partition(".")[0] in owners
    )
    return f"Inches of water from the still air outside: {'; '.join(said)}. {reads}."


def spare(column: Column, wall: Wall) -> bool:
    """A phone leaves out the columns beyond those of the first three instruments and the outside."""
    owners = list(dict.fromkeys(c.owner for c in wall.columns if c.role == "instrument"))
    return (column.role == "instrument" and column.owner in owners[3:]) or column.air == "cabin"


def places(columns: Sequence[Column], pairs: Sequence[Pair], size: Sizes) -> dict[str, float]:
    """Middle of each column by name, spread over the width."""
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


def patterns(key: str) -> str:
    """Fluid of still air is lined, cabin air dotted, ram air plain: told apart without colour."""
    lined = svg.line(0, 2, 8, 2, "weave")
    dotted = svg.circle(3, 3, 1.3, "weave-dot")
    return svg.element(
        "defs",
        svg.element("pattern", lined, id=f"{key}-still", width=8, height=7, patternUnits="userSpaceOnUse"),
        svg.element("pattern", dotted, id=f"{key}-cabin", width=7, height=7, patternUnits="userSpaceOnUse"),
    )


def _runs(columns: Sequence[Column], among: Callable[[Column], bool]) -> list[list[Column]]:
    """Neighbouring columns that belong together, the longest run first."""
    found: list[list[Column]] = [[]]
    for c in columns:
        if among(c):
            found[-1].append(c)
        elif found[-1]:
            found.append([])
    return sorted((run for run in found if run), key=len, reverse=True)


def _of_air(kind: str, column: Column) -> bool:
    return column.air == kind


def _in_trap(kind: str, trap: Trap, column: Column) -> bool:
    return column.air == kind and trap in column.traps


def headings(columns: Sequence[Column], x: Mapping[str, float], size: Sizes) -> str:
    """A line over each run of columns of one air, and its name over the longest."""
    drawn = []
    for kind in ("ram", "still", "cabin"):
        for place, run in enumerate(_runs(columns, partial(_of_air, kind))):
            a, b = x[run[0].name] - size.tube / 2 - 4, x[run[-1].name] + size.tube / 2 + 4
            drawn.append(svg.line(a, 26, b, 26, f"pipe {kind}"))
            if place == 0:
                words = AIR_WORDS[kind].capitalize()
                drawn.append(svg.text((a + b) / 2, 16, words, f"heading {kind}-ink", "middle"))
    return svg.group(*drawn)


def tube(
    c: Column,
    x: float,
    level: float,
    floor: float,
    size: Sizes,
    key: str,
    at_s: float,
    beyond_pa: float | None,
    live: bool = False,
) -> str:
    """One glass with its fluid; `live`: with a lid and a mark for what is off the scale, both to be shown."""
    wide = size.tube * {"outside": 0.8, "instrument": 1.0, "line": 0.46}[c.role]
    left = x - wide / 2
    drawn = [svg.rect(left, size.top, wide, floor - size.top, "tube", rx=3)]
    drawn.append(svg.rect(left, level, wide, floor - level, f"fluid {c.air}"))
    if c.air != "ram":
        drawn.append(svg.rect(left, level, wide, floor - level, "weaving", fill=f"url(#{key}-{c.air})"))
    lids = [
        svg.group(
            *_lid(left, wide, x),
            data_from=t.since_s,
            data_to=None if t.until_s == inf else t.until_s,
            visibility=None if t.since_s <= at_s < t.until_s else "hidden",
        )
        for t in c.traps
    ]
    if live:
        lids = [svg.group(*_lid(left, wide, x), data_lid=1, visibility="hidden")]
    drawn.append(
        svg.group(
            svg.line(left - 2, 0, left + wide + 2, 0, f"level {c.air}"),
            *lids,
            class_="surface",
            transform=f"translate(0 {svg.number(level)})",
        )
    )
    if live:
        marks = {"data_below": 1}
        drawn.append(svg.text(x, size.top - 6, "", "small beyond", "middle", **marks))
    elif c.air == "cabin" and c.role == "outside":  # the one that may stand above the scale
        words = "" if beyond_pa is None else f"▲ {spoken(inches_of_water(beyond_pa))}"
        drawn.append(svg.text(x, size.top - 6, words, "small cabin-ink beyond", "middle"))
    return svg.group(*drawn, class_=f"column {c.role}", data_column=c.name)


def _lid(left: float, wide: float, x: float) -> tuple[str, str]:
    return svg.rect(left - 4, -7, wide + 8, 7, "lid", rx=1.5), svg.rect(x - 3, -11, 6, 5, "lid", rx=1.5)


def _traps(columns: Sequence[Column], x: Mapping[str, float], size: Sizes, at_s: float) -> str:
    """A bar and words over the columns that share a trap; ram and still on rows of their own."""
    drawn = []
    events = sorted({(c.air, t.since_s, t.until_s) for c in columns for t in c.traps})
    for kind, since, until in events:
        runs = _runs(columns, partial(_in_trap, kind, Trap(since, until)))
        row = 46.0 if kind == "ram" else 66.0
        half = size.tube / 2 + 3
        bars = [(x[run[0].name] - half, x[run[-1].name] + half) for run in runs]
        words = f"trapped since {clock(since)}"
        anchor, at = ("start", bars[0][0]) if kind == "ram" else ("middle", sum(bars[0]) / 2)
        drawn.append(
            svg.group(
                *(svg.line(a, row + 5, b, row + 5, "trap-bar") for a, b in bars),
                svg.text(at, row, words, "trap-words", anchor),
                data_from=since,
                data_to=None if until == inf else until,
                visibility=None if since <= at_s < until else "hidden",
            )
        )
    return svg.group(*drawn)


def labels(
    columns: Sequence[Column],
    x: Mapping[str, float],
    readings: Mapping[str, Reading],
    size: Sizes,
    floor: float,
) -> str:
    """Under the tubes: whose they are, which part, what it shows and what is true."""
    drawn = []
    for c in columns:
        if c.role == "line":
            drawn.append(svg.text(x[c.name], floor + 18, c.tag, "small", "middle"))
        elif c.role == "outside":
            drawn.append(svg.lines_of_text(x[c.name], floor + 18, svg.wrapped(c.label, 9), 13, "small"))
        elif c.part:
            drawn.append(svg.text(x[c.name], floor + 18, c.part, "small", "middle"))
    spans = {
        owner: [x[c.name] for c in columns if c.owner == owner]
        for owner in dict.fromkeys(c.owner for c in columns if c.owner)
    }
    middles = {owner: (min(own) + max(own)) / 2 for owner, own in spans.items()}
    rows = {owner: svg.wrapped(owner.replace("-", " "), _letters(middles, owner, size)) for owner in middles}
    below = 68.0 + 14.0 * (max((len(r) for r in rows.values()), default=1) - 1)
    for owner, own in spans.items():
        middle = middles[owner]
        if len(own) > 1:
            down = [(min(own), 26.0), (min(own), 31.0), (max(own), 31.0), (max(own), 26.0)]
            drawn.append(svg.path([(a, floor + b) for a, b in down], "brace"))
        drawn.append(svg.lines_of_text(middle, floor + 46, rows[owner], 14, "name"))
        # of an instrument with several readings the first, which lives on the gap between its columns
        key = next((name for name in readings if name == owner or name.startswith(f"{owner}.")), owner)
        reading = readings.get(key)
        if reading:
            drawn.append(svg.text(middle, floor + below, reading.shown, "shown", "middle", data_shown=key))
            bare = not size.roomy  # a phone has no room to say the unit twice
            words = f"true {reading.true.split()[0] if bare else reading.true}"
            marks = {"data_true": key, "data_bare": 1 if bare else None}
            drawn.append(svg.text(middle, floor + below + 18, words, "small", "middle", **marks))
    return svg.group(*drawn)


def _letters(middles: Mapping[str, float], owner: str, size: Sizes) -> int:
    """How many letters of a name fit between its neighbours."""
    others = [abs(at - middles[owner]) for name, at in middles.items() if name != owner]
    wide = 6.9 if size.roomy else 6.4
    return min(max(int(min(others, default=200.0) / wide), 9), 20)
