"""The [bench] table of a scenario: what is applied at which opening, on the ground, and when.

Never do on a live airplane what this bench allows: one breath can bend an instrument's capsule. System tests
belong to appropriately rated people with a test set, the manufacturer's manual and the local rules.
"""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, ValidationInfo, field_validator, model_validator

from ramstill.air import units
from ramstill.air.atmosphere import HIGHEST, LOWEST
from ramstill.air.constants import P0
from ramstill.flight.tables import (
    AbsolutePressure,
    Elevation,
    Span,
    Strict,
    Time,
    by_word,
    just_one,
    parse_table,
    reader,
)

CAUTION = (
    "A training and planning aid, not approved data. Never blow into or pull on a live system: tests and "
    "repairs belong to appropriately rated people with the manufacturer's manual and the local rules."
)

# A light breath into the inlet is worth 140 to 150 kt: common practice, no source.
BREATH_AIRSPEED = 145.0 * units.KT  # [m/s]
# A gentle pull on static openings shows a few hundred feet: common practice, no source.
PULL_ALTITUDE = 300.0 * units.FT  # [m]
PULL_RATE = 1500.0 * units.FPM  # [m/s]
SET_RATE = 1000.0 * units.FPM  # rate of a test set where none is given [m/s]; common practice, no source
SET_ACCELERATION = 1.0 * units.KT  # the same for airspeed [m/s2]
SWELL_S, SHUT_S = (
    0.5,
    0.2,
)  # a steady pressure comes and goes, and a finger shuts, within [s]; common practice, no source


def _one_or_more(value: object) -> tuple[str, ...]:
    names = (value,) if isinstance(value, str) else value
    if not isinstance(names, list | tuple) or not names or not all(isinstance(name, str) for name in names):
        raise ValueError("the name of an opening, or a list of names")
    return tuple(names)


Openings = Annotated[tuple[str, ...], BeforeValidator(_one_or_more)]
# No more than twice the air around: nobody's breath, pump or test set gives more to a pitot-static system.
_MOST = 2.0 * P0
OverAmbient = Annotated[
    float,
    BeforeValidator(
        reader("pressure", low=-_MOST, high=_MOST, words=f"up to {_MOST / 1000:.0f} kPa either way")
    ),
]
SetAltitude = Annotated[
    float,
    BeforeValidator(
        reader("length", low=LOWEST, high=HIGHEST, words=f"an altitude from {LOWEST:g} m to {HIGHEST:g} m")
    ),
]
SetAirspeed = Annotated[float, BeforeValidator(reader("speed", low=0.0, words="an airspeed of zero or more"))]


class Apply(Strict):
    """What every step says: the opening (or several, or "static-ports", or "pitot-inlet") and from when."""

    opening: Openings
    begin: Time = Field(alias="from")
    name: str | None = None

    @property
    def title(self) -> str:
        """What the step is called."""
        return self.name or f"{self.what}"  # type: ignore[attr-defined]


class Lasting(Apply):
    """A step that lasts for a time or until a time."""

    lasts: Span | None = Field(default=None, alias="for")
    until: Span | None = None

    @model_validator(mode="after")
    def _one_end(self) -> Lasting:
        if (self.lasts is None) == (self.until is None) and getattr(self, "points", None) is None:
            raise ValueError("exactly one of for and until")
        if self.until is not None and self.until <= self.begin:
            raise ValueError("an until later than from")
        return self

    @property
    def end_s(self) -> float:
        """When it is over [s]; infinite where neither was given."""
        if self.until is not None:
            return self.until
        return self.begin + (self.lasts or 0.0)


class Breath(Apply):
    """A person's breath: it swells, holds and lets go.

    Into a pitot inlet 145 kt worth unless `pressure` says otherwise; at a static opening as much as 300 ft.
    Blowing unless `draw` is true (or the pressure is below zero).
    """

    what: Literal["breath"]
    pressure: OverAmbient | None = None
    draw: bool = False
    rise: Span | None = None
    hold: Time = 2.0
    release: Span = 0.8


class Steady(Lasting):
    """A pressure (suction below zero) over the air around it, steady or by points.

    Steady: within `onset` to `pressure`, and back to nothing at the end. By points: straight lines through
    (time after `from`, pressure), then back to nothing within `onset`.
    """

    what: Literal["pressure"]
    pressure: OverAmbient | None = None
    points: tuple[tuple[Time, OverAmbient], ...] | None = None
    onset: Span = SWELL_S

    @model_validator(mode="after")
    def _one_shape(self) -> Steady:
        just_one(self, "pressure", "points")
        if self.points is not None:
            if self.lasts is not None or self.until is not None:
                raise ValueError("neither for nor until beside points, whose last one is the end")
            times = [t for t, _ in self.points]
            if not times or any(b <= a for a, b in pairwise(times)):
                raise ValueError("points with rising times")
        elif self.end_s - self.begin < 2.0 * self.onset:
            raise ValueError(f"a time of at least {2.0 * self.onset:g} s, twice the onset")
        return self


class HandPump(Apply):
    """Strokes of a hand pump: the pressure grows in steps, is held, and let off.

    The pressure at the opening is what is given: the pump's own volume and leak are not part of it.
    """

    what: Literal["hand-pump"]
    pressure: OverAmbient
    strokes: int = Field(ge=1, le=1000)
    stroke: Span = 1.0
    hold: Time = 10.0
    release: Span = 2.0


class TestSet(Apply):
    """A test set: to a pressure altitude or an airspeed at a rate, hold, and back where `return` is true.

    Without a way back the pressure is held until the next step at the same opening. An altitude is a pressure
    altitude. An airspeed at a ram opening is over the pressure at the static ports; at a static opening it is
    the suction that makes an airspeed indicator with a free inlet show it.
    """

    what: Literal["test-set"]
    to_altitude: SetAltitude | None = None
    to_airspeed: SetAirspeed | None = None
    rate: float | None = None
    hold: Time = 30.0
    back: bool = Field(default=False, alias="return")

    @field_validator("rate", mode="before")
    @classmethod
    def _by_aim(cls, value: object, info: ValidationInfo) -> float:
        if info.data.get("to_airspeed") is None:
            return reader("vertical speed", positive=True, words='a rate above zero, as "1000 ft/min"')(value)
        return reader("acceleration", positive=True, words='a rate above zero, as "60 kt/min"')(value)

    @model_validator(mode="after")
    def _one_aim(self) -> TestSet:
        just_one(self, "to_altitude", "to_airspeed")
        return self

    @property
    def speed_of_change(self) -> float:
        """Rate of altitude [m/s] or of airspeed [m/s2]."""
        if self.rate is not None:
            return self.rate
        return SET_RATE if self.to_airspeed is None else SET_ACCELERATION


class Finger(Lasting):
    """A finger (or tape) over an opening: shut within `onset`, and free again at the end."""

    what: Literal["finger"]
    onset: Span = SHUT_S


AnyApply = Breath | Steady | HandPump | TestSet | Finger
_KINDS = (Breath, Steady, HandPump, TestSet, Finger)


class Programme(Strict):
    """[bench]: the airplane stands at `elevation`; the steps in any order; `duration` of the whole.

    `altimeter_setting` is what is set, without it what is right at the place and day. Without `duration` the
    programme ends 30 s after the last step.
    """

    elevation: Elevation = 0.0
    altimeter_setting: AbsolutePressure | None = None
    duration: Span | None = None
    apply: tuple[Annotated[AnyApply, Field(discriminator="what")], ...] = Field(min_length=1)

    @staticmethod
    def choices() -> dict[str | int, type[Apply]]:
        """The steps by what they do."""
        return by_word(_KINDS, "what")


def parse_bench(table: object, source: str) -> Programme:
    """Read the [bench] table of the file `source`. Raises InputError, and nothing else."""
    return parse_table(Programme, table, source, "bench")
