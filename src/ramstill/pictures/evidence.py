"""The evidence: recorded pointers over what each finding predicts, how far off, and when it was decided.

Each instrument has a lane: the recorded pointer as a whole line, the prediction dashed in a band of two
standard deviations, what the rest of the recording says it ought to be dotted. Below each lane stand the
distances from the prediction; below all of them the odds over time. One finding is drawn at a time: each
has a group of its own, and all but the first are put out of sight.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, log

import numpy as np
from numpy.typing import NDArray

from ramstill.pictures import svg
from ramstill.pictures.evidence_lanes import (
    BAND,
    FOOT,
    Lane,
    Sizes,
    band_of,
    distance_bars,
    lane_frame,
    points_of,
    predicted_line,
    recorded_lines,
    scale_of,
    stretches,
    upward,
)
from ramstill.pictures.evidence_words import describe, gaps_in, odds_words
from ramstill.pictures.scales import Along, clock, spoken, time_ticks

__all__ = ["Guess", "Lane", "Odds", "evidence"]

FloatArray = NDArray[np.float64]
WIDE = Sizes(940, 64, 14, 124, 40, 74, 10)
COMPACT = Sizes(360, 48, 10, 108, 34, 66, 5)
_LETTER = 6.8  # width of a letter of 12 px text [px]; a little generous
_HEAD, _APART = 30.0, 18.0  # above a lane, and below its distances [px]
_ROW = 16.0  # from one row of words to the next [px]
_DECADES = (-2.0, 6.0)  # the odds drawn, as powers of ten


@dataclass(frozen=True, slots=True)
class Guess:
    """What one finding predicts: for each lane (t,) in its unit; when it sets in [s], and how well known."""

    label: str
    predicted: tuple[FloatArray, ...]
    onset_s: float | None = None
    onset_sd_s: float | None = None


@dataclass(frozen=True, slots=True)
class Odds:
    """The odds (t,) gained for the first finding against `against`, as natural logarithm; when it won [s]."""

    gained: FloatArray
    against: str
    decided_s: float | None


def evidence(
    time_s: FloatArray,
    lanes: Sequence[Lane],
    guesses: Sequence[Guess],
    odds: Odds | None = None,
    *,
    title: str = "What was recorded, over what is predicted",
    compact: bool = False,
    key: str = "evidence",
) -> str:
    """Return the evidence as SVG. time_s (t,) [s], rising; at least one lane and one guess."""
    size = COMPACT if compact else WIDE
    x = Along(float(time_s[0]), float(time_s[-1]), size)
    legend, top = _legend(size, lanes)
    top += 40.0  # two rows of words: when it sets in, and when it was decided
    each = _HEAD + size.lane + FOOT + size.off + _APART
    floors = [top + each * i + _HEAD + size.lane for i in range(len(lanes))]
    heads = _odds_heads(odds, guesses[0].label, size) if odds else []
    bottom = top + each * len(lanes) - _APART
    if odds:
        bottom += _APART + _HEAD + _ROW * (len(heads) - 1) + size.odds
    scales = [scale_of(lane, [g.predicted[i] for g in guesses], 4) for i, lane in enumerate(lanes)]
    ways = [upward(scale, floor, size.lane) for scale, floor in zip(scales, floors, strict=True)]
    drawn = [_clips(floors, size, key), legend, _gaps(time_s, x, top, bottom)]
    drawn += [lane_frame(*one, size) for one in zip(lanes, scales, floors, strict=True)]
    for i, guess in enumerate(guesses):
        under = [_onset(guess, x, top, bottom)]
        for lane, predicted, y, floor in zip(lanes, guess.predicted, ways, floors, strict=True):
            under.append(band_of(time_s, lane, predicted, x, y, f"{key}-{floor:.0f}"))
            under.append(distance_bars(time_s, lane, predicted, x, floor + FOOT, size))
        drawn.append(_of_guess(i, under))
    drawn += [recorded_lines(time_s, lane, x, y) for lane, y in zip(lanes, ways, strict=True)]
    for i, guess in enumerate(guesses):
        each_lane = zip(guess.predicted, ways, floors, strict=True)
        over = [predicted_line(time_s, v, x, y, f"{key}-{floor:.0f}") for v, y, floor in each_lane]
        drawn.append(_of_guess(i, over))
    if odds:
        drawn.append(_odds(time_s, odds, heads, x, bottom - size.odds, size))
        if odds.decided_s is not None and x.inside(odds.decided_s):
            drawn.append(_decided(odds.decided_s, x, top, bottom))
    drawn.append(_time_axis(x, bottom))
    return svg.picture(
        size.width,
        bottom + 26.0,
        title,
        describe(time_s, lanes, guesses, odds),
        *drawn,
        key=key,
        class_="strip evidence compact" if compact else "strip evidence",
    )


def _of_guess(index: int, children: Sequence[str]) -> str:
    """What is seen while this guess is chosen: the first one unless a style says otherwise."""
    return svg.group(*children, class_=f"guess of-{index}", display="none" if index else None)


def _legend(size: Sizes, lanes: Sequence[Lane]) -> tuple[str, float]:
    """What each kind of line is; how far down it reaches."""
    rows = [("recorded", "pointer"), ("predicted, and the band to keep to", "guessed")]
    if any(lane.elsewhere is not None for lane in lanes):
        rows.append(("ought to be, by GPS and the rest", "truth"))
    drawn, left, y = [], size.left, 12.0
    for words, kind in rows:
        long = 34.0 + len(words) * _LETTER * 0.92
        if left > size.left and left + long > size.width:
            left, y = size.left, y + 18.0
        if kind == "guessed":
            drawn.append(svg.rect(left, y - 10, 26, 12, "band"))
        drawn.append(svg.line(left, y - 4, left + 26, y - 4, kind))
        drawn.append(svg.text(left + 32, y, words, "small"))
        left += long + 12.0
    return svg.group(*drawn), y + 8.0


def _clips(floors: Sequence[float], size: Sizes, key: str) -> str:
    wide = size.width - size.left - size.right
    lanes = [
        svg.element(
            "clipPath", svg.rect(size.left, f - size.lane, wide, size.lane, "frame"), id=f"{key}-{f:.0f}"
        )
        for f in floors
    ]
    return svg.element("defs", *lanes)


def _gaps(time_s: FloatArray, x: Along[Sizes], top: float, bottom: float) -> str:
    """Stretches of time without a row in the recording: shaded, not bridged."""
    drawn = []
    for since, until in gaps_in(time_s):
        a, b = x.at(since), x.at(until)
        if b - a >= 2.0:
            drawn.append(svg.rect(a, top + 8, b - a, bottom - top - 8, "gap"))
        if b - a > 11 * _LETTER:
            drawn.append(svg.text((a + b) / 2, top + 22, "no readings", "small", "middle"))
    return svg.group(*drawn)


def _onset(guess: Guess, x: Along[Sizes], top: float, bottom: float) -> str:
    """When it sets in, with its spread shaded."""
    if guess.onset_s is None:
        return ""
    at, sd = guess.onset_s, guess.onset_sd_s
    known = sd is not None and isfinite(sd)
    words = f"sets in {clock(at)}" + (f" ± {spoken(BAND * sd)} s" if known and sd is not None else "")
    if at < x.start_s:
        words = "from the start, or before it"
    drawn = []
    if known and sd is not None:
        a, b = x.at(at - BAND * sd), x.at(at + BAND * sd)
        drawn.append(svg.rect(a, top, max(b - a, 1.0), bottom - top, "when"))
    if x.inside(at):
        drawn.append(svg.line(x.at(at), top - 4, x.at(at), bottom, "onset"))
    drawn.append(_beside(words, x.at(at), top - 22, x.size, "trouble-words"))
    return svg.group(*drawn)


def _decided(at_s: float, x: Along[Sizes], top: float, bottom: float) -> str:
    line = svg.line(x.at(at_s), top - 4, x.at(at_s), bottom, "decided")
    return line + _beside(f"decided by {clock(at_s)}", x.at(at_s), top - 6, x.size, "decided-words")


def _beside(words: str, at: float, y: float, size: Sizes, class_: str) -> str:
    """Words from `at` on, or up to it where there is no room."""
    if at + 4 + len(words) * _LETTER <= size.width:
        return svg.text(at + 4, y, words, class_)
    return svg.text(at - 4, y, words, class_, "end")


def _odds_heads(odds: Odds, label: str, size: Sizes) -> list[str]:
    wide = size.width - size.left - size.right
    return svg.wrapped(f"Odds of “{label}” against “{odds.against}”", int(wide / _LETTER))


def _odds(time_s: FloatArray, odds: Odds, heads: list[str], x: Along[Sizes], top: float, size: Sizes) -> str:
    """By how much the first finding led, on a scale of powers of ten."""
    decades = np.clip(odds.gained / log(10.0), *_DECADES)
    low = min(-1.0, float(np.floor(np.nanmin(decades))))
    high = max(1.0, float(np.ceil(np.nanmax(decades))))
    right, y = size.width - size.right, upward((low, high), top + size.odds, size.odds)
    drawn = [svg.lines_of_text(size.left, top - 8 - _ROW * (len(heads) - 1), heads, _ROW, "name", "start")]
    step = 2 if high - low > 4 else 1
    for power in range(int(np.ceil(low / step)) * step, int(high) + 1, step):
        level = float(y(np.array(float(power))))
        drawn.append(svg.line(size.left, level, right, level, "zero" if power == 0 else "grid"))
        drawn.append(svg.text(size.left - 7, level + 4, odds_words(power), "small", "end"))
    zero = float(y(np.array(0.0)))
    for part in stretches(time_s, decades):
        across = x(time_s[part])
        points = points_of(across, y(decades[part]))
        drawn.append(svg.path([(points[0][0], zero), *points, (points[-1][0], zero)], "lead", closed=True))
        drawn.append(svg.path(points, "odds"))
    return svg.group(*drawn)


def _time_axis(x: Along[Sizes], bottom: float) -> str:
    size = x.size
    drawn = [svg.line(size.left, bottom, size.width - size.right, bottom, "axis")]
    for t in time_ticks(x.start_s, x.end_s, size.wanted):
        drawn.append(svg.line(x.at(t), bottom, x.at(t), bottom + 5, "tick"))
        drawn.append(svg.text(x.at(t), bottom + 18, clock(t), "small", "middle"))
    return svg.group(*drawn)
