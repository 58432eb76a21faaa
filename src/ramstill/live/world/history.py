"""Where a world has been: how everything stood every so often, what was done, and the ways it branched."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, NamedTuple

from ramstill.live.world.moment import TICKS_A_SECOND, Array
from ramstill.live.world.placed import Plan

if TYPE_CHECKING:
    from ramstill.live.world.craft import CraftState

# Up to an age, one in so many seconds is kept; each spacing is a multiple of the one before. A tick of one
# craft takes some 30 microseconds: with few of them any tick is reached within a tenth of a second.
_FEW = ((120, 1), (600, 5), (3600, 30), (None, 120))
_MANY = ((20, 1), (120, 5), (600, 20), (3600, 60), (None, 300))
MANY = 16  # crafts
MOST_BRANCHES = 40
_LEFT_BEHIND = 60 * TICKS_A_SECOND  # one in so many is kept of a branch that was left
TRACE_EVERY = TICKS_A_SECOND // 2  # ticks from row to row of what a strip chart shows
_TRACE_LONG, _TRACE_SPARSE = 3600 * TICKS_A_SECOND, 10 * TICKS_A_SECOND


class Snapshot(NamedTuple):
    """How everything stood on arrival at a tick, before what was done there.

    crafts: those that are not as the one without faults, `sound`; stopped: those that could not go on, and
    why; true: see `Truths.state`.
    """

    tick: int
    flight: Any
    sound: CraftState
    crafts: dict[str, CraftState]
    stopped: dict[str, str]
    true: tuple[float, float]

    def with_craft(self, name: str, state: CraftState, stopped: str | None) -> Snapshot:
        """The same with another state of one craft, and why it had stopped by then, None where it had not."""
        why = {craft: words for craft, words in self.stopped.items() if craft != name}
        if stopped is not None:
            why[name] = stopped
        return self._replace(crafts={**self.crafts, name: state}, stopped=why)


class Traced(NamedTuple):
    """What the bench's panel showed and what was true at a tick, SI, in the order of the pointers."""

    shown: Array
    true: Array


@dataclass(slots=True)
class Branch:
    """One way that things went.

    id; parent: the branch it left, at tick `since`; end: how far it went; deeds: what was done about the
    flight, (tick, what), in order; plans: for each craft what is placed on it from which tick on.
    """

    id: str
    parent: str | None = None
    since: int = 0
    end: int = 0
    deeds: list[tuple[int, Any]] = field(default_factory=list)
    plans: dict[str, Plan] = field(default_factory=dict)
    snapshots: list[Snapshot] = field(default_factory=list)
    trace: dict[int, Traced] = field(default_factory=dict)

    def before(self, tick: int) -> Snapshot:
        """The last snapshot at a tick or before it."""
        return self.snapshots[bisect_right(self.snapshots, tick, key=lambda one: one.tick) - 1]

    def done_at(self, tick: int) -> list[Any]:
        """What was done about the flight at a tick."""
        return [deed for _, deed in self._done(tick, tick + 1)]

    def done_until(self, tick: int) -> list[tuple[int, Any]]:
        """What was done about the flight up to a tick, and at it."""
        return self._done(0, tick + 1)

    def _done(self, since: int, before: int) -> list[tuple[int, Any]]:
        first = bisect_left(self.deeds, since, key=lambda one: one[0])
        return self.deeds[first : bisect_left(self.deeds, before, first, key=lambda one: one[0])]

    def has(self, tick: int) -> bool:
        """Whether there is a snapshot of that very tick."""
        return bool(self.snapshots) and self.before(tick).tick == tick

    def keep(self, snapshot: Snapshot, crafts: int) -> None:
        """One snapshot more, in its place; older ones become fewer. crafts: how many there are."""
        place = bisect_right(self.snapshots, snapshot.tick, key=lambda one: one.tick)
        self.snapshots.insert(place, snapshot)
        ladder, now = _MANY if crafts > MANY else _FEW, self.end
        self.snapshots = [one for one in self.snapshots if _kept(one.tick, now - one.tick, ladder)]

    def note(self, tick: int, traced: Traced) -> None:
        """A row for the strip charts; beyond an hour they become fewer."""
        self.trace[tick] = traced
        old = tick - _TRACE_LONG
        if old > 0 and old % _TRACE_SPARSE:
            self.trace.pop(old, None)

    def forked(self, name: str, tick: int) -> Branch:
        """A branch that is the same up to a tick."""
        return Branch(
            name,
            self.id,
            tick,
            tick,
            self.done_until(tick),
            {craft: tuple(e for e in plan if e[0] <= tick) for craft, plan in self.plans.items()},
            [one for one in self.snapshots if one.tick <= tick],
            {at: row for at, row in self.trace.items() if at <= tick},
        )

    def leave(self, tick: int) -> None:
        """Keep fewer of the snapshots after a tick: another branch goes on from there."""
        last = self.snapshots[-1].tick
        self.snapshots = [
            one
            for one in self.snapshots
            if one.tick <= tick or one.tick == last or one.tick % _LEFT_BEHIND == 0
        ]

    def forget(self, craft: str) -> None:
        """As if there had never been a craft of that name."""
        self.plans.pop(craft, None)
        self.snapshots = [one._replace(crafts=_without(one.crafts, craft)) for one in self.snapshots]

    def cut(self, tick: int) -> None:
        """Forget what was worked out after a tick, not what was done."""
        self.snapshots = [one for one in self.snapshots if one.tick <= tick]


def _without(crafts: dict[str, CraftState], name: str) -> dict[str, CraftState]:
    return {craft: state for craft, state in crafts.items() if craft != name} if name in crafts else crafts


def _kept(tick: int, age: int, ladder: tuple[tuple[int | None, int], ...]) -> bool:
    for until, spacing in ladder:
        if until is None or age <= until * TICKS_A_SECOND:
            return tick % (spacing * TICKS_A_SECOND) == 0
    return True
