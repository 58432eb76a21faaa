"""From the description of an airplane to the arrays the engine works on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.errors import InputError
from ramstill.pneumatics.network import HOLE, LEAK_LAMINAR, LEAK_ORIFICE, TUBE, Heat, Network, softest
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.walls import case_heat, tube_heat

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

INSIDE = ("cabin", "wing-bay", "outside")  # boundaries that are no opening of the system
SMALLEST_VOLUME = 1e-9  # a fitting stated without air in it still holds this much, 1 mm3 [m3]
# What swells, and what it swells into: None where capsules are sealed, and their case gives way to them.
_CAPSULES: dict[str, tuple[str, str | None]] = {
    "airspeed-indicator": ("pitot", "static"),
    "altimeter": ("static", None),
    "vertical-speed-indicator": ("static", "case"),
}
# An instrument's air is broken up by capsules and mechanism and stirred by convection: it passes heat this
# many times as well as in an empty sphere. Assumed; in the shell around a core of half the radius it is 3.2
# times.
CROWDED = 4.0
WOOL = 100.0  # a flask is filled with metal wool that keeps its air as warm: common practice, no source
_LEAKS = {"compensated-laminar": LEAK_LAMINAR, "capillary-and-orifice": LEAK_ORIFICE}


def compile_network(
    airplane: Airplane, *, heat: Heat = "walls", outside_temperature_k: float | None = None
) -> Network:
    """The healthy system of an airplane, valves as they stand in ordinary flight.

    Volumes: every fitting, every instrument's port and case; half of each line's air belongs to either end.
    heat: what the walls do, see `Network`. outside_temperature_k [K]: of the walls of lines outside and in
    the wing bay, and of the fittings they end at as far as such lines do; where it is not given everything
    is at cabin temperature. A valve is a hole as deep as it is wide. Links are named after the opening, line
    or valve they are; a calibrated leak "vertical-speed.leak" after its instrument. Raises InputError for
    capsules too soft for their cases.
    """
    volumes = {name: max(float(v), SMALLEST_VOLUME) for name, v in airplane.volumes.items()}
    heat_w_k, temperature = _walls(airplane, outside_temperature_k)
    network = Network(
        node_names=tuple(volumes),
        volume_m3=np.array(list(volumes.values())),
        temperature_k=np.array([temperature[name] for name in volumes]),
        boundary_names=(*(opening.name for opening in airplane.openings), *INSIDE),
        heat=heat,
        heat_w_k=np.array([heat_w_k[name] for name in volumes]),
    )
    for opening in airplane.openings:
        size = (float(opening.depth), float(opening.bore), float(opening.count))
        network = network.with_link(opening.name, HOLE, opening.into, opening.name, size)
    for line in airplane.lines:
        network = network.with_link(
            line.name, TUBE, line.start, line.end, (float(line.length_m), float(line.bore), 1.0)
        )
    for valve in airplane.valves:
        bore = float(valve.bore)
        shut = Schedule.constant(0.0) if valve.normally == "closed" else None
        network = network.with_link(valve.name, HOLE, valve.start, valve.end, (bore, bore, 1.0), shut)
    for instrument in airplane.instruments:
        if getattr(instrument, "leak", None) is not None:
            network = _with_leak(network, instrument)
        network = _with_swelling(airplane, network, instrument)
    return network


def _walls(
    airplane: Airplane, outside_temperature_k: float | None
) -> tuple[dict[str, float], dict[str, float]]:
    """Heat that the walls of each volume pass [W/K], and their mean temperature [K], weighted by that.

    A volume's parts (its own, and half of each line that ends there) pass heat side by side.
    """
    cabin = float(airplane.inside.cabin_temperature)
    beyond = cabin if outside_temperature_k is None else float(outside_temperature_k)
    heat, warmth, lines = {}, {}, dict.fromkeys(airplane.volumes, 0.0)
    colder = dict.fromkeys(airplane.volumes, 0.0)
    for line in airplane.lines:
        around = cabin if line.through == "cabin" else beyond
        half = float(tube_heat(float(line.bore), 0.5 * line.length_m, around))
        for end in (line.start, line.end):
            lines[end] += half
            colder[end] += half * (around - cabin)
    own = {fitting.name: float(fitting.volume) for fitting in airplane.fittings}
    fittings = set(own)
    for instrument in airplane.instruments:
        own |= {name: float(volume) for name, volume in instrument.volumes.items()}
    for name in airplane.volumes:
        case = float(case_heat(max(own[name], SMALLEST_VOLUME), cabin))
        if name not in fittings:
            case *= WOOL if name.endswith(".flask") else CROWDED
        heat[name] = case + lines[name]
        # a fitting is where its lines are, an instrument in the cabin
        share = 1.0 / lines[name] if name in fittings and lines[name] > 0.0 else 1.0 / heat[name]
        warmth[name] = cabin + colder[name] * share
    return heat, warmth


def _with_swelling(airplane: Airplane, network: Network, instrument: Any) -> Network:
    """The capsule grows with the difference it feels, and the case loses that."""
    compliance = float(getattr(instrument, "capsule_compliance", 0.0))
    if compliance == 0.0:
        return network
    ends = _CAPSULES[instrument.kind]
    inner, outer = (end and f"{instrument.name}.{end}" for end in ends)
    assert inner is not None
    try:
        return network.with_swelling(inner, outer, compliance)
    except ValueError:
        smaller = min(float(network.volume_m3[network.index_of(end)]) for end in (inner, outer) if end)
        most = softest(smaller, sealed=outer is None)
        where = f'instrument "{instrument.name}": capsule_compliance'
        read = f"{compliance * 1e8:.3g} cm3/hPa"
        raise InputError(airplane.name, where, read, f"0 to {most * 1e8:.3g} cm3/hPa") from None


def _with_leak(network: Network, instrument: Any) -> Network:
    """The calibrated leak from the static side into what is behind it, whose volume sets the conductance."""
    leak = instrument.leak
    before, behind = instrument.leak_ends  # a vertical speed indicator's case, a variometer's flask
    volume = float(network.volume_m3[network.index_of(behind)])
    size = (float(leak.time_constant), volume, float(leak.full_scale_difference))
    return network.with_link(f"{instrument.name}.leak", _LEAKS[leak.law], before, behind, size)
