"""What the pointers show on the ground under each way it may be: parked, and with a test set on both sides.

A test set's work belongs to appropriately rated people, with the manufacturer's manual and the local rules.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.checks.ways import ONSET_S, Faults
from ramstill.faults.places import openings

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.answer import Situation
    from ramstill.diagnosis.checks.flown import Moved
    from ramstill.diagnosis.checks.histories import History
    from ramstill.run import Batch

Array = NDArray[np.float64]

SETTLED_S, MOVED_S = 60.0, 40.0  # parked before the valve is opened, and after
# A leak test: AC 43.13-1B 12-58 and 12-59, 1,000 ft above the field, and 150 kt where the dial goes so far.
TEST_M, TEST_RATE, TEST_M_S = 1000.0 * FT, 1000.0 * FPM, 150.0 * KT
OF_THE_DIAL = 0.8  # of the top mark, at most
HELD_S, SHUT_S = 25.0, 60.0  # held by the test set; then shut off for a minute
BEFORE_S = ONSET_S + 4.0  # the fault is there, and nothing is pumped yet
OUTPUT_HZ = 2.0


@dataclass(frozen=True, slots=True)
class Parked:
    """A batch of the airplane parked. settled_s: when pointers are read; moved_s: after the valve [s]."""

    batch: Batch
    settled_s: float
    moved_s: float


@dataclass(frozen=True, slots=True)
class Pumped:
    """A batch of a test. half_s: halfway up; up_s: held at the top, before it is shut off; shut_s: a minute
    after that [s]; aim: what it goes up by, m or m/s.
    """

    batch: Batch
    half_s: float
    up_s: float
    shut_s: float
    aim: float


def reading(batch: Batch, pointer: str, time_s: float) -> Array:
    """What a pointer shows at a time, (way,)."""
    row = int(np.searchsorted(batch.time_s, time_s, side="right")) - 1
    return np.asarray(batch.of(pointer)[:, row], dtype=float)


def sound(batch: Batch, pointer: str, time_s: float) -> float:
    """What the sound airplane's pointer shows at a time."""
    row = int(np.searchsorted(batch.time_s, time_s, side="right")) - 1
    return float(batch.healthy[row, batch.place(pointer)])


def field_m(situation: Situation) -> float:
    """Pressure altitude of the field [m]: of where it stands, or sea level after a flight (assumed)."""
    return 0.0 if situation.airborne else situation.pressure_altitude_m


def park(
    airplane: Airplane,
    situation: Situation,
    history: History,
    faults: tuple[Faults, ...],
    moved: Moved | None = None,
    workers: int | None = None,
) -> Parked:
    """Park all ways: the fault set in where the history says, and the airplane stands in still air since."""
    from ramstill import air
    from ramstill.flight.outside import boundary_names, pressures
    from ramstill.pneumatics import Surroundings, Truth
    from ramstill.run import simulate_batch

    field = field_m(situation)
    onset = situation.pressure_altitude_m - history.climbed_m
    begin, end = 2.0 * ONSET_S, 2.0 * ONSET_S + max(10.0, abs(field - onset) / (2.0 * TEST_RATE))
    time = np.array(
        [0.0, begin, *np.linspace(begin, end, 60)[1:], end + SETTLED_S, end + SETTLED_S + MOVED_S]
    )
    altitude = np.interp(time, [0.0, begin, end], [onset, onset, field])
    static = np.asarray(air.static_pressure(altitude))
    truth = Truth.steady(
        time,
        phases=((0.0, "before"), (end, "parked")),
        pressure_altitude_m=altitude,
        geometric_altitude_m=altitude,
        static_pressure_pa=static,
        gear=1.0,
    )
    names = boundary_names(airplane)
    around = Surroundings.from_samples(
        time,
        names,
        pressures(airplane, truth),  # still air but for a cabin that holds its own on the way down
        truth,
        kinks_s=(begin, end),
        title="parked",
    )
    settled = end + SETTLED_S
    cases = faults if moved is None else tuple(moved(way, settled) for way in faults)
    batch = simulate_batch(
        airplane, around, cases, output_hz=OUTPUT_HZ, dtype=np.float64, workers=workers, progress=False
    )
    return Parked(batch, settled, settled + MOVED_S - 2.0)


def pump_static(
    airplane: Airplane, situation: Situation, faults: tuple[Faults, ...], workers: int | None = None
) -> Pumped:
    """The static test: the same suction at static ports and inlets, held, then shut off for a minute."""
    field = field_m(situation)
    to = {"to_altitude": f"{field + TEST_M} m", "rate": f"{TEST_RATE} m/s", "hold": f"{HELD_S} s"}
    up = BEFORE_S + 1.0 + TEST_M / TEST_RATE
    ports, inlets = _named(airplane, "static-port"), _named(airplane, "pitot-inlet", "total-energy-probe")
    steps = [_step("test-set", [*ports, *inlets], BEFORE_S + 1.0, **to), *_drains(airplane)]
    steps.append(_step("finger", [*ports, *inlets], up + HELD_S + 0.5, **{"for": f"{SHUT_S + 5.0} s"}))
    batch = _pumped(airplane, field, steps, faults, workers)
    return Pumped(batch, up - 0.5 * TEST_M / TEST_RATE, up + HELD_S - 1.0, up + HELD_S + SHUT_S, TEST_M)


def pump_pitot(
    airplane: Airplane, situation: Situation, faults: tuple[Faults, ...], workers: int | None = None
) -> Pumped:
    """The pitot test: an airspeed at the inlets over the air at the static ports, drains sealed."""
    field = field_m(situation)
    tops = [float(i.top_mark) for i in airplane.instruments_of("airspeed-indicator")]
    speed = min([TEST_M_S, *(OF_THE_DIAL * top for top in tops)])
    rise = 60.0
    to = {"to_airspeed": f"{speed} m/s", "rate": f"{speed / rise} m/s2", "hold": f"{HELD_S} s"}
    up = BEFORE_S + 1.0 + rise
    inlets = _named(airplane, "pitot-inlet")
    steps = [_step("test-set", inlets, BEFORE_S + 1.0, **to), *_drains(airplane)]
    steps.append(_step("finger", inlets, up + HELD_S + 0.5, **{"for": f"{SHUT_S + 5.0} s"}))
    batch = _pumped(airplane, field, steps, faults, workers)
    return Pumped(batch, up - 0.5 * rise, up + HELD_S - 1.0, up + HELD_S + SHUT_S, speed)


def _pumped(
    airplane: Airplane,
    field: float,
    steps: list[dict[str, Any]],
    faults: tuple[Faults, ...],
    workers: int | None,
) -> Batch:
    from ramstill import air
    from ramstill.bench import parse_bench, surroundings
    from ramstill.run import simulate_batch

    elevation = float(air.geometric_from_geopotential(field))
    programme = parse_bench({"elevation": f"{elevation} m", "apply": steps}, "check")
    around = surroundings(airplane, programme, source="check")
    return simulate_batch(
        airplane, around, faults, output_hz=OUTPUT_HZ, dtype=np.float64, workers=workers, progress=False
    )


def _named(airplane: Airplane, *kinds: str) -> list[str]:
    return [opening.name for opening in openings(airplane, *kinds)]


def _drains(airplane: Airplane) -> list[dict[str, Any]]:
    """The drain holes of the pitot side, sealed for all of a test."""
    drains = _named(airplane, "pitot-drain")
    return [_step("finger", drains, ONSET_S, **{"for": "600 s"})] if drains else []


def _step(what: str, opening: list[str], begin_s: float, **more: str) -> dict[str, Any]:
    return {"what": what, "opening": opening, "from": f"{begin_s} s", **more}
