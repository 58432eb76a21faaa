"""Hangar airplanes on a short flight, with what goes wrong in it: onsets as hard as they come."""

import numpy as np

from ramstill import air, airplane
from ramstill.air.units import FPM, FT, KT
from ramstill.pneumatics import Schedule, Surroundings, Truth, compile_network

ONSET_S, SECOND_S, END_S = 8.0, 14.0, 20.0


def short_flight(plane, network):
    """Climb at 1,000 ft/min that stops at 12 s, speed rising from 90 to 110 kt, sampled once a second."""
    t = np.linspace(0.0, END_S, 21)
    altitude = 3000.0 * FT + 1000.0 * FPM * np.minimum(t, 12.0)
    cas = (
        90.0 + 20.0 * np.clip((t - 4.0) / 12.0, 0.0, 1.0) ** 2 * (3.0 - 2.0 * np.clip((t - 4.0) / 12.0, 0, 1))
    ) * KT
    static, impact = air.static_pressure(altitude), air.impact_pressure(cas)
    columns = []
    for boundary in network.boundary_names:
        opening = next((o for o in plane.openings if o.name == boundary), None)
        if opening is not None and opening.sees in ("ram", "still"):
            columns.append(static + opening.pressure_coefficient.base * impact)
        else:
            columns.append(static - 0.03 * impact)
    return Surroundings.from_samples(
        t, network.boundary_names, np.stack(columns, 1), Truth.steady(t), kinks_s=(4.0, 12.0, 16.0)
    )


def faults(plane, network):
    """Name -> network with that fault in it."""
    shut = Schedule.step(ONSET_S, 1.0, 0.0)
    opens = Schedule((ONSET_S, ONSET_S, SECOND_S, SECOND_S), (0.0, 1.0, 1.0, 0.0))
    inlet = next(o.name for o in plane.openings if o.kind == "pitot-inlet")
    still = [o.name for o in plane.openings if o.kind == "static-port"]
    pitot = next(line for line in plane.lines if line.serves == "pitot")
    altimeter = plane.instruments_of("altimeter")[0].name
    # what is behind a calibrated leak; where there is none, the case of an altimeter
    leaks = [i.leak_ends[1] for i in plane.instruments if hasattr(i, "leak")]
    case = leaks[0] if leaks else f"{altimeter}.static"
    every = network
    for opening in plane.openings:
        every = every.with_openness(opening.name, shut)
    blocked = network
    for name in still:
        blocked = blocked.with_openness(name, shut)
    return {
        "healthy": network,
        "inlet blocked": network.with_openness(inlet, shut),
        "static ports blocked": blocked,
        "static ports blocked, then glass broken": blocked.with_hole(
            "glass", case, "cabin", 5e-3, 3e-3, Schedule.step(SECOND_S, 0.0, 1.0)
        ),
        "everything blocked": every,
        "pitot line off": network.with_openness(pitot.name, shut).with_hole(
            "off", pitot.end, "cabin", float(pitot.bore), 1e-3, opens
        ),
        "static leak": network.with_hole("leak", f"{altimeter}.static", "cabin", 6e-5, 1e-3, opens),
        "inlet slowly nested up": network.with_openness(inlet, Schedule((2.0, SECOND_S), (1.0, 0.0))),
    }


def output_times():
    """10 Hz, and 1, 10 and 100 ms after each onset."""
    after = [at + d for at in (0.0, ONSET_S, 12.0, SECOND_S) for d in (1e-3, 1e-2, 0.1)]
    return np.unique(np.concatenate([np.arange(0.0, END_S + 0.05, 0.1), after]).round(6))


def hangar():
    """(name, airplane, network) of every hangar airplane with still and ram air of its own."""
    found = []
    for name in airplane.hangar():
        plane = airplane.load(name)
        found.append((name, plane, compile_network(plane)))
    return found
