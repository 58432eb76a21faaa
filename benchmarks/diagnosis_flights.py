"""The flights of the cases: leg by leg as no perfect hand flies them, or by a pilot in the loop."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from diagnosis_weather import smoothly_wandering
from numpy.typing import NDArray

from ramstill import air, flight
from ramstill.air.constants import G0
from ramstill.air.units import FPM, FT
from ramstill.errors import InputError
from ramstill.flight.planned import parse_flight

if TYPE_CHECKING:
    from numpy.random import Generator

    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.pneumatics import Truth

Array = NDArray[np.float64]
STEP_S = 0.25  # of everything that is true along a flight
SHORTEST_S, LONGEST_S = 360.0, 1500.0
MIN_FLOWN_S = 300.0  # a pilot whom a fault has brought down sooner makes no case
BY_PILOT, FROM_THE_GROUND = 0.2, 0.3
STYLES = ("cross-check", "cross-check", "by-airspeed", "altitude-hold")
NEVER_S = "36000 s"  # until the pilot disbelieves the pointers: the record is of one who does not
# Altitudes that each is flown between [ft]; the field's is below.
ALTITUDES_FT = {
    "sailplane": (1800.0, 7000.0),
    "low-wing-mast": (1800.0, 8500.0),
    "high-wing-tube": (1800.0, 9000.0),
    "glass-trainer": (1800.0, 10000.0),
    "twin-two-ports": (2500.0, 13000.0),
    "pressurised-turboprop": (3000.0, 22000.0),
    "business-jet": (4000.0, 31000.0),
}
MOST_MACH = 0.62  # of an airspeed that the hand holds, at the altitude where a leg begins
_KINDS, _OFTEN = ("climb", "descent", "level", "turn", "speed-change"), (0.24, 0.2, 0.24, 0.16, 0.16)


@dataclass(frozen=True, slots=True)
class Flown:
    """What the airplane does, every `STEP_S`: (k,) SI; before gusts.

    pressure_altitude_m, cas_m_s, bank_rad, heading_rad, sideslip_rad, gear, setting_pa, over_ground_m;
    power: 0 to 1, or None where it is to follow from what the airplane does; how: in words.
    """

    time_s: Array
    pressure_altitude_m: Array
    cas_m_s: Array
    bank_rad: Array
    heading_rad: Array
    sideslip_rad: Array
    flap: Array
    gear: Array
    setting_pa: Array
    over_ground_m: Array
    power: Array | None
    how: str

    @property
    def airborne(self) -> Array:
        """0 on the ground to 1 some metres above it, (k,)."""
        return np.clip(self.over_ground_m / 30.0, 0.0, 1.0)


def a_duration(rng: Generator) -> float:
    """How long the record is [s]."""
    return float(rng.uniform(SHORTEST_S, LONGEST_S))


def typical_height_m(plane: Airplane, rng: Generator) -> float:
    """A height [m] that the airplane is likely to be flown at."""
    low, high = ALTITUDES_FT[plane.name]
    return float(rng.uniform(low, low + 0.6 * (high - low))) * FT


def planned(
    plane: Airplane, day: air.Day, rng: Generator, lasts_s: float, from_ground: bool, near_m: float | None
) -> Flown:
    """A flight of legs, and the hand that flies it: speed, height and ball wander."""
    while True:
        table = _legs(plane, rng, lasts_s, from_ground, near_m)
        try:
            path = flight.plan(parse_flight(table, "case"), plane, day)
        except InputError:
            continue  # a leg too short for its changes, or a climb above all air
        if path.truth.time_s[-1] > lasts_s:
            break
    truth, time = path.truth, np.arange(0.0, lasts_s, STEP_S)
    true = truth.at(time)
    bank = np.interp(time, truth.time_s, path.bank_rad)
    turned = np.interp(time, truth.time_s, path.heading_rad)
    side = rng.choice((-1.0, 1.0))
    n = len(time)
    hand = np.clip(true.height_over_ground_m / 100.0, 0.0, 1.0)
    # what the hand loses in height it gains in speed, and the lever stays where it is
    height = hand * smoothly_wandering(rng, n, STEP_S, rng.uniform(2.0, 9.0), rng.uniform(20.0, 60.0))
    drift = smoothly_wandering(rng, n, STEP_S, 0.006, 60.0)
    fast = np.maximum(true.tas_m_s, 10.0)
    speed = true.cas_m_s * (1.0 + hand * (drift - G0 * height / fast**2))
    return Flown(
        time,
        true.pressure_altitude_m + height,
        speed,
        side * bank,
        rng.uniform(0.0, 2.0 * np.pi) + side * turned,
        hand * _ball(rng, n),
        true.flap,
        true.gear,
        true.altimeter_setting_pa,
        true.height_over_ground_m,
        None,
        "planned" + (" from the ground" if from_ground else ""),
    )


def _ball(rng: Generator, count: int) -> Array:
    """Sideslip [rad] of ordinary flying."""
    return np.radians(rng.normal(0.0, 0.6) + smoothly_wandering(rng, count, STEP_S, 0.5, 20.0))


def _legs(
    plane: Airplane, rng: Generator, lasts_s: float, from_ground: bool, near_m: float | None
) -> dict[str, Any]:
    speeds = plane.speeds
    low_ft, high_ft = ALTITUDES_FT[plane.name]
    field_ft = float(np.round(rng.uniform(0.0, low_ft - 1200.0)))
    slow, fast = 1.3 * float(speeds.stall_clean), 0.97 * float(speeds.normal_operating_limit)

    def speed(usual: float, low: float, high: float) -> str:
        most = min(fast, MOST_MACH * _cas_a_mach(now_ft * FT))
        return f"{float(np.clip(usual * rng.uniform(low, high), slow, max(most, slow))):.2f} m/s"

    usual, now_ft, spent = float(speeds.cruise), 0.0, 0.0
    legs: list[dict[str, Any]] = []
    table: dict[str, Any] = {"field_elevation": f"{field_ft:.0f} ft", "leg": legs}
    if from_ground:
        now_ft = field_ft + rng.uniform(500.0, 1000.0)
        rate = float(speeds.climb_rate) * rng.uniform(0.6, 0.9)
        legs.append({"kind": "take-off", "to": f"{now_ft:.0f} ft", "rate": f"{rate:.2f} m/s"})
        legs[-1]["wait"] = f"{rng.uniform(5.0, 60.0):.0f} s"
        spent = 60.0
    else:
        now_ft = rng.uniform(low_ft, high_ft) if near_m is None else float(near_m) / FT
        table |= {"start_altitude": f"{now_ft:.0f} ft", "start_speed": speed(usual, 0.8, 1.0)}
    gear = {} if from_ground else {"gear": "up"}
    while spent < lasts_s + 90.0:
        kind = str(rng.choice(_KINDS, p=_OFTEN)) if len(legs) != 1 or not from_ground else "climb"
        leg: dict[str, Any] = {"kind": kind, "onset": f"{rng.uniform(2.0, 6.0):.1f} s", **gear}
        gear = {"gear": "up"} if from_ground and len(legs) == 1 else {}
        change_ft = float(speeds.climb_rate) / FPM * rng.uniform(0.6, 4.0)
        if kind == "climb":
            thin = 1.0 - 0.6 * now_ft / (1.6 * high_ft)
            rate = float(speeds.climb_rate) * rng.uniform(0.45, 0.9) * thin
            to_ft = min(now_ft + change_ft, high_ft + 1500.0)
            leg |= {"to": f"{to_ft:.0f} ft", "speed": speed(float(speeds.climb), 0.95, 1.2)}
        elif kind == "descent":
            rate = float(speeds.descent_rate) * rng.uniform(0.5, 1.2)
            to_ft = max(now_ft - change_ft, low_ft)
            leg |= {"to": f"{to_ft:.0f} ft", "speed": speed(usual, 0.8, 1.0)}
        if kind in ("climb", "descent"):
            if abs(to_ft - now_ft) < 300.0:
                continue
            leg["rate"] = f"{rate:.2f} m/s"
            spent += abs(to_ft - now_ft) * FT / rate
            now_ft = to_ft
        elif kind == "level":
            seconds = rng.uniform(45.0, 240.0)
            leg["duration"] = f"{seconds:.0f} s"
            spent += seconds
        elif kind == "turn":
            leg |= {
                "degrees": f"{rng.uniform(45.0, 360.0):.0f} deg",
                "bank": f"{rng.uniform(12.0, 30.0):.0f} deg",
            }
            spent += 45.0
        else:
            leg |= {"speed": speed(usual, 0.7, 1.05), "acceleration": f"{rng.uniform(0.2, 0.6):.2f} m/s2"}
            spent += 20.0
        legs.append(leg)
    return table


def _cas_a_mach(altitude_m: float) -> float:
    """Calibrated airspeed [m/s] for each Mach, about, at a pressure altitude [m]."""
    static = float(air.static_pressure(altitude_m))
    return float(air.calibrated_airspeed(static * (1.2**3.5 - 1.0)))


def piloted(
    plane: Airplane,
    day: air.Day,
    rng: Generator,
    lasts_s: float,
    faults: Iterable[Fault],
    near_m: float | None,
) -> Flown | None:
    """A flight by a pilot who follows the pointers, faults and all; None where it is over too soon."""
    speeds = plane.speeds
    low_ft, high_ft = ALTITUDES_FT[plane.name]
    now_ft = rng.uniform(low_ft, 0.5 * (low_ft + high_ft)) if near_m is None else float(near_m) / FT
    table: dict[str, Any] = {
        "style": str(rng.choice(STYLES)),
        "field_elevation": f"{rng.uniform(0.0, low_ft - 1200.0):.0f} ft",
        "start_altitude": f"{now_ft:.0f} ft",
        "start_speed": f"{0.9 * float(speeds.cruise):.1f} m/s",
        "recognition": NEVER_S,
        "seed": int(rng.integers(1, 2**31)),
    }
    tasks: list[dict[str, Any]] = []
    spent = 0.0
    while spent < lasts_s:
        kind = str(rng.choice(("climb", "level", "level", "descent")))
        change_ft = float(speeds.climb_rate) / FPM * rng.uniform(0.8, 3.0)
        if kind == "level":
            seconds = rng.uniform(60.0, 240.0)
            cruise = float(speeds.cruise) * rng.uniform(0.8, 0.95)
            tasks.append({"kind": "level", "duration": f"{seconds:.0f} s", "speed": f"{cruise:.1f} m/s"})
        else:
            up = kind == "climb"
            to_ft = min(now_ft + change_ft, high_ft) if up else max(now_ft - change_ft, low_ft)
            if abs(to_ft - now_ft) < 300.0:
                continue
            wanted = float(speeds.climb) * rng.uniform(1.0, 1.15) if up else 0.9 * float(speeds.cruise)
            tasks.append({"kind": kind, "to": f"{to_ft:.0f} ft", "speed": f"{wanted:.1f} m/s"})
            seconds = abs(to_ft - now_ft) * FT / float(speeds.climb_rate if up else speeds.descent_rate)
            now_ft = to_ft
        spent += seconds
    table["task"] = tasks
    try:
        found = flight.fly(plane, flight.parse_pilot(table, "case"), day, tuple(faults))
    except InputError:
        return None
    truth: Truth = found.path.truth
    end = min(float(truth.time_s[-1]), lasts_s)
    if end < MIN_FLOWN_S:
        return None
    time = np.arange(0.0, end, STEP_S)
    true, n = truth.at(time), len(time)
    return Flown(
        time,
        true.pressure_altitude_m,
        true.cas_m_s,
        np.zeros(n),
        np.full(n, rng.uniform(0.0, 2.0 * np.pi)),
        _ball(rng, n),
        true.flap,
        true.gear,
        true.altimeter_setting_pa,
        true.height_over_ground_m,
        true.power,
        f"pilot, {found.style}",
    )
