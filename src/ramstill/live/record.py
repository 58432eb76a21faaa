"""What is kept of a class: who sat in it, what each was shown, asked and wrote down, and what was revealed.

The store fills it, the debrief reads it. A class is a row of rounds: in each the learners are asked, write
down what they make of their panel, and the instructor reveals. Times ending in `_s` are on the flight's
clock, which may be taken back; those ending in `_at` are of day, seconds since 1970 UTC, and only go on.
Everything is plain numbers and text, so that it lasts as JSON.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from math import isfinite
from typing import Any

from ramstill.errors import InputError
from ramstill.faults import Fault

FORMAT = 1
NOTHING_WRONG = "none"  # a call: the learner holds the airplane to be sound
UNSURE = "unsure"  # a call: something is wrong, and the learner cannot say what


@dataclass(frozen=True, slots=True)
class Seat:
    """One learner. seat: how the class knows them, never the token; name: as given, "" where it was not."""

    seat: str
    name: str
    joined_at: float


@dataclass(frozen=True, slots=True)
class Call:
    """What a learner wrote down, or took back.

    made_at: time of day; at_s: the flight's clock then; fault: a name of the catalogue, `NOTHING_WRONG`,
    `UNSURE`, or None where the answer was taken back; since_s: since when, on the flight's clock, None where
    it was not said; would_do: what they would do now, as written; branch: on which the flight was then.
    """

    seat: str
    made_at: float
    at_s: float
    fault: str | None
    since_s: float | None = None
    would_do: str = ""
    branch: str = ""


@dataclass(frozen=True, slots=True)
class Panel:
    """What some learners looked at: the flight with these faults, as they stood when all was revealed.

    seats: those who saw it; empty: everyone who is on no other panel of the round, the instructor's bench.
    faults: onset and end on the flight's clock; none: a sound airplane, which may well be given.
    """

    seats: tuple[str, ...]
    faults: tuple[Fault, ...]


@dataclass(frozen=True, slots=True)
class Reveal:
    """What the instructor let the class see: "faults", "wall", "truth" or "nothing" again, and when."""

    what: str
    made_at: float
    at_s: float


@dataclass(frozen=True, slots=True)
class Stretch:
    """From when on a branch was flown [s], of those that lead to where the flight ended up."""

    branch: str
    from_s: float


@dataclass(frozen=True, slots=True)
class Round:
    """From the question to the reveal.

    asked_at, asked_s: when answers could first be written down; closed_at, closed_s: when the faults were
    revealed, None while they are not; scenario: the flight up to then as a scenario file's text, with the
    bench's faults in it, "" until it is saved; panels: once closed, the bench's always among them; calls in
    the order in which they came, changed answers among them; way: the branches that lead to `closed_s`, the
    first one first, empty where the flight was never taken back.
    """

    number: int
    asked_at: float
    asked_s: float
    closed_at: float | None = None
    closed_s: float | None = None
    scenario: str = ""
    panels: tuple[Panel, ...] = ()
    calls: tuple[Call, ...] = ()
    reveals: tuple[Reveal, ...] = ()
    way: tuple[Stretch, ...] = ()

    def panel_of(self, seat: str) -> Panel:
        """What a learner looked at: their own, or the bench's, or a sound airplane where none is kept."""
        own = (panel for panel in self.panels if seat in panel.seats)
        shared = (panel for panel in self.panels if not panel.seats)
        return next(own, next(shared, Panel((), ())))

    def of(self, seat: str) -> tuple[Call, ...]:
        """A learner's calls in this round, in order."""
        return tuple(call for call in self.calls if call.seat == seat)

    def last(self, seat: str) -> Call | None:
        """The answer that stood at the reveal; None where nothing was written down, or it was taken back."""
        made = self.of(seat)
        return made[-1] if made and made[-1].fault is not None else None

    def on_the_way(self, call: Call) -> bool:
        """Whether the flight as it ended up went through the moment of a call."""
        if not self.way:
            return True
        until = [*(stretch.from_s for stretch in self.way[1:]), float("inf")]
        return any(
            stretch.branch == call.branch and call.at_s <= end
            for stretch, end in zip(self.way, until, strict=True)
        )


@dataclass(frozen=True, slots=True)
class ClassRecord:
    """A class from its opening to its end.

    class_id: of our own, not the class word, which is a key and is kept nowhere; title: what is flown;
    closed_at: None while it goes on; seats in the order in which they joined.
    """

    class_id: str
    title: str
    airplane: str
    opened_at: float
    closed_at: float | None = None
    seats: tuple[Seat, ...] = ()
    rounds: tuple[Round, ...] = ()

    def called(self, seat: str) -> str:
        """How a learner is named on a page: their name, or which seat it is."""
        for number, one in enumerate(self.seats, 1):
            if one.seat == seat:
                return one.name or f"Seat {number}"
        return "Someone"


def as_json(record: ClassRecord) -> dict[str, Any]:
    """A record as plain objects, lists, numbers and texts."""
    return {"format": FORMAT, **asdict(record)}


def from_json(written: Mapping[str, Any], source: str = "class record") -> ClassRecord:
    """The record of what `as_json` gave. Raises InputError for anything else."""
    if not isinstance(written, Mapping) or written.get("format") != FORMAT:
        read = written.get("format") if isinstance(written, Mapping) else type(written).__name__
        raise InputError(source, "format", repr(read), str(FORMAT))
    rest = {key: value for key, value in written.items() if key != "format"}
    record = _made(ClassRecord, rest, source, "")
    assert isinstance(record, ClassRecord)
    return record


_LISTS: dict[tuple[type, str], type] = {
    (ClassRecord, "seats"): Seat,
    (ClassRecord, "rounds"): Round,
    (Round, "panels"): Panel,
    (Round, "calls"): Call,
    (Round, "reveals"): Reveal,
    (Round, "way"): Stretch,
    (Panel, "faults"): Fault,
    (Panel, "seats"): str,
}


def _made(kind: type, written: Any, source: str, field: str) -> Any:
    """A `kind` of what stands at `field`, its lists made in turn."""
    if kind is str:
        if not isinstance(written, str):
            raise InputError(source, field, repr(written), "a text")
        return written
    known = {one.name: one for one in fields(kind)}
    if not isinstance(written, Mapping) or any(key not in known for key in written):
        raise InputError(source, field, repr(written)[:80], f"an object of {', '.join(known)}")
    found: dict[str, Any] = {}
    for key, value in written.items():
        at = f"{field}.{key}".lstrip(".")
        inner = _LISTS.get((kind, key))
        if inner is None:
            found[key] = _plain(value, str(known[key].type), source, at)
        elif isinstance(value, list | tuple):
            found[key] = tuple(_made(inner, one, source, f"{at}[{n}]") for n, one in enumerate(value, 1))
        else:
            raise InputError(source, at, repr(value)[:80], "a list")
    try:
        return kind(**found)
    except TypeError as error:
        raise InputError(source, field, str(error), f"an object of {', '.join(known)}") from None


def _plain(value: Any, wanted: str, source: str, field: str) -> Any:
    """A number or a text of the type that the field's annotation names."""
    kinds = wanted.split(" | ")
    number = isinstance(value, int | float) and not isinstance(value, bool) and isfinite(value)
    if "None" in kinds and value is None:
        return None
    if "str" in kinds and isinstance(value, str):
        return value
    if "int" in kinds and number and value == int(value):
        return int(value)
    if "float" in kinds and number:
        return float(value)
    raise InputError(
        source, field, repr(value)[:80], wanted.replace("str", "a text").replace("float", "a number")
    )
