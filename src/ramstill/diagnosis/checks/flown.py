"""What the pointers show in the air under each way it may be: one short flight for all checks made there.

The airplane comes to where it is, the faults having set in before; flies level; climbs a little; changes
speed. Beside it, the same with the alternate source opened, and with heat put on, while it is level.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.checks.ways import ONSET_S, Faults

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.answer import Situation
    from ramstill.diagnosis.checks.histories import History
    from ramstill.run import Batch

Array = NDArray[np.float64]

CLIMB_M = 300.0 * FT  # how little a small change of altitude is
CLIMB_RATE = 500.0 * FPM  # [m/s]
COMING_S = 120.0  # a long way up or down is flown in no more than this
SPEED_STEP = 15.0 * KT  # how little a small change of speed is [m/s]
OVER_STALL = 1.25  # the slowest it is flown, over its stall [-]
MOST_MACH = 0.8  # the fastest it is flown; assumed
SETTLED_S, TURNED_S, AFTER_S = 40.0, 60.0, 20.0  # level before the valve or heater is moved; then; and on
ICING_S = 900.0  # in cloud before that, where ice may be the case
ICY_K = 265.0  # how cold it is then [K]: -8 degC, where clouds hold much water; assumed
ICING = frozenset({"pitot-icing", "static-icing"})
UNHEATED = frozenset({"heater-failed", "heat-left-off"})
CLEAR_M = 200.0  # the ground is further below than that all the time
OUTPUT_HZ = 2.0


@dataclass(frozen=True, slots=True)
class Flown:
    """A batch of the flight and the times that matter in it [s].

    level_s: level and settled, when the valve or the heater is moved; turned_s: when what came of that is
    read, before the small climb; climbed_s: in the middle of it; high_s: after it; back_s: after the way
    back; changed_s: at the other speed, `faster_m_s` faster than before.
    """

    batch: Batch
    level_s: float
    turned_s: float
    climbed_s: float
    high_s: float
    back_s: float
    changed_s: float
    faster_m_s: float

    def at(self, pointer: str, time_s: float, over_s: float = 4.0) -> Array:
        """What a pointer shows (way,), averaged over the seconds before a time."""
        rows = (self.batch.time_s <= time_s) & (self.batch.time_s > time_s - over_s)
        return np.asarray(self.batch.of(pointer)[:, rows].mean(axis=1), dtype=float)

    def off(self, pointer: str, time_s: float) -> Array:
        """How far a pointer is (way,) from where the sound airplane's is, with its own error and that of its
        openings, which the pilot is used to.
        """
        sound = self.batch.healthy[:, self.batch.place(pointer)]
        rows = (self.batch.time_s <= time_s) & (self.batch.time_s > time_s - 4.0)
        return np.asarray(self.at(pointer, time_s) - float(sound[rows].mean()))

    def moved(self, pointer: str, from_s: float, to_s: float) -> Array:
        """How far a pointer moves (way,) from one time to another."""
        return np.asarray(self.at(pointer, to_s) - self.at(pointer, from_s))

    def swung(self, pointer: str, from_s: float, for_s: float = 12.0) -> Array:
        """The furthest a pointer goes (way,) from where it was at a time, soon after it."""
        before = self.at(pointer, from_s)
        rows = (self.batch.time_s > from_s) & (self.batch.time_s <= from_s + for_s)
        away = self.batch.of(pointer)[:, rows] - before[:, None]
        if not np.isfinite(away).any():
            return before
        far = np.nanargmax(np.abs(np.nan_to_num(away)), axis=1)
        return np.asarray(np.take_along_axis(away, far[:, None], axis=1)[:, 0], dtype=float)


def speed_flown(airplane: Airplane, situation: Situation) -> float:
    """The calibrated airspeed [m/s] the checks are worked out at: as it flies, within what it may fly at."""
    from ramstill import air

    speeds = airplane.speeds
    static = float(air.static_pressure(situation.pressure_altitude_m))
    fastest = float(air.calibrated_airspeed(air.impact_pressure_from_mach(MOST_MACH, static)))
    low, high = OVER_STALL * float(speeds.stall_clean), min(float(speeds.normal_operating_limit), fastest)
    wanted = situation.cas_m_s if np.isfinite(situation.cas_m_s) else float(speeds.cruise)
    return float(np.clip(wanted, low, high))


def iced(faults: Faults) -> bool:
    """Whether ice is part of this way."""
    return any(fault.name in ICING for fault in faults)


def clouded(faults: Faults, airplane: Airplane) -> Faults:
    """A way in freezing cloud: what no heater warms any more gets ice on it."""
    from ramstill.faults import Fault
    from ramstill.faults.places import openings

    if iced(faults) or not any(fault.name in UNHEATED for fault in faults):
        return faults
    rams, stills = openings(airplane, "pitot-inlet", "pitot-drain"), openings(airplane, "static-port")
    cloud = [("pitot-icing", o.name) for o in rams if o.heated]
    cloud += [("static-icing", o.name) for o in stills if o.heated]
    return (*faults, *(Fault(name, where, onset_s=ONSET_S) for name, where in cloud))


Moved = Callable[[Faults, float], Faults]


def fly(
    airplane: Airplane,
    situation: Situation,
    history: History,
    faults: tuple[Faults, ...],
    moved: Moved | None = None,
    workers: int | None = None,
) -> Flown:
    """Fly all ways. moved(faults, time [s]): the faults when something is moved at that time."""
    from ramstill.flight import parse_flight, plan, surroundings
    from ramstill.run import simulate_batch

    icing = any(iced(way) for way in faults)
    table, faster = _table(airplane, situation, history, icing, moved is None)
    flight = parse_flight(table, "check")
    path = plan(flight, airplane, _day(situation, icing), "check")
    begins = {name: at for at, name in path.truth.phases}
    level = begins["settled"] + SETTLED_S
    cases = faults if moved is None else tuple(moved(way, level) for way in faults)
    batch = simulate_batch(
        airplane,
        surroundings(airplane, path),
        cases,
        output_hz=OUTPUT_HZ,
        dtype=np.float64,
        workers=workers,
        progress=False,
    )
    up, on, back, changed = (begins.get(name, np.nan) for name in ("up", "on", "back", "changed"))
    turned = level + TURNED_S - 2.0
    after = (on + AFTER_S, back + AFTER_S, changed + AFTER_S)
    return Flown(batch, level, turned, 0.5 * (up + on), *after, faster)


def with_alternate(valve: str) -> Moved:
    """Open an alternate source's valve."""
    from ramstill.faults import Fault

    def moved(faults: Faults, at_s: float) -> Faults:
        if any(f.name == "alternate-static-open" and f.where in (None, valve) for f in faults):
            return faults
        return (*faults, Fault("alternate-static-open", valve, onset_s=at_s))

    return moved


def with_heat(faults: Faults, at_s: float) -> Faults:
    """Switch the heat on."""
    return tuple(replace(f, end_s=at_s) if f.name == "heat-left-off" else f for f in faults)


def _table(
    airplane: Airplane, situation: Situation, history: History, icing: bool, on: bool
) -> tuple[dict[str, Any], float]:
    """The flight to the place of the check and, where `on`, on from there; and how much faster it gets."""
    speed = speed_flown(airplane, situation)
    slow = OVER_STALL * float(airplane.speeds.stall_clean)
    begin_speed = float(np.clip(speed - history.quickened_m_s, slow, airplane.speeds.normal_operating_limit))
    altitude = situation.pressure_altitude_m
    climbed = history.climbed_m
    begin = altitude - climbed
    first = ICING_S if icing else 2.0 * ONSET_S
    legs: list[dict[str, Any]] = [{"kind": "level", "name": "before", "duration": f"{first} s"}]
    if abs(climbed) > 1.0:
        rate = max(CLIMB_RATE, abs(climbed) / COMING_S)
        way = "climb" if climbed > 0.0 else "descent"
        legs.append(_leg(way, "coming", to=f"{altitude} m", rate=f"{rate} m/s", speed=f"{speed} m/s"))
    elif abs(speed - begin_speed) > 0.1:
        legs.append(_leg("speed-change", "coming", speed=f"{speed} m/s"))
    legs.append(_leg("level", "settled", duration=f"{SETTLED_S + TURNED_S} s"))
    other = speed - SPEED_STEP if speed - SPEED_STEP > slow else speed + SPEED_STEP
    if on:
        sign = 1.0 if climbs(airplane) else -1.0
        there, away = f"{altitude + sign * CLIMB_M} m", {"rate": f"{CLIMB_RATE} m/s", "speed": f"{speed} m/s"}
        ways = ("climb", "descent") if climbs(airplane) else ("descent", "climb")
        legs += [
            _leg(ways[0], "up", to=there, **away),
            _leg("level", "on", duration=f"{AFTER_S + 2.0} s"),
            _leg(ways[1], "down", to=f"{altitude} m", **away),
            _leg("level", "back", duration=f"{AFTER_S + 2.0} s"),
            _leg("speed-change", "changing", speed=f"{other} m/s"),
            _leg("level", "changed", duration=f"{AFTER_S + 2.0} s"),
        ]
    table = {
        "field_elevation": f"{min(0.0, min(begin, altitude) - CLEAR_M)} m",
        "start_altitude": f"{begin} m",
        "start_speed": f"{begin_speed} m/s",
        "leg": legs,
    }
    return table, other - speed


def climbs(airplane: Airplane) -> bool:
    """Whether a small change of altitude is a climb: it is a descent for what has no engine."""
    return airplane.performance is None or airplane.performance.engine is not None


def _leg(kind: str, name: str, **values: str) -> dict[str, Any]:
    return {"kind": kind, "name": name, **values}


def _day(situation: Situation, icing: bool) -> Any:
    """The standard day, or one cold enough for ice where the airplane is."""
    from ramstill import air

    if not icing:
        return air.Day()
    there = float(air.standard_temperature(situation.pressure_altitude_m))
    return air.Day(temperature_offset_k=min(ICY_K - there, 0.0))
