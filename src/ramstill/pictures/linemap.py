"""The line map: the plumbing drawn where it runs in the airframe.

From above the nose points up, so that left is the pilot's left; behind the panel it is seen as the pilot
looks forward; from the side the nose is at the left. Ram lines are whole, still lines dashed, cabin air
dotted; faults stand where they happen, numbered as on the time line.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import dist

from ramstill.pictures import svg
from ramstill.pictures.columns import AIR_WORDS
from ramstill.pictures.labels import Box
from ramstill.pictures.mapviews import (
    FaultMark,
    Pipe,
    Point,
    Polygon,
    Spatial,
    Spot,
    around,
    discs,
    fit,
    named,
    once,
    pipes,
    spot,
    tagged,
)

_AT_THE_PANEL_M = 0.35  # what lies this near to an instrument belongs to the view behind the panel


@dataclass(frozen=True, slots=True)
class Plumbing:
    """All that the map draws.

    plan: polygons of (x aft, y right) [m]; side: polygons of (x aft, z up) [m]; links: ends of what joins
    parts without a line, as a valve or the mouth of an opening does [m].
    """

    title: str
    plan: tuple[Polygon, ...]
    side: tuple[Polygon, ...]
    pipes: tuple[Pipe, ...]
    spots: tuple[Spot, ...]
    links: tuple[tuple[Point, Point], ...] = ()
    faults: tuple[FaultMark, ...] = ()


@dataclass(frozen=True, slots=True)
class Sizes:
    width: float
    margin: float
    plan: float
    panel: float
    side: float


WIDE = Sizes(940, 206, 440, 250, 190)
COMPACT = Sizes(360, 4, 330, 210, 120)


def draw(plumbing: Plumbing, *, compact: bool = False, key: str = "map") -> str:
    """Return the map as SVG; `compact` puts letters on the map and a list below, so that it fits a phone."""
    size = COMPACT if compact else WIDE
    at_panel = near_panel(plumbing)
    near = tuple(s for s in plumbing.spots if at_panel(s.at))
    plan, bottom = _plan(plumbing, near, size, compact, key)
    drawn = [clips(key, size, bottom), legend(size, plumbing), plan]
    if near:
        drawn.append(_panel(plumbing, near, bottom + 12.0, size, compact, key))
        bottom += 12.0 + size.panel
    lower, bottom = _lower(plumbing, bottom + 4.0, size)
    drawn.append(lower)
    if compact:
        rows, bottom = _key(plumbing, size, bottom + 14.0)
        drawn.append(rows)
    return svg.picture(
        size.width,
        bottom + 4.0,
        f"Line map: {plumbing.title}",
        describe(plumbing),
        *drawn,
        key=key,
        class_="map compact" if compact else "map",
    )


def describe(plumbing: Plumbing) -> str:
    """The map in words: what is where, in metres aft of the nose, to either side and above the ground."""
    said = []
    for part in plumbing.spots:
        x, y, z = part.at
        side = f"{abs(y):.1f} m {'right' if y > 0 else 'left'}" if abs(y) >= 0.05 else "on the centre line"
        said.append(f"{part.label} ({AIR_WORDS[part.air]}): {x:.1f} m aft, {side}, {z:.1f} m up")
    faults = "".join(f" Fault {f.number}: {f.label}." for f in once(plumbing.faults))
    return "; ".join(said) + "." + faults


def near_panel(plumbing: Plumbing) -> Callable[[Point], bool]:
    """Whether a place belongs to the view behind the panel."""
    gauges = [s.at for s in plumbing.spots if s.kind == "instrument"]
    return lambda at: any(dist(at, gauge) <= _AT_THE_PANEL_M for gauge in gauges)


def clips(key: str, size: Sizes, plan_bottom: float) -> str:
    """What keeps drawings inside the frames of the two large views."""
    across = size.width - 2 * size.margin
    plan = svg.rect(size.margin, 34, across, plan_bottom - 34, "frame")
    panel = svg.rect(size.margin, plan_bottom + 12, across, size.panel, "frame")
    return svg.element(
        "defs",
        svg.element("clipPath", plan, id=f"{key}-plan"),
        svg.element("clipPath", panel, id=f"{key}-panel"),
    )


def _plan(
    plumbing: Plumbing, near: tuple[Spot, ...], size: Sizes, compact: bool, key: str
) -> tuple[str, float]:
    """From above: the part of the airplane that holds the plumbing, as tall as its shape asks."""
    at_panel = near_panel(plumbing)
    points = [(p[1], p[0]) for pipe in plumbing.pipes for p in pipe.way] + [
        (s.at[1], s.at[0]) for s in plumbing.spots
    ]
    box = around(points, 0.10, 0.30)
    across = size.width - 2 * size.margin
    tall = min(max((box[3] - box[1]) / (box[2] - box[0]) * across, 170.0), size.plan)
    frame: Box = (size.margin, 34.0, size.width - size.margin, 34.0 + tall)
    flat, scale = fit(box, frame)

    def above(at: Point) -> tuple[float, float]:
        return flat(at[1], at[0])

    hull = [svg.path([flat(y, x) for x, y in shape], "hull", closed=True) for shape in plumbing.plan]
    drawn = [svg.rect(frame[0], frame[1], across, tall, "frame", rx=6)]
    drawn.append(svg.group(*hull, clip_path=f"url(#{key}-plan)"))
    drawn += [svg.line(*above(a), *above(b), "link") for a, b in plumbing.links]
    drawn.append(pipes(plumbing.pipes, above))
    if near:
        (a, b), (c, d) = inside(near, above, 12.0)
        drawn.append(svg.rect(a, b, c - a, d - b, "here", rx=4))
    own = [s for s in plumbing.spots if s not in near]
    drawn += [spot(s, *above(s.at), scale) for s in plumbing.spots]
    faults = [f for f in plumbing.faults if not at_panel(f.at)]
    drawn.append(tagged(own, faults, above) if compact else named(own, faults, above, frame))
    drawn += discs(plumbing.faults, above)
    drawn.append(svg.text(frame[0] + 10, frame[1] + 18, "from above, nose up", "small view"))
    return svg.group(*drawn), frame[3]


def _panel(
    plumbing: Plumbing, near: tuple[Spot, ...], top: float, size: Sizes, compact: bool, key: str
) -> str:
    """Behind the panel, as the pilot looks forward."""
    frame: Box = (size.margin, top, size.width - size.margin, top + size.panel)
    box = around([(s.at[1], s.at[2]) for s in near], 0.0, 0.11)
    flat, scale = fit(box, frame, upward=True)

    def ahead(at: Point) -> tuple[float, float]:
        return flat(at[1], at[2])

    at_panel = near_panel(plumbing)
    drawn = [svg.rect(frame[0], top, frame[2] - frame[0], size.panel, "frame", rx=6)]
    gauges = [s for s in near if s.kind == "instrument"]
    drawn += [spot(s, *ahead(s.at), scale) for s in gauges]
    links = [svg.line(*ahead(a), *ahead(b), "link") for a, b in plumbing.links if at_panel(a) and at_panel(b)]
    # What runs elsewhere in the airframe would only seem to pass here.
    lines = [p for p in plumbing.pipes if any(map(at_panel, p.way))]
    drawn.append(svg.group(*links, pipes(lines, ahead), clip_path=f"url(#{key}-panel)"))
    drawn += [spot(s, *ahead(s.at), scale) for s in near if s.kind != "instrument"]
    faults = [f for f in plumbing.faults if at_panel(f.at)]
    drawn.append(tagged(near, faults, ahead) if compact else named(near, faults, ahead, frame))
    drawn += discs(faults, ahead)
    drawn.append(svg.text(frame[0] + 10, top + 18, "behind the panel, looking forward", "small view"))
    return svg.group(*drawn)


def inside(
    parts: tuple[Spot, ...], flat: Spatial, more: float
) -> tuple[tuple[float, float], tuple[float, float]]:
    """Two corners around parts, with some room."""
    places = [flat(s.at) for s in parts]
    xs, ys = [x for x, _ in places], [y for _, y in places]
    return (min(xs) - more, min(ys) - more), (max(xs) + more, max(ys) + more)


def _key(plumbing: Plumbing, size: Sizes, top: float) -> tuple[str, float]:
    """What letters and numbers on a phone's map stand for: faults, then the parts in two columns."""
    drawn, y = [], top
    for fault in once(plumbing.faults):
        drawn.append(svg.text(size.margin + 10, y, str(fault.number), "tag", "middle"))
        for part in svg.wrapped(fault.label, 46):
            drawn.append(svg.text(size.margin + 22, y, part, "trouble-words"))
            y += 17
    half = (size.width - 2 * size.margin) / 2
    rows = [y, y]
    for i, spot_ in enumerate(plumbing.spots):
        column = 0 if i < (len(plumbing.spots) + 1) // 2 else 1
        left = size.margin + column * half
        drawn.append(svg.text(left + 10, rows[column], spot_.tag, "tag", "middle"))
        for part in svg.wrapped(spot_.label, 24):
            drawn.append(svg.text(left + 22, rows[column], part, "key"))
            rows[column] += 17
    return svg.group(*drawn), max(rows)


def legend(size: Sizes, plumbing: Plumbing) -> str:
    """The kinds of air that are there, each with its line."""
    drawn, x = [], size.margin + 2
    for kind in ("ram", "still", "cabin"):
        if any(p.air == kind for p in plumbing.pipes) or any(s.air == kind for s in plumbing.spots):
            drawn.append(svg.line(x, 14, x + 30, 14, f"pipe {kind}"))
            drawn.append(svg.text(x + 36, 18, AIR_WORDS[kind], f"heading {kind}-ink"))
            x += 112
    return svg.group(*drawn)


def _lower(plumbing: Plumbing, top: float, size: Sizes) -> tuple[str, float]:
    """The whole airplane, small: from above, and beside it from the side, nose left."""
    drawn = []
    bottom = top + size.side
    split = size.width * 0.38
    lines = [p for pipe in plumbing.pipes for p in pipe.way]
    if plumbing.plan:
        bounds = around([(y, x) for shape in plumbing.plan for x, y in shape], 0.0, 0.01)
        flat, _ = fit(bounds, (8.0, top + 8, split - 8, bottom - 8))
        drawn += [svg.path([flat(y, x) for x, y in shape], "hull", closed=True) for shape in plumbing.plan]
        drawn.append(pipes(plumbing.pipes, lambda p: flat(p[1], p[0]), "thin"))
        drawn += [_small(s, *flat(s.at[1], s.at[0])) for s in plumbing.spots if s.kind == "opening"]
        drawn.append(svg.text(split / 2, bottom + 12, "from above", "small", "middle"))
    if plumbing.side:
        points = [p for shape in plumbing.side for p in shape] + [(p[0], p[2]) for p in lines]
        flat, _ = fit(
            around(points, 0.0, 0.01), (split + 8, top + 8, size.width - 8, bottom - 8), upward=True
        )
        drawn += [svg.path([flat(x, z) for x, z in shape], "hull", closed=True) for shape in plumbing.side]
        drawn.append(pipes(plumbing.pipes, lambda p: flat(p[0], p[2]), "thin"))
        drawn += [_small(s, *flat(s.at[0], s.at[2])) for s in plumbing.spots if s.kind == "opening"]
        drawn.append(
            svg.text((split + size.width) / 2, bottom + 12, "from the side, nose left", "small", "middle")
        )
    return svg.group(*drawn), bottom + 20.0


def _small(part: Spot, x: float, y: float) -> str:
    return svg.circle(x, y, 3.2, f"opening small-ring {part.air}")
