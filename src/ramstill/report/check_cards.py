"""Checks as cards: grouped by where they are made, what all of a group beware of said once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ramstill.pictures.scales import spoken

if TYPE_CHECKING:
    from ramstill.diagnosis.checks import Check, Outcome

GROUPS = ("in the air", "on the ground", "rated shop")
_TOLD = 0.01  # outcomes less likely than this are only named


@dataclass(frozen=True, slots=True)
class Card:
    """One check on the page.

    cautions: its own, beside those of its group; told: outcomes with what they mean; seldom: only named.
    """

    check: Check
    worth: str
    cautions: str
    told: tuple[Outcome, ...]
    seldom: tuple[Outcome, ...]


@dataclass(frozen=True, slots=True)
class Group:
    """Checks of one place, with the cautions that all of them share."""

    where: str
    cautions: str
    cards: tuple[Card, ...]


def card(check: Check, shared: Sequence[str] = ()) -> Card:
    """A check as a card, without the cautions that are `shared`."""
    own = [sentence for sentence in _sentences(check.cautions) if sentence not in shared]
    told = tuple(one for one in check.outcomes if one.probability >= _TOLD)
    seldom = tuple(one for one in check.outcomes if one.probability < _TOLD)
    return Card(check, worth(check), " ".join(own), told, seldom)


def grouped(checks: Sequence[Check]) -> tuple[Group, ...]:
    """The checks by place, each group in their order; a group without any is left out."""
    groups = []
    for where in GROUPS:
        here = [one for one in checks if one.where == where]
        if not here:
            continue
        every = [_sentences(one.cautions) for one in here]
        shared = [s for s in every[0] if len(here) > 1 and all(s in other for other in every)]
        groups.append(Group(where, " ".join(shared), tuple(card(one, shared) for one in here)))
    return tuple(groups)


def worth(check: Check) -> str:
    """Where it is made, how long it takes, and how much it is expected to tell."""
    said: list[str] = [check.where]
    if check.minutes > 0.0:
        said.append(f"about {_minutes(check.minutes)}")
    if check.outcomes:
        said.append(_telling(check.bits))
    return ", ".join(said)


def _minutes(minutes: float) -> str:
    if minutes < 90.0:
        return f"{max(minutes, 1.0):.0f} min"
    return f"{spoken(minutes / 60.0, 0 if minutes % 60.0 == 0.0 else 1)} h"


def _telling(bits: float) -> str:
    """Bits in words: one bit halves what is left."""
    if bits >= 0.05:
        return f"expected to tell {bits:.1f} bit"
    return "expected to tell next to nothing"


def _sentences(text: str) -> list[str]:
    return [sentence for sentence in re.split(r"(?<=\.)\s+", text.strip()) if sentence]
