"""The line map of the live bench: the same plumbing, narrow; every part can be picked, and air moves in it.

Over each line lies a row of short dashes that a page shifts as the pressure behind it changes: air goes in
while it rises and comes out while it falls.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.pictures import svg
from ramstill.pictures.labels import Box
from ramstill.pictures.linemap import Sizes, clips, describe, inside, legend, near_panel
from ramstill.pictures.mapviews import (
    Pipe,
    Point,
    Spatial,
    Spot,
    around,
    drawn_way,
    fit,
    spot,
    tagged,
)
from ramstill.pictures.of_airplane import plumbing_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

_SIZE = Sizes(360, 4, 260, 196, 0)
_TOP = 34.0
_RING = 12.0  # around the part that is picked [px]


def bench_map(airplane: Airplane, *, key: str = "map") -> str:
    """Return the map as SVG: parts carry data-part and their place, lines also the node behind them."""
    plumbing = plumbing_of(airplane)
    at_panel = near_panel(plumbing)
    near = tuple(part for part in plumbing.spots if at_panel(part.at))
    ways = [(p[1], p[0]) for pipe in plumbing.pipes for p in pipe.way]
    box = around([*ways, *((s.at[1], s.at[0]) for s in plumbing.spots)], 0.10, 0.30)
    across = _SIZE.width - 2 * _SIZE.margin
    tall = min(max((box[3] - box[1]) / (box[2] - box[0]) * across, 170.0), _SIZE.plan)
    frame: Box = (_SIZE.margin, _TOP, _SIZE.width - _SIZE.margin, _TOP + tall)
    flat, scale = fit(box, frame)

    def above(at: Point) -> tuple[float, float]:
        return flat(at[1], at[0])

    hull = [svg.path([flat(y, x) for x, y in shape], "hull", closed=True) for shape in plumbing.plan]
    drawn = [clips(key, _SIZE, frame[3]), legend(_SIZE, plumbing), _framed(frame)]
    drawn.append(svg.group(*hull, clip_path=f"url(#{key}-plan)"))
    drawn += [svg.line(*above(a), *above(b), "link") for a, b in plumbing.links]
    lines = [pipe for pipe in plumbing.pipes if not all(map(at_panel, pipe.way))]
    drawn += [_line(pipe, above) for pipe in _ram_last(plumbing.pipes) if pipe in lines]
    if near:
        (a, b), (c, d) = inside(near, above, 12.0)
        drawn.append(svg.rect(a, b, c - a, d - b, "here", rx=4))
    own = [s for s in plumbing.spots if s not in near]
    drawn += [_spot(s, above, scale) for s in own]
    drawn += [tagged(own, (), above), _words(frame, "from above, nose up")]
    bottom = frame[3]
    if near:
        panel: Box = (frame[0], bottom + 12.0, frame[2], bottom + 12.0 + _SIZE.panel)
        inner = [pipe for pipe in plumbing.pipes if any(map(at_panel, pipe.way))]
        links = [pair for pair in plumbing.links if all(map(at_panel, pair))]
        drawn.append(_panel(near, inner, links, panel, key))
        bottom = panel[3]
    drawn += [svg.circle(0, 0, _RING, "picked", display="none"), svg.group("", class_="laid")]
    return svg.picture(
        _SIZE.width,
        bottom + 4.0,
        f"Line map: {plumbing.title}",
        describe(plumbing),
        *drawn,
        key=key,
        class_="map compact",
    )


def _panel(
    near: tuple[Spot, ...], lines: list[Pipe], links: list[tuple[Point, Point]], frame: Box, key: str
) -> str:
    """Behind the panel, as the pilot looks forward."""
    flat, scale = fit(around([(s.at[1], s.at[2]) for s in near], 0.0, 0.11), frame, upward=True)

    def ahead(at: Point) -> tuple[float, float]:
        return flat(at[1], at[2])

    gauges = [s for s in near if s.kind == "instrument"]
    joined = [svg.line(*ahead(a), *ahead(b), "link") for a, b in links]
    piped = [_line(pipe, ahead) for pipe in _ram_last(lines)]
    return svg.group(
        _framed(frame),
        *(_spot(s, ahead, scale) for s in gauges),
        svg.group(*joined, *piped, clip_path=f"url(#{key}-panel)"),
        *(_spot(s, ahead, scale) for s in near if s.kind != "instrument"),
        tagged(near, (), ahead),
        _words(frame, "behind the panel, looking forward"),
    )


def _ram_last(lines: tuple[Pipe, ...] | list[Pipe]) -> list[Pipe]:
    return sorted(lines, key=lambda pipe: pipe.air == "ram")


def _framed(frame: Box) -> str:
    return svg.rect(frame[0], frame[1], frame[2] - frame[0], frame[3] - frame[1], "frame", rx=6)


def _words(frame: Box, words: str) -> str:
    return svg.text(frame[0] + 10, frame[1] + 18, words, "small view")


def _spot(part: Spot, flat: Spatial, scale: float) -> str:
    x, y = flat(part.at)
    return svg.group(spot(part, x, y, scale), data_part=part.part, data_x=x, data_y=y)


def _line(pipe: Pipe, flat: Spatial) -> str:
    way = drawn_way(pipe, flat)
    return svg.group(
        svg.path(way, "casing"),
        svg.path(way, f"pipe {pipe.air}"),
        svg.path(way, "flow", data_node=pipe.inner, data_way=1 if pipe.inwards else -1),
        data_part=pipe.part,
        data_line=" ".join(f"{svg.number(x)},{svg.number(y)}" for x, y in way),
    )
