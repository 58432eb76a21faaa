"""What is held at one opening on the ground: what it was, is, and is becoming. On the bench only.

Never blow into or pull on a live system. System tests belong to appropriately rated people with the
manufacturer's manual and the local rules.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from ramstill.bench.programme import SHUT_S, SWELL_S
from ramstill.pneumatics import Schedule

How = Literal["blow", "pull", "finger", "free"]


@dataclass(frozen=True, slots=True)
class Press:
    """An opening (or a word for several: "static-ports") taken in hand from now on.

    how: "blow", "pull", "finger" (covered), "free" (let go); strength_pa: how hard it is blown or pulled
    [Pa].
    """

    opening: str
    how: How
    strength_pa: float = 0.0


@dataclass(frozen=True, slots=True)
class Blown:
    """Pressure over the air around [Pa], straight between points (time [s], pressure), from nothing at
    `begin_s`; released: back to nothing within `SWELL_S` after the last of them, else held.
    """

    begin_s: float
    points: tuple[tuple[float, float], ...]
    released: bool = False

    @property
    def end_s(self) -> float:
        """When there is nothing more [s]; infinite while it is held."""
        return self.points[-1][0] + SWELL_S if self.released else np.inf

    def at(self, time_s: float) -> float:
        """Pressure at a time [Pa]."""
        corners = [(self.begin_s, 0.0), *self.points]
        if self.released:
            corners.append((self.points[-1][0] + SWELL_S, 0.0))
        return float(np.interp(time_s, [t for t, _ in corners], [p for _, p in corners]))

    def towards(self, now_s: float, pressure_pa: float) -> Blown:
        """Another pressure from now on, reached within `SWELL_S`."""
        before = self._until(now_s)
        return Blown(self.begin_s, (*before, (now_s + SWELL_S, pressure_pa)))

    def let_go(self, now_s: float) -> Blown:
        """Nothing from now on, once it has died away."""
        return Blown(self.begin_s, self._until(now_s), True)

    def _until(self, now_s: float) -> tuple[tuple[float, float], ...]:
        before = tuple(point for point in self.points if point[0] < now_s)
        return (*before, (now_s, self.at(now_s))) if now_s > self.begin_s else before


@dataclass(frozen=True, slots=True)
class Covered:
    """A finger over an opening: shut within `SHUT_S` of `begin_s`, free again at `end_s`, infinite while it
    stays.
    """

    begin_s: float
    end_s: float = np.inf

    def let_go(self, now_s: float) -> Covered:
        """Lifted from now on, though not before the opening was shut."""
        return Covered(self.begin_s, min(self.end_s, max(now_s, self.begin_s + SHUT_S) + SHUT_S))

    def schedule(self) -> Schedule:
        """How far it leaves the opening open."""
        begin, end = self.begin_s, self.end_s
        if end == np.inf:
            return Schedule((begin, begin + SHUT_S), (1.0, 0.0))
        return Schedule((begin, begin + SHUT_S, end - SHUT_S, end), (1.0, 0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class Hand:
    """Everything that was and is done at one opening, one thing after another."""

    done: tuple[Blown | Covered, ...] = ()

    def press(self, now_s: float, how: How, pressure_pa: float) -> Hand:
        """Something else from now on [s]: what is there is let go first, and what comes waits for it."""
        last = self.done[-1] if self.done else None
        if how in ("blow", "pull"):
            if isinstance(last, Blown) and last.end_s > now_s:
                return self._with_last(last.towards(now_s, pressure_pa))
            freed = self.press(now_s, "free", 0.0)
            begin = max(now_s, freed.busy_until_s)
            return Hand((*freed.done, Blown(begin, ((begin + SWELL_S, pressure_pa),))))
        if how == "finger" and isinstance(last, Covered) and last.end_s == np.inf:
            return self
        freed = self._let_go(now_s)
        if how == "free":
            return freed
        return Hand((*freed.done, Covered(max(now_s, freed.busy_until_s))))

    def _let_go(self, now_s: float) -> Hand:
        last = self.done[-1] if self.done else None
        if last is None or last.end_s < np.inf:
            return self
        if last.begin_s >= now_s and isinstance(last, Blown):
            return Hand(self.done[:-1])  # nothing has come of it yet
        return self._with_last(last.let_go(now_s))

    def _with_last(self, last: Blown | Covered) -> Hand:
        return replace(self, done=(*self.done[:-1], last))

    @property
    def busy_until_s(self) -> float:
        """When the last thing is over [s]; infinite while it is held."""
        return self.done[-1].end_s if self.done else 0.0

    def at(self, time_s: float) -> float:
        """Pressure over the air around at a time [Pa]."""
        last = self._blown(time_s)
        return 0.0 if last is None else last.at(time_s)

    def _blown(self, time_s: float) -> Blown | None:
        begun = (one for one in reversed(self.done) if isinstance(one, Blown) and one.begin_s <= time_s)
        return next(begun, None)

    def openness(self) -> Schedule | None:
        """How far fingers leave the opening open over time, None where none ever was on it."""
        found: Schedule | None = None
        for one in self.done:
            if isinstance(one, Covered):
                found = one.schedule() if found is None else found.times(one.schedule())
        return found

    def held(self, time_s: float) -> How:
        """What is being done at a time."""
        last = self.done[-1] if self.done else None
        if last is None or last.end_s <= time_s:
            return "free"
        if isinstance(last, Covered):
            return "finger"
        return "free" if last.released else ("pull" if last.points[-1][1] < 0.0 else "blow")
