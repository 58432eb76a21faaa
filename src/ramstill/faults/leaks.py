"""Air that gets in or out where it should not: leaks, loose fittings, lines off, open drains and valves."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.air.units import FPM, KT
from ramstill.errors import InputError
from ramstill.faults.entry import Entry, Size
from ramstill.faults.places import (
    air_around,
    closed_valves_to,
    fitting_names,
    lines,
    names,
    openings,
    outer_first,
    reached,
    trunks,
)
from ramstill.faults.state import WALL_M, State

if TYPE_CHECKING:
    from collections.abc import Callable

    from ramstill.airplane import Airplane
    from ramstill.airplane.plumbing import Line
    from ramstill.pneumatics.schedule import Schedule

LEAK_RATES = ("length", "vertical speed", "acceleration")
_OPEN = "share of the hole's area that is open"


def leak_size(usual: str) -> Size:
    """Return what a leak's size may be: a bore, or the loss a mechanic reads in a leak test."""
    return Size(
        "the bore of the hole, or the loss in a leak test in feet or knots a minute", usual, LEAK_RATES
    )


def volume_served(state: State, node: str) -> float:
    """Return all the air [m3] that a leak test which finds a leak at `node` holds: what it reaches."""
    nodes = set(reached(state.airplane, [node]))
    for instrument in state.airplane.instruments:
        before, behind = getattr(instrument, "leak_ends", ("", ""))
        if before in nodes:
            nodes.add(behind)  # comes late, through the calibrated leak
    network = state.network
    volumes = zip(network.node_names, network.volume_m3, strict=True)
    return float(sum(volume for name, volume in volumes if name in nodes))


def bore_of(state: State, size: tuple[str, float], node: str) -> float:
    """Return the bore [m] of a leak at `node` from its size: a bore, or what a leak test there reads."""
    from ramstill.pneumatics import leak_hole_bore

    dimension, value = size
    if dimension == "length":
        return value
    volume = volume_served(state, node)
    temperature = float(state.airplane.inside.cabin_temperature)
    try:
        if dimension == "vertical speed":
            loss = value / FPM
            bore = leak_hole_bore(volume, loss_fpm=loss, temperature_k=temperature, depth_m=WALL_M)
        else:
            loss = value / KT * 60.0
            bore = leak_hole_bore(volume, loss_kt_per_min=loss, temperature_k=temperature, depth_m=WALL_M)
    except ValueError as error:
        read = f"{value / FPM:g} ft/min" if dimension == "vertical speed" else f"{value / KT * 60.0:g} kt/min"
        raise InputError("fault", "size", read, f"a loss that a hole can make ({error})") from None
    return float(bore)


def _line_of(airplane: Airplane, name: str) -> Line:
    found: Line = next(line for line in airplane.lines if line.name == name)
    return found


def _usual_first(serves: str) -> Callable[[Airplane], list[str]]:
    """Return places: the innermost line that all instruments hang on, where hands get to, then the others."""

    def places(airplane: Airplane) -> list[str]:
        first = names(trunks(airplane, serves)[-1:])
        return first + [name for name in names(lines(airplane, serves)) if name not in first]

    return places


def _line_leak(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    line = _line_of(state.airplane, place)
    inner = outer_first(state.airplane, line)[1]
    bore = bore_of(state, size, inner)
    return state.at("line", place).hole(inner, line.through, bore, share)


def _line_off(state: State, place: str, share: Schedule, _: object) -> State:
    line = _line_of(state.airplane, place)
    state = state.at("line", place).shut(place, share)
    for node in (line.start, line.end):
        around = air_around(state.airplane, node) if "." in node else line.through
        state = state.hole(node, around, line.bore, share)
    return state


def _fitting_loose(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    bore = bore_of(state, size, place)
    return state.at("fitting", place).hole(place, air_around(state.airplane, place), bore, share)


def _joints(airplane: Airplane) -> list[str]:
    kinds = {fitting.name: fitting.kind for fitting in airplane.fittings}
    mouths = [o.into for o in openings(airplane, "pitot-inlet", "static-port", "total-energy-probe")]
    with_air = reached(airplane, mouths)  # a cup behind a closed drain leaks nothing
    joints = [name for name in fitting_names(airplane) if kinds[name] != "chamber" and name in with_air]
    of_pitot = {end for line in lines(airplane, "pitot") for end in (line.start, line.end)}
    return sorted(joints, key=lambda name: name in of_pitot)  # static first


def _drains(airplane: Airplane) -> list[str]:
    return names(closed_valves_to(airplane, "static-drain", "pitot-drain"))


def _alternates(airplane: Airplane) -> list[str]:
    return names(closed_valves_to(airplane, "alternate-source"))


def _valve_open(state: State, place: str, share: Schedule, _: object) -> State:
    valve = next(v for v in state.airplane.valves if v.name == place)
    # Its own passage is shut by its schedule for good, so the open valve is a passage beside it.
    state = state.at("valve", place).hole(valve.start, valve.end, valve.bore, share)
    return state.shut(valve.opposite, share) if valve.opposite else state


def _valve_leaking(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    valve = next(v for v in state.airplane.valves if v.name == place)
    # what hangs on the instruments' side of it, which is the larger
    node = max((valve.start, valve.end), key=lambda end: volume_served(state, end))
    return state.at("valve", place).hole(valve.start, valve.end, bore_of(state, size, node), share)


ENTRIES = (
    Entry(
        "pitot-line-leak",
        "Pitot line leak",
        "Air leaks out of a pitot line into the air around it.",
        _OPEN,
        "pitot line",
        _usual_first("pitot"),
        _line_leak,
        size=leak_size("2 mm"),
    ),
    Entry(
        "static-line-leak",
        "Static line leak",
        "A static line takes in or loses air through a hole to the air around it.",
        _OPEN,
        "static line",
        _usual_first("static"),
        _line_leak,
        size=leak_size("2 mm"),
    ),
    Entry(
        "pitot-line-off",
        "Pitot line off",
        "A pitot line has come off: both loose ends are open to the air around them.",
        "1: it is off or it is not",
        "pitot line",
        _usual_first("pitot"),
        _line_off,
        comes="suddenly",
        whole=True,
    ),
    Entry(
        "static-line-off",
        "Static line off",
        "A static line has come off: both loose ends are open to the air around them.",
        "1: it is off or it is not",
        "static line",
        _usual_first("static"),
        _line_off,
        comes="suddenly",
        whole=True,
    ),
    Entry(
        "total-energy-line-leak",
        "Total-energy line leak",
        "The line from a total-energy probe takes in air through a hole from the air around it.",
        _OPEN,
        "total-energy line",
        _usual_first("total-energy"),
        _line_leak,
        size=leak_size("1 mm"),
    ),
    Entry(
        "fitting-loose",
        "Fitting loose",
        "A fitting is not tight and leaks to the air around it.",
        _OPEN,
        "fitting between lines",
        _joints,
        _fitting_loose,
        size=leak_size("1 mm"),
    ),
    Entry(
        "quick-drain-left-open",
        "Quick drain left open",
        "The drain of a sump was not closed after draining and lets in the air outside it.",
        "how far the drain is open",
        "quick drain",
        _drains,
        _valve_open,
        comes="suddenly",
    ),
    Entry(
        "drain-valve-leaking",
        "Drain valve leaking",
        "The closed drain of a sump lets air through.",
        _OPEN,
        "quick drain",
        _drains,
        _valve_leaking,
        size=leak_size("1 mm"),
    ),
    Entry(
        "alternate-static-open",
        "Alternate static open",
        "The alternate static source is open, by hand or by mistake, beside or instead of the static ports.",
        "how far the valve is open",
        "alternate static valve",
        _alternates,
        _valve_open,
        comes="suddenly",
    ),
    Entry(
        "alternate-static-valve-leaking",
        "Alternate static valve leaking",
        "The closed valve of the alternate static source lets air through.",
        _OPEN,
        "alternate static valve",
        _alternates,
        _valve_leaking,
        size=leak_size("1 mm"),
    ),
)
