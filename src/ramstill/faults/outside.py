"""Openings that see the wrong pressure: a dented port, a bent mast."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.faults.entry import Entry, Size
from ramstill.faults.places import masts, names, of_mast, openings
from ramstill.faults.state import State

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.pneumatics import Truth
    from ramstill.pneumatics.schedule import FloatArray, Schedule

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


def _pressurised(airplane: Airplane) -> list[str]:
    return ["cabin"] if airplane.inside.pressurisation is not None else []


def _cabin_lost(state: State, _place: str, share: Schedule, _: object) -> State:
    inside = state.airplane.inside

    def change(truth: Truth) -> FloatArray:
        at = truth.static_pressure_pa, truth.impact_pressure_pa
        return np.asarray(inside.cabin_pressure(*at, pressurised=False) - inside.cabin_pressure(*at))

    # an instrument stands in the cabin; there is no part that a lost pressure sits on
    state = state.at("instrument", state.airplane.instruments[0].name)
    for name in ("cabin", *(o.name for o in state.airplane.openings if o.sees == "cabin")):
        state = state.pressure(name, change, share)
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
        "total-energy-probe-bent",
        "Total-energy probe bent",
        "The total-energy probe stands askew, so that its pressure is not that of the energy: the variometer "
        "shows part of every change of speed.",
        "share of the size",
        "total-energy probe",
        lambda airplane: names(openings(airplane, "total-energy-probe")),
        _deformed,
        size=Size("the change of its pressure coefficient", "0.20", ("dimensionless",), positive=False),
    ),
    Entry(
        "cabin-pressure-lost",
        "Cabin pressure lost",
        "The cabin of a pressurised airplane has no more pressure than any other: what leaks into the lines "
        "there changes with it.",
        "share of the pressure above that of an ordinary cabin that is lost",
        "pressurised cabin",
        _pressurised,
        _cabin_lost,
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
