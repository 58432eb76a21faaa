"""Pitot and static lines fitted the wrong way round, at the mast or at one instrument."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.faults.entry import Entry
from ramstill.faults.places import ALL, MAST, masts, of_kind, outer_first, trunks
from ramstill.faults.state import State

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.pneumatics.schedule import Schedule


def _places(airplane: Airplane) -> list[str]:
    everything = [ALL] if trunks(airplane, "pitot") and trunks(airplane, "static") else []
    at_mast = [MAST] if everything and masts(airplane) else []
    return at_mast + everything + of_kind(airplane, "airspeed-indicator", "air-data-computer")


def _cross_all(state: State, share: Schedule) -> State:
    """Cross the two outermost lines that everything hangs on: each leads to where the other should."""
    pitot, static = trunks(state.airplane, "pitot")[0], trunks(state.airplane, "static")[0]
    (pitot_outer, pitot_inner), (static_outer, static_inner) = (
        outer_first(state.airplane, line) for line in (pitot, static)
    )
    for line, outer, wrong in ((pitot, pitot_outer, static_inner), (static, static_outer, pitot_inner)):
        state = state.at("line", line.name).shut(line.name, share)
        state = state.tube(outer, wrong, line.length_m, line.bore, share)
    return state


def _cross_at(state: State, instrument: str, share: Schedule) -> State:
    """Cross every line at the two ports of one instrument; what hangs on it further on stays on its line."""
    state = state.at("instrument", instrument)
    other = {
        f"{instrument}.pitot": f"{instrument}.static",
        f"{instrument}.static": f"{instrument}.pitot",
    }
    for line in state.airplane.lines:
        if line.start in other or line.end in other:
            a, b = other.get(line.start, line.start), other.get(line.end, line.end)
            state = state.shut(line.name, share).tube(a, b, line.length_m, line.bore, share)
    return state


def _crossed(state: State, place: str, share: Schedule, _: object) -> State:
    return _cross_all(state, share) if place in (ALL, MAST) else _cross_at(state, place, share)


ENTRIES = (
    Entry(
        "lines-crossed",
        "Lines crossed",
        "Pitot and static lines are swapped: at the mast or where the lines begin for every instrument, "
        "at one indicator for that one only.",
        "1: they are crossed or they are not",
        "place where pitot and static lines are fitted side by side",
        _places,
        _crossed,
        comes="suddenly",
        whole=True,
    ),
)
