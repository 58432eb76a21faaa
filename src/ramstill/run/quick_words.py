"""What was too quick for the engine, in words: one paragraph, a sentence for each pointer it matters to."""

from __future__ import annotations

from ramstill.run import phrases as say
from ramstill.run.kinds import kind_of
from ramstill.run.needles import unsaid_si
from ramstill.run.record import Paragraph, Run, TooQuick

MOST = 4  # sentences
TITLE = "Too quick to be shown right"
NO_INERTIA = "Here the air in lines has no inertia; in a real system it also swings for a moment."


def beyond_the_engine(run: Run) -> list[Paragraph]:
    """One paragraph, or none where nothing was too quick."""
    found = run.too_quick()
    if not found:
        return []
    pointers: dict[str, list[TooQuick]] = {}
    for one in sorted(found, key=lambda each: -_severity(run, each)):
        pointers.setdefault(one.pointer, []).append(one)
    sentences = [_sentence(run, events) for events in list(pointers.values())[:MOST]]
    left = [say.first_down(run.pointer(name).title) for name in list(pointers)[MOST:]]
    if left:
        sentences.append(f"Smaller differences, for their size: {say.listed(left)}.")
    text = " ".join([NO_INERTIA, *sentences])
    return [Paragraph("note", TITLE, text, subject=found[0].pointer, at_s=found[0].at_s)]


def _severity(run: Run, event: TooQuick) -> float:
    return abs(event.off_si) / unsaid_si(run.pointer(event.pointer))


def _sentence(run: Run, events: list[TooQuick]) -> str:
    """The worst of one pointer's events, and how many others there are."""
    worst, pointer = events[0], run.pointer(events[0].pointer)
    kind = kind_of(pointer)
    amount = f"{_round(abs(worst.off_si) / kind.size)} {kind.unit}"
    way = "more" if worst.off_si > 0 else "less"
    lasts = max(worst.until_s - worst.at_s, 0.1)
    why = f" ({say.first_down(worst.cause)})" if worst.cause else ""
    others = len(events) - 1
    more = "" if not others else f", and {'once' if others == 1 else f'{others} times'} more by less"
    return (
        f"{say.first_up(pointer.title)}: for about {lasts:.1f} s from {say.clock(worst.at_s)}{why} the real "
        f"one shows up to about {amount} {way} than here{more}."
    )


def _round(value: float) -> str:
    """Two figures: it is an estimate."""
    step = 10.0 ** max(len(f"{value:.0f}") - 2, 0)
    return say.number(value, step)
