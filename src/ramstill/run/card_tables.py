"""The tables of a card that the network answers: alternate static against the ports, and blockages.

All in steady flight on the standard day, with all lag over: pressures settled in the whole network.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from ramstill.air.constants import P0
from ramstill.air.units import FT
from ramstill.run.card_lines import Side, joined, side_of
from ramstill.run.card_steady import Held, airspeed, altitude, at_rest, readings

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import Pointer
    from ramstill.pneumatics import Network

STEP_M = 500.0 * FT  # how far a blocked airplane climbs and descends in the table of blockages [m]
_FEELS_PA = 1.0  # a reading that a valve moves by less than this does not hang on it [Pa]


@dataclass(frozen=True, slots=True)
class AlternateRow:
    """One airspeed on the ports, and what is shown instead with the alternate source open, at each altitude.

    normal_m_s: shown on the ports, at the first altitude [m/s]; flap 0 to 1; shown_m_s: on the alternate
    source, flying the same [m/s]; higher_m: how much more the altimeter shows [m]; (k,) each, NaN where
    the source moves no such reading.
    """

    name: str
    normal_m_s: float
    flap: float
    shown_m_s: tuple[float, ...]
    higher_m: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class Alternate:
    """The alternate source of one airplane: see `alternate`.

    source, valve: names; moves: names of the readings that it moves; same: of those it does not;
    altitudes_m: (k,) [m]; mixed: whether the ports stay connected, so that a practice with free ports shows
    less; practice_share: how much of the correction is left then [-].
    """

    source: str
    valve: str
    moves: tuple[str, ...]
    same: tuple[str, ...]
    altitudes_m: tuple[float, ...]
    rows: tuple[AlternateRow, ...]
    mixed: bool
    practice_share: float


@dataclass(frozen=True, slots=True)
class Blockage:
    """What is shown with some openings shut: at the start, 500 ft higher and 500 ft lower.

    air: which side is shut; shut, free: names of openings; airspeed_m_s (3,) [m/s], NaN: nothing;
    altimeter_m (3,) [m] from where it stood; really_m_s [m/s]: the airspeed shown before.
    """

    air: str
    shut: tuple[str, ...]
    free: tuple[str, ...]
    really_m_s: float
    airspeed_m_s: tuple[float, float, float]
    altimeter_m: tuple[float, float, float]


def alternate(
    plane: Airplane, speeds: list[tuple[str, float, float]], altitudes_m: tuple[float, ...], power: float
) -> Alternate | None:
    """What changes with the alternate static source open and the ports it stands in for shut.

    speeds: (name, calibrated airspeed [m/s], flap 0 to 1); level at `power`. The cabin is as the
    file's coefficient or schedule has it. None for an airplane without such a source and valve.
    """
    from ramstill.faults import Fault, apply, catalogue
    from ramstill.pneumatics import Schedule, Surroundings, compile_network

    places = catalogue()["alternate-static-open"].places(plane)
    if not places:
        return None
    network = compile_network(plane)
    parked = Surroundings.steady(0.0, 1.0, dict.fromkeys(network.boundary_names, P0))
    opened = apply([Fault("alternate-static-open", where=places[0])], plane, network, parked).network
    valve = plane.valve(places[0])
    beside = joined(plane, valve.start) | joined(plane, valve.end)
    source = next(o for o in plane.openings if o.kind == "alternate-source" and o.into in beside)
    look = Held(altitudes_m[0], speeds[-1][1], power=power)
    before, after = at_rest(plane, network, look), at_rest(plane, opened, look)
    moves: list[Pointer] = []
    same: list[Pointer] = []
    for pointer in (*readings(plane, "airspeed"), *readings(plane, "altitude")):
        port = f"{pointer.instrument.name}.static"
        (moves if abs(after[port] - before[port]) > _FEELS_PA else same).append(pointer)
    if not moves:
        return None
    side = side_of(plane, f"{moves[0].instrument.name}.static")
    alone = opened  # as it is needed: what its ports had to give is shut off
    for port in side.openings if side else ():
        alone = alone.with_openness(port, Schedule.constant(0.0))
    of_speed = next((p.instrument for p in moves if p.shows == "airspeed"), None)
    of_height = next((p.instrument for p in moves if p.shows == "altitude"), None)
    rows, shares = [], []
    for name, cas, flap in speeds:
        normal, fast, higher = [], [], []
        for height in altitudes_m:
            held = Held(height, cas, flap, 1.0 if flap else 0.0, power)
            ports, needed, free = (at_rest(plane, one, held) for one in (network, alone, opened))
            if of_speed is not None:
                normal.append(airspeed(of_speed, ports))
                fast.append(airspeed(of_speed, needed))
            if of_height is not None:
                there = [altitude(of_height, one) for one in (ports, needed, free)]
                higher.append(there[1] - there[0])
                shares.append((there[2] - there[0]) / (there[1] - there[0]) if there[1] != there[0] else 1.0)
        none = (float("nan"),) * len(altitudes_m)
        rows.append(AlternateRow(name, (*normal, cas)[0], flap, tuple(fast) or none, tuple(higher) or none))
    share = sum(shares) / len(shares) if shares else 1.0
    return Alternate(
        source.name,
        valve.name,
        tuple(p.name for p in moves),
        tuple(p.name for p in same),
        altitudes_m,
        tuple(rows),
        valve.opposite is None,
        share,
    )


def blockages(plane: Airplane, height_m: float, cas_m_s: float, power: float) -> tuple[Blockage, ...]:
    """What the first airspeed indicator and altimeter show with their openings shut, at one airspeed flown.

    Inlet shut with its drain free, inlet and drain shut, static ports shut; each shut in level flight, then
    500 ft higher and 500 ft lower at the same true state but for height.
    """
    from ramstill.pneumatics import compile_network

    speeds, heights = readings(plane, "airspeed"), readings(plane, "altitude")
    if not speeds:
        return ()
    fast, high = speeds[0].instrument, heights[0].instrument if heights else None
    ram, still = side_of(plane, f"{fast.name}.pitot"), side_of(plane, f"{fast.name}.static")
    network = compile_network(plane)
    level = Held(height_m, cas_m_s, power=power)
    cases: list[tuple[str, Side, tuple[str, ...]]] = []
    if ram is not None:
        if ram.drains:
            cases.append(("ram", ram, ram.openings))
        cases.append(("ram", ram, (*ram.openings, *ram.drains)))
    if still is not None:
        cases.append(("still", still, (*still.openings, *still.drains)))
    return tuple(_blocked(plane, network, level, fast, high, *case) for case in cases)


def _blocked(
    plane: Airplane,
    network: Network,
    level: Held,
    fast: Any,
    high: Any,
    air: str,
    side: Side,
    shut: tuple[str, ...],
) -> Blockage:
    from ramstill.pneumatics import Schedule

    before = at_rest(plane, network, level)
    blocked = network
    for name in shut:
        blocked = blocked.with_openness(name, Schedule.constant(0.0))
    steps = (level, *(replace(level, altitude_m=level.altitude_m + up) for up in (STEP_M, -STEP_M)))
    after = [at_rest(plane, blocked, held, before) for held in steps]
    zero = altitude(high, before) if high is not None else 0.0
    shown = [altitude(high, one) - zero if high is not None else float("nan") for one in after]
    speed = [airspeed(fast, one) for one in after]
    free = tuple(name for name in (*side.openings, *side.drains) if name not in shut)
    return Blockage(
        air,
        shut,
        free,
        airspeed(fast, before),
        (speed[0], speed[1], speed[2]),
        (shown[0], shown[1], shown[2]),
    )
