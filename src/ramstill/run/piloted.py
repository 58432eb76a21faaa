"""A flown run in words: who flew, what happened, the first honest cue and the time it left."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.run import phrases as say
from ramstill.run.record import Moment, Paragraph

if TYPE_CHECKING:
    from ramstill.flight.pilots import Event, Flown
    from ramstill.run.record import Run

_TOLD = ("recognised", "action", "trusts", "warning", "stall", "limit", "ground", "ends", "late")
TITLES = {  # of the moments, and whether they come before the pointers' own
    "cue": "First honest cue",
    "stall": "The wing stalls",
    "limit": "Faster than ever allowed",
    "recognised": "The pilot recognises it",
    "trusts": "The pointers are trusted again",
    "warning": "Stall warning",
}
STALLS = (
    "The airplane is a point of mass here, with a stall that breaks as its file says: a real wing may drop, "
    "and a spin is not in it. Flying into a stall by faulty pointers is for this screen alone."
)


def paragraphs(run: Run) -> list[Paragraph]:
    """Who flew, what happened, and the first honest cue; nothing for a run that no pilot flew."""
    flown = run.flown
    if flown is None:
        return []
    found = [_who(flown), *_happened(flown), *_cue(flown)]
    if flown.trouble is not None:
        found.append(Paragraph("pilot", "What this does not show", STALLS))
    return found


def _who(flown: Flown) -> Paragraph:
    from ramstill.flight.pilots import STYLES

    plan = flown.plan
    text = (
        f"{say.first_up(plan.style.replace('-', ' '))}: {STYLES[plan.style]}. The pointers are looked at "
        f"every {plan.scan:g} s, and what was seen moves the hand {plan.reaction:g} s later. "
    )
    if plan.style == "cross-check":
        text += (
            "Beside them stand pitch attitude, power, GPS ground speed and the altitude that the ground "
            f"reads back; what disagrees with them for {plan.recognition:g} s is no longer believed."
        )
    else:
        text += "Of speed and height the pilot knows nothing else."
    return Paragraph("pilot", "Who flew", text)


def _happened(flown: Flown) -> list[Paragraph]:
    told = [event for event in flown.events if event.kind in _TOLD]
    if not told:
        return []
    at: dict[str, list[str]] = {}
    for event in told:
        at.setdefault(say.clock(event.at_s), []).append(event.text)
    text = " ".join(f"{when}: {'; '.join(texts)}." for when, texts in at.items())
    return [Paragraph("pilot", "What happened", text, at_s=told[0].at_s)]


def _cue(flown: Flown) -> list[Paragraph]:
    cue, trouble = flown.first("cue"), flown.trouble
    if cue is None:
        if trouble is None:
            return []
        text = f"Nothing told it before {_named(trouble)} at {say.clock(trouble.at_s)}."
        return [Paragraph("pilot", "No honest cue", text, at_s=trouble.at_s)]
    from ramstill.flight.pilots import CUES

    text = f"{say.first_up(CUES[cue.cue])}, at {say.clock(cue.at_s)}: {cue.text}. "
    if trouble is not None and trouble.at_s > cue.at_s:
        text += f"That is {trouble.at_s - cue.at_s:.0f} s before {_named(trouble)}."
    elif trouble is not None:
        text += f"That is too late: {_named(trouble)} came {cue.at_s - trouble.at_s:.0f} s before it."
    else:
        text += "The wing never stalled."
    return [Paragraph("pilot", "The first honest cue", text, subject=cue.cue, at_s=cue.at_s)]


def _named(trouble: Event) -> str:
    return "the stall" if trouble.kind == "stall" else "the highest speed that is ever allowed"


def gist(run: Run) -> str:
    """The trouble and the first honest cue in one sentence, or nothing."""
    flown = run.flown
    if flown is None or flown.first("cue") is None:
        return ""
    from ramstill.flight.pilots import CUES

    cue, trouble = flown.first("cue"), flown.trouble
    assert cue is not None
    told = f"at {say.clock(cue.at_s)} {CUES[cue.cue]} tells that the pointers are wrong"
    if trouble is None:
        return f"{say.first_up(told)}; the wing never stalls."
    what = "the wing stalls" if trouble.kind == "stall" else "the highest speed ever allowed is passed"
    after = trouble.at_s - cue.at_s
    return f"{say.first_up(told)}, {after:.0f} s later {what}." if after > 0.0 else f"{say.first_up(what)}."


def moments(run: Run) -> list[tuple[int, Moment]]:
    """The flown run's own moments, with how telling each is: a rank as in moments.py."""
    if run.flown is None:
        return []
    found: list[tuple[int, Moment]] = []
    seen: set[str] = set()
    for event in run.flown.events:
        once = event.kind in seen
        seen.add(event.kind)
        if event.kind == "action" and "static" in event.text:
            found.append((1, Moment(event.at_s, say.first_up(event.text), "the pilot acts")))
        elif event.kind in TITLES and not once:
            rank = 1 if event.kind in ("cue", "stall", "limit", "recognised") else 4
            found.append((rank, Moment(event.at_s, TITLES[event.kind], event.text)))
    return found
