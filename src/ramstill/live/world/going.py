"""How a world goes on from tick to tick, back again, and another way."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from ramstill.errors import InputError
from ramstill.instruments import pointers_of
from ramstill.live.world.craft import Craft
from ramstill.live.world.history import MOST_BRANCHES, TRACE_EVERY, Branch, Snapshot, Traced
from ramstill.live.world.moment import TICKS_A_SECOND, Moment, nearest_tick, time_of
from ramstill.live.world.placed import Placed, Plan, parting, plan_at
from ramstill.live.world.truths import Truths
from ramstill.pneumatics import compile_network

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.live.world.craft import CraftState
    from ramstill.live.world.flights import Flight

BENCH = "bench"  # the instructor's craft
SOURCE = "live bench"


class Going:
    """The part of a `World` that time is; what is done to it is the other."""

    def __init__(self, airplane: Airplane, flight: Flight) -> None:
        self.airplane, self.flight = airplane, flight
        self.pointers = pointers_of(airplane)
        self.healthy = compile_network(airplane, outside_temperature_k=flight.walls_k)
        self.at, self._named, self._branched = 0, 0, 1
        self._truths = Truths(self.pointers)
        self.sound = Craft(airplane, self.healthy, flight.now)
        self.crafts: dict[str, Craft] = {BENCH: Craft(airplane, self.healthy, flight.now)}
        self.stopped: dict[str, str] = {}  # crafts that could not go on, and why
        self._arrived: dict[str, CraftState] = {}  # how crafts stood before what was done at this tick
        self.branch = Branch("1")
        self.branches: dict[str, Branch] = {"1": self.branch}
        self.true = self._truths.at(flight.now)
        self._keep()

    # where it stands

    @property
    def now(self) -> Moment:
        """The flight at this tick."""
        return self.flight.now

    @property
    def time_s(self) -> float:
        """When it is [s]."""
        return time_of(self.at, self.flight.start_s)

    @property
    def over(self) -> bool:
        """Whether the flight has come to its end."""
        return time_of(self.at + 1, self.flight.start_s) > self.flight.end_s + 1e-9

    @property
    def bench(self) -> Craft:
        """The instructor's craft."""
        return self.crafts[BENCH]

    def placed(self, craft: str = BENCH) -> tuple[Placed, ...]:
        """The faults of a craft; one that was armed and has come has its onset."""
        one = self._craft(craft)
        return tuple(
            replace(p, fault=replace(p.fault, onset_s=one.came[p.id])) if p.id in one.came else p
            for p in one.placed
        )

    def done(self) -> list[tuple[int, Any]]:
        """What was done about the flight so far on this branch: (tick, what)."""
        return self.branch.done_until(self.at)

    def has_come(self, craft: str, placed: Placed) -> bool:
        """Whether a fault of a craft has a time, and is not waiting for an altitude."""
        return placed.at_altitude_m is None or placed.id in self._craft(craft).came

    def _craft(self, name: str) -> Craft:
        if name not in self.crafts:
            raise InputError(SOURCE, "craft", name, ", ".join(self.crafts))
        return self.crafts[name]

    # going on

    def tick(self, n: int = 1) -> int:
        """Go `n` ticks on, or to the end; returns how many it were."""
        done = 0
        while done < n and not self.over:
            self._tick()
            done += 1
        return done

    def _tick(self) -> None:
        moment = self.flight.step()
        self.at += 1
        self._arrived.clear()
        self.sound.step(moment)
        for name, craft in self.crafts.items():
            if name not in self.stopped:
                self._step(name, craft, moment)
        self.true = self._truths.at(moment)
        been = self.at <= self.branch.end
        self.branch.end = max(self.branch.end, self.at)
        if self.at % TRACE_EVERY == 0:
            self.branch.note(self.at, Traced(self.bench.shown, self.true))
        if self.at % TICKS_A_SECOND == 0 and not self.branch.has(self.at):
            self._keep()
        if been:
            self._do_again()

    def _step(self, name: str, craft: Craft, moment: Moment) -> None:
        came = craft.came
        try:
            craft.step(moment)
        except InputError as error:
            if name == BENCH:
                raise
            self.stopped[name] = str(error)  # and the others go on
            return
        if name == BENCH and craft.came is not came:
            self._answer()

    def _answer(self) -> None:
        """A pilot finds the bench's faults as they are now."""
        craft = self.bench
        craft.answer(self.flight.answer(craft.own()), self.flight.now)

    def _keep(self) -> None:
        apart = {name: craft.state() for name, craft in self.crafts.items() if self.branch.plans.get(name)}
        states = self.flight.state(), self.sound.state(), apart
        self.branch.keep(Snapshot(self.at, *states, dict(self.stopped), self._truths.state()), len(apart))

    def _do_again(self, only: str | None = None) -> None:
        """What was done at this tick about the flight, and to all crafts or to one."""
        for deed in self.branch.done_at(self.at):
            self.flight.act(deed)
        for name, plan in self.branch.plans.items():
            concerned = name in self.crafts and name not in self.stopped and only in (None, name)
            if concerned and any(tick == self.at for tick, _ in plan):
                self._put(name, plan_at(plan, self.at))

    def _put(self, name: str, placed: tuple[Placed, ...]) -> None:
        craft = self.crafts[name]
        self._arrived.setdefault(name, craft.state())
        if self.at == 0:  # what it has then it has had before
            craft.restore(Craft(self.airplane, self.healthy, self.flight.now, placed).state())
        else:
            craft.put(placed, self.flight.now)
        if name == BENCH:
            self._answer()

    # there and back

    def rewind(self, to_s: float) -> None:
        """Go to the tick nearest to a time [s] of this branch, before or after where it stands."""
        tick = nearest_tick(to_s, self.flight.start_s)
        self._go(min(max(tick, 0), self.branch.end))

    def _go(self, tick: int) -> None:
        snapshot = self.branch.before(tick)
        if not snapshot.tick <= self.at <= tick:
            self._restore(snapshot)
        self.tick(tick - self.at)

    def _restore(self, snapshot: Snapshot) -> None:
        self.at = snapshot.tick
        self._arrived.clear()
        self.stopped = dict(snapshot.stopped)
        self.flight.restore(snapshot.flight)
        self.sound.restore(snapshot.sound)
        for name, craft in self.crafts.items():
            craft.restore(snapshot.crafts.get(name, snapshot.sound))
        self.true = self._truths.restore(snapshot.true, self.flight.now)
        self._do_again()
        self._answer()

    def go_to(self, branch: str) -> None:
        """Go on where another branch ended. InputError for one that there is not."""
        if branch not in self.branches:
            raise InputError(SOURCE, "branch", branch, ", ".join(self.branches))
        self.branch = self.branches[branch]
        self._restore(self.branch.before(self.branch.end))
        self._go(self.branch.end)

    def _acting(self) -> None:
        """What is done where more is known to come begins another branch."""
        if self.at >= self.branch.end:
            return
        self._branched += 1
        old, new = self.branch, self.branch.forked(str(self._branched), self.at)
        old.leave(self.at)
        self.branches[new.id] = self.branch = new
        while len(self.branches) > MOST_BRANCHES:
            self.branches.pop(next(name for name in self.branches if name != new.id))

    def _plan(self, craft: str, plan: Plan) -> None:
        """Another plan for a craft: what has gone on otherwise by it is worked out again."""
        old = self.branch.plans.get(craft, ())
        since = parting(old, plan)
        if since is None:
            return
        before = self.at
        self.branch.plans[craft] = plan
        try:
            self._again(craft, since)
        except InputError:
            self.branch.plans[craft] = old
            self._restore_all(min(since, before), before)
            raise

    def _again(self, craft: str, since: int) -> None:
        if since >= self.at and self.at > 0:
            self._differently(craft)
        elif craft == BENCH and self.flight.kind == "pilot":
            self._restore_all(since, self.at)
        else:
            self._alone(craft, since)

    def _differently(self, name: str) -> None:
        """A craft whose plan is another one from this tick on, as if nothing else had been done at it."""
        if name in self.stopped:
            return
        plan, craft = self.branch.plans[name], self.crafts[name]
        craft.restore(self._arrived.setdefault(name, craft.state()))
        if any(tick == self.at for tick, _ in plan):
            self._put(name, plan_at(plan, self.at))
        elif name == BENCH:
            self._answer()

    def _restore_all(self, since: int, at: int) -> None:
        """Everything from a tick to another worked out again, or to where the flight ends now."""
        self.branch.cut(since)
        self._restore(self.branch.before(since))
        self._go(at)
        self.branch.end = self.at

    def _alone(self, name: str, since: int) -> None:
        """One craft from a tick to now worked out again, while the flight is gone through once more."""
        branch, craft, at = self.branch, self.crafts[name], self.at
        start = branch.before(since)
        marked = {one.tick for one in branch.snapshots if start.tick < one.tick <= at}
        new: dict[int, Snapshot] = {one.tick: one for one in branch.snapshots}
        self.at = start.tick
        self._arrived.pop(name, None)
        self.flight.restore(start.flight)
        craft.restore(start.crafts.get(name, start.sound))
        self.stopped.pop(name, None)
        self._do_again(name)
        while self.at < at:
            moment = self.flight.step()
            self.at += 1
            self._arrived.pop(name, None)
            if name not in self.stopped:
                self._step(name, craft, moment)
            if self.at in marked:
                new[self.at] = new[self.at].with_craft(name, craft.state(), self.stopped.get(name))
            if name == BENCH and self.at in branch.trace:
                branch.trace[self.at] = branch.trace[self.at]._replace(shown=craft.shown)
            self._do_again(name)
        branch.snapshots = list(new.values())
