"""What the server says of a class: its word and code, its roll, and what is revealed to a seat."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import asdict
from functools import lru_cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ramstill.live.record import Call
    from ramstill.live.schoolroom import Schoolroom

QUIET = 4  # modules of nothing around a code, as its standard (ISO/IEC 18004) asks for


def class_now(school: Schoolroom, url: str, on_network: bool, at: float) -> dict[str, Any]:
    """The class as the instructor's page shows it to the room; no word where none is open."""
    said: dict[str, Any] = {"say": "class", "open": school.open, "word": None, "on_network": on_network}
    if school.open:
        said |= {
            "word": school.word,
            "url": url,
            "qr": code(f"{url}#{school.word.replace(' ', '-')}"),
            "expires_s": round(max(0.0, school.expires_at - at), 1),
        }
    return said | {
        "joined": len(school.seats),
        "held": school.held,
        "asked": school.asked,
        "round": len(school.rounds),
        "revealed": list(school.revealed),
    }


@lru_cache(maxsize=8)
def code(text: str) -> Mapping[str, Any]:
    """A QR code of a text: its size with the quiet edge, in modules, and the dark ones as an SVG path."""
    import segno

    rows = segno.make(text, micro=False, error="m").matrix
    path = []
    for y, row in enumerate(rows):
        x = 0
        while x < len(row):
            length = next((i for i, dark in enumerate(row[x:]) if not dark), len(row) - x)
            if length:
                path.append(f"M{x + QUIET} {y + QUIET}h{length}v1h-{length}z")
            x += max(length, 1)
    return {"size": len(rows) + 2 * QUIET, "path": "".join(path)}


def roll(school: Schoolroom, here: Collection[str], faults: Mapping[str, list[Any]]) -> dict[str, Any]:
    """Who sits where, who is there now, and what each has written down in this round.

    faults: what was laid on each craft, by its name, as the page of the instructor names faults.
    """
    calls: dict[str, list[dict[str, Any]]] = {seat: [] for seat in school.seats}
    for call in school.rounds[-1].calls if school.rounds else ():
        calls[call.seat].append(_call(call) | {"made_at": call.made_at})
    return {
        "say": "roll",
        "round": len(school.rounds),
        "seats": [
            {
                "id": seat.seat,
                "name": seat.name,
                "here": seat.seat in here,
                "own": seat.seat in school.own,
                "faults": faults.get(school.craft_of(seat.seat), []),
                "calls": calls[seat.seat],
            }
            for seat in school.seats.values()
        ],
    }


def called(call: Call | None) -> dict[str, Any]:
    """What a learner has written down, as the server has it."""
    return {"say": "called", "call": None if call is None else _call(call)}


def asked(school: Schoolroom) -> dict[str, Any]:
    """Whether an answer may be written down."""
    asked_s = school.rounds[-1].asked_s if school.rounds else None
    return {"say": "asked", "open": school.asked, "round": len(school.rounds), "asked_s": asked_s}


def _call(call: Call) -> dict[str, Any]:
    kept = asdict(call)
    return {name: kept[name] for name in ("at_s", "fault", "since_s", "would_do")}
