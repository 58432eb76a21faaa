"""A flight and the crafts that feel it, and what is done to them: faults, levers, openings pressed."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ramstill.errors import InputError
from ramstill.faults import Fault, catalogue, check
from ramstill.faults.unfolding import ALTERNATE, HEAT_OFF, alternates
from ramstill.live.world.craft import Craft
from ramstill.live.world.going import BENCH, SOURCE, Going
from ramstill.live.world.moment import nearest_tick, time_of
from ramstill.live.world.placed import Placed, named, plan_at, rewritten, with_plan_from
from ramstill.live.world.saving import Origin, Saved

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.live.world.flights import Flight
    from ramstill.run import Account, Run


class World(Going):
    """One airplane, one flight, and the crafts that feel it; the first is the instructor's, `BENCH`.

    faults: of the bench's craft from the start; origin: what it began as, for saving it. Everything is
    deterministic: what is done at the same ticks gives the same bits. Ticks count from the flight's start,
    `TICKS_A_SECOND`; a fault laid on now begins at the next tick, and all onsets and ends are those of
    ticks. Raises InputError for what cannot be.
    """

    def __init__(
        self,
        airplane: Airplane,
        flight: Flight,
        faults: Iterable[Fault] = (),
        origin: Origin | None = None,
    ) -> None:
        super().__init__(airplane, flight)
        self.origin = origin or Origin(airplane.name)
        for fault in faults:
            self.lay(BENCH, fault, onset_s=fault.onset_s)

    def act(self, deed: Any) -> None:
        """Move the flight's levers, or press an opening, from now on: a `Levers` or a `Press`.

        InputError for what this flight does not have, or no lever goes to; nothing is done then.
        """
        before = self.flight.state()
        self.flight.act(deed)
        if self.at < self.branch.end:
            self.flight.restore(before)
            self._acting()
            self.flight.act(deed)
        self.branch.deeds.append((self.at, deed))

    def add(self, craft: str, like: str | None = None) -> None:
        """One craft more: without faults, or as another is and has been. InputError for a name there is."""
        if craft in self.crafts:
            raise InputError(SOURCE, "craft", craft, "a name that no craft has yet")
        model = self.sound if like is None else self._craft(like)
        new = Craft(self.airplane, self.healthy, self.flight.now)
        new.restore(model.state())
        self.crafts[craft] = new
        if like is None or not self.branch.plans.get(like):
            return
        self._acting()
        self.branch.plans[craft] = self.branch.plans[like]
        self.branch.snapshots = [
            one._replace(crafts={**one.crafts, craft: one.crafts[like]}) if like in one.crafts else one
            for one in self.branch.snapshots
        ]

    def remove(self, craft: str) -> None:
        """A craft less, and everything about it forgotten. The bench's stays: InputError."""
        if craft == BENCH:
            raise InputError(SOURCE, "craft", craft, "any other than the bench's")
        self._craft(craft)
        self.crafts.pop(craft)
        self.stopped.pop(craft, None)
        for branch in self.branches.values():
            branch.forget(craft)

    def lay(
        self, craft: str, fault: Fault, onset_s: float | None = None, at_altitude_m: float | None = None
    ) -> str:
        """Lay a fault on a craft; returns the id that it has from now on.

        onset_s: when it begins [s], None for now; where that lies behind, all is worked out again since then,
        and an onset before the start is an airplane that has had it. at_altitude_m: armed, it comes at the
        tick after that pressure altitude [m] is passed. Its own onset is of no account, its end is one after
        the onset asked for. InputError for a fault that does not fit.
        """
        self._craft(craft)
        check(fault, self.airplane, SOURCE)
        self._named += 1
        name = f"f{self._named}"
        if at_altitude_m is not None:
            if fault.end_s is not None:
                raise _end_before_onset(fault.end_s)
            later = replace(fault, onset_s=0.0)
            self._know(craft, Placed(name, later, at_altitude_m), self.at)
            return name
        onset = self._next_s if onset_s is None else self._on_tick(onset_s)
        self._know(craft, Placed(name, self._timed(fault, onset, fault.end_s)), self._known_from(onset))
        return name

    def lift(self, craft: str, fault: str) -> None:
        """A fault ends, at the next tick; one that has not begun is dropped."""
        there = self._placed(craft, fault)
        armed = there.at_altitude_m is not None and fault not in self._craft(craft).came
        if armed or there.fault.onset_s >= self._next_s:
            self.drop(craft, fault)
            return
        if there.fault.end_s is not None and there.fault.end_s <= self._next_s:
            return
        ended = Placed(fault, replace(there.fault, end_s=self._next_s))
        self._acting()
        plan = self.branch.plans[craft]
        placed = tuple(ended if one.id == fault else one for one in plan_at(plan, self.at))
        self._plan(craft, with_plan_from(plan, self.at, placed))

    def drop(self, craft: str, fault: str) -> None:
        """As if a fault had never been laid on: all since its onset is worked out again."""
        self._placed(craft, fault)
        self._acting()
        self._plan(craft, rewritten(self.branch.plans[craft], fault, 0, None))

    def move(self, craft: str, fault: str, **changes: Any) -> None:
        """As if a fault had been another one all along: all since then is worked out again.

        changes: of the fields of `Fault` ("onset_s", "end_s", "severity", "where", "size", "gradual_s").
        InputError for what does not fit.
        """
        there = self._placed(craft, fault)
        if (
            there.at_altitude_m is not None
            and "onset_s" not in changes
            and self._armed(craft, fault, changes)
        ):
            armed = Placed(
                fault, replace(there.fault, onset_s=0.0, end_s=None, **changes), there.at_altitude_m
            )
            check(armed.fault, self.airplane, SOURCE)
            since = next(at for at, placed in self.branch.plans[craft] if named(placed, fault) is not None)
            self._know(craft, armed, since)
            return
        onset = self._on_tick(changes.pop("onset_s", there.fault.onset_s))
        end = changes.pop("end_s", there.fault.end_s)
        new = self._timed(replace(there.fault, onset_s=onset, end_s=None, **changes), onset, end)
        check(new, self.airplane, SOURCE)
        self._know(craft, Placed(fault, new), self._known_from(onset))

    def _armed(self, craft: str, fault: str, changes: dict[str, Any]) -> bool:
        """Whether a fault goes on waiting for its altitude after a change; an end of None says nothing."""
        if changes.get("end_s") is None:
            changes.pop("end_s", None)
            return True
        if fault not in self._craft(craft).came:
            raise _end_before_onset(changes["end_s"])
        return False

    def alternate(self, craft: str, is_open: bool) -> None:
        """Open or shut the alternate static source of a craft. InputError where there is none."""
        self._by_hand(craft, ALTERNATE, is_open, alternates(self.airplane), "an airplane with one")

    def heat(self, craft: str, on: bool) -> None:
        """Switch pitot and static heat of a craft. InputError where there is none."""
        there = catalogue()[HEAT_OFF].places(self.airplane)
        self._by_hand(craft, HEAT_OFF, not on, tuple(there), "an airplane with heated openings")

    def _by_hand(self, craft: str, name: str, there: bool, places: tuple[str, ...], allowed: str) -> None:
        if not places:
            raise InputError(SOURCE, name, self.airplane.name, allowed)
        now = [one for one in self.placed(craft) if one.fault.name == name and self._lasts(one)]
        if not there:
            for one in now:
                self.lift(craft, one.id)
            return
        for place in places:
            if all(one.fault.where not in (place, None) for one in now):
                self.lay(craft, Fault(name, where=place))

    def _lasts(self, one: Placed) -> bool:
        return one.fault.end_s is None or one.fault.end_s > self._next_s

    # what it comes to

    def save(self, craft: str = BENCH, title: str = "", note: str = "") -> Saved:
        """A craft's session so far as a scenario, tables and text: see `telling.save`."""
        from ramstill.live.world import telling

        self._craft(craft)
        return telling.save(self, craft, title, note)

    def running(self, craft: str = BENCH) -> Callable[[], Run]:
        """What works out a craft's run so far, perhaps in another thread: see `telling.running`."""
        from ramstill.live.world import telling

        self._craft(craft)
        return telling.running(self, craft)

    def accounting(self, pointer: str, craft: str = BENCH) -> Callable[[], Account]:
        """What works out why a pointer reads what it reads now: see `telling.accounting`."""
        from ramstill.live.world import telling

        self._craft(craft)
        return telling.accounting(self, pointer, craft)

    # how what is done gets known

    @property
    def _next_s(self) -> float:
        return time_of(self.at + 1, self.flight.start_s)

    def _on_tick(self, time_s: float) -> float:
        return time_of(nearest_tick(time_s, self.flight.start_s), self.flight.start_s)

    def _timed(self, fault: Fault, onset_s: float, end_s: float | None) -> Fault:
        end = None if end_s is None else self._on_tick(end_s)
        return replace(fault, onset_s=onset_s, end_s=end)

    def _known_from(self, onset_s: float) -> int:
        """The tick from which on a fault is known that begins at a time [s]: before it, and not after now."""
        return max(min(nearest_tick(onset_s, self.flight.start_s) - 1, self.at), 0)

    def _placed(self, craft: str, fault: str) -> Placed:
        self._craft(craft)
        found = named(self.placed(craft), fault)
        if found is None:
            there = ", ".join(one.id for one in self.placed(craft)) or "nothing: it has no faults"
            raise InputError(SOURCE, "fault", fault, there)
        return found

    def _know(self, craft: str, placed: Placed, tick: int) -> None:
        self._acting()
        self._plan(craft, rewritten(self.branch.plans.get(craft, ()), placed.id, tick, placed))


def _end_before_onset(end_s: float) -> InputError:
    return InputError(SOURCE, "end_s", end_s, "an onset, or the altitude passed, before an end")
