"""Where it may be: the plumbing from above, small, with a number at each place that is suspected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ramstill.pictures import svg
from ramstill.pictures.mapviews import FaultMark, Point, around, discs, fit, pipes, spot
from ramstill.pictures.of_airplane import plumbing_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault

_WIDE, _TALL, _EDGE = 340.0, 300.0, 3.0


def place_map(airplane: Airplane, places: Sequence[Sequence[Fault]], *, key: str = "places") -> str:
    """Return the map as SVG; each of `places` has the faults that would be there, numbered from 1.

    Raises InputError for a fault that the airplane cannot have.
    """
    plumbing = plumbing_of(airplane)
    marks: list[FaultMark] = []
    for number, faults in enumerate(places, 1):
        marks += [replace(mark, number=number) for mark in plumbing_of(airplane, faults).faults]
    ways = [p for pipe in plumbing.pipes for p in pipe.way]
    points = [(p[1], p[0]) for p in (*ways, *(s.at for s in plumbing.spots))]
    box = around(points, 0.08, 0.25)
    tall = min(max((box[3] - box[1]) / (box[2] - box[0]) * _WIDE, 150.0), _TALL)
    frame = (_EDGE, _EDGE, _WIDE - _EDGE, tall - _EDGE)
    flat, scale = fit(box, frame)

    def above(at: Point) -> tuple[float, float]:
        return flat(at[1], at[0])

    hull = [svg.path([flat(y, x) for x, y in shape], "hull", closed=True) for shape in plumbing.plan]
    room = svg.rect(frame[0], frame[1], frame[2] - frame[0], frame[3] - frame[1], "frame", rx=6)
    said = [f"{m.number}: {m.label}, {m.at[0]:.1f} m aft" for m in marks]
    return svg.picture(
        _WIDE,
        tall,
        f"Where it may be: {airplane.title}, from above, nose up",
        "; ".join(said) + "." if said else "No place is suspected.",
        svg.element("defs", svg.element("clipPath", room, id=f"{key}-room")),
        room,
        svg.group(*hull, clip_path=f"url(#{key}-room)"),
        *(svg.line(*above(a), *above(b), "link") for a, b in plumbing.links),
        pipes(plumbing.pipes, above),
        *(spot(part, *above(part.at), scale) for part in plumbing.spots),
        *discs(marks, above),
        svg.text(frame[0] + 10, frame[1] + 18, "from above, nose up", "small view"),
        key=key,
        class_="map places",
    )
