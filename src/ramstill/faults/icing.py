"""Ice that grows on an opening in cloud, and heaters that do not keep it off.

What the hole is left with follows from `ramstill.pneumatics.ice` along the flight: airspeed, outside
temperature and pressure, the cloud's water, and what the heater still gives. In warm air, at rest, or with
enough heat nothing grows, and what has grown melts.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from ramstill.faults.entry import Entry, Size
from ramstill.faults.places import ALL, names, of_mast, openings
from ramstill.faults.state import State
from ramstill.pneumatics.schedule import Schedule

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.airplane.openings import Opening
    from ramstill.pneumatics.schedule import FloatArray

# Median volume diameter of the droplets: stratus of 14 CFR 25 appendix C, 15 to 40 micrometres, where the
# water goes up to 0.8 g/m3; cumulus goes up to 2.9 g/m3.
DROPLET_M = 20e-6
STEP_S = 1.0  # how finely the growth is followed
# Straight pieces stay so near to the open share [-], and to a tenth of it, as a little opening lets much by.
WITHIN, OF_IT, LEAST = 0.004, 0.1, 1e-5

# Where the airplane file does not say, assumed: diameter of what the ice grows on [m] (for a flush port the
# round of the skin about it) and power of a heater [W]; and how much of the stream's droplets come to a hole
# that faces it, or that the stream runs along.
_DIAMETER_M = {"pitot-inlet": 0.02, "pitot-drain": 0.02, "total-energy-probe": 0.006}
_SKIN_M = 0.1
_POWER_W = {"pitot-inlet": 100.0}
_OTHER_POWER_W = 20.0
_CATCH = {"pitot-inlet": 1.0, "total-energy-probe": 0.5}
_ALONG = 0.1


def open_share(state: State, opening: Opening, share: Schedule, water_kg_m3: float) -> Schedule:
    """Return how far ice leaves an opening open over the flight, 1 clear to 0 closed.

    share: of the cloud's water over time; water_kg_m3: liquid water at a share of 1 [kg/m3].
    """
    from ramstill.pneumatics import ice

    around, heat = state.surroundings, state.heat_left(opening.name)
    inside = [t for t in (*share.knots, *heat.knots) if around.start_s < t < around.end_s]
    even = np.arange(around.start_s, around.end_s, STEP_S)
    # twice at each knot: what held before it, and what holds from it on
    times = np.sort(np.concatenate([np.setdiff1d(even, inside), inside, inside, [around.end_s]]))
    second = np.concatenate([[False], np.diff(times) == 0.0])
    truth = around.truth.at(times)

    def over_time(schedule: Schedule) -> FloatArray:
        first = np.concatenate([second[1:], [False]])
        return np.where(first, schedule.at_left(times), schedule.at(times))

    given = opening.probe_diameter
    found = ice.open_share(
        times,
        truth.tas_m_s,
        truth.outside_temperature_k,
        np.clip(over_time(share), 0.0, 1.0) * water_kg_m3,
        DROPLET_M,
        np.clip(over_time(heat), 0.0, 1.0) * _power(state.airplane, opening),
        float(opening.bore),
        float(given) if given is not None else _DIAMETER_M.get(opening.kind, _SKIN_M),
        pressure_pa=truth.static_pressure_pa,
        catch_share=_CATCH.get(opening.kind, _ALONG),
    )
    return in_straight_pieces(times, found)


def _power(airplane: Airplane, opening: Opening) -> float:
    """Heater power that reaches an opening [W]: on a heated body the largest there, as metal conducts."""
    body = next((names for names in _heaters(airplane).values() if opening.name in names), [])
    powers = [
        _POWER_W.get(other.kind, _OTHER_POWER_W) if other.heater_power is None else float(other.heater_power)
        for other in airplane.openings
        if other.name in body
    ]
    return max(powers, default=0.0)


def in_straight_pieces(times: FloatArray, values: FloatArray, within: float = WITHIN) -> Schedule:
    """Return a schedule of few straight pieces that stays within `within` of values (k,) at times (k,) [s].

    And within a tenth of each value, down to 1e-5. Pieces are cut where they are furthest off (Douglas and
    Peucker, 1973), also where a value reaches 0 or 1.
    """
    ends = np.flatnonzero(np.diff(((values <= 0.0) | (values >= 1.0)).astype(int)))
    kept = sorted({0, len(times) - 1, *ends.tolist(), *(ends + 1).tolist()})
    todo, found = list(pairwise(kept)), set(kept)
    while todo:
        a, b = todo.pop()
        if b - a < 2:
            continue
        straight = np.interp(times[a : b + 1], [times[a], times[b]], [values[a], values[b]])
        there = values[a : b + 1]
        off = np.abs(there - straight) / np.clip(OF_IT * there, LEAST, within)
        furthest = a + int(np.argmax(off))
        if off[furthest - a] > 1.0:
            found.add(furthest)
            todo += [(a, furthest), (furthest, b)]
    index = sorted(found)
    return Schedule(tuple(times[index].tolist()), tuple(values[index].tolist()))


def _iced(
    state: State, place: str, kinds: tuple[str, ...], share: Schedule, size: tuple[str, float]
) -> State:
    for opening in openings(state.airplane, *kinds):
        if place in (ALL, opening.name):
            left = open_share(state, opening, share, size[1])
            network = state.network.with_openness(opening.name, left)
            state = state.at("opening", opening.name).with_network(network)
    return state


_RAM = ("pitot-inlet", "pitot-drain", "total-energy-probe")


def _pitots(airplane: Airplane) -> list[str]:
    inlets = names(openings(airplane, "pitot-inlet"))
    others = names(openings(airplane, "pitot-drain", "total-energy-probe"))
    return [*inlets, *others, *([ALL] if len(inlets) + len(others) > 1 else [])]


def _pitot_iced(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    return _iced(state, place, _RAM, share, size)


def _ports(airplane: Airplane) -> list[str]:
    ports = names(openings(airplane, "static-port"))
    return [ALL, *ports] if len(ports) > 1 else ports


def _static_iced(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    return _iced(state, place, ("static-port",), share, size)


def _heaters(airplane: Airplane) -> dict[str, list[str]]:
    """The openings that each heater warms, by the one it is called after: an inlet's, all on its body."""
    heated = [opening for opening in airplane.openings if opening.heated]
    found = {
        inlet.name: [o.name for o in of_mast(airplane, inlet) if o.heated]
        for inlet in heated
        if inlet.kind == "pitot-inlet"
    }
    warmed = {name for group in found.values() for name in group}
    return found | {o.name: [o.name] for o in heated if o.name not in warmed}


def _unheated(state: State, place: str, share: Schedule, _: object) -> State:
    for heater, warmed in _heaters(state.airplane).items():
        if place in (ALL, heater):
            for name in warmed:
                state = state.at("opening", name).cold(name, share)
    return state


_WATER = Size("liquid water in the cloud", "0.5 g/m3", ("density",))
_WATER_SHARE = "share of the cloud's water: at 0 it is clear of cloud"

ENTRIES = (
    Entry(
        "heater-failed",
        "Heater failed",
        "The heater of a probe or port gives no heat; nothing shows it until ice comes.",
        "share of its heat that is lost",
        "heated opening",
        lambda airplane: list(_heaters(airplane)),
        _unheated,
        first=True,
    ),
    Entry(
        "heat-left-off",
        "Heat left off",
        "Pitot and static heat were not switched on; nothing shows it until ice comes.",
        "1: it is off or it is on",
        "heated opening",
        lambda airplane: [ALL] if _heaters(airplane) else [],
        _unheated,
        comes="suddenly",
        whole=True,
        first=True,
    ),
    Entry(
        "pitot-icing",
        "Pitot icing",
        "The airplane flies through cloud; below freezing, ice grows over a hole in the stream, unless it is "
        "heated enough.",
        _WATER_SHARE,
        "opening in the stream",
        _pitots,
        _pitot_iced,
        size=_WATER,
    ),
    Entry(
        "static-icing",
        "Static icing",
        "The airplane flies through cloud; below freezing, ice grows over a static port, slower than over an "
        "inlet as the stream runs along it, unless it is heated enough.",
        _WATER_SHARE,
        "static port",
        _ports,
        _static_iced,
        size=_WATER,
    ),
)
