"""The pressures outside each opening over time, and what is true meanwhile."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import isfinite
from typing import Literal, Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.truth import Truth

FloatArray = NDArray[np.float64]
Curve = Literal["smooth", "monotone", "straight"]


@dataclass(frozen=True, slots=True)
class Surroundings:
    """Outside pressure at each boundary: cubic Hermite between knots; a repeated knot time is a jump.

    knots_s (k,) [s], never falling; boundary_names (b): every opening's name, "cabin", "wing-bay", "outside";
    pressure_pa (k, b) [Pa], above zero; slope_left_pa_s, slope_right_pa_s (k, b) [Pa/s] beside a knot;
    kinks_s [s]: times where a value or slope jumps; openness: how far an opening is left open from outside
    (1 free, 0 shut by a finger or a cap); truth on the same knots. Before the first knot and after the last
    the end values hold. walls_k: how cold lines outside the cabin are [K], None for as cold as it is outside
    on average. Raises ValueError when the shapes do not fit.
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
    walls_k: float | None = None

    def __post_init__(self) -> None:
        shape = (len(self.knots_s), len(self.boundary_names))
        for name in ("pressure_pa", "slope_left_pa_s", "slope_right_pa_s"):
            if np.shape(getattr(self, name)) != shape:
                raise ValueError(f"surroundings: {name} is not shaped {shape}")
            if not isfinite(float(np.sum(getattr(self, name)))):  # what is not finite makes the sum so
                raise ValueError(f"surroundings: {name} holds something that is not a finite number")
        if shape[0] < 2 or (np.diff(self.knots_s) < 0.0).any() or self.knots_s[-1] <= self.knots_s[0]:
            raise ValueError("surroundings: knots_s needs two knots or more and never falls")
        if np.min(self.pressure_pa, initial=np.inf) <= 0.0:
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
            _slopes(when, pressure, first, last, curve, left, right)
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

    def slope_at_left(self, times_s: ArrayLike) -> FloatArray:
        """Slopes [Pa/s] (len(times_s), b) just before each time; none beyond the ends."""
        return self._taken(times_s, "left", sloping=True)[1]

    def _taken(
        self, times_s: ArrayLike, side: Literal["left", "right"], sloping: bool = False
    ) -> tuple[FloatArray, FloatArray]:
        """Pressures and, where they are asked for, slopes (len(times_s), b)."""
        from ramstill.pneumatics.curves import cubic_at, plain

        when = plain(np.atleast_1d(times_s))
        value = np.empty((len(when), len(self.boundary_names)))
        slope = np.empty_like(value) if sloping else np.empty((0, 0))
        left, right = plain(self.slope_left_pa_s), plain(self.slope_right_pa_s)
        knots, pressure = plain(self.knots_s), plain(self.pressure_pa)
        cubic_at(knots, pressure, left, right, when, side == "left", value, slope)
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
        one = change[:, None].copy()
        more_left, more_right = np.zeros_like(one), np.zeros_like(one)
        for first, last in _pieces(self.knots_s, np.asarray(self.kinks_s)):
            _slopes(self.knots_s, one, first, last, "smooth", more_left, more_right)
        left[:, column] += more_left[:, 0]
        right[:, column] += more_right[:, 0]
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
        wanted = np.unique(times)
        there = np.searchsorted(self.knots_s, wanted, "right") - np.searchsorted(self.knots_s, wanted, "left")
        new = np.repeat(wanted, np.maximum(0, 2 - there))
        order = np.argsort(np.concatenate([self.knots_s, new]), kind="stable")
        pressure, right = self._taken(new, "right", sloping=True)
        left = self._taken(new, "left", sloping=True)[1]

        def among(old: FloatArray, added: FloatArray) -> FloatArray:
            return np.concatenate([old, added])[order]

        return replace(
            self,
            knots_s=among(self.knots_s, new),
            pressure_pa=among(self.pressure_pa, pressure),
            slope_left_pa_s=among(self.slope_left_pa_s, left),
            slope_right_pa_s=among(self.slope_right_pa_s, right),
            truth=self.truth.with_knots(new),
            kinks_s=tuple(sorted({*self.kinks_s, *times.tolist()})),
        )


def _pieces(when: FloatArray, kinks: FloatArray) -> list[tuple[int, int]]:
    """First and last sample of every smooth piece; ValueError for a kink that is not a sample time."""
    low, high = np.searchsorted(when, kinks - 1e-9, "left"), np.searchsorted(when, kinks + 1e-9, "right")
    if (low == high).any():
        lost = float(kinks[np.argmax(low == high)])
        raise ValueError(f"surroundings: the kink at {lost:g} s is not one of the sample times")
    cuts = {0, len(when) - 1}
    for first, end in zip(low.tolist(), high.tolist(), strict=True):
        cuts.update(range(first, end))
    return [(a, b) for a, b in pairwise(sorted(cuts)) if when[b] > when[a]]


def _slopes(
    when: FloatArray,
    value: FloatArray,
    first: int,
    last: int,
    curve: Curve,
    left: FloatArray,
    right: FloatArray,
) -> None:
    """Fill in the slopes (k, b) either side of the samples first to last, one smooth piece."""
    if last == first + 1 or curve == "straight":
        slope = (value[last] - value[first]) / (when[last] - when[first])
        right[first:last], left[first + 1 : last + 1] = slope, slope
    elif curve == "monotone":
        from scipy.interpolate import PchipInterpolator

        some = slice(first, last + 1)
        slopes = PchipInterpolator(when[some], value[some])(when[some], 1)
        right[first:last], left[first + 1 : last + 1] = slopes[:-1], slopes[1:]
    else:
        from ramstill.pneumatics.curves import plain, spline_slopes

        spline_slopes(plain(when), plain(value), first, last, left, right)
