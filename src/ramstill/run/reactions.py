"""A pointer's reactions as words, made from how far it moved beside how far it ought to have."""

from __future__ import annotations

from collections.abc import Mapping
from math import isnan
from typing import Any

from ramstill.run import phrases as say
from ramstill.run.ahead import Reaction
from ramstill.run.kinds import kind_of

CLOSE = 0.07  # share of the right movement within which a pointer follows


_FOLLOWS, _STAYS = "follows", "stays where it is, as is right"


def reaction_text(instrument: Any, reactions: Mapping[str, Reaction], step_ft: float, step_kt: float) -> str:
    """Sentences on what a pointer does wrong for each change worked out by `ahead`; "" if nothing."""
    height, speed = f"{step_ft:,.0f} ft", f"{step_kt:.0f} kt"
    if instrument.shows == "vertical-speed":
        sentences = [_rate(instrument, reactions)]
    else:
        steady = " at a steady airspeed" if instrument.shows == "airspeed" else ""
        sentences = [_both(instrument, reactions, ("up", "down"), ("Climb", "descend"), f" {height}{steady}")]
    if "faster" in reactions:
        two = _both(
            instrument, reactions, ("faster", "slower"), (f"Fly {speed} faster", f"fly {speed} slower"), ""
        )
        sentences.append(two.replace(f"faster or fly {speed} slower", "faster or slower"))
    return " ".join(sentence for sentence in sentences if sentence)


def _both(
    instrument: Any, reactions: Mapping[str, Reaction], keys: tuple[str, str], ways: tuple[str, str], by: str
) -> str:
    """A sentence on a change and its opposite; nothing where the pointer does what it should."""
    a, b = (_move(instrument, reactions[key]) for key in keys)
    if a == b and a in (_FOLLOWS, _STAYS):
        return ""
    if a == b:
        return f"{ways[0]} or {ways[1]}{by} and it {a}."
    return f"{ways[0]}{by} and it {a}; {ways[1]}{by} and it {b}."


def _move(instrument: Any, reaction: Reaction) -> str:
    """What the pointer does, against what it ought to do."""
    moved, right, still = reaction.moved, reaction.right, kind_of(instrument).still_si
    if isnan(moved) or isnan(right):
        return _FOLLOWS if isnan(right) else "shows nothing"
    amount = say.said(abs(moved), instrument) + (", to the end of its scale" if reaction.stopped else "")
    way = "rises" if moved > 0 else "falls"
    if abs(right) <= still:
        return (
            "stays where it is, as is right" if abs(moved) <= still else f"{way} by {amount}: it should not"
        )
    ought = say.said(abs(right), instrument)
    if abs(moved) <= still:
        return f"does not move ({ought} would be right)"
    share = moved / right
    if share < 0:
        return f"goes the wrong way: it {way} by {amount}"
    if abs(share - 1.0) <= CLOSE:
        return _FOLLOWS
    return f"{way} by {'only ' if share < 1 else ''}{amount} ({ought} would be right)"


def _rate(instrument: Any, reactions: Mapping[str, Reaction]) -> str:
    """A vertical speed indicator: what it shows in a climb and a descent, and whether it comes to rest."""
    up, down = reactions["up"], reactions["down"]
    a, b = _shows(instrument, up, "climb"), _shows(instrument, down, "descent")
    rate = say.said(up.right_during, instrument)
    text = f"Climb at a steady {rate} and it {a}; descend at the same rate and it {b}."
    if a == b:
        text = "" if a == _FOLLOWS else f"Climb or descend at a steady {rate} and it {a}."
    left = max((up, down), key=lambda r: abs(r.moved - r.right))
    if abs(left.moved - left.right) > 2.0 * kind_of(instrument).still_si:
        text += f" A minute after levelling off it still stands {say.said(left.moved, instrument)} away."
    return text.strip()


def _shows(instrument: Any, reaction: Reaction, word: str) -> str:
    shown, right = reaction.during, reaction.right_during
    if isnan(shown) or isnan(right):
        return _FOLLOWS if isnan(right) else "shows nothing"
    if abs(shown) <= kind_of(instrument).still_si:
        return "shows nothing"
    share = shown / right
    other = "descent" if word == "climb" else "climb"
    amount = say.said(abs(shown), instrument)
    if share < 0:
        return f"goes the wrong way: it shows a {other} of {amount}"
    if abs(share - 1.0) <= CLOSE:
        return _FOLLOWS
    return f"shows {'only ' if share < 1 else ''}{amount}"
