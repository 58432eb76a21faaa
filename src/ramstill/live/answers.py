"""The plain list on which a learner finds an answer: what can be wrong with this airplane."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.live.record import NOTHING_WRONG, UNSURE

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

WOULD_DO_MOST = 300  # letters of what a learner would do
_OPEN = {NOTHING_WRONG: "Nothing is wrong", UNSURE: "Something is wrong, I cannot say what"}


def answers_for(airplane: Airplane) -> list[dict[str, str]]:
    """Every answer there is, each a name, a title and the group it stands in, in the order of the list.

    First that nothing is wrong, then the faults that the airplane can have, in the catalogue's groups and
    its order, last that something is wrong and the learner cannot say what.
    """
    from ramstill.faults import blockages, crossing, icing, instrument_parts, leaks, outside, water

    groups = (
        ("Shut or covered", blockages.ENTRIES),
        ("Heat and ice", icing.ENTRIES),
        ("Water", water.ENTRIES),
        ("Leaking, loose or open", leaks.ENTRIES),
        ("Crossed, bent or out of its place", (*crossing.ENTRIES, *outside.ENTRIES)),
        ("In an instrument", instrument_parts.ENTRIES),
    )
    faults = [
        {"name": entry.name, "title": entry.title, "group": group}
        for group, entries in groups
        for entry in entries
        if entry.default_place(airplane) is not None
    ]
    first, last = ({"name": name, "title": title, "group": ""} for name, title in _OPEN.items())
    return [first, *faults, last]


def title_of(answer: str) -> str:
    """An answer in words; a name that is on no list (of a later catalogue) as it stands."""
    from ramstill.faults import catalogue

    entry = catalogue().get(answer)
    return entry.title if entry is not None else _OPEN.get(answer, answer)
