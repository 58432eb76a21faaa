"""The words in which a defect is reported: phases, instruments and behaviours, and their reading.

"climb: altimeter frozen, vsi zero and airspeed falling; descent: airspeed high". A phase, a colon, then
instruments with what each does; several phases after semicolons, lines or in further texts. Letter case,
commas and small words do not matter. The words are our own choice of what is said in the trade.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import Pointer


@dataclass(frozen=True, slots=True)
class Word:
    """One word of the vocabulary: the name that answers use, what else may be said for it, what it means."""

    name: str
    also: tuple[str, ...]
    meaning: str

    @property
    def ways(self) -> tuple[str, ...]:
        """Every way to say it, the name first."""
        return (self.name, *self.also)


class Said(NamedTuple):
    """One thing that was said: names of a phase, an instrument of the airplane, and a behaviour."""

    phase: str
    instrument: str
    behaviour: str


# In the order in which the standard flight has them: see `ramstill.diagnosis.phases`.
PHASES = (
    Word(
        "on the ground", ("ground", "parked", "standing", "before take-off"), "standing before the take-off"
    ),
    Word("take-off roll", ("take-off", "takeoff", "takeoff roll", "roll"), "rolling until it lifts off"),
    Word("climb", ("climbing", "on the way up"), "climbing at the usual rate and a steady speed"),
    Word(
        "after level-off", ("level-off", "levelling off", "leveling off", "top of climb"), "first half minute"
    ),
    Word("speeding up", ("accelerating", "acceleration"), "level, from the climb's speed to cruise"),
    Word(
        "level",
        ("cruise", "level flight", "straight and level"),
        "level by hand, so that it wanders a little",
    ),
    Word(
        "in a slip",
        ("slip", "sideslip", "slipping", "skid"),
        "level, with ten degrees of wind from the right",
    ),
    Word(
        "slowing down", ("slowing", "decelerating", "deceleration"), "level, from cruise to the climb's speed"
    ),
    Word("descent", ("descending", "on the way down"), "descending at the usual rate and a steady speed"),
    Word(
        "in icing cloud",
        ("icing", "in ice", "ice", "in cloud", "cloud"),
        "level, then climbing, in freezing cloud with the heat on",
    ),
)

BEHAVIOURS = (
    Word(
        "normal",
        ("ok", "okay", "right", "correct", "correctly", "fine", "good", "as usual", "working", "works"),
        "never off by a noticeable amount for longer than a moment",
    ),
    Word(
        "frozen",
        (
            "stuck",
            "not moving",
            "does not move",
            "doesn't move",
            "stays put",
            "unchanged",
            "no change",
            "jammed",
        ),
        "moves by less than half a noticeable amount, while it should move or stands where it should not",
    ),
    Word(
        "zero",
        ("at zero", "nil", "on the stop", "pinned at zero"),
        "within a noticeable amount of nothing (airspeed: within three of them)",
    ),
    Word(
        "rising",
        ("rises", "increasing", "increases", "going up", "goes up", "builds up", "building up"),
        "ends the phase higher than it began it by a noticeable amount, whatever is true",
    ),
    Word(
        "falling",
        (
            "falls",
            "decreasing",
            "decreases",
            "going down",
            "goes down",
            "drops",
            "dropped",
            "drops off",
            "decaying",
        ),
        "ends the phase lower than it began it by a noticeable amount, whatever is true",
    ),
    Word(
        "high",
        ("too high", "over-reads", "overreads", "over-reading", "overreading", "too fast", "above"),
        "above what it should show by a noticeable amount in the second half of the phase",
    ),
    Word(
        "low",
        ("too low", "under-reads", "underreads", "under-reading", "underreading", "too slow", "below"),
        "below what it should show by a noticeable amount in the second half of the phase",
    ),
    Word(
        "reversed",
        ("reverse", "backwards", "wrong way", "the wrong way", "opposite", "in reverse"),
        "moves, or a rate stands, the other way than it should",
    ),
    Word(
        "late",
        ("sluggish", "lags", "lagging", "delayed", "slow to follow", "slow to move", "behind"),
        "follows about four seconds late or more, on one time constant",
    ),
    Word("jumped", ("jumps", "jump"), "jumped up or jumped down"),
    Word(
        "jumped up",
        ("jumps up", "jump up", "leapt up", "suddenly up", "suddenly higher"),
        "gains half a noticeable amount on what it should show within two seconds, more than all along",
    ),
    Word(
        "jumped down",
        ("jumps down", "jump down", "drops suddenly", "suddenly down", "suddenly lower"),
        "loses half a noticeable amount on what it should show within two seconds, more than all along",
    ),
    Word(
        "sticking",
        ("sticky", "sticks", "jerky", "in steps", "hangs", "hanging", "hangs up"),
        "stands still over a noticeable amount by which it should move; half as likely if it never moves",
    ),
    Word(
        "unsteady",
        ("erratic", "fluctuating", "fluctuates", "swinging", "oscillating", "wobbling", "to and fro"),
        "swings to and fro about what it should show, by four noticeable amounts in all",
    ),
    Word("blank", ("dashes", "shows nothing", "no reading", "no reply", "flagged"), "shows nothing"),
    Word("dead", ("failed", "no life", "inoperative"), "blank or frozen"),
)

# What an instrument is called by what it shows; the first name is the one that answers use.
INSTRUMENTS = {
    "airspeed": ("airspeed", "asi", "airspeed indicator", "ias", "speed"),
    "altitude": ("altimeter", "alt", "altitude"),
    "vertical-speed": ("vsi", "vertical speed", "vertical speed indicator", "ivsi", "rate of climb"),
    "encoder": ("encoder", "transponder altitude", "encoded altitude", "reported altitude", "mode c"),
    "variometer": ("variometer", "vario"),
}
_SIDES = ("left", "right", "standby", "main", "upper", "lower", "front", "rear")
_ALL = ("all", "all instruments", "everything", "all others", "all else")
_REST = ("rest", "others", "other instruments", "everything else")
_SMALL = frozenset(
    re.findall(
        "[a-z]+",
        "the a an in at on during while when with of and but is are was were then its it reads read reading "
        "shows show showing stays stayed stay stands remains goes went gone indicator needle pointer",
    )
)


@dataclass(frozen=True, slots=True)
class Instrument:
    """An instrument of one airplane as it is said. word: with its names; pointer: as the engine calls it.

    shows: the key of `INSTRUMENTS` that it goes by.
    """

    word: Word
    pointer: str
    shows: str

    @property
    def name(self) -> str:
        """The name that answers use."""
        return self.word.name


def instruments(plane: Airplane) -> tuple[Instrument, ...]:
    """What the instruments of an airplane are called, in the order of its file.

    Of several that show the same, each goes by its side as well ("left airspeed"), and the first of them by
    the plain name too: it is the one before the pilot.
    """
    from ramstill.instruments import pointers_of

    pointers = pointers_of(plane)
    kinds = [_shows(pointer) for pointer in pointers]
    found: list[Instrument] = []
    taken: set[str] = set()
    for pointer, kind in zip(pointers, kinds, strict=True):
        plain = INSTRUMENTS[kind]
        first = kinds.index(kind) == len(found)
        if kinds.count(kind) == 1:
            ways = list(plain)
        else:
            side = _side(pointer)
            ways = [f"{side} {name}" for name in plain] if side else [pointer.name]
            if ways[0] in taken:
                ways = [pointer.name]
            ways += [f"{name} {side}" for name in plain if side] + (list(plain) if first else [])
        ways = [way for way in dict.fromkeys(ways) if way not in taken]
        taken |= set(ways)
        found.append(Instrument(Word(ways[0], tuple(ways[1:]), pointer.title), pointer.name, kind))
    return tuple(found)


def _shows(pointer: Pointer) -> str:
    return str(pointer.kind if pointer.kind in ("encoder", "variometer") else pointer.shows)


def _side(pointer: Pointer) -> str:
    words = re.split(r"[^a-z]+", f"{pointer.name} {pointer.title}".lower())
    sides = [side for side in _SIDES if side in words]
    return sides[0] if sides else "display" if pointer.kind == "air-data-computer" else ""


def parse(plane: Airplane, saw: Sequence[str]) -> tuple[Said, ...]:
    """What was said of an airplane, each thing once, in the order of flight, instruments and behaviours.

    saw: texts, each with one phase or more. Raises InputError that names the text, the word that is not
    known, and what is.
    """
    texts = [saw] if isinstance(saw, str) else list(saw)
    words = instruments(plane)
    found: set[Said] = set()
    for text in texts:
        for phases, body in _parted(text):
            found |= _read(text, phases, body, words)
    if not found:
        raise InputError("saw", "", "nothing", f'"{PHASES[2].name}: altimeter frozen" and the like')
    order = [
        {name: i for i, name in enumerate(names)}
        for names in (
            [word.name for word in PHASES],
            [one.name for one in words],
            [word.name for word in BEHAVIOURS],
        )
    ]
    return tuple(sorted(found, key=lambda said: tuple(o[n] for o, n in zip(order, said, strict=True))))


def in_words(said: Iterable[Said]) -> str:
    """The things said in one line, phase by phase."""
    phases: dict[str, list[str]] = {}
    for one in said:
        phases.setdefault(one.phase, []).append(f"{one.instrument} {one.behaviour}")
    return "; ".join(f"{phase}: {', '.join(things)}" for phase, things in phases.items())


def _parted(text: str) -> list[tuple[tuple[str, ...], str]]:
    """The phases and the body of each part of a text."""
    if not isinstance(text, str) or not text.strip():
        raise InputError("saw", "", repr(text), f'"{PHASES[2].name}: altimeter frozen" and the like')
    parts: list[tuple[tuple[str, ...], str]] = []
    heads = text.split(":")
    if len(heads) == 1:
        raise _unknown(text, "phase", text, PHASES, "; put it first, with a colon after it")
    head = heads[0]
    for i, piece in enumerate(heads[1:], start=1):
        body, following = piece, ""
        if i < len(heads) - 1:  # the next phase stands after the last stop before its colon
            cut = max(piece.rfind(mark) for mark in ";,.\n")
            body, following = (piece[:cut], piece[cut + 1 :]) if cut >= 0 else ("", piece)
        parts.append((_phases(text, head), body))
        head = following
    return parts


def _phases(text: str, head: str) -> tuple[str, ...]:
    table = _table(PHASES)
    named: list[str] = []
    for token, known in _scan(head, {"phase": table}):
        if known is None:
            raise _unknown(text, "phase", token, PHASES)
        named.append(known[1])
    if not named:
        raise _unknown(text, "phase", head.strip() or "nothing", PHASES)
    return tuple(named)


def _read(text: str, phases: tuple[str, ...], body: str, words: Sequence[Instrument]) -> set[Said]:
    tables = {
        "instrument": _table(tuple(one.word for one in words)),
        "all": _table((Word("all", _ALL, ""),)),
        "rest": _table((Word("rest", _REST, ""),)),
        "behaviour": _table(BEHAVIOURS),
    }
    every = [one.name for one in words]
    mentioned: set[str] = set()
    now: list[str] = []
    found: set[Said] = set()
    rest: list[str] = []
    last, before = "", ""
    for token, known in _scan(body, tables):
        if known is None:
            field = "instrument" if not now else "instrument or behaviour"
            raise _unknown(text, field, token, (*(one.word for one in words), *BEHAVIOURS))
        what, name = known
        if what == "behaviour":
            if not now and last != "rest":
                raise _unknown(text, f"instrument before {token}", "none", [one.word for one in words])
            found |= {Said(phase, one, name) for phase in phases for one in now}
            rest += [name] if last == "rest" else []
        else:
            if before == "behaviour":
                now, last = [], ""
            now += every if what == "all" else [name] if what == "instrument" else []
            mentioned |= {name} if what == "instrument" else set()
            last = what
        before = what
    if before != "behaviour":
        raise _unknown(text, "behaviour", f"none after {body.strip() or 'the colon'}", BEHAVIOURS)
    others = [one for one in every if one not in mentioned]
    return found | {Said(phase, one, name) for phase in phases for one in others for name in rest}


Table = Mapping[tuple[str, ...], str]


@lru_cache(maxsize=64)
def _table(words: tuple[Word, ...]) -> Table:
    """Every way to say a word, in tokens -> its name."""
    return {tuple(_tokens(way)): word.name for word in words for way in word.ways}


def _tokens(text: str) -> list[str]:
    return re.findall(r"[^\s,;.!\"()-]+", text.lower().replace("’", "'"))


def _scan(text: str, tables: Mapping[str, Table]) -> Iterable[tuple[str, tuple[str, str] | None]]:
    """Go through a text: (what stands there, (which table, name)), the longest known run of words first.

    Small words that begin nothing are passed over; None where a word is in no table.
    """
    tokens = _tokens(text)
    longest = max(len(way) for table in tables.values() for way in table)
    at = 0
    while at < len(tokens):
        for length in range(min(longest, len(tokens) - at), 0, -1):
            run = tuple(tokens[at : at + length])
            known = next(((what, table[run]) for what, table in tables.items() if run in table), None)
            if known:
                yield " ".join(run), known
                at += length
                break
        else:
            if tokens[at] not in _SMALL:
                yield tokens[at], None
            at += 1


def _unknown(text: str, field: str, read: str, words: Iterable[Word], hint: str = "") -> InputError:
    return InputError(f'saw "{text}"', field, read, ", ".join(word.name for word in words) + hint)
