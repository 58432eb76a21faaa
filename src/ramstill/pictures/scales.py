"""Ticks a person would choose, times as minutes and seconds, and numbers as they are read aloud."""

import math
from dataclasses import dataclass
from typing import Generic, Protocol, TypeVar

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]


def nice_step(span: float, wanted: int) -> float:
    """The step of 1, 2, 2.5 or 5 times a power of ten that gives about `wanted` steps in `span`."""
    rough = span / max(wanted, 1)
    if not rough > 0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(rough))
    for factor in (1.0, 2.0, 2.5, 5.0):
        if rough <= factor * power * (1 + 1e-9):
            return factor * power
    return 10.0 * power


def ticks(low: float, high: float, wanted: int = 6) -> list[float]:
    """Round values from `low` to `high`, both ends only where they are round."""
    step = nice_step(high - low, wanted)
    first = math.ceil(low / step - 1e-9)
    last = math.floor(high / step + 1e-9)
    return [i * step for i in range(first, last + 1)]


def time_ticks(start_s: float, end_s: float, wanted: int = 8) -> list[float]:
    """Round times [s] in the steps of a clock."""
    steps = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200)
    span = end_s - start_s
    step = next((s for s in steps if span / s <= wanted), 7200)
    return [float(step * i) for i in range(math.ceil(start_s / step), math.floor(end_s / step) + 1)]


def around(low: float, high: float, wanted: int = 5, least: float = 0.0) -> tuple[float, float]:
    """Round limits that hold `low` to `high` with a little air, at least `least` and never nothing apart."""
    if high - low < least:
        middle = (high + low) / 2
        low, high = middle - least / 2, middle + least / 2
    air = 0.04 * (high - low)
    finest = 16.0 * math.ulp(max(abs(low), abs(high)))  # less than this apart is one number
    step = nice_step(high - low + 2 * air, wanted) if high - low > finest else 1.0
    bottom, top = math.floor((low - air) / step) * step, math.ceil((high + air) / step) * step
    bottom, top = (0.0 if low >= 0.0 > bottom else bottom), (0.0 if high <= 0.0 < top else top)
    return bottom, max(top, bottom + step)


def clock(time_s: float) -> str:
    """125 s -> "2:05"; 3725 s -> "1:02:05"."""
    whole = round(time_s)
    sign, whole = ("−" if whole < 0 else ""), abs(whole)
    hours, minutes, seconds = whole // 3600, whole // 60 % 60, whole % 60
    return f"{sign}{hours}:{minutes:02d}:{seconds:02d}" if hours else f"{sign}{minutes}:{seconds:02d}"


def spoken(value: float, decimals: int = 0) -> str:
    """A number with thousands marked and a true minus sign; not-a-number is a dash."""
    if not math.isfinite(value):
        return "–"
    shown = f"{abs(value):,.{decimals}f}"
    return f"−{shown}" if value < 0 and float(shown.replace(",", "")) != 0 else shown


def thinned(size: int, most: int) -> list[int]:
    """Indices of about `most` samples spread evenly over `size`, the last one always among them."""
    if size <= most:
        return list(range(size))
    step = (size - 1) / (most - 1)
    return sorted({round(i * step) for i in range(most)})


class Margins(Protocol):
    """Sizes of a picture [px] with a margin on either side."""

    @property
    def width(self) -> float: ...
    @property
    def left(self) -> float: ...
    @property
    def right(self) -> float: ...


S = TypeVar("S", bound=Margins)


@dataclass(frozen=True, slots=True)
class Along(Generic[S]):
    """Times [s] along a picture [px]; what lies outside is drawn at its edge."""

    start_s: float
    end_s: float
    size: S

    def __call__(self, time_s: FloatArray) -> FloatArray:
        wide = self.size.width - self.size.left - self.size.right
        share = (np.asarray(time_s) - self.start_s) / max(self.end_s - self.start_s, 1e-9)
        return np.asarray(self.size.left + np.clip(share, 0.0, 1.0) * wide)

    def at(self, time_s: float) -> float:
        """One time."""
        return float(self(np.array(time_s)))

    def inside(self, time_s: float) -> bool:
        """Whether a time lies within the picture."""
        return self.start_s <= time_s <= self.end_s
