"""Openings that see the wrong pressure: a dented port, a bent mast."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.faults.entry import Entry, Size
from ramstill.faults.places import masts, names, of_mast, openings
from ramstill.faults.state import State

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.pneumatics.schedule import Schedule

# A body that no longer lies along the stream loses less total pressure at its inlet than its static
# openings change by; a quarter of it is assumed, no source.
_INLET_SHARE = 0.25


def _ports(airplane: Airplane) -> list[str]:
    return names(openings(airplane, "static-port"))


def _deformed(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    return state.at("opening", place).coefficient(place, size[1], share)


def _bent(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    inlet = next(o for o in openings(state.airplane, "pitot-inlet") if o.name == place)
    state = state.at("opening", place).coefficient(place, -_INLET_SHARE * abs(size[1]), share)
    for opening in of_mast(state.airplane, inlet):
        if opening.kind == "static-port":
            state = state.at("opening", opening.name).coefficient(opening.name, size[1], share)
    return state


ENTRIES = (
    Entry(
        "port-deformed",
        "Static port deformed",
        "A dent, burr or raised edge beside a static port changes the pressure it sees with airspeed.",
        "share of the size",
        "static port",
        _ports,
        _deformed,
        size=Size("the change of its pressure coefficient", "-0.10", ("dimensionless",), positive=False),
    ),
    Entry(
        "mast-bent",
        "Mast bent",
        "The mast stands askew in the stream, so that its static openings see a changed pressure and its "
        "inlet loses a little.",
        "share of the size",
        "pitot inlet on a mast with static openings",
        masts,
        _bent,
        size=Size(
            "the change of the static openings' pressure coefficient",
            "-0.15",
            ("dimensionless",),
            positive=False,
        ),
    ),
)
