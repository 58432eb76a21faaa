"""Openings and lines that are shut: by insects, tape, covers, caps, kinks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.faults.entry import Entry
from ramstill.faults.places import ALL, names, of_mast, openings
from ramstill.faults.state import State

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.airplane.openings import Opening
    from ramstill.pneumatics.schedule import Schedule

_SHUT = "share of the hole that is shut: 1 is airtight"
_BUILT_IN = ("pitot-inlet", "static-port", "pitot-drain", "total-energy-probe")
_OUTSIDE = ("pitot-inlet", "pitot-drain", "static-port", "static-drain", "total-energy-probe")


def _shut_all(state: State, shut: list[Opening], share: Schedule) -> State:
    for opening in shut:
        state = state.at("opening", opening.name).shut(opening.name, share)
    return state


def _named(airplane: Airplane, place: str, *kinds: str) -> list[Opening]:
    return [opening for opening in openings(airplane, *kinds) if place in (ALL, opening.name)]


def _inlets(airplane: Airplane) -> list[str]:
    found = names(openings(airplane, "pitot-inlet"))
    return [*found, ALL] if len(found) > 1 else found


def _inlet_blocked(state: State, place: str, share: Schedule, _: object) -> State:
    return _shut_all(state, _named(state.airplane, place, "pitot-inlet"), share)


def _drain_blocked(state: State, place: str, share: Schedule, _: object) -> State:
    return _shut_all(state, _named(state.airplane, place, "pitot-drain"), share)


def _drains_of(airplane: Airplane, inlet: Opening) -> list[Opening]:
    drains = openings(airplane, "pitot-drain")
    return [drain for drain in drains if drain.into == inlet.into] or drains


def _inlets_with_drain(airplane: Airplane) -> list[str]:
    return _inlets(airplane) if openings(airplane, "pitot-drain") else []


def _inlet_and_drain_blocked(state: State, place: str, share: Schedule, _: object) -> State:
    inlets = _named(state.airplane, place, "pitot-inlet")
    drains = {drain.name: drain for inlet in inlets for drain in _drains_of(state.airplane, inlet)}
    return _shut_all(state, [*inlets, *drains.values()], share)


def _all_ports(airplane: Airplane) -> list[str]:
    return [ALL] if openings(airplane, "static-port") else []


def _ports_blocked(state: State, _place: str, share: Schedule, _: object) -> State:
    return _shut_all(state, openings(state.airplane, "static-port"), share)


def _one_of_several_ports(airplane: Airplane) -> list[str]:
    ports = names(openings(airplane, "static-port"))
    return ports if len(ports) > 1 else []


def _everything(airplane: Airplane) -> list[str]:
    return [ALL] if openings(airplane, *_OUTSIDE) else []


def _everything_blocked(state: State, _place: str, share: Schedule, _: object) -> State:
    return _shut_all(state, openings(state.airplane, *_OUTSIDE), share)


def _nests(airplane: Airplane) -> list[str]:
    return names([o for kind in _BUILT_IN for o in openings(airplane, kind)])


def _nest(state: State, place: str, share: Schedule, _: object) -> State:
    return _shut_all(state, _named(state.airplane, place, *_OUTSIDE), share)


def _cover(state: State, place: str, share: Schedule, _: object) -> State:
    inlets = _named(state.airplane, place, "pitot-inlet")
    covered = {o.name: o for inlet in inlets for o in of_mast(state.airplane, inlet)}
    return _shut_all(state, list(covered.values()), share)


def _tapes(airplane: Airplane) -> list[str]:
    ports = names(openings(airplane, "static-port"))
    return [ALL, *ports] if len(ports) > 1 else ports


def _tape(state: State, place: str, share: Schedule, _: object) -> State:
    return _shut_all(state, _named(state.airplane, place, "static-port"), share)


def _caps(airplane: Airplane) -> list[str]:
    return names([*openings(airplane, "pitot-inlet"), *openings(airplane, "static-port")])


def _tees(airplane: Airplane) -> list[str]:
    kinds = ("tee", "manifold")
    return [fitting.name for fitting in airplane.fittings if fitting.kind in kinds]


def _tee(state: State, place: str, share: Schedule, _: object) -> State:
    state = state.at("fitting", place)
    for line in state.airplane.lines:
        if place in (line.start, line.end):
            state = state.shut(line.name, share)
    return state


def _lines(airplane: Airplane) -> list[str]:
    return [line.name for line in airplane.lines]


def _crushed(state: State, place: str, share: Schedule, _: object) -> State:
    return state.at("line", place).shut(place, share)


ENTRIES = (
    Entry(
        "pitot-inlet-blocked",
        "Pitot inlet blocked",
        "Nothing gets in or out through the pitot inlet; a drain, if there is one, stays open.",
        _SHUT,
        "pitot inlet",
        _inlets,
        _inlet_blocked,
    ),
    Entry(
        "pitot-drain-blocked",
        "Pitot drain blocked",
        "The drain hole of the pitot line is shut and the inlet is clear.",
        _SHUT,
        "pitot drain",
        lambda airplane: names(openings(airplane, "pitot-drain")),
        _drain_blocked,
    ),
    Entry(
        "pitot-and-drain-blocked",
        "Pitot inlet and drain blocked",
        "The inlet and its drain are both shut, so that the air in the pitot line is trapped.",
        _SHUT,
        "pitot inlet with a drain",
        _inlets_with_drain,
        _inlet_and_drain_blocked,
    ),
    Entry(
        "static-ports-blocked",
        "Static ports blocked",
        "Every static port is shut, so that the air in the static line is trapped.",
        _SHUT,
        "static port",
        _all_ports,
        _ports_blocked,
    ),
    Entry(
        "one-static-port-blocked",
        "One static port blocked",
        "One of several static openings is shut, so that the line takes its pressure from the others alone.",
        _SHUT,
        "static port among several",
        _one_of_several_ports,
        _tape,
    ),
    Entry(
        "total-energy-probe-blocked",
        "Total-energy probe blocked",
        "The holes of the total-energy probe are shut, so that the air of the variometer is trapped.",
        _SHUT,
        "total-energy probe",
        lambda airplane: names(openings(airplane, "total-energy-probe")),
        _nest,
    ),
    Entry(
        "everything-blocked",
        "Everything blocked",
        "Inlets, drains, static ports and probes are all shut; only an alternate source is left.",
        _SHUT,
        "opening to the outside",
        _everything,
        _everything_blocked,
    ),
    Entry(
        "insect-nest",
        "Insect nest",
        "An insect has built in one opening and shut part or all of it.",
        "share of the hole that the nest fills",
        "opening to the outside",
        _nests,
        _nest,
        comes="gradually",
    ),
    Entry(
        "cover-left-on",
        "Cover left on",
        "The cover was not taken off before flight: it shuts the pitot inlet and what else is on that body.",
        "how tightly the cover fits: 1 is airtight",
        "pitot inlet",
        _inlets,
        _cover,
        comes="suddenly",
    ),
    Entry(
        "tape-over-static-port",
        "Tape over a static port",
        "Tape put on for washing or painting was left over static ports.",
        "share of the port that the tape shuts",
        "static port",
        _tapes,
        _tape,
        comes="suddenly",
    ),
    Entry(
        "test-cap-left-on",
        "Test cap left on",
        "A cap or adapter of a ground test was left on one opening.",
        "how tightly the cap fits: 1 is airtight",
        "pitot inlet or static port",
        _caps,
        _nest,
        comes="suddenly",
    ),
    Entry(
        "tee-plugged",
        "Tee plugged",
        "Dirt or sealant plugs a tee, so that the lines meeting there are cut off from each other.",
        "share of each passage that is shut",
        "tee or manifold",
        _tees,
        _tee,
    ),
    Entry(
        "line-crushed",
        "Line crushed or kinked",
        "A line is squeezed flat over part of its way, so that air passes slowly or not at all.",
        "share of the line's section that is lost over its length: at 1 nothing passes",
        "line",
        _lines,
        _crushed,
    ),
)
