"""Values that change over time in straight pieces: how far something is open, what is added to a pressure."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable
from dataclasses import dataclass
from math import isfinite
from typing import Self, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

# A product of two straight pieces is curved: it is followed with this many straight ones.
# Two factors that both run from 0 to 1 are then within 1/1024 of their product.
_PIECES_OF_A_PRODUCT = 16


@dataclass(frozen=True, slots=True)
class Schedule:
    """Piecewise linear in time, held at the ends. A repeated time is a jump: the right value holds from then.

    times_s: [s], never falling; values: same length, any unit, finite.
    Raises ValueError when the two do not fit together.
    """

    times_s: tuple[float, ...]
    values: tuple[float, ...]

    def __post_init__(self) -> None:
        if not self.times_s or len(self.times_s) != len(self.values):
            raise ValueError("a schedule needs as many values as times, and at least one")
        if not all(map(isfinite, self.times_s)) or not all(map(isfinite, self.values)):
            raise ValueError("a schedule's times and values are finite numbers")
        if any(b < a for a, b in zip(self.times_s, self.times_s[1:], strict=False)):
            raise ValueError("a schedule's times never fall")

    @classmethod
    def constant(cls, value: float) -> Self:
        """The same value for ever."""
        return cls((0.0,), (float(value),))

    @classmethod
    def step(cls, at_s: float, before: float, after: float) -> Self:
        """`before` until `at_s`, `after` from then on."""
        return cls((float(at_s), float(at_s)), (float(before), float(after)))

    @property
    def knots(self) -> tuple[float, ...]:
        """Times at which the value or its slope may jump [s], each once, rising."""
        if len(set(self.values)) == 1:
            return ()
        return tuple(sorted(set(self.times_s)))

    @overload
    def at(self, times_s: float) -> float: ...
    @overload
    def at(self, times_s: ArrayLike) -> FloatArray: ...
    def at(self, times_s: ArrayLike) -> float | FloatArray:
        """Value at each time, the right one at a jump; shaped as `times_s`."""
        if isinstance(times_s, float | int):
            return self._at_one(float(times_s), bisect_right(self.times_s, times_s))
        when = np.asarray(times_s, dtype=np.float64)
        found = self._from(when, "right")
        return float(found) if found.ndim == 0 else found

    def at_left(self, times_s: ArrayLike) -> FloatArray:
        """Value just before each time; differs from `at` at a jump only."""
        if isinstance(times_s, float | int):
            return np.asarray(self._at_one(float(times_s), bisect_left(self.times_s, times_s)))
        return self._from(np.asarray(times_s, dtype=np.float64), "left")

    def _at_one(self, when: float, place: int) -> float:
        """As `_from` for one time, `place` being the knot beyond it."""
        if place == 0:
            return float(self.values[0])
        if place == len(self.times_s):
            return float(self.values[-1])
        before, after = self.times_s[place - 1 : place + 1]
        first, second = self.values[place - 1 : place + 1]
        return first + (when - before) / (after - before) * (second - first)

    def _from(self, when: FloatArray, side: str) -> FloatArray:
        times, values = np.asarray(self.times_s), np.asarray(self.values)
        place = np.searchsorted(times, when, side="right" if side == "right" else "left")
        left, right = np.clip(place - 1, 0, len(times) - 1), np.clip(place, 0, len(times) - 1)
        span = times[right] - times[left]
        share = np.where(span > 0.0, (when - times[left]) / np.where(span > 0.0, span, 1.0), 0.0)
        between: FloatArray = values[left] + share * (values[right] - values[left])
        # Held at the ends, and exactly: no rounding on a flat piece.
        return np.where(place == 0, values[0], np.where(place == len(times), values[-1], between))

    def times(self, other: "Schedule") -> "Schedule":
        """Product with another schedule. Where both slope the curve is cut into 16 straight pieces."""
        return self._joined(other, lambda a, b: a * b, curved=True)

    def plus(self, other: "Schedule") -> "Schedule":
        """Sum with another schedule (exact)."""
        return self._joined(other, lambda a, b: a + b, curved=False)

    def _joined(
        self, other: "Schedule", how: Callable[[FloatArray, FloatArray], FloatArray], curved: bool
    ) -> "Schedule":
        knots = sorted({*self.times_s, *other.times_s})
        times: list[float] = []
        values: list[float] = []
        for here, following in zip(knots, [*knots[1:], None], strict=True):
            before = float(how(self.at_left(here), other.at_left(here)))
            after = float(how(np.asarray(self.at(here)), np.asarray(other.at(here))))
            times.append(here)
            values.append(before)
            if after != before:
                times.append(here)
                values.append(after)
            both_slope = following is not None and all(
                one.at(here) != float(one.at_left(following)) for one in (self, other)
            )
            if curved and both_slope and following is not None:
                inner = np.linspace(here, following, _PIECES_OF_A_PRODUCT + 1)[1:-1]
                times.extend(inner.tolist())
                values.extend(how(self._from(inner, "right"), other._from(inner, "right")).tolist())
        return Schedule(tuple(times), tuple(values))
