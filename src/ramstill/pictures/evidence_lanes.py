"""One instrument's lane of the evidence: what was recorded, what is predicted, and how far off that is."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ramstill.pictures import svg
from ramstill.pictures.evidence_words import gaps_in
from ramstill.pictures.scales import Along, around, spoken, ticks
from ramstill.pictures.strip import shown_parts, simplified

FloatArray = NDArray[np.float64]
Upward = Callable[[FloatArray], FloatArray]
BAND = 2.0  # half the band around a prediction [standard deviations]
FOOT = 10.0  # between a lane and its distances [px]
_BEYOND = 0.6  # predictions may widen a lane by this share of what was recorded, each way
FAR = 6.0  # distances from a prediction are drawn up to this [standard deviations]


@dataclass(frozen=True, slots=True)
class Lane:
    """One instrument: all (t,) in `unit`; NaN where nothing was recorded or is known.

    spread: one standard deviation of a reading about what is predicted; elsewhere: what the rest of the
    recording says it ought to be, or None; least: the smallest span of the scale.
    """

    title: str
    unit: str
    recorded: FloatArray
    spread: FloatArray
    elsewhere: FloatArray | None = None
    least: float = 0.0


@dataclass(frozen=True, slots=True)
class Sizes:
    """Of a picture [px]: its width, margins, the heights of its parts; how many times are wanted below it."""

    width: float
    left: float
    right: float
    lane: float
    off: float
    odds: float
    wanted: int


def scale_of(lane: Lane, predicted: Sequence[FloatArray], wanted: int) -> tuple[float, float]:
    """The ends of a lane's scale: all that was recorded, and predictions as far as they come near it."""
    low, high = float(np.nanmin(lane.recorded)), float(np.nanmax(lane.recorded))
    more = max(_BEYOND * (high - low), lane.least)
    others = [*predicted] if lane.elsewhere is None else [*predicted, lane.elsewhere]
    rest = np.concatenate([v[np.isfinite(v)] for v in others]) if others else np.empty(0)
    if len(rest):
        low = min(low, max(float(rest.min()), low - more))
        high = max(high, min(float(rest.max()), high + more))
    return around(low, high, wanted, lane.least)


def upward(span: tuple[float, float], floor: float, tall: float) -> Upward:
    low, high = span
    return lambda v: floor - np.clip((v - low) / (high - low), -1.0, 2.0) * tall


def lane_frame(lane: Lane, span: tuple[float, float], floor: float, size: Sizes) -> str:
    """Title, grid and figures of a lane, and of the distances below it."""
    right, y = size.width - size.right, upward(span, floor, size.lane)
    unit = svg.element("tspan", lane.unit, class_="small", dx=6)
    head = svg.element("text", lane.title, unit, x=size.left, y=floor - size.lane - 8, class_="name")
    drawn = [head]
    for value in ticks(*span, 4):
        level = float(y(np.array(value)))
        drawn.append(svg.line(size.left, level, right, level, "zero" if value == 0 > span[0] else "grid"))
        words = spoken(value, 0 if value == int(value) else 1)
        drawn.append(svg.text(size.left - 7, level + 4, words, "small", "end"))
    top = floor + FOOT
    one = size.off / (2 * FAR)
    middle = top + size.off / 2
    drawn.append(svg.rect(size.left, middle - BAND * one, right - size.left, 2 * BAND * one, "keeps"))
    drawn.append(svg.line(size.left, middle, right, middle, "zero"))
    drawn.append(svg.text(size.left - 7, middle + 4, "off", "small", "end"))
    return svg.group(*drawn)


def _thin(across: FloatArray, values: FloatArray) -> tuple[FloatArray, FloatArray]:
    """The lowest and the highest of each half pixel, in order, where there is more than can be seen."""
    column = np.floor(2.0 * (across - across[0])).astype(int)
    if len(across) < 2 * column[-1] + 2:
        return across, values
    starts = np.flatnonzero(np.r_[True, np.diff(column) > 0])
    ends = np.r_[starts[1:], len(across)]
    keep: set[int] = {0, len(across) - 1}
    for a, b in zip(starts.tolist(), ends.tolist(), strict=True):
        keep |= {a + int(np.argmin(values[a:b])), a + int(np.argmax(values[a:b]))}
    index = sorted(keep)
    return across[index], values[index]


def points_of(across: FloatArray, drop: FloatArray) -> list[tuple[float, float]]:
    across, drop = _thin(across, drop)
    index = simplified(across, drop)
    return list(zip(np.round(across[index], 1).tolist(), np.round(drop[index], 1).tolist(), strict=True))


def stretches(time_s: FloatArray, values: FloatArray) -> list[slice]:
    """Where there is something to draw, without a gap in it."""
    cuts = [int(np.searchsorted(time_s, until)) for _, until in gaps_in(time_s)]
    found = []
    for part in shown_parts(values):
        at = part.start
        for cut in [c for c in cuts if part.start < c < part.stop] + [part.stop]:
            found.append(slice(at, cut))
            at = cut
    return found


def lines_of(
    time_s: FloatArray,
    values: FloatArray,
    x: Along[Sizes],
    y: Upward,
    class_: str,
) -> list[str]:
    """A line through values, broken where there are none; a reading that stands alone is a dot."""
    drawn = []
    for part in stretches(time_s, values):
        across, drop = x(time_s[part]), y(values[part])
        if len(across) == 1:
            drawn.append(svg.circle(float(across[0]), float(drop[0]), 1.6, f"{class_}-dot"))
        else:
            drawn.append(svg.path(points_of(across, drop), class_))
    return drawn


def recorded_lines(time_s: FloatArray, lane: Lane, x: Along[Sizes], y: Upward) -> str:
    """What was recorded, over what the rest of the recording says it ought to be."""
    elsewhere = [] if lane.elsewhere is None else lines_of(time_s, lane.elsewhere, x, y, "truth")
    return svg.group(*elsewhere, *lines_of(time_s, lane.recorded, x, y, "pointer"))


def band_of(
    time_s: FloatArray, lane: Lane, predicted: FloatArray, x: Along[Sizes], y: Upward, clip: str
) -> str:
    """The band about a prediction that readings should keep to."""
    wide = np.where(np.isfinite(lane.spread), lane.spread, 0.0) * BAND
    drawn = []
    for part in stretches(time_s, predicted):
        across = x(time_s[part])
        if len(across) > 1:
            under, over = (points_of(across, y(predicted[part] + s * wide[part])) for s in (-1.0, 1.0))
            drawn.append(svg.path(under + over[::-1], "band", closed=True))
    return svg.group(*drawn, clip_path=f"url(#{clip})")


def predicted_line(time_s: FloatArray, predicted: FloatArray, x: Along[Sizes], y: Upward, clip: str) -> str:
    """A prediction, cut off where it leaves the lane."""
    return svg.group(*lines_of(time_s, predicted, x, y, "guessed"), clip_path=f"url(#{clip})")


def distance_bars(
    time_s: FloatArray, lane: Lane, predicted: FloatArray, x: Along[Sizes], top: float, size: Sizes
) -> str:
    """Recorded less predicted in standard deviations, as bars from zero; what leaves the band stands out."""
    off = (lane.recorded - predicted) / np.where(lane.spread > 0.0, lane.spread, np.nan)
    known = np.isfinite(off)
    if not known.any():
        return ""
    across = np.round(x(time_s[known]) / 1.5) * 1.5
    middle, one = top + size.off / 2, size.off / (2 * FAR)
    starts = np.flatnonzero(np.r_[True, np.diff(across) > 0])
    ends = np.r_[starts[1:], len(across)]
    steps: dict[str, list[str]] = {"near": [], "far": []}
    for a, b in zip(starts, ends, strict=True):
        most = a + int(np.argmax(np.abs(off[known][a:b])))
        value = float(off[known][most])
        level = middle - min(max(value, -FAR), FAR) * one
        kind = "far" if abs(value) > BAND else "near"
        steps[kind].append(
            f"M{svg.number(float(across[a]))},{svg.number(middle)}V{svg.number(round(level, 1))}"
        )
    return svg.group(*(svg.element("path", d="".join(d), class_=f"off {k}") for k, d in steps.items() if d))
