"""From the description of an airplane to the arrays the engine works on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.errors import InputError
from ramstill.pneumatics.network import HOLE, LEAK_LAMINAR, LEAK_ORIFICE, TUBE, Heat, Network, softest
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.walls import case_heat, tube_heat

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ramstill.airplane import Airplane
    from ramstill.pneumatics.network import FloatArray

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
    heat_w_k, temperature = _walls(airplane, tuple(volumes), outside_temperature_k)
    boundaries = (*(opening.name for opening in airplane.openings), *INSIDE)
    place = {name: i for i, name in enumerate(volumes)}
    shut = Schedule.constant(0.0)
    links: list[tuple[str, int, int, int, tuple[float, float, float], Schedule | None]] = []
    for number, opening in enumerate(airplane.openings):
        size = (float(opening.depth), float(opening.bore), float(opening.count))
        links.append((opening.name, HOLE, place[opening.into], len(volumes) + number, size, None))
    for line in airplane.lines:
        size = (float(line.length_m), float(line.bore), 1.0)
        links.append((line.name, TUBE, place[line.start], place[line.end], size, None))
    for valve in airplane.valves:
        bore = float(valve.bore)
        stands = shut if valve.normally == "closed" else None
        links.append((valve.name, HOLE, place[valve.start], place[valve.end], (bore, bore, 1.0), stands))
    links += [
        _leak(instrument, place, volumes)
        for instrument in airplane.instruments
        if getattr(instrument, "leak", None) is not None
    ]
    sizes = np.zeros((len(links), 4))
    sizes[:, :3] = [size for *_, size, _ in links]
    network = Network(
        node_names=tuple(volumes),
        volume_m3=np.array(list(volumes.values())),
        temperature_k=temperature,
        boundary_names=boundaries,
        link_names=tuple(link[0] for link in links),
        link_kind=np.array([link[1] for link in links], dtype=np.int64),
        link_a=np.array([link[2] for link in links], dtype=np.int64),
        link_b=np.array([link[3] for link in links], dtype=np.int64),
        link_size=sizes,
        openness=tuple(link[5] for link in links),
        heat=heat,
        heat_w_k=heat_w_k,
    )
    for instrument in airplane.instruments:
        network = _with_swelling(airplane, network, instrument)
    return network


def _walls(
    airplane: Airplane, names: tuple[str, ...], outside_temperature_k: float | None
) -> tuple[FloatArray, FloatArray]:
    """Heat that the walls of each volume pass [W/K], and their mean temperature [K], weighted by that.

    A volume's parts (its own, and half of each line that ends there) pass heat side by side.
    """
    cabin = float(airplane.inside.cabin_temperature)
    beyond = cabin if outside_temperature_k is None else float(outside_temperature_k)
    place = {name: i for i, name in enumerate(names)}
    around = np.array([cabin if line.through == "cabin" else beyond for line in airplane.lines])
    bore, length = np.array([(float(line.bore), line.length_m) for line in airplane.lines]).reshape(-1, 2).T
    half = tube_heat(bore, 0.5 * length, around)
    lines, colder = np.zeros(len(names)), np.zeros(len(names))
    for end in ("start", "end"):
        at = [place[getattr(line, end)] for line in airplane.lines]
        np.add.at(lines, at, half)
        np.add.at(colder, at, half * (around - cabin))
    own = {fitting.name: float(fitting.volume) for fitting in airplane.fittings}
    fitting = np.array([name in own for name in names])
    for instrument in airplane.instruments:
        own |= {name: float(volume) for name, volume in instrument.volumes.items()}
    flask = np.array([name.endswith(".flask") for name in names])
    case = case_heat(np.maximum([own[name] for name in names], SMALLEST_VOLUME), cabin)
    heat = case * np.where(fitting, 1.0, np.where(flask, WOOL, CROWDED)) + lines
    # a fitting is where its lines are, an instrument in the cabin
    share = 1.0 / np.where(fitting & (lines > 0.0), lines, heat)
    return heat, cabin + colder * share


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


def _leak(
    instrument: Any, place: Mapping[str, int], volumes: Mapping[str, float]
) -> tuple[str, int, int, int, tuple[float, float, float], None]:
    """The calibrated leak from the static side into what is behind it, whose volume sets the conductance."""
    leak = instrument.leak
    before, behind = instrument.leak_ends  # a vertical speed indicator's case, a variometer's flask
    size = (float(leak.time_constant), volumes[behind], float(leak.full_scale_difference))
    return f"{instrument.name}.leak", _LEAKS[leak.law], place[before], place[behind], size, None
