"""One panel of a class over time: what came to be visible, and below it what the class wrote down, when.

Each pointer that went astray has a lane: what it showed as a whole line, what a sound airplane shows dotted,
the gap shaded while it can be seen, and a mark where it first could be. Below, each answer has a row; a
learner's answer is a disc with their number at the time it was written down, with a thin line back to since
when they held it to be so, and a line on to the answer they changed it to.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache
from html import escape
from importlib import resources
from itertools import pairwise
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from ramstill.pictures import svg
from ramstill.pictures.scales import Along, around, clock, spoken, ticks, time_ticks
from ramstill.pictures.strip import Span, simplified

FloatArray = NDArray[np.float64]
Sort = Literal["right", "alike", "open", "wrong"]
_LETTER = 6.6  # width of a letter of 12 px text [px]; a little generous
_DISC = 9.0  # radius of a disc [px]
_STACK = 20.0  # from one disc to the next above it, where they would lie on one another [px]
_SINCE_MOST = 40  # answers of a picture that have room for a line back to since when
_ROW = 17.0  # from one row of words to the next [px]


@dataclass(frozen=True, slots=True)
class Lane:
    """One pointer: shown, sound (t,) in `unit`; seen (t,): while it can be seen that it is off; seen_s: from
    when on, None where it never was; words: what is to be seen then; least: smallest span of the scale.
    """

    title: str
    unit: str
    shown: FloatArray
    sound: FloatArray
    seen: NDArray[np.bool_]
    seen_s: float | None
    words: str
    least: float = 0.0


@dataclass(frozen=True, slots=True)
class Row:
    """One answer that somebody wrote down: its words, and how it stands."""

    label: str
    sort: Sort


@dataclass(frozen=True, slots=True)
class Mark:
    """One answer of one learner: their number and name, which row, when, since when, if it was the last."""

    number: int
    name: str
    row: int
    at_s: float
    since_s: float | None = None
    last: bool = True


@dataclass(frozen=True, slots=True)
class Sizes:
    width: float
    left: float
    right: float
    lane: float
    wanted: int


WIDE = Sizes(940, 64, 22, 76, 10)
COMPACT = Sizes(360, 46, 14, 66, 5)


@cache
def style() -> str:
    """The style of the time line, which comes after that of all pictures."""
    return (resources.files("ramstill.pictures") / "class_line.css").read_text(encoding="utf-8")


def class_line(
    time_s: FloatArray,
    lanes: Sequence[Lane],
    faults: Sequence[Span],
    rows: Sequence[Row],
    marks: Sequence[Mark],
    asked_s: float,
    *,
    title: str = "What could be seen, and what was called",
    compact: bool = False,
    key: str = "class",
) -> str:
    """Return the time line as SVG. time_s (t,) [s], rising, from what is drawn first to the reveal."""
    size = COMPACT if compact else WIDE
    x = Along(float(time_s[0]), float(time_s[-1]), size)
    top = 12.0
    drawn: list[str] = []
    head, y = _faults(faults, x, top)
    drawn.append(head)
    cue_tops: list[tuple[float, float]] = []
    for lane in lanes:
        words = svg.wrapped(_heading(lane), int((size.width - size.left - 4) / _LETTER))
        y += _ROW * len(words) + 6.0
        drawn.append(_lane(time_s, lane, words, x, y))
        if lane.seen_s is not None:
            cue_tops.append((lane.seen_s, y))
        y += size.lane + 12.0
    if not lanes:
        y += 20.0
        drawn.append(svg.text(size.left, y, "Nothing could be seen on the panel.", "name"))
        y += 12.0
    y += 14.0
    drawn.append(svg.text(size.left, y, "What was written down", "heading"))
    y += 6.0
    body, y = _answers(rows, marks, x, y)
    bottom = y + 4.0
    under = [_cue_line(at, since, bottom, x) for at, since in cue_tops]
    under += [_dropped(span, x, top, bottom) for span in faults]
    drawn = [*under, *drawn, body, _axis(x, bottom, asked_s)]
    return svg.picture(
        size.width,
        bottom + 44.0,
        title,
        describe(lanes, faults, rows, marks, x),
        *drawn,
        key=key,
        class_="strip class-line compact" if compact else "strip class-line",
    )


def describe(
    lanes: Sequence[Lane], faults: Sequence[Span], rows: Sequence[Row], marks: Sequence[Mark], x: Along[Sizes]
) -> str:
    """The time line in words."""
    said = [f"From {clock(x.start_s)} to the reveal at {clock(x.end_s)}."]
    said += [f"Fault: {span.label}, from {clock(span.since_s)}." for span in faults]
    said += [
        f"{lane.title}: {lane.words} from {clock(lane.seen_s)}." for lane in lanes if lane.seen_s is not None
    ]
    for number, row in enumerate(rows):
        there = [mark for mark in marks if mark.row == number and mark.last]
        names = ", ".join(f"{mark.name} at {clock(mark.at_s)}" for mark in there)
        if there:
            said.append(f"{row.label}: {names}.")
    return " ".join(said)


def _faults(faults: Sequence[Span], x: Along[Sizes], top: float) -> tuple[str, float]:
    """One bar a fault, its words above it; how far down they reach."""
    drawn, y = [], top
    for span in faults:
        a, b = x.at(span.since_s), x.at(span.until_s)
        words = f"{span.label}, from {clock(span.since_s)}"
        wide = len(words) * _LETTER
        if a + wide <= x.size.width:
            drawn.append(svg.text(a, y, words, "trouble-words"))
        else:
            drawn.append(svg.text(x.size.width - x.size.right, y, words, "trouble-words", "end"))
        drawn.append(svg.rect(a, y + 5, max(b - a, 2.0), 6, "fault-bar"))
        y += 26.0
    return svg.group(*drawn), y


def _dropped(span: Span, x: Along[Sizes], top: float, bottom: float) -> str:
    """A line down from where a fault begins, if it does so in the picture."""
    if span.since_s <= x.start_s:
        return ""
    return svg.line(x.at(span.since_s), top + 8, x.at(span.since_s), bottom, "onset")


def _heading(lane: Lane) -> str:
    if lane.seen_s is None:
        return f"{lane.title} [{lane.unit}]"
    return f"{lane.title} [{lane.unit}]: {lane.words} from {clock(lane.seen_s)}"


def _lane(time_s: FloatArray, lane: Lane, words: list[str], x: Along[Sizes], top: float) -> str:
    size = x.size
    both = np.concatenate([lane.shown, lane.sound])
    both = both[np.isfinite(both)]
    low, high = around(float(both.min()), float(both.max()), 3, lane.least) if len(both) else (0.0, 1.0)
    floor, right = top + size.lane, size.width - size.right

    def y(value: float) -> float:
        return floor - (value - low) / (high - low) * size.lane

    drawn = [svg.lines_of_text(size.left, top - 8 - _ROW * (len(words) - 1), words, _ROW, "name", "start")]
    for value in ticks(low, high, 3):
        drawn.append(svg.line(size.left, y(value), right, y(value), "grid"))
        figures = spoken(value, 0 if value == int(value) else 1)
        drawn.append(svg.text(size.left - 7, y(value) + 4, figures, "small", "end"))
    drawn += _gaps(time_s, lane, x, y)
    for values, kind in ((lane.sound, "truth"), (lane.shown, "pointer")):
        for part in _parts(np.isfinite(values)):
            drawn.append(svg.path(_points(time_s[part], values[part], x, y), kind))
    return svg.group(*drawn)


def _gaps(time_s: FloatArray, lane: Lane, x: Along[Sizes], y: Callable[[float], float]) -> list[str]:
    """Between what is shown and what should be, while it can be seen."""
    found = []
    for part in _parts(lane.seen & np.isfinite(lane.shown) & np.isfinite(lane.sound)):
        there = _points(time_s[part], lane.shown[part], x, y)
        back = _points(time_s[part], lane.sound[part], x, y)[::-1]
        if len(there) > 1:
            found.append(svg.path([*there, *back], "lie", closed=True))
    return found


def _parts(mask: NDArray[np.bool_]) -> list[slice]:
    """Where a mask (t,) is true without a gap."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], mask, [False]]).astype(int)))
    return [slice(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _points(
    time_s: FloatArray, values: FloatArray, x: Along[Sizes], y: Callable[[float], float]
) -> list[tuple[float, float]]:
    across, drop = x(time_s), np.array([y(v) for v in values.tolist()])
    if len(across) < 3:
        return list(zip(across.tolist(), drop.tolist(), strict=True))
    index = simplified(across, drop)
    return list(zip(np.round(across[index], 1).tolist(), np.round(drop[index], 1).tolist(), strict=True))


def _cue_line(at_s: float, top: float, bottom: float, x: Along[Sizes]) -> str:
    """From a lane down to the answers: when it could first be seen."""
    return svg.line(x.at(at_s), top, x.at(at_s), bottom, "cue-line")


def _answers(rows: Sequence[Row], marks: Sequence[Mark], x: Along[Sizes], top: float) -> tuple[str, float]:
    """A row for each answer, discs stacked where they would lie on one another; how far down they reach."""
    words, discs, links = [], [], []
    placed: dict[int, list[tuple[float, float]]] = {}
    y = top
    for number, row in enumerate(rows):
        mine = sorted((m for m in marks if m.row == number), key=lambda m: m.at_s)
        since = [mark.since_s if len(marks) <= _SINCE_MOST and mark.last else None for mark in mine]
        ends = [
            (x.at(mark.at_s if s is None else s), x.at(mark.at_s))
            for mark, s in zip(mine, since, strict=True)
        ]
        levels = _levels(ends)
        label = svg.wrapped(_row_words(row, mine), int((x.size.width - x.size.left - 4) / _LETTER))
        y += _ROW * len(label) + 2.0
        words.append(
            svg.lines_of_text(x.size.left, y - _ROW * (len(label) - 1), label, _ROW, "name", "start")
        )
        floor = y + 4.0 + _STACK * (max(levels, default=0) + 1)
        words.append(svg.line(x.size.left, floor, x.size.width - x.size.right, floor, "grid"))
        for mark, (begin, at), said, level in zip(mine, ends, since, levels, strict=True):
            middle = floor - _STACK * level - _DISC - 1.0
            placed.setdefault(mark.number, []).append((at, middle))
            if said is not None:
                links.append(svg.line(begin, middle, at, middle, "held-since"))
                links.append(svg.line(begin, middle - 4, begin, middle + 4, "held-since"))
            discs.append(_disc(mark, row.sort, at, middle))
        y = floor
    for places in placed.values():
        steps = sorted(places)
        links += [svg.line(*a, *b, "change") for a, b in pairwise(steps)]
    if not rows:
        y += _ROW + 2.0
        words.append(svg.text(x.size.left, y, "Nobody wrote anything down.", "name"))
    return svg.group(*links, *words, *discs), y


_SORTS = {
    "right": "right",
    "alike": "looks the same here",
    "open": "no fault named",
    "wrong": "not what it was",
}


def _row_words(row: Row, mine: Sequence[Mark]) -> str:
    count = sum(mark.last for mark in mine)
    return f"{row.label} ({_SORTS[row.sort]}): {count} at the reveal"


def _levels(places: Sequence[tuple[float, float]]) -> list[int]:
    """For discs in order of time, each with a line from (begin, at): how many lie below it."""
    ends: list[float] = []
    found = []
    for begin, at in places:
        level = next((i for i, end in enumerate(ends) if begin - end >= 2.0 * _DISC + 1.0), len(ends))
        if level == len(ends):
            ends.append(at)
        ends[level] = at
        found.append(level)
    return found


def _disc(mark: Mark, sort: Sort, x: float, y: float) -> str:
    """Right is full, another that looks the same half full, no fault named hollow, the rest crossed out by
    its square; an answer that was changed later is faint and small.
    """
    name = svg.element("title", f"{mark.number}. {escape(mark.name)}, {clock(mark.at_s)}")
    class_ = f"call {sort}" if mark.last else "call changed"
    if sort == "wrong" and mark.last:
        shape = svg.rect(x - _DISC + 1, y - _DISC + 1, 2 * _DISC - 2, 2 * _DISC - 2, class_)
    else:
        shape = svg.circle(x, y, _DISC if mark.last else _DISC - 2.0, class_)
    half = (
        svg.path([(x - 7.2, y + 5.4), (x + 7.2, y + 5.4)], "call-half")
        if sort == "alike" and mark.last
        else ""
    )
    number = svg.text(
        x, y + 4, str(mark.number), f"call-number on-{sort if mark.last else 'changed'}", "middle"
    )
    return svg.group(name, shape, half, number)


def _axis(x: Along[Sizes], bottom: float, asked_s: float) -> str:
    size = x.size
    drawn = [svg.line(size.left, bottom, size.width - size.right, bottom, "axis")]
    for t in time_ticks(x.start_s, x.end_s, size.wanted):
        drawn.append(svg.line(x.at(t), bottom, x.at(t), bottom + 5, "tick"))
        drawn.append(svg.text(x.at(t), bottom + 18, clock(t), "small", "middle"))
    if x.start_s <= asked_s < x.end_s:
        drawn.append(svg.line(x.at(asked_s), bottom, x.at(asked_s), bottom + 24, "asked"))
        drawn.append(svg.text(x.at(asked_s) + 4, bottom + 36, f"asked {clock(asked_s)}", "small"))
    drawn.append(svg.line(x.at(x.end_s), bottom, x.at(x.end_s), bottom + 24, "asked"))
    words = f"revealed {clock(x.end_s)}"
    drawn.append(svg.text(x.at(x.end_s), bottom + 36, words, "small", "end"))
    return svg.group(*drawn)
