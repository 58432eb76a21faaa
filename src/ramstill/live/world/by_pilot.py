"""A flight flown by a pilot who follows the bench's pointers: worked out again when those change."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ramstill.live.world.flights import Given

if TYPE_CHECKING:
    from ramstill.air import Day
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.flight.pilots import Flown, PilotPlan
    from ramstill.live.world.flights import Kind

_MOST = 8  # flights kept, so that rewinding does not fly them again


class ByPilot(Given):
    """A pilot's flight with the faults that the bench's craft has; the same up to where another one begins.

    flown: that flight, where it is known already. Raises InputError as `pilots.fly` does.
    """

    kind: Kind = "pilot"

    def __init__(
        self,
        airplane: Airplane,
        plan: PilotPlan,
        day: Day | None = None,
        faults: tuple[Fault, ...] = (),
        flown: Flown | None = None,
    ) -> None:
        self.airplane, self.plan, self.day = airplane, plan, day
        self._flights: dict[tuple[Fault, ...], Flown] = {} if flown is None else {faults: flown}
        self.flown = self._fly(faults)
        super().__init__(self.flown.surroundings)

    def _fly(self, faults: tuple[Fault, ...]) -> Flown:
        from ramstill.flight import pilots

        if faults not in self._flights:
            while len(self._flights) >= _MOST:
                self._flights.pop(next(iter(self._flights)))
            self._flights[faults] = pilots.fly(self.airplane, self.plan, self.day, faults, "live bench")
        return self._flights[faults]

    def _take_flown(self, flown: Flown) -> None:
        if flown is not self.flown:
            self.flown, self.end_s = flown, flown.surroundings.end_s
            self._take(flown.surroundings)

    def answer(self, faults: tuple[Fault, ...]) -> tuple[Fault, ...]:
        """Fly it with these faults; returns them with what the pilot does about them."""
        self._take_flown(self._fly(faults))
        found: tuple[Fault, ...] = self.flown.faults
        return found

    def state(self) -> object:
        """The tick, and which flight."""
        return self.tick, self.flown

    def restore(self, state: Any) -> None:
        """Stand as it stood."""
        self.tick, flown = state
        self._take_flown(flown)
        self.now = self._moment()
