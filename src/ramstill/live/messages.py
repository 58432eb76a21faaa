"""What pages may say to the server: strict models of every message, and nothing else gets in.

A message is one JSON object in one text frame. `do` says which it is, `id` comes back with the answer.
Figures are in the units that its field names end in; NaN and infinity are refused.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from ramstill.errors import InputError

BENCH_BYTES, SEAT_BYTES, JOIN_BYTES = 16_384, 2_048, 1_024  # largest message
BENCH_PER_S, SEAT_PER_S = 30.0, 10.0  # messages a second
WOULD_DO_LENGTH = 300

Id = Annotated[str, Field(max_length=40)] | Annotated[int, Field(ge=0, le=2**53)] | None
Name = Annotated[str, Field(min_length=1, max_length=80)]
Figure = Annotated[float, Field(allow_inf_nan=False, ge=-1e6, le=1e6)]
Share = Annotated[float, Field(allow_inf_nan=False, ge=0.0, le=1.0)]
Time = Annotated[float, Field(allow_inf_nan=False, ge=-1e5, le=1e6)]


class Message(BaseModel):
    """One message; a field that is not known is refused."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)
    id: Id = None


class Part(BaseModel):
    """A part of a message."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)


class Start(Part):
    """Where a flight by levers begins; what is left out is as the airplane's flights usually begin."""

    altitude_ft: Figure | None = None
    speed_kt: Figure | None = None
    elevation_ft: Figure | None = None
    setting_inhg: Figure | None = None
    on_ground: bool = False


class FaultPart(Part):
    """A fault as a page writes it. onset_s: None for now."""

    name: Name
    where: Name | None = None
    severity: Share = 1.0
    size: Annotated[str, Field(max_length=40)] | None = None
    onset_s: Time | None = None
    end_s: Time | None = None
    gradual_s: Annotated[float, Field(allow_inf_nan=False, ge=0.0, le=1e5)] = 0.0


# What the instructor's page says.


class Enter(Message):
    """The first message on the bench's socket."""

    do: Literal["enter"]
    key: Annotated[str, Field(max_length=200)]


class Stage(Message):
    """Begin with an airplane, a bundled scenario, or the text of a scenario file."""

    do: Literal["stage"]
    airplane: Name | None = None
    scenario: Name | None = None
    toml: Annotated[str, Field(max_length=BENCH_BYTES)] | None = None
    mode: Literal["levers", "scenario", "ground"] = "levers"
    start: Start = Start()


class Levers(Message):
    """Move levers; those left out stay where they are."""

    do: Literal["levers"]
    speed_kt: Figure | None = None
    climb_fpm: Figure | None = None
    altitude_ft: Figure | None = None
    flap: Share | None = None
    gear: Share | None = None
    power: Share | Literal["fits"] | None = None
    setting_inhg: Figure | None = None


class Heat(Message):
    """Switch the heat of the inlet."""

    do: Literal["heat"]
    on: bool


class Alternate(Message):
    """Turn the alternate static source."""

    do: Literal["alternate"]
    open: bool


class LayFault(Message, FaultPart):
    """Lay a fault on the bench's craft. at_altitude_ft: it comes when that pressure altitude is passed."""

    do: Literal["fault"]
    at_altitude_ft: Figure | None = None


class MoveFault(Message):
    """Change a fault that is laid; what is left out stays."""

    do: Literal["move_fault"]
    fault: Name
    onset_s: Time | None = None
    end_s: Time | None = None
    severity: Share | None = None
    where: Name | None = None


class Lift(Message):
    """A fault ends now."""

    do: Literal["lift"]
    fault: Name


class Drop(Message):
    """A fault never was."""

    do: Literal["drop"]
    fault: Name


class Press(Message):
    """Blow, pull or lay a finger at an opening, or let go."""

    do: Literal["press"]
    opening: Name
    how: Literal["blow", "pull", "finger", "free"]
    inh2o: Annotated[float, Field(allow_inf_nan=False, ge=0.0, le=400.0)] = 0.0


class RunOn(Message):
    """Go on, or pause."""

    do: Literal["run"]
    on: bool


class Pace(Message):
    """How many times as fast as it is."""

    do: Literal["pace"]
    times: Annotated[float, Field(allow_inf_nan=False, ge=0.25, le=60.0)]


class Step(Message):
    """Go on by so much, and pause."""

    do: Literal["step"]
    seconds: Annotated[float, Field(allow_inf_nan=False, gt=0.0, le=60.0)]


class Rewind(Message):
    """Go back to an instant."""

    do: Literal["rewind"]
    to_s: Time


class Branch(Message):
    """Go to where another branch has come to."""

    do: Literal["branch"]
    branch: Name


class Save(Message):
    """Save what was flown as a scenario file."""

    do: Literal["save"]
    title: Annotated[str, Field(max_length=120)] = ""


class AccountOf(Message):
    """Why a pointer reads what it reads, now."""

    do: Literal["account"]
    pointer: Name


class Class(Message):
    """Open or close the class."""

    do: Literal["class"]
    open: bool


class Give(Message):
    """Give a learner, or all, faults of their own, or the bench's."""

    do: Literal["give"]
    seat: Name
    faults: Literal["bench"] | Annotated[list[FaultPart], Field(max_length=8)]


class Ask(Message):
    """Answers may be written down from now on."""

    do: Literal["ask"]


class RevealTo(Message):
    """Let the class see more, or nothing again."""

    do: Literal["reveal"]
    what: Literal["faults", "wall", "truth", "nothing"]


class Hold(Message):
    """Freeze the learners' panels, or let them go on."""

    do: Literal["hold"]
    on: bool


class Debrief(Message):
    """Make the debrief page."""

    do: Literal["debrief"]


BenchMessage = Annotated[
    Enter
    | Stage
    | Levers
    | Heat
    | Alternate
    | LayFault
    | MoveFault
    | Lift
    | Drop
    | Press
    | RunOn
    | Pace
    | Step
    | Rewind
    | Branch
    | Save
    | AccountOf
    | Class
    | Give
    | Ask
    | RevealTo
    | Hold
    | Debrief,
    Field(discriminator="do"),
]


# What a learner's page says.


class Sit(Message):
    """The first message on a seat's socket."""

    do: Literal["enter"]
    token: Annotated[str, Field(max_length=200)]


class CallIt(Message):
    """An answer: which fault, since when, and what the learner would do now."""

    do: Literal["call"]
    fault: Name
    since_s: Time | None = None
    would_do: Annotated[str, Field(max_length=WOULD_DO_LENGTH)] = ""


class Recall(Message):
    """Take the answer back."""

    do: Literal["recall"]


class Pong(Message):
    """Still there."""

    do: Literal["pong"]


SeatMessage = Annotated[Sit | CallIt | Recall | Pong, Field(discriminator="do")]


class Join(BaseModel):
    """What is posted to /join."""

    model_config = ConfigDict(extra="forbid", strict=True, frozen=True)
    word: Annotated[str, Field(max_length=80)]
    name: Annotated[str, Field(max_length=200)] = ""


BENCH: TypeAdapter[BenchMessage] = TypeAdapter(BenchMessage)
SEAT: TypeAdapter[SeatMessage] = TypeAdapter(SeatMessage)
JOIN: TypeAdapter[Join] = TypeAdapter(Join)


def read(kind: TypeAdapter[Any], text: str | bytes, source: str = "message") -> Any:
    """One message of a kind. Raises InputError, whatever else was sent."""
    try:
        return kind.validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False, include_context=False, include_input=False)[0]
        where = ".".join(str(part) for part in first["loc"])
        raise InputError(source, where[:80], "something else", first["msg"][:200]) from None
    except (ValueError, RecursionError) as error:  # what is no Unicode, or nested without end
        raise InputError(source, "", type(error).__name__, "a JSON object") from None


def id_of(text: str | bytes) -> str | int | None:
    """The id of a message that was refused, as far as it has one that can be sent back."""
    try:
        return _ID.validate_json(text).id
    except (ValidationError, ValueError, RecursionError):
        return None


class _Numbered(BaseModel):
    """Only the id of a message."""

    id: Id = None


_ID: TypeAdapter[_Numbered] = TypeAdapter(_Numbered)
