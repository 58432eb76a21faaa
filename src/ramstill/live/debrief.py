"""The debrief of a class: one offline page on what could be seen when, who called it, and where it split.

No points and no order of people: learners stand in the order in which they sat down.
"""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill import __version__
from ramstill.errors import InputError
from ramstill.live import debrief_words as words
from ramstill.live.answers import title_of
from ramstill.live.record import NOTHING_WRONG, UNSURE
from ramstill.live.visible import thresholds
from ramstill.live.worked import work_out
from ramstill.pictures.class_line import Lane, Mark, Row, Sort, class_line
from ramstill.pictures.of_run import meter
from ramstill.pictures.scales import clock
from ramstill.pictures.strip import Span
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.live.record import ClassRecord, Round
    from ramstill.live.worked import Looked, Worked

CUES = ("first seen", "after it began", "where", "what is to be seen", "off by then")
CALLS = (
    "learner",
    "wrote down",
    "when",
    "beside the first cue",
    "since when",
    "would do now",
    "how it stands",
)
SPLIT = ("answer", "how many", "who", "how it stands")
_BEFORE_S = 10.0  # drawn before the first thing that happens [s]
_AT_LEAST_S = 30.0  # drawn in all [s]
# Smallest span of a lane [its unit], so that a steady pointer does not look wild.
_LEAST = {"kt": 20.0, "mph": 20.0, "km/h": 40.0, "ft": 200.0, "ft/min": 500.0, "m/s": 2.5}
_SORTS: dict[str, Sort] = {
    "right": "right",
    "alike": "alike",
    "noticed": "open",
    "unseen": "open",
    "missed": "wrong",
    "wrong": "wrong",
}


def debrief_page(record: ClassRecord, folder: Path | None = None) -> str:
    """Return the debrief as self-contained HTML without script or outside address.

    Rounds that were never revealed are left out; of one whose flight cannot be flown again the page says so
    and keeps the answers. folder: where relative paths of the saved flights start. Takes seconds.
    """
    from ramstill import pictures
    from ramstill.pictures import class_line as drawing
    from ramstill.report.assets import policy_hash, template, text_of

    style = pictures.style() + drawing.style() + text_of("page.css") + text_of("debrief.css")
    seats = [one.seat for one in record.seats]
    closed = [one for one in record.rounds if one.closed_s is not None]
    rounds, invented = [], False
    for one in closed:
        try:
            worked = work_out(one, seats, folder)
        except InputError as error:
            rounds.append(_unflown(record, one, str(error)))
            continue
        invented = invented or worked.airplane.invented
        rounds.append(_round(record, worked))
    return template("debrief.html.j2").render(
        style=style,
        style_hash=policy_hash(style),
        version=__version__,
        safety=SAFETY,
        title=record.title or "A class",
        airplane=record.airplane,
        invented=invented,
        when=_when(record),
        gist=_gist(record, len(closed)),
        rounds=rounds,
        thresholds=thresholds(),
        cue_heads=CUES,
        call_heads=CALLS,
        split_heads=SPLIT,
    )


def _when(record: ClassRecord) -> str:
    """The day and the hours of the class, by this machine's clock."""
    began = datetime.fromtimestamp(record.opened_at, UTC).astimezone()
    day = f"{began.day} {began:%B %Y}, {began:%H:%M}"
    if record.closed_at is None:
        return f"{day}, not ended yet"
    return f"{day} to {datetime.fromtimestamp(record.closed_at, UTC).astimezone():%H:%M}"


def _gist(record: ClassRecord, closed: int) -> str:
    people = len(record.seats)
    learners = f"{people} learner{'' if people == 1 else 's'}"
    rounds = f"{closed} round{'' if closed == 1 else 's'}"
    left = len(record.rounds) - closed
    more = f"; {left} more that {'was' if left == 1 else 'were'} never revealed" if left else ""
    return f"{learners}, {rounds} from the question to the reveal{more}."


def _round(record: ClassRecord, worked: Worked) -> dict[str, Any]:
    one = worked.round
    assert one.closed_s is not None
    return {
        "number": one.number,
        "times": f"asked at {clock(one.asked_s)}, revealed at {clock(one.closed_s)} of the flight",
        "problem": "",
        "panels": [
            _panel(record, worked, looked, f"round-{one.number}-{i}")
            for i, looked in enumerate(worked.looked)
        ],
        "answers": (),
    }


def _unflown(record: ClassRecord, one: Round, problem: str) -> dict[str, Any]:
    """A round of which only the answers can be shown."""
    rows = []
    for seat in record.seats:
        call = one.last(seat.seat)
        if call is not None:
            rows.append(
                (record.called(seat.seat), title_of(call.fault or ""), clock(call.at_s), call.would_do)
            )
    return {
        "number": one.number,
        "times": f"asked at {clock(one.asked_s)}, revealed at {clock(one.closed_s or 0.0)} of the flight",
        "problem": problem,
        "panels": (),
        "answers": rows,
    }


def _panel(record: ClassRecord, worked: Worked, looked: Looked, key: str) -> dict[str, Any]:
    start = float(worked.time_s[0])
    began = min((fault.onset_s for fault in looked.faults), default=start)
    shared = len(worked.looked) == 1
    return {
        "heading": words.heading(looked),
        "faults": [(words.fault_words(fault), words.when_words(fault, start)) for fault in looked.faults],
        "who": "" if shared else ", ".join(record.called(seat) for seat in looked.seats),
        "summary": words.summary(worked, looked),
        "wide": _picture(record, worked, looked, f"{key}-wide", compact=False),
        "narrow": _picture(record, worked, looked, f"{key}-narrow", compact=True),
        "cues": [
            (
                clock(cue.at_s),
                f"{max(cue.at_s - began, 0.0):.0f} s",
                words.cue_place(worked, cue),
                words.cue_words(worked, cue),
                words.amount_at(worked, cue),
            )
            for cue in looked.cues
        ],
        "calls": [words.call_row(record, worked, looked, seat) for seat in looked.seats],
        "split": words.split_rows(record, worked, looked),
    }


def _picture(record: ClassRecord, worked: Worked, looked: Looked, key: str, compact: bool) -> str:
    one, time_s = worked.round, worked.time_s
    end = float(time_s[-1])
    told = [fault.onset_s for fault in looked.faults if fault.onset_s > time_s[0]]
    told += [call.since_s for seat in looked.seats if (call := one.last(seat)) and call.since_s is not None]
    first = min([one.asked_s, *told]) - _BEFORE_S
    kept = time_s >= max(float(time_s[0]), min(first, end - _AT_LEAST_S))
    rows, marks = _answers(record, worked, looked)
    return class_line(
        time_s[kept],
        _lanes(worked, looked, kept),
        [Span(f.onset_s, end if f.end_s is None else f.end_s, words.fault_words(f)) for f in looked.faults],
        rows,
        marks,
        one.asked_s,
        title=f"Round {one.number}, {words.heading(looked)}: what could be seen, and what was written down",
        compact=compact,
        key=key,
    )


def _lanes(worked: Worked, looked: Looked, kept: np.ndarray[Any, np.dtype[np.bool_]]) -> list[Lane]:
    """One for each pointer that a cue is about, in the order of the panel."""
    lanes = []
    for pointer in worked.pointers:
        mine = [cue for cue in looked.cues if pointer.name in cue.pointers]
        if not mine:
            continue
        own = next((cue for cue in mine if cue.kind != "apart"), None)
        unit = meter(pointer)
        lanes.append(
            Lane(
                title=words.pointer_name(worked, pointer.name),
                unit=unit.unit,
                shown=looked.shown[pointer.name][kept] / unit.one,
                sound=worked.sound[pointer.name][kept] / unit.one,
                seen=own.seen[kept] if own is not None else np.zeros(int(kept.sum()), dtype=bool),
                seen_s=own.at_s if own is not None else None,
                words=words.cue_words(worked, own) if own is not None else "",
                least=_LEAST[unit.unit],
            )
        )
    return lanes


def _answers(record: ClassRecord, worked: Worked, looked: Looked) -> tuple[list[Row], list[Mark]]:
    """A row for each answer that was ever written down for this panel, right ones first; and the marks."""
    one = worked.round
    sorts: dict[str, Sort] = {}
    for seat in looked.seats:
        last = one.last(seat)
        for call in one.of(seat):
            if call.fault is not None:
                sorts.setdefault(call.fault, _sort_of(looked, call.fault))
        if last is not None:
            sorts[last.fault or ""] = _SORTS[looked.verdicts[seat].stands]
    stand = [last.fault for seat in looked.seats if (last := one.last(seat)) is not None]
    kinds = ("right", "alike", "open", "wrong")
    order = sorted(sorts, key=lambda answer: (kinds.index(sorts[answer]), -stand.count(answer)))
    marks = []
    for number, seat in enumerate((s.seat for s in record.seats), 1):
        if seat not in looked.seats:
            continue
        last = one.last(seat)
        marks += [
            Mark(
                number=number,
                name=record.called(seat),
                row=order.index(call.fault),
                at_s=call.at_s,
                since_s=call.since_s,
                last=call is last,
            )
            for call in one.of(seat)
            if call.fault is not None and one.on_the_way(call)
        ]
    return [Row(title_of(answer), sorts[answer]) for answer in order], marks


def _sort_of(looked: Looked, answer: str) -> Sort:
    """Of an answer that may have been changed before the reveal, as far as it can be told without flying."""
    if answer in {fault.name for fault in looked.faults}:
        return "right"
    if answer == NOTHING_WRONG:
        return "wrong" if looked.cues else "right" if not looked.faults else "open"
    if answer == UNSURE:
        return "open" if looked.faults else "wrong"
    return "wrong"
