"""The flights and bench programmes behind the checks, each worked out once, when it is first asked for."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.checks.histories import History, histories, in_cloud
from ramstill.faults.places import closed_valves_to, reached

if TYPE_CHECKING:
    from ramstill.diagnosis.answer import Diagnosis
    from ramstill.diagnosis.checks.flown import Flown, Moved
    from ramstill.diagnosis.checks.standing import Parked, Pumped
    from ramstill.diagnosis.checks.ways import Faults, Ways
    from ramstill.instruments import Pointer

Array = NDArray[np.float64]
UNKNOWN_M = 1000.0  # pressure altitude where the readings say none; assumed
UNITS = {
    "airspeed": ("speed", ("kt", KT)),
    "altitude": ("length", ("ft", FT)),
    "vertical-speed": ("vertical speed", ("ft/min", FPM)),
}
_PLAIN = {"airspeed": "airspeed", "altitude": "altimeter", "vertical-speed": "vertical speed"}


@dataclass(frozen=True, slots=True)
class Flights:
    """Some of the ways flown, by their places among all; one flight for each history."""

    places: tuple[int, ...]
    flights: tuple[Flown, ...]


def figures(
    parts: tuple[Flights, ...], figure: Callable[[Flown, str], Array], pointer: str, histories: int, ways: int
) -> Array:
    """A figure of a pointer in each flight (history, way), put together from the parts."""
    found = np.empty((histories, ways))
    for part in parts:
        for history, flight in enumerate(part.flights):
            found[history, list(part.places)] = figure(flight, pointer)
    return found


class Laboratory:
    """All that is worked out for one diagnosis: `ways` of one airplane in its situation."""

    def __init__(self, diagnosis: Diagnosis, ways: Ways, workers: int | None = None) -> None:
        self.diagnosis, self.ways, self.workers = diagnosis, ways, workers
        self.airplane, self.situation = diagnosis.airplane, diagnosis.situation
        if not np.isfinite(self.situation.pressure_altitude_m):
            self.situation = replace(self.situation, pressure_altitude_m=UNKNOWN_M)
        self.histories = histories(diagnosis)

    @property
    def weights(self) -> Array:
        """How likely each history is."""
        return np.array([history.weight for history in self.histories])

    @cached_property
    def flown(self) -> tuple[Flights, ...]:
        """The flight, by history: in clear air, and in icing cloud the ways that ice is part of."""
        clear, icy = self._icy
        return self._flown(None, clear), self._flown(None, icy)

    @cached_property
    def flown_alternate(self) -> tuple[Flights, ...]:
        """The same with the alternate source opened while it is level."""
        clear, icy = self._icy
        return self._flown(self._opened(), clear), self._flown(self._opened(), icy)

    @cached_property
    def flown_heated(self) -> tuple[Flights, ...]:
        """The same with the heat switched on while it is level, which changes nothing in clear air."""
        from ramstill.diagnosis.checks.flown import with_heat

        return self.flown[0], self._flown(with_heat, self._icy[1])

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

    @cached_property
    def _icy(self) -> tuple[list[int], list[int]]:
        """Places of the ways without ice and of those with it."""
        from ramstill.diagnosis.checks.flown import iced

        icy = [iced(way) for way in self._in_flight]
        return [i for i, ice in enumerate(icy) if not ice], [i for i, ice in enumerate(icy) if ice]

    @cached_property
    def _in_flight(self) -> tuple[Faults, ...]:
        """The ways as they fly on: with the cloud about them, if there is one."""
        from ramstill.diagnosis.checks.flown import clouded

        cloudy = in_cloud(self.diagnosis)
        return tuple(clouded(way, self.airplane) if cloudy else way for way in self.ways.faults)

    def _flown(self, moved: Moved | None, places: list[int]) -> Flights:
        from ramstill.diagnosis.checks.flown import fly

        faults, workers = tuple(self._in_flight[i] for i in places), self.workers
        flights = (
            fly(self.airplane, self.situation, h, faults, moved, workers) for h in self.histories if places
        )
        return Flights(tuple(places), tuple(flights))

    def _parked(self, moved: Moved | None) -> tuple[Parked, ...]:
        from ramstill.diagnosis.checks.standing import park

        faults, workers, stands = self.ways.faults, self.workers, self.parked_histories
        return tuple(park(self.airplane, self.situation, h, faults, moved, workers) for h in stands)


def said(name: str) -> str:
    """A name of the airplane file as people say it: "air-data.airspeed" as "air data airspeed"."""
    return name.replace("-", " ").replace(".", " ")
