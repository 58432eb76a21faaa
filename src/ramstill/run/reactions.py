"""A pointer's reactions as words, made from how far it moved beside how far it ought to have."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from ramstill.air import units
from ramstill.run import phrases as say
from ramstill.run.ahead import Reaction

CLOSE = 0.07  # share of the right movement within which a pointer follows
# Movement too small to tell from none, by kind of instrument [m/s or m].
STILL = {
    "airspeed-indicator": 1.0 * units.KT,
    "altimeter": 20.0 * units.FT,
    "vertical-speed-indicator": 50.0 * units.FPM,
    "encoder": 100.0 * units.FT,
}
_ALIKE = 0.1  # two directions that differ by less than this share are told together


def reaction_text(instrument: Any, reactions: Mapping[str, Reaction], step_ft: float, step_kt: float) -> str:
    """Sentences on what the pointer of `instrument` does for each change worked out by `ahead`."""
    height = f"{step_ft:,.0f} ft"
    sentences = []
    if instrument.kind == "vertical-speed-indicator":
        sentences.append(_rate(instrument, reactions))
    else:
        steady = " at a steady airspeed" if instrument.kind == "airspeed-indicator" else ""
        sentences.append(
            _both(
                instrument,
                reactions["up"],
                reactions["down"],
                f"climb {height}{steady}",
                f"descend {height}{steady}",
            )
        )
    if "faster" in reactions:
        ways = f"fly {step_kt:.0f} kt faster", f"fly {step_kt:.0f} kt slower"
        told = _both(instrument, reactions["faster"], reactions["slower"], *ways)
        if instrument.kind == "airspeed-indicator" or "not move" not in told:
            sentences.append(told)
    return " ".join(sentences)


def _both(instrument: Any, one: Reaction, other: Reaction, first: str, second: str) -> str:
    a, b = _move(instrument, one.moved, one.right), _move(instrument, other.moved, other.right)
    if a == b:
        return say.first_up(f"{first}, or {second}, and it {a}.")
    return say.first_up(f"{first} and it {a}; {second} and it {b}.")


def _move(instrument: Any, moved: float, right: float) -> str:
    """What the pointer does, against what it ought to do."""
    still = STILL[instrument.kind]
    amount = say.said(abs(moved), instrument)
    way = "rises" if moved > 0 else "falls"
    if abs(right) <= still:
        return (
            "does not move, as is right" if abs(moved) <= still else f"{way} by {amount}, and should not move"
        )
    ought = say.said(abs(right), instrument)
    if abs(moved) <= still:
        return f"does not move, where {ought} would be right"
    share = moved / right
    if share < 0:
        return f"goes the wrong way: it {way} by {amount}"
    if abs(share - 1.0) <= CLOSE:
        return "follows"
    return f"{way} by {'only ' if share < 1 else ''}{amount}, where {ought} would be right"


def _rate(instrument: Any, reactions: Mapping[str, Reaction]) -> str:
    """A vertical speed indicator: what it shows in a climb and a descent, and whether it comes to rest."""
    up, down = reactions["up"], reactions["down"]
    a, b = _shows(instrument, up, "climb"), _shows(instrument, down, "descent")
    text = f"In a steady climb of {say.said(up.right_during, instrument)} it {a}"
    text += f"; in the same descent it {b}." if a != b else ", and so in the same descent."
    left = max((up, down), key=lambda r: abs(r.moved - r.right))
    if abs(left.moved - left.right) > 2.0 * STILL[instrument.kind]:
        text += f" A minute after levelling off it still stands {say.said(left.moved, instrument)} away."
    return text


def _shows(instrument: Any, reaction: Reaction, word: str) -> str:
    shown, right = reaction.during, reaction.right_during
    if abs(shown) <= STILL[instrument.kind]:
        return "shows nothing"
    share = shown / right
    other = "descent" if word == "climb" else "climb"
    amount = say.said(abs(shown), instrument)
    if share < 0:
        return f"goes the wrong way: it shows a {other} of {amount}"
    if abs(share - 1.0) <= CLOSE:
        return "shows it"
    return f"shows {'only ' if share < 1 else ''}{amount}"
