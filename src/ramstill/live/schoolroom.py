"""The class: who sits in it, what was asked, answered and revealed. It is what its entries say, in order."""

from __future__ import annotations

import secrets
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from ramstill.errors import InputError
from ramstill.live.record import Call, ClassRecord, Panel, Reveal, Round, Seat, Stretch
from ramstill.live.security import as_name, fingerprint, new_key
from ramstill.live.words import as_typed, new_word

if TYPE_CHECKING:
    from ramstill.faults import Fault
    from ramstill.live.store import Entry

MOST_SEATS = 100
WORD_LASTS_S = 3.0 * 3600.0
SHARED = "bench"  # whoever was given nothing of their own looks at the bench's craft
REVEALS = ("faults", "wall", "truth")


@dataclass(frozen=True, slots=True)
class Opening:
    """What opens a class: an entry's words."""

    class_id: str
    word: str
    expires_at: float

    @classmethod
    def now(cls, at: float) -> Opening:
        """A new word that lasts three hours."""
        return cls(secrets.token_hex(6), new_word(), at + WORD_LASTS_S)


class Schoolroom:
    """One class as it stands. `take` is the only thing that changes it."""

    def __init__(self) -> None:
        self._clear()

    def _clear(self) -> None:
        self.class_id, self.word = "", ""
        self.opened_at, self.expires_at = 0.0, 0.0
        self.closed_at: float | None = None
        self.seats: dict[str, Seat] = {}
        self.own: dict[str, str] = {}  # by seat: the craft it was given
        self._tokens: dict[str, str] = {}
        self.rounds: list[Round] = []
        self.revealed: tuple[str, ...] = ()
        self.held = False

    @property
    def open(self) -> bool:
        """Whether a class goes on."""
        return bool(self.class_id) and self.closed_at is None

    @property
    def asked(self) -> bool:
        """Whether answers may be written down."""
        return self.open and bool(self.rounds) and self.rounds[-1].closed_s is None

    def admits(self, word: str, at: float) -> bool:
        """Whether a word lets somebody in now."""
        return self.open and at < self.expires_at and as_typed(word) == self.word

    def seat_of(self, token: str) -> str | None:
        """The seat of a token, as long as the class is open."""
        return self._tokens.get(fingerprint(token)) if self.open else None

    def joining(self, name: str) -> tuple[str, dict[str, Any]]:
        """A new token, and the words of the entry that seats its holder. InputError where it is full."""
        if len(self.seats) >= MOST_SEATS:
            raise InputError("class", "", f"{len(self.seats)} learners", f"{MOST_SEATS} at most")
        token, seat = new_key(), f"s{len(self.seats) + 1}"
        return token, {"do": "join", "seat": seat, "token": fingerprint(token), "name": as_name(name)}

    def craft_of(self, seat: str) -> str:
        """Which craft a seat looks at."""
        return self.own.get(seat, SHARED)

    def call_of(self, seat: str) -> Call | None:
        """What a seat has written down in this round, and not taken back."""
        return self.rounds[-1].last(seat) if self.rounds else None

    def take(self, entry: Entry) -> None:
        """Let one entry of kind "class" happen; one that means nothing here changes nothing."""
        said = entry.said
        match said["do"]:
            case "open":
                self._clear()
                self.class_id, self.word = str(said["class_id"]), str(said["word"])
                self.opened_at, self.expires_at = entry.at, float(said["expires_at"])
            case "close":
                self.closed_at = entry.at
            case "join":
                seat = str(said["seat"])
                self.seats[seat] = Seat(seat, str(said["name"]), entry.at)
                self._tokens[str(said["token"])] = seat
            case "sit":
                for seat in said["seats"]:
                    self.own[seat] = str(said["craft"])
                    if said["craft"] == SHARED:
                        del self.own[seat]
            case "hold":
                self.held = bool(said["on"])
            case "ask":
                self.revealed = ()
                self.rounds.append(Round(len(self.rounds) + 1, entry.at, entry.time_s))
            case "call" if self.rounds:
                self._last(calls=(*self.rounds[-1].calls, _call(entry)))
            case "reveal":
                self._reveal(entry)

    def _reveal(self, entry: Entry) -> None:
        what = str(entry.said["what"])
        self.revealed = () if what == "nothing" else tuple(dict.fromkeys((*self.revealed, what)))
        if not self.rounds:
            return
        made = Reveal(what, entry.at, entry.time_s)
        self._last(reveals=(*self.rounds[-1].reveals, made))
        if what == "faults" and self.rounds[-1].closed_s is None:
            said = entry.said
            self._last(
                closed_at=entry.at,
                closed_s=entry.time_s,
                scenario=str(said["scenario"]),
                panels=tuple(
                    Panel(tuple(one["seats"]), tuple(_fault(f) for f in one["faults"]))
                    for one in said["panels"]
                ),
                way=tuple(Stretch(str(branch), float(from_s)) for branch, from_s in said["way"]),
            )

    def _last(self, **changes: Any) -> None:
        self.rounds[-1] = replace(self.rounds[-1], **changes)

    def record(self, title: str, airplane: str) -> ClassRecord:
        """What the debrief reads."""
        return ClassRecord(
            class_id=self.class_id,
            title=title,
            airplane=airplane,
            opened_at=self.opened_at,
            closed_at=self.closed_at,
            seats=tuple(self.seats.values()),
            rounds=tuple(self.rounds),
        )


def _call(entry: Entry) -> Call:
    said = entry.said
    return Call(
        seat=str(said["seat"]),
        made_at=entry.at,
        at_s=entry.time_s,
        fault=said["fault"],
        since_s=said["since_s"],
        would_do=str(said["would_do"]),
        branch=str(said["branch"]),
    )


def _fault(written: dict[str, Any]) -> Fault:
    from ramstill.faults import Fault

    return Fault(**written)
