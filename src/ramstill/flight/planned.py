"""The [day] and [flight] tables of a scenario.

Altitudes are above sea level as an altimeter set correctly for the field shows them; rates are those of
pressure altitude, as a vertical speed indicator shows them; speeds are calibrated airspeeds. What a leg
leaves out comes from the airplane's speeds; the figures set here are common practice, no source.
"""

from __future__ import annotations

from math import pi
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, model_validator

from ramstill import air
from ramstill.air import units
from ramstill.air.constants import P0
from ramstill.errors import InputError
from ramstill.flight.tables import (
    AbsolutePressure,
    Acceleration,
    Altitude,
    Angle,
    Elevation,
    Rate,
    Share,
    Span,
    Speed,
    Strict,
    Time,
    Turned,
    Warmth,
    by_word,
    just_one,
    parse_table,
    reader,
)

STEEPEST_BANK = 75.0 * pi / 180.0  # [rad]; beyond it a level turn asks for four times the weight
Bank = Annotated[
    float,
    BeforeValidator(reader("angle", low=0.0, high=STEEPEST_BANK, words="a bank from 0 deg to 75 deg")),
]


class DayTable(Strict):
    """[day]: the pressure at sea level and how much warmer the air is than on the standard day."""

    sea_level_pressure: AbsolutePressure = P0
    temperature_offset: Warmth = 0.0


class Leg(Strict):
    """What every leg may say. `onset`: how long a rate, a bank or an acceleration takes to be reached."""

    name: str | None = None
    onset: Span = 3.0
    flap: Share | None = None
    gear: Literal["up", "down"] | None = None
    power: Share | None = None
    sideslip: Angle = 0.0

    @property
    def title(self) -> str:
        """What the leg is called in pages and errors."""
        return self.name or self.kind  # type: ignore[attr-defined]


class TakeOff(Leg):
    """Stand, roll, lift off and climb away to an altitude (500 ft above the field unless `to` is given)."""

    kind: Literal["take-off"]
    wait: Time = 5.0
    acceleration: Acceleration = 2.0
    rotation_speed: Speed | None = None
    speed: Speed | None = None
    rate: Rate | None = None
    to: Altitude | None = None


class UpOrDown(Leg):
    """A climb or a descent: to an altitude or for a time."""

    to: Altitude | None = None
    duration: Span | None = None
    rate: Rate | None = None
    speed: Speed | None = None
    acceleration: Acceleration = 0.5
    bank: Bank = 0.0

    @model_validator(mode="after")
    def _one_end(self) -> UpOrDown:
        just_one(self, "to", "duration")
        return self


class Climb(UpOrDown):
    """Climb at a speed and a rate."""

    kind: Literal["climb"]


class Descent(UpOrDown):
    """Descend at a speed and a rate."""

    kind: Literal["descent"]


class Level(Leg):
    """Fly level for a time, or until a time of the flight."""

    kind: Literal["level"]
    duration: Span | None = None
    until: Span | None = None
    speed: Speed | None = None
    acceleration: Acceleration = 0.5
    bank: Bank = 0.0

    @model_validator(mode="after")
    def _one_end(self) -> Level:
        just_one(self, "duration", "until")
        return self


class SpeedChange(Leg):
    """Fly level from one speed to another."""

    kind: Literal["speed-change"]
    speed: Speed
    acceleration: Acceleration = 0.5


class Turn(Leg):
    """Turn level at a bank, through an angle or for a time, at the speed there is."""

    kind: Literal["turn"]
    bank: Bank = 20.0 * pi / 180.0
    degrees: Turned | None = Field(default=None)
    duration: Span | None = None

    @model_validator(mode="after")
    def _one_end(self) -> Turn:
        just_one(self, "degrees", "duration")
        if self.bank == 0.0:
            raise ValueError("a bank above 0 deg")
        return self


class Approach(Leg):
    """Descend to an altitude (50 ft over the field unless `to` is given) with flap (full unless given)."""

    kind: Literal["approach"]
    to: Altitude | None = None
    flap: Share | None = 1.0
    rate: Rate | None = None
    speed: Speed | None = None
    acceleration: Acceleration = 0.5


class Landing(Leg):
    """Descend, flare, touch down and roll to a stop. `elevation`: of the runway, else that of the field."""

    kind: Literal["landing"]
    elevation: Altitude | None = None
    rate: Rate | None = None
    flare: Altitude = 20.0 * units.FT
    touchdown_speed: Speed | None = None
    deceleration: Acceleration = 2.0
    wait: Time = 5.0


AnyLeg = TakeOff | Climb | Level | Turn | Descent | Approach | Landing | SpeedChange
_LEGS = (TakeOff, Climb, Level, Turn, Descent, Approach, Landing, SpeedChange)


class FlightPlan(Strict):
    """[flight]: where it starts, what is set on the altimeter, and the legs.

    `start_altitude` and `start_speed` are for a flight that starts in the air. `altimeter_setting` is what
    the pilot sets; without it, what is right at the field on the day.
    """

    field_elevation: Elevation = 0.0
    altimeter_setting: AbsolutePressure | None = None
    start_altitude: Altitude | None = None
    start_speed: Speed | None = None
    leg: tuple[Annotated[AnyLeg, Field(discriminator="kind")], ...] = Field(min_length=1)

    @staticmethod
    def choices() -> dict[str | int, type[Leg]]:
        """The legs by kind."""
        return by_word(_LEGS)


def parse_flight(table: object, source: str) -> FlightPlan:
    """Read the [flight] table of the file `source`. Raises InputError, and nothing else."""
    return parse_table(FlightPlan, table, source, "flight")


def parse_day(table: object, source: str) -> air.Day:
    """Read the [day] table of the file `source`. Raises InputError, and nothing else."""
    read = parse_table(DayTable, table, source, "day")
    try:
        return air.Day(read.sea_level_pressure, read.temperature_offset)
    except ValueError as error:
        given = f"{read.sea_level_pressure / units.HPA:g} hPa, {read.temperature_offset:+g} K"
        raise InputError(source, "day", given, str(error)) from None
