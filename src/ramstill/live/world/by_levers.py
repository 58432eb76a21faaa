"""A flight flown by a hand at a few levers."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, Any, NamedTuple

from ramstill.errors import InputError
from ramstill.flight.levers import HandFlight, HandState, LeverPlan, Levers, Start, surroundings
from ramstill.flight.tables import LONGEST_S
from ramstill.live.world.moment import TICK_S, TICKS_A_SECOND, MetSoFar, Moment, row_of, time_of

if TYPE_CHECKING:
    from ramstill.air import Day
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.live.world.flights import Deeds, Kind
    from ramstill.pneumatics import Surroundings


class _State(NamedTuple):
    hand: HandState
    now: Moment
    met: MetSoFar


class ByLevers:
    """A flight by levers: open, and known as far as it is flown. InputError as `HandFlight` has it."""

    kind: Kind = "levers"

    def __init__(self, airplane: Airplane, start: Start, day: Day | None = None) -> None:
        self.airplane, self.start, self.day = airplane, start, day
        self.hand = HandFlight(airplane, start, day)
        self.boundary_names = self.hand.boundary_names
        self.start_s, self.end_s = 0.0, LONGEST_S
        truth = self.hand.truth
        self.walls_k = truth["outside_temperature_k"]
        self._met = MetSoFar(row_of(0.0, truth))
        self.now = self._moment()

    @property
    def levers(self) -> Levers:
        """How they stand."""
        return self.hand.levers

    def step(self) -> Moment:
        """One tick on. ValueError beyond a day."""
        if time_of(self.hand.tick + 1) > self.end_s:
            raise ValueError("a flight lasts a day at most")
        self.hand.step()
        if self.hand.tick % TICKS_A_SECOND == 0:
            self._met = MetSoFar(row_of(time_of(self.hand.tick), self.hand.truth), self._met)
        self.now = self._moment()
        return self.now

    def _moment(self) -> Moment:
        hand = self.hand
        now, following = time_of(hand.tick), time_of(hand.tick + 1)
        return Moment(now, following, hand.outside_pa, hand.truth, hand.phase.title, self._met)

    def act(self, deed: Any) -> None:
        """Move the levers. InputError for what no lever goes to."""
        if not isinstance(deed, Levers):
            raise InputError("live bench", "press", "an opening pressed in flight", "the bench on the ground")
        self.hand.move(deed)

    def answer(self, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
        """The hand does nothing about them."""
        return faults

    def state(self) -> object:
        """How it stands."""
        return _State(self.hand.state(), self.now, self._met)

    def restore(self, state: Any) -> None:
        """Stand as it stood."""
        self.hand.restore(state.hand)
        self.now, self._met = state.now, state.met

    def plan(self, deeds: Deeds) -> LeverPlan:
        """All of it so far, as a plan, with what was done, (tick, `Levers`)."""
        moves = tuple((time_of(tick), levers) for tick, levers in deeds)
        return LeverPlan(self.start, moves, max(self.now.time_s, TICK_S))

    def replay(self, deeds: Deeds) -> Callable[[], Surroundings]:
        """What works out the flight so far, or its first tick."""
        return partial(surroundings, self.airplane, self.plan(deeds), self.day)
