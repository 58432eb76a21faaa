"""Faults put into one airplane and its surroundings."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from ramstill.air.constants import P0
from ramstill.errors import InputError
from ramstill.faults.entry import Entry
from ramstill.faults.fault import Fault, choose
from ramstill.faults.listing import catalogue
from ramstill.faults.state import State

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import PointerEdit
    from ramstill.pneumatics import Network
    from ramstill.pneumatics.surroundings import Surroundings


@dataclass(frozen=True, slots=True)
class Applied:
    """The airplane's air and surroundings with the faults in them.

    pointer_edits: edits of the instruments' own parts; places: (kind, name) of every part that a fault sits
    on, in the order of the faults, kind one of "opening", "line", "fitting", "valve", "instrument".
    """

    network: Network
    surroundings: Surroundings
    pointer_edits: tuple[PointerEdit, ...]
    places: tuple[tuple[str, str], ...]


def check(fault: Fault, airplane: Airplane, source: str = "") -> tuple[Entry, str, tuple[str, float]]:
    """Return the catalogue entry, the place and the size (dimension, SI value) of a fault on an airplane.

    Raises InputError, naming `source` (by default the fault), for a fault, place, severity or size that the
    catalogue or the airplane does not have.
    """
    entries = catalogue()
    entry = entries[choose(fault.name, entries, source or "fault", "name", "one of")]
    source = source or f"fault {fault.name}"
    places = entry.places(airplane)
    if not places:
        able = [name for name, other in entries.items() if other.places(airplane)]
        raise InputError(
            source,
            "name",
            f"{fault.name} on {airplane.name}, which has no {entry.place_meaning} for it",
            f"one of {', '.join(able)}",
        )
    place = choose(fault.where or places[0], places, source, "where", f"{entry.place_meaning}:")
    if entry.whole and (fault.severity != 1.0 or fault.gradual_s != 0.0):
        field, read = ("severity", fault.severity) if fault.severity != 1.0 else ("gradual", fault.gradual_s)
        raise InputError(source, field, read, "1 and sudden: this fault is there or it is not")
    if entry.size is not None:
        return entry, place, entry.size.parse(fault.size, source)
    if fault.size is not None:
        raise InputError(source, "size", fault.size, "no size: use severity")
    return entry, place, ("", 0.0)


def apply(
    faults: Iterable[Fault],
    airplane: Airplane,
    network: Network,
    surroundings: Surroundings,
    source: str = "",
) -> Applied:
    """Return network and surroundings of `airplane` with `faults` in them; several act together.

    Raises InputError as `check` does.
    """
    # A fresh network even without edits, so that the healthy one is never mistaken for it.
    state = State(airplane, replace(network), surroundings)
    checked = [(number, fault, *check(fault, airplane, source)) for number, fault in enumerate(faults)]
    places: dict[int, tuple[tuple[str, str], ...]] = {}
    for number, fault, entry, place, size in sorted(checked, key=lambda one: not one[2].first):
        before = len(state.places)
        state = entry.build(state, place, fault.schedule(), size)
        places[number] = state.places[before:]
    there = tuple(place for number in sorted(places) for place in places[number])
    return Applied(state.network, state.surroundings, state.pointer_edits, there)


def where_on_airplane(fault: Fault, airplane: Airplane) -> tuple[tuple[str, str], ...]:
    """Return (kind, name) of every part that the fault sits on: see `Applied.places`."""
    from ramstill.pneumatics import compile_network
    from ramstill.pneumatics.surroundings import Surroundings

    network = compile_network(airplane)
    parked = Surroundings.steady(0.0, 1.0, dict.fromkeys(network.boundary_names, P0))
    return apply([fault], airplane, network, parked).places
