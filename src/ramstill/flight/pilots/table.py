"""The [pilot] table of a scenario: who flies, what is followed, and the tasks one after another.

Altitudes are what the pilot wants the altimeter to show; speeds what the airspeed indicator is to show. The
figures set here are common practice, no source.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from ramstill.flight.tables import (
    AbsolutePressure,
    Altitude,
    Elevation,
    Rate,
    Share,
    Span,
    Speed,
    Strict,
    Time,
    by_word,
    just_one,
    parse_table,
    reader,
)

Style = Literal["by-airspeed", "by-altitude", "altitude-hold", "by-pitch-and-power", "cross-check"]
STYLES: dict[str, str] = {  # how each flies, in words
    "by-airspeed": "pitch follows the airspeed; level, pitch follows the altimeter and power the airspeed",
    "by-altitude": "known pitch and power up and down; level, the hand on the stick follows the altimeter",
    "altitude-hold": "known pitch and power up and down; level, an autopilot holds the static pressure",
    "by-pitch-and-power": "pitch and power that are known to fit, whatever the pointers say",
    "cross-check": "pitch follows the airspeed, as long as the pointers agree with pitch, power and the rest",
}
BY_AIRSPEED = ("by-airspeed", "cross-check")  # styles whose stick and power follow the airspeed
Wind = Annotated[float, BeforeValidator(reader("speed"))]
Reaction = Annotated[
    float, BeforeValidator(reader("time", low=0.0, high=10.0, words="a time from 0 s to 10 s"))
]
Scan = Annotated[
    float, BeforeValidator(reader("time", low=0.25, high=10.0, words="a time from 0.25 s to 10 s"))
]
Gain = Annotated[
    float, BeforeValidator(reader("dimensionless", low=0.1, high=5.0, words="a number from 0.1 to 5"))
]


class Task(Strict):
    """What every task may say. A speed or a power that is left out is the airplane's usual one."""

    name: str | None = None
    speed: Speed | None = None
    power: Share | None = None
    flap: Share = 0.0
    gear: Literal["up", "down"] = "up"

    @property
    def title(self) -> str:
        """What the task is called in pages and errors."""
        return self.name or self.kind  # type: ignore[attr-defined]


class UpOrDownTask(Task):
    """Until the altimeter shows an altitude, or for a time. `within`: the longest that it may take."""

    to: Altitude | None = None
    duration: Span | None = None
    rate: Rate | None = None
    within: Span = 900.0

    @model_validator(mode="after")
    def _one_end(self) -> UpOrDownTask:
        just_one(self, "to", "duration")
        if self.rate is not None and self.power is not None:
            raise ValueError("power or rate, not both: one follows from the other")
        return self


class ClimbTask(UpOrDownTask):
    """Climb, with full power unless `power` or `rate` is given."""

    kind: Literal["climb"]


class DescentTask(UpOrDownTask):
    """Descend, with the power that the usual rate asks for unless `power` or `rate` is given."""

    kind: Literal["descent"]


class ApproachTask(UpOrDownTask):
    """Descend with flap and gear down."""

    kind: Literal["approach"]
    flap: Share = 1.0
    gear: Literal["up", "down"] = "down"


class LevelTask(Task):
    """Fly level for a time, at `altitude` or at what the altimeter shows when it begins."""

    kind: Literal["level"]
    duration: Span
    altitude: Altitude | None = None


AnyTask = ClimbTask | DescentTask | ApproachTask | LevelTask
_TASKS = (ClimbTask, DescentTask, ApproachTask, LevelTask)


class PilotPlan(Strict):
    """[pilot]: who flies, where it starts (in the air), and what is asked for.

    `altimeter_setting` is what the pilot sets; without it, what is right at the field. `airspeed_indicator`
    and `altimeter` name the instruments that are followed, by default the first of their kind.
    `recognition`: how long cues must disagree before a cross-checking pilot believes it. `after_stall`: how
    long the run goes on after the wing has stalled or the highest speed is passed, as a point of mass says
    little about it.
    """

    style: Style
    field_elevation: Elevation = 0.0
    altimeter_setting: AbsolutePressure | None = None
    start_altitude: Altitude
    start_speed: Speed | None = None
    headwind: Wind = 0.0
    airspeed_indicator: str | None = None
    altimeter: str | None = None
    reaction: Reaction = 0.8
    scan: Scan = 1.0
    gain: Gain = 1.0
    recognition: Time = 6.0
    after_stall: Time = 15.0
    seed: Annotated[int, Field(ge=0, strict=True)] = 1
    task: tuple[Annotated[AnyTask, Field(discriminator="kind")], ...] = Field(min_length=1)

    @staticmethod
    def choices() -> dict[str | int, type[Task]]:
        """The tasks by kind."""
        return by_word(_TASKS)


def parse_pilot(table: object, source: str) -> PilotPlan:
    """Read the [pilot] table of the file `source`. Raises InputError, and nothing else."""
    return parse_table(PilotPlan, table, source, "pilot")
