"""What moves the air outside, tick by tick: what any flight has, and the flights known beforehand."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING, Any, Literal, Protocol

import numpy as np

from ramstill.live.world.moment import (
    TICKS_A_SECOND,
    Array,
    Bend,
    MetAll,
    Moment,
    time_of,
)
from ramstill.pneumatics.truth import quantities

if TYPE_CHECKING:
    from ramstill.faults import Fault
    from ramstill.pneumatics import Surroundings

Kind = Literal["levers", "ground", "given", "pilot"]
Deeds = Sequence[tuple[int, Any]]
_AHEAD = 400  # ticks worked out at once: which ones does not change a bit of any


class Flight(Protocol):
    """One flight, while it goes on.

    kind: which; start_s, end_s [s], the end infinite where it is open; walls_k: how cold lines outside the
    cabin are [K]; now: where it stands.
    """

    kind: Kind
    boundary_names: tuple[str, ...]
    start_s: float
    end_s: float
    walls_k: float
    now: Moment

    def step(self) -> Moment:
        """One tick on. ValueError beyond the end."""

    def act(self, deed: Any) -> None:
        """A lever moved, or an opening pressed, from now on. InputError for what there is not."""

    def answer(self, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
        """What becomes of it with these faults; returns them with what its pilot does about them."""

    def state(self) -> object:
        """How it stands, to come back to; nothing in it changes any more."""

    def restore(self, state: Any) -> None:
        """Stand as it stood."""

    def replay(self, deeds: Deeds) -> Callable[[], Surroundings]:
        """What works out the flight so far, or as far as it is known: also later, or in another thread.

        deeds: what was done up to now, (tick, what).
        """


class Given:
    """A flight that is known beforehand: planned, recorded, or a bench programme."""

    kind: Kind = "given"

    def __init__(self, around: Surroundings) -> None:
        from ramstill.run.preparing import mean_warmth

        self.boundary_names = around.boundary_names
        self.start_s, self.end_s = around.start_s, around.end_s
        self.walls_k = mean_warmth(around.truth) if around.walls_k is None else around.walls_k
        self._take(around)
        self.tick = 0
        self.now = self._moment()

    def _take(self, around: Surroundings) -> None:
        self._around, self._met = around, MetAll(around.truth)
        self._straight = _straight_at_ticks(around)
        self._kinks = () if self._straight else tuple(sorted({*around.kinks_s}))
        self._first, self._rows = -1, _Rows(around, np.empty(0), sloping=False)

    def step(self) -> Moment:
        """One tick on. ValueError beyond the end."""
        if time_of(self.tick + 1, self.start_s) > self.end_s + 1e-9:
            raise ValueError(f"the flight ends at {self.end_s:g} s")
        self.tick += 1
        self.now = self._moment()
        return self.now

    def _moment(self) -> Moment:
        tick, start, around = self.tick, self.start_s, self._around
        if not self._first <= tick < self._first + _AHEAD or self._first < 0:
            self._first = tick - tick % _AHEAD
            times = np.array([time_of(self._first + i, start) for i in range(_AHEAD)])
            self._rows = _Rows(around, np.minimum(times, self.end_s), not self._straight)
        now, row = time_of(tick, start), tick - self._first
        slope = None if self._straight else self._rows.slope[row]
        bends: tuple[Bend, ...] = ()
        if tick == 0:
            slope = around.slope_right_pa_s[0]
        elif self._kinks:
            bends = self._bends(time_of(tick - 1, start), now)
        truth = dict(zip(quantities(), self._rows.truth[row].tolist(), strict=True))
        return Moment(
            now,
            time_of(tick + 1, start),
            self._rows.pressure[row],
            truth,
            self._phase(now),
            self._met,
            slope,
            bends,
            around.openness,
        )

    def _phase(self, now: float) -> str:
        return next((name for at, name in reversed(self._around.truth.phases) if at <= now + 1e-9), "")

    def _bends(self, since: float, now: float) -> tuple[Bend, ...]:
        """The jumps and turns after one time and up to another."""
        found = []
        for kink in self._kinks:
            if since < kink <= now:
                before, left = self._around.at_left([kink])[0], self._around.slope_at_left([kink])[0]
                last = int(np.searchsorted(self._around.knots_s, kink + 1e-9, "right")) - 1
                right = self._around.slope_right_pa_s[last]
                found.append(Bend(kink, before, left, self._around.at([kink])[0], right))
        return tuple(found)

    def act(self, deed: Any) -> None:
        """Nothing can be done about a flight that is given."""
        from ramstill.errors import InputError

        raise InputError("live bench", "levers", self.kind, "a flight by levers, or the bench on the ground")

    def answer(self, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
        """Nobody does anything about them."""
        return faults

    def state(self) -> object:
        """The tick, and which flight."""
        return self.tick, self._around

    def restore(self, state: Any) -> None:
        """Stand as it stood."""
        self.tick, around = state
        if around is not self._around:
            self._take(around)
        self.now = self._moment()

    def replay(self, deeds: Deeds) -> Callable[[], Surroundings]:
        """All of it."""
        around = self._around
        return lambda: around


class _Rows:
    """Some ticks of surroundings worked out: pressure, slope on arrival (k, b), truth (k, q)."""

    def __init__(self, around: Surroundings, times: Array, sloping: bool) -> None:
        self.pressure = around.at(times)
        self.slope = around.slope_at_left(times) if sloping else np.empty((0, 0))
        truth = around.truth.at(times)
        self.truth = np.stack([getattr(truth, name) for name in quantities()], axis=1)


def _straight_at_ticks(around: Surroundings) -> bool:
    """Whether straight lines from tick to tick are the very same air outside."""
    ticks = (around.knots_s - around.start_s) * TICKS_A_SECOND
    span = np.diff(around.knots_s)
    if (span <= 0.0).any() or np.abs(ticks - np.round(ticks))[:-1].max() > 1e-6:
        return False
    slope = np.diff(around.pressure_pa, axis=0) / span[:, None]
    return bool(
        np.allclose(around.slope_right_pa_s[:-1], slope, rtol=0.0, atol=1e-9)
        and np.allclose(around.slope_left_pa_s[1:], slope, rtol=0.0, atol=1e-9)
    )
