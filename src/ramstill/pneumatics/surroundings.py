"""The pressures outside each opening over time, and what is true meanwhile."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import Literal, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.truth import Truth

FloatArray = NDArray[np.float64]
Curve = Literal["smooth", "monotone", "straight"]
_AT_ONCE = 1024  # times that are looked up together: what the processor keeps at hand


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Outside pressure at each boundary: cubic Hermite between knots; a repeated knot time is a jump.

    knots_s (k,) [s], never falling; boundary_names (b): every opening's name, "cabin", "wing-bay", "outside";
    pressure_pa (k, b) [Pa], above zero; slope_left_pa_s, slope_right_pa_s (k, b) [Pa/s] beside a knot;
    kinks_s [s]: times where a value or slope jumps; openness: how far an opening is left open from outside
    (1 free, 0 shut by a finger or a cap); truth on the same knots. Before the first knot and after the last
    the end values hold. Raises ValueError when the shapes do not fit.
    """

    knots_s: FloatArray
    boundary_names: tuple[str, ...]
    pressure_pa: FloatArray
    slope_left_pa_s: FloatArray
    slope_right_pa_s: FloatArray
    truth: Truth
    kinks_s: tuple[float, ...] = ()
    openness: Mapping[str, Schedule] = field(default_factory=dict)
    title: str = ""

    def __post_init__(self) -> None:
        shape = (len(self.knots_s), len(self.boundary_names))
        for name in ("pressure_pa", "slope_left_pa_s", "slope_right_pa_s"):
            if np.shape(getattr(self, name)) != shape:
                raise ValueError(f"surroundings: {name} is not shaped {shape}")
            if not np.isfinite(getattr(self, name)).all():
                raise ValueError(f"surroundings: {name} holds something that is not a finite number")
        if shape[0] < 2 or (np.diff(self.knots_s) < 0.0).any() or self.knots_s[-1] <= self.knots_s[0]:
            raise ValueError("surroundings: knots_s needs two knots or more and never falls")
        if (self.pressure_pa <= 0.0).any():
            raise ValueError("surroundings: a pressure is not above zero")
        if np.shape(self.truth.time_s) != (shape[0],):
            raise ValueError("surroundings: truth is not on the same knots")

    @classmethod
    def from_samples(
        cls,
        time_s: ArrayLike,
        boundary_names: Sequence[str],
        pressure_pa: ArrayLike,
        truth: Truth,
        kinks_s: Sequence[float] = (),
        openness: Mapping[str, Schedule] | None = None,
        title: str = "",
        curve: Curve = "smooth",
    ) -> Self:
        """Surroundings through samples: one spline for each smooth piece.

        time_s (k,) [s]; pressure_pa (k, b) [Pa]; a repeated time jumps; a kink is a sample time (to 1e-9 s).
        curve: "smooth" (cubic spline, not-a-knot: fourth order, may overshoot unmarked kinks), "monotone"
        (PCHIP: never overshoots), "straight" (every sample is a kink). Raises ValueError.
        """
        when = np.asarray(time_s, dtype=np.float64)
        pressure = np.asarray(pressure_pa, dtype=np.float64).reshape(len(when), len(boundary_names))
        repeats = when[1:][np.diff(when) == 0.0]
        inner = when[1:-1] if curve == "straight" else np.asarray(kinks_s, dtype=np.float64)
        kinks = np.unique(np.concatenate([inner, repeats]))
        left, right = np.zeros_like(pressure), np.zeros_like(pressure)
        for first, last in _pieces(when, kinks):
            slopes = _slopes(when[first : last + 1], pressure[first : last + 1], curve)
            right[first:last] = slopes[:-1]
            left[first + 1 : last + 1] = slopes[1:]
        left[0], right[-1] = right[0], left[-1]
        # Either side of a jump belongs to one piece only: give the other side the same slope.
        jumps = np.flatnonzero(np.diff(when) == 0.0)
        right[jumps], left[jumps + 1] = left[jumps], right[jumps + 1]
        return cls(
            knots_s=when,
            boundary_names=tuple(boundary_names),
            pressure_pa=pressure,
            slope_left_pa_s=left,
            slope_right_pa_s=right,
            truth=truth,
            kinks_s=tuple(kinks.tolist()),
            openness=dict(openness or {}),
            title=title,
        )

    @classmethod
    def steady(cls, start_s: float, end_s: float, pressure_pa: Mapping[str, float], title: str = "") -> Self:
        """The same pressures [Pa] at each boundary from start to end; a parked airplane's truth."""
        when = np.array([start_s, end_s], dtype=np.float64)
        pressure = np.tile(np.array(list(pressure_pa.values()), dtype=np.float64), (2, 1))
        return cls.from_samples(when, list(pressure_pa), pressure, Truth.steady(when), title=title)

    @property
    def start_s(self) -> float:
        """First knot [s]."""
        return float(self.knots_s[0])

    @property
    def end_s(self) -> float:
        """Last knot [s]."""
        return float(self.knots_s[-1])

    def column(self, boundary: str) -> int:
        """Place of a boundary among `boundary_names`; ValueError when there is none of that name."""
        if boundary not in self.boundary_names:
            raise ValueError(f"surroundings have no boundary {boundary!r}")
        return self.boundary_names.index(boundary)

    def at(self, times_s: ArrayLike) -> FloatArray:
        """Pressures [Pa] (len(times_s), b); held beyond the ends, the right value at a jump."""
        return self._taken(times_s, "right")[0]

    def at_left(self, times_s: ArrayLike) -> FloatArray:
        """As `at`, but what held just before each time; differs at a jump only."""
        return self._taken(times_s, "left")[0]

    def _taken(
        self, times_s: ArrayLike, side: Literal["left", "right"], sloping: bool = False
    ) -> tuple[FloatArray, FloatArray]:
        """Pressures and, where they are asked for, slopes (len(times_s), b)."""
        when = np.atleast_1d(np.asarray(times_s, dtype=np.float64))
        value = np.empty((len(when), len(self.boundary_names)))
        slope = np.empty_like(value) if sloping else value
        last = len(self.knots_s) - 1
        place = np.searchsorted(self.knots_s, when, side=side)
        before, after = np.clip(place - 1, 0, last), np.clip(place, 0, last)
        for begin in range(0, len(when), _AT_ONCE):
            some = slice(begin, begin + _AT_ONCE)
            a, b = before[some], after[some]
            span = (self.knots_s[b] - self.knots_s[a])[:, None]
            inside = span > 0.0
            width = np.where(inside, span, 1.0)
            x = np.where(inside, (when[some] - self.knots_s[a])[:, None] / width, 0.0)
            pa = self.pressure_pa[a]
            ma, mb = self.slope_right_pa_s[a] * span, self.slope_left_pa_s[b] * span
            rise = self.pressure_pa[b] - pa
            c2, c3 = 3.0 * rise - 2.0 * ma - mb, ma + mb - 2.0 * rise
            value[some] = pa + x * (ma + x * (c2 + x * c3))
            if sloping:
                slope[some] = np.where(inside, (ma + x * (2.0 * c2 + x * 3.0 * c3)) / width, 0.0)
        return value, slope

    def with_openness(self, opening: str, schedule: Schedule) -> "Surroundings":
        """The same with an opening shut or freed from outside; multiplies what is there."""
        there = self.openness.get(opening)
        return replace(
            self, openness={**self.openness, opening: there.times(schedule) if there else schedule}
        )

    def with_pressure_change(self, boundary: str, change_pa: ArrayLike | Schedule) -> "Surroundings":
        """The same with `change_pa` [Pa] added at one boundary: an array (k,) at the knots, or a Schedule."""
        column = self.column(boundary)
        if isinstance(change_pa, Schedule):
            return self._with_schedule(column, change_pa)
        change = np.broadcast_to(np.asarray(change_pa, dtype=np.float64), self.knots_s.shape)
        pressure = self.pressure_pa.copy()
        pressure[:, column] += change
        left, right = self.slope_left_pa_s.copy(), self.slope_right_pa_s.copy()
        for first, last in _pieces(self.knots_s, np.asarray(self.kinks_s)):
            slopes = _slopes(self.knots_s[first : last + 1], change[first : last + 1, None], "smooth")[:, 0]
            right[first:last, column] += slopes[:-1]
            left[first + 1 : last + 1, column] += slopes[1:]
        return replace(self, pressure_pa=pressure, slope_left_pa_s=left, slope_right_pa_s=right)

    def _with_schedule(self, column: int, change: Schedule) -> "Surroundings":
        finer = self.with_knots(np.array([t for t in change.knots if self.start_s <= t <= self.end_s]))
        pressure = finer.pressure_pa.copy()
        left, right = finer.slope_left_pa_s.copy(), finer.slope_right_pa_s.copy()
        knots = finer.knots_s
        second = np.concatenate([[False], np.diff(knots) == 0.0])  # right half of a repeated knot
        first = np.concatenate([np.diff(knots) == 0.0, [False]])
        at, at_left = change.at(knots), change.at_left(knots)
        pressure[:, column] += np.where(first & ~second, at_left, at)
        span = np.diff(knots)
        rise = change.at_left(knots[1:]) - change.at(knots[:-1])
        slope = np.where(span > 0.0, rise / np.where(span > 0.0, span, 1.0), 0.0)
        right[:-1, column] += slope
        left[1:, column] += slope
        return replace(finer, pressure_pa=pressure, slope_left_pa_s=left, slope_right_pa_s=right)

    def with_knots(self, times: FloatArray) -> "Surroundings":
        """The same curve with each of these times [s] a doubled knot and a kink: somewhere to put a jump."""
        if not len(times):
            return self
        new: list[float] = []
        for t in np.unique(times):
            new += [float(t)] * max(0, 2 - int(np.sum(self.knots_s == t)))
        knots = np.sort(np.concatenate([self.knots_s, new]))
        second = np.concatenate([[False], np.diff(knots) == 0.0])
        first = np.concatenate([np.diff(knots) == 0.0, [False]]) & ~second
        right_p, right_m = self._taken(knots, "right", sloping=True)
        left_p, left_m = self._taken(knots, "left", sloping=True)
        truth_right, truth_left = self.truth.at(knots), self.truth.at_left(knots)
        mixed = {
            name: np.where(first, getattr(truth_left, name), getattr(truth_right, name))
            for name in Truth.__slots__
            if name not in ("time_s", "phases")
        }
        return replace(
            self,
            knots_s=knots,
            pressure_pa=np.where(first[:, None], left_p, right_p),
            slope_left_pa_s=left_m,
            slope_right_pa_s=right_m,
            truth=Truth(time_s=knots, phases=self.truth.phases, **mixed),
            kinks_s=tuple(sorted({*self.kinks_s, *times.tolist()})),
        )


def _pieces(when: FloatArray, kinks: FloatArray) -> list[tuple[int, int]]:
    """First and last sample of every smooth piece; ValueError for a kink that is not a sample time."""
    cuts = {0, len(when) - 1}
    for kink in kinks:
        near = np.flatnonzero(np.abs(when - kink) <= 1e-9)
        if not len(near):
            raise ValueError(f"surroundings: the kink at {kink:g} s is not one of the sample times")
        cuts.update(near.tolist())
    ends = sorted(cuts)
    return [(a, b) for a, b in pairwise(ends) if when[b] > when[a]]


def _slopes(when: FloatArray, value: FloatArray, curve: Curve) -> FloatArray:
    """Slopes (k, b) at the samples of one smooth piece."""
    if len(when) == 2 or curve == "straight":
        slope = (value[-1] - value[0]) / (when[-1] - when[0])
        return np.tile(slope, (len(when), 1))
    from scipy.interpolate import CubicSpline, PchipInterpolator

    spline = PchipInterpolator(when, value) if curve == "monotone" else CubicSpline(when, value)
    found: FloatArray = spline(when, 1)
    return found
