"""Strip charts: what each pointer shows against what is true, with phases and faults on one time line."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from ramstill.pictures import svg
from ramstill.pictures.scales import around, clock, spoken, ticks, time_ticks

FloatArray = NDArray[np.float64]
_LETTER = 6.6  # width of a letter of 12 px text [px]; a little generous


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart: `shown` and `true` are (t,) in `unit`, on the time of the strip; `least`: smallest span."""

    title: str
    unit: str
    shown: FloatArray
    true: FloatArray
    least: float = 0.0


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time [s] with a word; `until_s` infinite means to the end."""

    since_s: float
    until_s: float
    label: str


@dataclass(frozen=True, slots=True)
class Sizes:
    width: float
    left: float
    right: float
    chart: float
    gap: float
    wanted: int


WIDE = Sizes(940, 64, 76, 116, 34, 10)
COMPACT = Sizes(360, 46, 18, 104, 34, 6)


def strip_chart(
    time_s: FloatArray,
    charts: Sequence[Chart],
    phases: Sequence[tuple[float, str]] = (),
    faults: Sequence[Span] = (),
    *,
    title: str = "Pointers against truth over time",
    compact: bool = False,
    key: str = "strip",
) -> str:
    """Return charts stacked on one time axis. time_s (t,) [s]; phases: (start [s], name) in order."""
    size = COMPACT if compact else WIDE
    start, end = float(time_s[0]), float(time_s[-1])
    wide = size.width - size.left - size.right
    along = wide / max(end - start, 1e-9)

    def x(t: float) -> float:
        return size.left + (min(max(t, start), end) - start) * along

    top = 8.0 + 22.0 * len(faults)
    first = top + size.gap
    bottom = first + len(charts) * (size.chart + size.gap) - size.gap
    drawn = [_faults(faults, x, start, end, bottom, size)]
    for i, chart in enumerate(charts):
        drawn.append(
            _chart(chart, time_s, first + i * (size.chart + size.gap), x, size, along, legend=i == 0)
        )
    drawn.append(_time_axis(start, end, bottom, x, size))
    height = bottom + 30.0
    if phases:
        band, tall = _phases(phases, x, start, end, bottom + 30.0, size)
        drawn.append(band)
        height += tall
    drawn.append(svg.line(size.left, top + 6, size.left, bottom, "cursor", data_cursor="1"))
    return svg.picture(
        size.width,
        height,
        title,
        describe(time_s, charts, phases, faults),
        *drawn,
        key=key,
        class_="strip compact" if compact else "strip",
        data_start=start,
        data_end=end,
        data_left=size.left,
        data_wide=wide,
    )


def describe(
    time_s: FloatArray, charts: Sequence[Chart], phases: Sequence[tuple[float, str]], faults: Sequence[Span]
) -> str:
    """The charts in words."""
    said = [f"From {clock(float(time_s[0]))} to {clock(float(time_s[-1]))}."]
    for chart in charts:
        gap = chart.shown - chart.true
        if np.isnan(gap).all():
            said.append(f"{chart.title} shows nothing.")
            continue
        worst = int(np.nanargmax(np.abs(gap)))
        low, high = float(np.nanmin(chart.shown)), float(np.nanmax(chart.shown))
        blank = " or nothing" if np.isnan(gap).any() else ""
        said.append(
            f"{chart.title} shows {spoken(low)} to {spoken(high)} {chart.unit}{blank}; furthest from truth "
            f"at {clock(float(time_s[worst]))}, by {spoken(float(gap[worst]))} {chart.unit}."
        )
    said += [f"Fault: {span.label}, {_when(span)}." for span in faults]
    if phases:
        said.append("Phases: " + ", ".join(f"{name} from {clock(t)}" for t, name in phases) + ".")
    return " ".join(said)


def _when(span: Span) -> str:
    start = "from the start" if span.since_s == -inf else f"from {clock(span.since_s)}"
    return start if span.until_s == inf else f"{start} to {clock(span.until_s)}"


def simplified(x: FloatArray, y: FloatArray, tolerance: float = 0.35) -> NDArray[np.intp]:
    """Indices that keep the drawn line within `tolerance` of all points (Douglas and Peucker, 1973)."""
    keep = np.zeros(len(x), dtype=bool)
    keep[[0, -1]] = True
    todo = [(0, len(x) - 1)]
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        dx, dy = x[b] - x[a], y[b] - y[a]
        reach = float(np.hypot(dx, dy)) or 1.0
        off = np.abs(dx * (y[a + 1 : b] - y[a]) - dy * (x[a + 1 : b] - x[a])) / reach
        far = int(np.argmax(off))
        if off[far] > tolerance:
            keep[a + 1 + far] = True
            todo += [(a, a + 1 + far), (a + 1 + far, b)]
    return np.flatnonzero(keep)


def shown_parts(values: FloatArray) -> list[slice]:
    """The stretches in which something is shown: those without not-a-number."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], ~np.isnan(values), [False]]).astype(int)))
    return [slice(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]


def _chart(
    chart: Chart,
    time_s: FloatArray,
    top: float,
    x: Callable[[float], float],
    size: Sizes,
    along: float,
    legend: bool,
) -> str:
    both = np.concatenate([chart.shown, chart.true])
    low, high = around(float(np.nanmin(both)), float(np.nanmax(both)), 4, chart.least)
    floor, right = top + size.chart, size.width - size.right

    def y(values: FloatArray) -> FloatArray:
        return floor - (values - low) / (high - low) * size.chart

    unit = svg.element("tspan", chart.unit, class_="small", dx=6)
    drawn = [svg.element("text", chart.title, unit, x=size.left, y=top - 9, class_="name")]
    for value in ticks(low, high, 4):
        level = float(y(np.array([value]))[0])
        drawn.append(svg.line(size.left, level, right, level, "zero" if value == 0 and low < 0 else "grid"))
        drawn.append(
            svg.text(size.left - 7, level + 4, spoken(value, 0 if value == int(value) else 1), "small", "end")
        )
    across = size.left + (time_s - time_s[0]) * along

    def line(values: FloatArray, part: slice) -> list[tuple[float, float]]:
        drop = y(values[part])
        index = simplified(across[part], drop)
        return list(zip(across[part][index].tolist(), drop[index].tolist(), strict=True))

    for part in shown_parts(chart.shown):
        drawn.append(svg.path(line(chart.true, part) + line(chart.shown, part)[::-1], "lie", closed=True))
    drawn.append(svg.path(line(chart.true, slice(None)), "truth"))
    drawn += [svg.path(line(chart.shown, part), "pointer") for part in shown_parts(chart.shown)]
    if size is WIDE:
        finish = [float(y(values[-1:])[0]) for values in (chart.true, chart.shown)]
        # a line that ends in nothing has its word where the truth's would be, and gives way
        ends = {"true": finish[0], "shows": finish[0] if np.isnan(finish[1]) else finish[1]}
        apart = ends["shows"] - ends["true"]
        if abs(apart) < 14:
            push = (14 - abs(apart)) / 2
            ends["shows"] += push if apart >= 0 else -push
            ends["true"] -= push if apart >= 0 else -push
        drawn.append(svg.text(right + 8, ends["shows"] + 4, "shows", "pointer-words"))
        drawn.append(svg.text(right + 8, ends["true"] + 4, "true", "truth-words"))
    elif legend:
        a = right - 132
        drawn += [
            svg.line(a, top - 13, a + 22, top - 13, "pointer"),
            svg.text(a + 27, top - 9, "shows", "small"),
            svg.line(a + 72, top - 13, a + 94, top - 13, "truth"),
            svg.text(a + 99, top - 9, "true", "small"),
        ]
    return svg.group(*drawn)


def _time_axis(start: float, end: float, bottom: float, x: Callable[[float], float], size: Sizes) -> str:
    drawn = [svg.line(size.left, bottom, size.width - size.right, bottom, "axis")]
    for t in time_ticks(start, end, size.wanted):
        drawn.append(svg.line(x(t), bottom, x(t), bottom + 5, "tick"))
        drawn.append(svg.text(x(t), bottom + 18, clock(t), "small", "middle"))
    return svg.group(*drawn)


def _phases(
    phases: Sequence[tuple[float, str]],
    x: Callable[[float], float],
    start: float,
    end: float,
    top: float,
    size: Sizes,
) -> tuple[str, float]:
    """A band of alternating shades and how tall it is; a name too long for its stretch is led below it."""
    drawn, taken = [], [size.left - 40.0] * 3
    ends = [*(t for t, _ in phases[1:]), end]
    rows = 0
    for i, ((since, name), until) in enumerate(zip(phases, ends, strict=True)):
        a, b = x(since), x(until)
        if until <= start or since >= end or b - a < 1:
            continue
        drawn.append(svg.rect(a, top, b - a, 24, f"phase {'odd' if i % 2 else 'even'}"))
        long = len(name) * _LETTER
        if long <= b - a - 4:
            drawn.append(svg.text((a + b) / 2, top + 16, name, "small", "middle"))
            continue
        left = min(max((a + b) / 2 - long / 2, 2.0), size.width - long - 2)
        row = next((r for r, used in enumerate(taken) if used <= left), None)
        if row is not None:
            taken[row] = left + long + 8
            rows = max(rows, row + 1)
            drawn.append(svg.line((a + b) / 2, top + 22, (a + b) / 2, top + 29 + 15 * row, "tick"))
            drawn.append(svg.text(left + long / 2, top + 40 + 15 * row, name, "small", "middle"))
    return svg.group(*drawn), 30.0 + 16 * rows


def _faults(
    faults: Sequence[Span], x: Callable[[float], float], start: float, end: float, bottom: float, size: Sizes
) -> str:
    """A bar for each fault over the time that it lasts, its onset drawn down through all charts."""
    drawn = []
    for i, span in enumerate(faults):
        row = 8.0 + 22.0 * i
        a, b = x(span.since_s), x(span.until_s)
        drawn.append(svg.rect(a, row + 16, max(b - a, 2.0), 4, "fault-bar"))
        for at in (span.since_s, span.until_s):
            if start < at < end:
                drawn.append(svg.line(x(at), row + 16, x(at), bottom, "onset"))
        words = f"{i + 1} {span.label}"
        reach = len(words) * (_LETTER + 0.4)
        if a + reach <= size.width:
            drawn.append(svg.text(a, row + 11, words, "trouble-words"))
        else:
            drawn.append(svg.text(size.width - 4, row + 11, words, "trouble-words", "end"))
    return svg.group(*drawn)
