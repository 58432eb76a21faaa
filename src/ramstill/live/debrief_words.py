"""A round of a class in words: its faults, what could be seen, how each answer stands, where it split."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING

from ramstill.live.answers import title_of
from ramstill.live.record import NOTHING_WRONG, Call
from ramstill.pictures.of_airplane import plain
from ramstill.pictures.of_run import meter
from ramstill.pictures.scales import clock, spoken
from ramstill.run.phrases import first_down, first_up, listed

if TYPE_CHECKING:
    from ramstill.faults import Fault
    from ramstill.live.record import ClassRecord
    from ramstill.live.visible import Cue
    from ramstill.live.worked import Looked, Verdict, Worked


def fault_words(fault: Fault) -> str:
    """A fault with its place and how bad it is: "Pitot inlet blocked, mast inlet, half"."""
    parts = [title_of(fault.name)]
    if fault.where is not None:
        parts.append(plain(fault.where))
    if fault.severity < 1.0:
        parts.append(f"{100.0 * fault.severity:.0f} %")
    if fault.size is not None:
        parts.append(fault.size)
    return ", ".join(parts)


def heading(looked: Looked) -> str:
    """What a panel had, as a title."""
    return "; ".join(fault_words(fault) for fault in looked.faults) or "A sound airplane"


def when_words(fault: Fault, start_s: float) -> str:
    """Since when a fault is there, and until when."""
    since = "there from the start" if fault.onset_s <= start_s else f"from {clock(fault.onset_s)}"
    grows = f", growing for {fault.gradual_s:.0f} s" if fault.gradual_s > 0.0 else ""
    return since + grows + ("" if fault.end_s is None else f", gone at {clock(fault.end_s)}")


def cue_words(worked: Worked, cue: Cue) -> str:
    """What is to be seen: "rising, high", "shows nothing", "apart by 620 ft/min"."""
    if cue.kind == "blank":
        return "shows nothing"
    pointer = worked.pointer(cue.pointers[0])
    unit = meter(pointer)
    size = spoken(abs(cue.amount_si) / unit.one, 1 if unit.unit == "m/s" else 0)
    if cue.kind == "apart":
        return f"apart by {size} {unit.unit}"
    way = "high" if cue.amount_si > 0.0 else "low"
    return ", ".join(cue.said[:2]) or f"{size} {unit.unit} {way}"


def cue_place(worked: Worked, cue: Cue) -> str:
    """Which pointer, or which two."""
    return listed([first_down(pointer_name(worked, name)) for name in cue.pointers])


def pointer_name(worked: Worked, name: str) -> str:
    """A pointer as a heading calls it."""
    return first_up(str(worked.pointer(name).title))


def after_words(at_s: float, looked: Looked) -> str:
    """A time beside the first cue: "12 s after", "5 s before", or nothing where nothing could be seen."""
    if not looked.cues:
        return ""
    late = round(at_s - looked.cues[0].at_s)
    return f"{late} s after" if late >= 0 else f"{-late} s before"


def stands_words(worked: Worked, call: Call, verdict: Verdict, looked: Looked) -> str:
    """How an answer stands, in a sentence without its stop."""
    if verdict.stands == "right":
        early = looked.cues and call.at_s < looked.cues[0].at_s and call.fault != NOTHING_WRONG
        return "right, before it could be seen" if early else "right"
    if verdict.stands == "alike":
        return "another fault, which looks the same on this panel"
    if verdict.stands == "noticed":
        return "saw that something is wrong"
    if verdict.stands == "unseen":
        return "not so, but nothing could be seen on the panel"
    if verdict.stands == "missed":
        return f"not so: from {clock(looked.cues[0].at_s)} it could be seen"
    if not looked.faults:
        return "not so: nothing was wrong"
    if verdict.until_s is None:
        return "not what it was"
    by = first_down(pointer_name(worked, verdict.by))
    return f"not what it was: from {clock(verdict.until_s)} the {by} tells the two apart"


def since_words(call: Call, looked: Looked) -> str:
    """Since when they held it to be so, and how far that is from when it began."""
    if call.since_s is None:
        return "not said"
    said = clock(call.since_s)
    began = [fault.onset_s for fault in looked.faults if fault.name == call.fault]
    if not began:
        return said
    late = round(call.since_s - began[0])
    return f"{said}, {abs(late)} s {'late' if late > 0 else 'early'}" if late else f"{said}, to the second"


def summary(worked: Worked, looked: Looked) -> str:
    """One panel in two or three sentences: what could be seen when, and how the class took it."""
    seen = looked.cues[0] if looked.cues else None
    if not looked.faults:
        words = "Nothing was wrong with this airplane. "
    elif seen is None:
        words = "Up to the reveal nothing could be seen of it on the panel. "
    else:
        first = looked.faults[0].onset_s
        after = seen.at_s - first
        late = f", {after:.0f} s after it began" if first >= worked.time_s[0] and after >= 1.0 else ""
        words = (
            f"It could first be seen at {clock(seen.at_s)}{late}: {first_down(cue_place(worked, seen))} "
            f"{cue_words(worked, seen)}. "
        )
    return words + _taken(looked)


def _taken(looked: Looked) -> str:
    """How many were right at the reveal, and what the others held it for, by how many."""
    count = len(looked.seats)
    if not count:
        return "Nobody looked at it."
    stands: list[str] = [verdict.stands for verdict in looked.verdicts.values()]
    said = [f"{stands.count('right')} of {count} had it right at the reveal"]
    for kind, words in (
        ("alike", "named a fault that looks the same here"),
        ("noticed", "saw that something was wrong"),
        ("wrong", "named something else"),
    ):
        if stands.count(kind):
            said.append(f"{stands.count(kind)} {words}")
    sound = stands.count("missed") + stands.count("unseen")
    if sound:
        said.append(f"{sound} held the airplane to be sound")
    silent = count - len(stands)
    if silent:
        said.append(f"{silent} wrote nothing down")
    return f"{listed(said)}."


def split_rows(record: ClassRecord, worked: Worked, looked: Looked) -> list[tuple[str, str, str, str]]:
    """Where the class split: each answer, how many gave it, who, and how it stands; the commonest first."""
    found: dict[str, list[str]] = {}
    for seat in looked.verdicts:
        call = worked.round.last(seat)
        assert call is not None
        found.setdefault(call.fault or "", []).append(seat)
    rows = []
    for answer, seats in sorted(found.items(), key=lambda pair: -len(pair[1])):
        call = worked.round.last(seats[0])
        assert call is not None
        stands = stands_words(worked, call, looked.verdicts[seats[0]], looked)
        who = listed([record.called(seat) for seat in seats])
        rows.append(
            (title_of(answer), str(len(seats)), who, stands.removesuffix(", before it could be seen"))
        )
    return rows


def call_row(record: ClassRecord, worked: Worked, looked: Looked, seat: str) -> tuple[str, ...]:
    """One learner's line: number, name, answer, when, after the first cue, since when, would do, stands."""
    number = 1 + [one.seat for one in record.seats].index(seat)
    made = [call for call in worked.round.of(seat) if call.fault is not None]
    last = worked.round.last(seat)
    name = f"{number}. {record.called(seat)}"
    if last is None:
        held = f"nothing at the reveal; before, {_earlier(worked, made)}" if made else "nothing"
        return (name, held, "", "", "", "", "")
    before = _earlier(worked, made[:-1])
    answer = title_of(last.fault or "") + (f" (before: {before})" if before else "")
    left = "" if worked.round.on_the_way(last) else ", before the flight was taken back"
    return (
        name,
        answer,
        clock(last.at_s) + left,
        after_words(last.at_s, looked),
        since_words(last, looked),
        last.would_do or "not said",
        stands_words(worked, last, looked.verdicts[seat], looked),
    )


def _earlier(worked: Worked, made: list[Call]) -> str:
    return "; ".join(f"{first_down(title_of(call.fault or ''))} at {clock(call.at_s)}" for call in made)


def amount_at(worked: Worked, cue: Cue) -> str:
    """How far off at the time when it could first be seen, with its unit; nothing for a blank."""
    if isnan(cue.amount_si):
        return ""
    unit = meter(worked.pointer(cue.pointers[0]))
    sign = "+" if cue.amount_si > 0.0 else ""
    return f"{sign}{spoken(cue.amount_si / unit.one, 1 if unit.unit == 'm/s' else 0)} {unit.unit}"
