"""The flights and bench programmes behind the checks, each worked out once, when it is first asked for."""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.checks.histories import History, histories
from ramstill.faults.places import closed_valves_to, reached

if TYPE_CHECKING:
    from ramstill.diagnosis.answer import Diagnosis
    from ramstill.diagnosis.checks.flown import Flown, Moved
    from ramstill.diagnosis.checks.standing import Parked, Pumped
    from ramstill.diagnosis.checks.ways import Ways
    from ramstill.instruments import Pointer

Array = NDArray[np.float64]
UNITS = {
    "airspeed": ("speed", ("kt", KT)),
    "altitude": ("length", ("ft", FT)),
    "vertical-speed": ("vertical speed", ("ft/min", FPM)),
}
_PLAIN = {"airspeed": "airspeed", "altitude": "altimeter", "vertical-speed": "vertical speed"}


class Laboratory:
    """All that is worked out for one diagnosis: `ways` of one airplane in its situation."""

    def __init__(self, diagnosis: Diagnosis, ways: Ways, workers: int | None = None) -> None:
        self.diagnosis, self.ways, self.workers = diagnosis, ways, workers
        self.airplane, self.situation = diagnosis.airplane, diagnosis.situation
        self.histories = histories(diagnosis)

    @property
    def weights(self) -> Array:
        """How likely each history is."""
        return np.array([history.weight for history in self.histories])

    @cached_property
    def flown(self) -> tuple[Flown, ...]:
        """The flight, by history."""
        return self._flown(None)

    @cached_property
    def flown_alternate(self) -> tuple[Flown, ...]:
        """The same with the alternate source opened while it is level."""
        return self._flown(self._opened())

    @cached_property
    def flown_heated(self) -> tuple[Flown, ...]:
        """The same with the heat switched on while it is level."""
        from ramstill.diagnosis.checks.flown import with_heat

        return self._flown(with_heat)

    @cached_property
    def parked(self) -> tuple[Parked, ...]:
        """Standing on the ground, by history of that."""
        return self._parked(None)

    @cached_property
    def parked_alternate(self) -> tuple[Parked, ...]:
        """The same with the alternate source opened."""
        return self._parked(self._opened())

    @cached_property
    def static_test(self) -> Pumped:
        """A test set on both sides: the same suction."""
        from ramstill.diagnosis.checks.standing import pump_static

        return pump_static(self.airplane, self.situation, self.ways.faults, self.workers)

    @cached_property
    def pitot_test(self) -> Pumped:
        """A test set on both sides: an airspeed."""
        from ramstill.diagnosis.checks.standing import pump_pitot

        return pump_pitot(self.airplane, self.situation, self.ways.faults, self.workers)

    @cached_property
    def parked_histories(self) -> tuple[History, ...]:
        """How it came to stand where it stands; after a flight it matters little what the flight did last."""
        if not self.situation.airborne:
            return self.histories
        return (History(0.0, 0.0, 1.0),)

    @property
    def alternate(self) -> str | None:
        """The valve of the alternate source, where there is one."""
        return next((valve.name for valve in closed_valves_to(self.airplane, "alternate-source")), None)

    @cached_property
    def named(self) -> dict[str, Pointer]:
        """Every pointer but the encoder's, by what people call it."""
        from ramstill.instruments import pointers_of

        pointers = [one for one in pointers_of(self.airplane) if one.kind != "encoder"]
        shown = [one.shows for one in pointers]
        alone = {
            one.name: shown.count(one.shows) == 1 and one.kind != "variometer" for one in pointers
        }  # a variometer keeps its name: it need not show what the airplane climbs
        return {_PLAIN[p.shows] if alone[p.name] else said(p.name): p for p in pointers}

    def showing(self, *quantities: str, moved_by: str | None = None) -> dict[str, Pointer]:
        """The pointers of some quantities by name; moved_by: only those that this valve leads air to."""
        found = {name: one for name, one in self.named.items() if one.shows in quantities}
        if moved_by is None:
            return found
        valve = self.airplane.valve(moved_by)
        nodes = set(reached(self.airplane, [valve.start, valve.end]))
        return {name: one for name, one in found.items() if nodes & set(one.instrument.ports)}

    def _opened(self) -> Moved:
        from ramstill.diagnosis.checks.flown import with_alternate

        assert self.alternate is not None
        return with_alternate(self.alternate)

    def _flown(self, moved: Moved | None) -> tuple[Flown, ...]:
        from ramstill.diagnosis.checks.flown import fly

        faults, workers = self.ways.faults, self.workers
        return tuple(fly(self.airplane, self.situation, h, faults, moved, workers) for h in self.histories)

    def _parked(self, moved: Moved | None) -> tuple[Parked, ...]:
        from ramstill.diagnosis.checks.standing import park

        faults, workers, stands = self.ways.faults, self.workers, self.parked_histories
        return tuple(park(self.airplane, self.situation, h, faults, moved, workers) for h in stands)


def said(name: str) -> str:
    """A name of the airplane file as people say it: "air-data.airspeed" as "air data airspeed"."""
    return name.replace("-", " ").replace(".", " ")
