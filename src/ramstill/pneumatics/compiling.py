"""From the description of an airplane to the arrays the engine works on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.pneumatics.network import HOLE, LEAK_LAMINAR, LEAK_ORIFICE, TUBE, Network
from ramstill.pneumatics.schedule import Schedule

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

INSIDE = ("cabin", "wing-bay", "outside")  # boundaries that are no opening of the system
SMALLEST_VOLUME = 1e-9  # a fitting stated without air in it still holds this much, 1 mm3 [m3]
_LEAKS = {"compensated-laminar": LEAK_LAMINAR, "capillary-and-orifice": LEAK_ORIFICE}


def compile_network(airplane: Airplane) -> Network:
    """The healthy system of an airplane, valves as they stand in ordinary flight.

    Volumes: every fitting, every instrument's port and case; half of each line's air belongs to either end.
    Assumptions: all the air is at cabin temperature, wherever it runs; a valve is a hole as deep as it is
    wide; a capsule does not swell. Links are named after the opening, line or valve they are; a calibrated
    leak "vertical-speed.leak" after its instrument.
    """
    volumes = {name: max(float(v), SMALLEST_VOLUME) for name, v in airplane.volumes.items()}
    network = Network(
        node_names=tuple(volumes),
        volume_m3=np.array(list(volumes.values())),
        temperature_k=np.full(len(volumes), float(airplane.inside.cabin_temperature)),
        boundary_names=(*(opening.name for opening in airplane.openings), *INSIDE),
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
    return network


def _with_leak(network: Network, instrument: Any) -> Network:
    """The calibrated leak from the static side into what is behind it, whose volume sets the conductance."""
    leak = instrument.leak
    before, behind = instrument.leak_ends  # a vertical speed indicator's case, a variometer's flask
    volume = float(network.volume_m3[network.index_of(behind)])
    size = (float(leak.time_constant), volume, float(leak.full_scale_difference))
    return network.with_link(f"{instrument.name}.leak", _LEAKS[leak.law], before, behind, size)
