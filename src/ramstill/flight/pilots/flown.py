"""A flown flight: its path and what happened on it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ramstill.faults import Fault
    from ramstill.flight.path import FlightPath
    from ramstill.flight.pilots.table import PilotPlan
    from ramstill.pneumatics import Surroundings

Array = NDArray[np.float64]
Kind = Literal[
    "task", "cue", "warning", "recognised", "action", "trusts", "stall", "limit", "ground", "ends", "late"
]
CUES: dict[str, str] = {
    "pitch": "the pitch attitude",
    "climb": "the altimeter's movement",
    "warning": "the stall warning",
    "ground-speed": "the GPS ground speed",
    "read-back": "the altitude read back by the ground",
    "other-pointer": "another pointer",
    "blank": "a reading that is not there",
}


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened: its kind, when [s], in words, and which cue (a name of `CUES`) or ""."""

    kind: Kind
    at_s: float
    text: str
    cue: str = ""


@dataclass(frozen=True, slots=True)
class Flown:
    """What came of a pilot's flight.

    path, surroundings: as for any flight, knots at every step of the loop; faults: those of the scenario,
    with what the pilot did about them in it (heat on, alternate static open); plan: what was asked for;
    events: in order of time; shown: what each pointer showed in the loop, SI, (k,) on the path's times;
    pitch_rad, lever (k,): what was flown; asked_pitch_rad (k,): the pitch attitude that a healthy airplane
    showing these pointers would have.
    """

    path: FlightPath
    surroundings: Surroundings
    faults: tuple[Fault, ...]
    plan: PilotPlan
    events: tuple[Event, ...]
    shown: Mapping[str, Array]
    pitch_rad: Array
    lever: Array
    asked_pitch_rad: Array

    @property
    def style(self) -> str:
        """How the pilot flies: a name of `STYLES`."""
        return self.plan.style

    def first(self, kind: Kind) -> Event | None:
        """The first event of a kind, or None."""
        return next((event for event in self.events if event.kind == kind), None)

    @property
    def trouble(self) -> Event | None:
        """The stall or the highest speed passed, whichever comes first; None for neither."""
        found = [event for event in (self.first("stall"), self.first("limit")) if event is not None]
        return min(found, key=lambda event: event.at_s, default=None)

    @property
    def margin_s(self) -> float | None:
        """From the first honest cue to the trouble [s]; None where either is missing."""
        cue, trouble = self.first("cue"), self.trouble
        return None if cue is None or trouble is None else trouble.at_s - cue.at_s
