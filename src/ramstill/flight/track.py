"""Smooth courses of a quantity over time: pieces of smoothstep, and what they add up to.

A rate of climb or an acceleration is a chain of pieces that each go from one value to another along
3u^2 - 2u^3 (u: share of the piece gone by), so that it never jumps and its slope never jumps; altitude and
speed are its exact integral and arrive where they were sent.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Piece = tuple[float, float, float]  # length [s], value at its start, value at its end


@dataclass(slots=True)
class Track:
    """A course being laid: `value` at time 0, then one piece after another; what is not laid is held."""

    value: float
    start_s: list[float] = field(default_factory=list)
    length_s: list[float] = field(default_factory=list)
    before: list[float] = field(default_factory=list)
    after: list[float] = field(default_factory=list)

    @property
    def end_s(self) -> float:
        """Where the laid course ends [s]."""
        return self.start_s[-1] + self.length_s[-1] if self.start_s else 0.0

    @property
    def last(self) -> float:
        """Value at the end of the laid course."""
        return self.after[-1] if self.after else self.value

    def lay(self, at_s: float, *pieces: Piece) -> float:
        """Lay pieces from `at_s` on, holding the last value until then; return the time they end [s]."""
        if at_s > self.end_s:
            self._add(at_s - self.end_s, self.last, self.last)
        for length, before, after in pieces:
            if length > 0.0:
                self._add(length, before, after)
        return self.end_s

    def blend(self, at_s: float, to: float, over_s: float) -> float:
        """Go from the last value to `to` within `over_s` [s]; return the time it gets there [s]."""
        if to == self.last:
            return at_s
        return self.lay(at_s, (over_s, self.last, to))

    def _add(self, length: float, before: float, after: float) -> None:
        self.start_s.append(self.end_s)
        self.length_s.append(length)
        self.before.append(before)
        self.after.append(after)

    def at(self, time_s: Array) -> Array:
        """Value at each time."""
        return self._both(time_s)[0]

    def integral(self, time_s: Array) -> Array:
        """Integral of the value from time 0 to each time."""
        return self._both(time_s)[1]

    def _both(self, time_s: Array) -> tuple[Array, Array]:
        if not self.start_s:
            return np.full(time_s.shape, self.value), self.value * time_s
        start, length = np.array(self.start_s), np.array(self.length_s)
        before, rise = np.array(self.before), np.array(self.after) - np.array(self.before)
        gone = np.concatenate([[0.0], np.cumsum(length * (before + 0.5 * rise))])
        i = np.clip(np.searchsorted(start, time_s, side="right") - 1, 0, len(start) - 1)
        x = np.clip(time_s - start[i], 0.0, length[i])
        u = x / length[i]
        beyond = np.maximum(time_s - start[i] - length[i], 0.0)
        value = before[i] + rise[i] * u * u * (3.0 - 2.0 * u)
        total = gone[i] + before[i] * x + rise[i] * length[i] * u**3 * (1.0 - 0.5 * u) + beyond * self.last
        return value, total


def run_to(distance: float, now: float, rate: float, end: float, onset_s: float) -> list[Piece]:
    """Return the pieces of a rate that cover `distance` exactly.

    From the rate `now` to `rate` within `onset_s` [s], held, and on to `end`; `now` and `end` point the way
    of `distance` or are zero, `rate` is a size. Where the way is too short for the full rate a smaller one is
    used, and where `now` and `end` alone cover more, the one is led straight to the other.
    """
    if distance == 0.0:
        return []
    sign = np.copysign(1.0, distance)
    far, first, last, full = abs(distance), abs(now), abs(end), rate
    turning = 0.5 * onset_s * (first + 2.0 * full + last)
    if far < turning:
        full = (2.0 * far / onset_s - first - last) / 2.0
        if full <= 0.0 or (first + last > 0.0 and full < min(first, last)):
            return [(2.0 * far / (first + last), now, end)]
        turning = far
    hold = (far - turning) / full
    return [
        (onset_s, now, sign * full),
        (max(hold, 0.0), sign * full, sign * full),
        (onset_s, sign * full, end),
    ]
