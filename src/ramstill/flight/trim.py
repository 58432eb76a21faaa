"""Steady flight: the pitch and power for a speed and a climb, the climb for a power, the speed for a level.

Steady means at one calibrated airspeed: in a climb the true airspeed grows with height, and what that takes
is counted. The balance along and across the path is that of motion.py, without wind and without bank.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from math import asin, cos, sin
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.constants import GAMMA, R_AIR
from ramstill.air.units import FPM, KT
from ramstill.errors import InputError
from ramstill.flight import point_mass

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

Array = NDArray[np.float64]
AGREES = 0.03  # what the model gives may be off what the file states by this share


@dataclass(frozen=True, slots=True)
class Trim:
    """Steady flight: angles [rad], power [0 to 1], true climb and airspeed [m/s], geometric height [m]."""

    pitch_rad: float
    angle_of_attack_rad: float
    path_rad: float
    power: float
    climb_m_s: float
    true_speed_m_s: float
    cas_m_s: float
    height_m: float
    flap: float = 0.0
    gear: float = 0.0
    airbrake: float = 0.0

    def state(self) -> Array:
        """The state in which it flies like this."""
        return point_mass.state(self.true_speed_m_s, self.height_m, self.path_rad, self.pitch_rad, self.power)

    def controls(self, by_angle: bool = False) -> Array:
        """The controls that keep it so: pitch held, or the angle of attack."""
        attitude = {"angle_of_attack_rad": self.angle_of_attack_rad} if by_angle else {}
        return point_mass.controls(
            **(attitude or {"pitch_rad": self.pitch_rad}),
            power=self.power,
            flap=self.flap,
            gear=self.gear,
            airbrake=self.airbrake,
        )


@dataclass(frozen=True, slots=True)
class _Moment:
    """Air and speed of a steady flight, and how its airplane is set up."""

    flyer: Array
    height_m: float
    cas_m_s: float
    flap: float
    gear: float
    airbrake: float
    pressure: float
    temperature: float
    speed: float
    growth: float
    """1 + V/g dV/dh at one calibrated airspeed [-]: what a climb takes, over what height alone takes"""

    @property
    def mach(self) -> float:
        return float(self.speed / (GAMMA * R_AIR * self.temperature) ** 0.5)


def trim(
    plane: Airplane,
    day: air.Day | None,
    height_m: float,
    cas_m_s: float,
    *,
    climb_m_s: float | None = None,
    power: float | None = None,
    flap: float = 0.0,
    gear: float = 0.0,
    airbrake: float = 0.0,
    flyer: Array | None = None,
) -> Trim:
    """Steady flight at a geometric height [m] and calibrated airspeed [m/s].

    Just one of true climb [m/s] and power [0 to 1] is given; the other is worked out. `flyer` saves making it
    anew.
    Raises InputError for a speed below the stall, and for a climb or descent that no power gives.
    """
    if (climb_m_s is None) == (power is None):
        raise ValueError("trim takes a climb or a power, just one of them")
    flyer = point_mass.flyer(plane, day) if flyer is None else flyer
    moment = _moment(flyer, height_m, cas_m_s, flap, gear, airbrake)
    if power is not None:
        angle, path = _at_power(plane.name, moment, power)
    else:
        assert climb_m_s is not None
        angle, path, power = _at_climb(plane.name, moment, climb_m_s)
    return Trim(
        path + angle,
        angle,
        path,
        power,
        moment.speed * sin(path),
        moment.speed,
        cas_m_s,
        height_m,
        flap,
        gear,
        airbrake,
    )


def level_speed(plane: Airplane, day: air.Day | None, height_m: float, power: float) -> float:
    """Highest calibrated airspeed [m/s] of level flight with a power, all up and in.

    InputError where there is none.
    """
    flyer = point_mass.flyer(plane, day)
    from ramstill.flight import motion

    slow = slowest(flyer, height_m) * 1.0001

    def spare(cas: float) -> float:
        moment = _moment(flyer, height_m, cas, 0.0, 0.0, 0.0)
        given = motion.thrust(flyer, power, moment.speed, moment.pressure, moment.temperature)
        return given - _for_climb(plane.name, moment, 0.0)[2]

    fast = 1.5 * plane.speeds.never_exceed
    speeds = [slow + (fast - slow) * i / 60 for i in range(61)]
    enough = [i for i, cas in enumerate(speeds) if spare(cas) >= 0.0]
    if not enough or enough[-1] == 60:
        raise InputError(
            plane.name,
            "performance",
            f"level flight with {100 * power:.0f} % of power at {height_m:.0f} m",
            "less power, or more drag" if enough else "a power that holds a level there",
        )
    return _root(spare, speeds[enough[-1]], speeds[enough[-1] + 1])


def can_climb(plane: Airplane, flyer: Array) -> None:
    """Refuse an engine that does not give [speeds].climb_rate at sea level of the standard day within 3 %.

    `flyer` is of the standard day. InputError names the engine; an airplane without one climbs by the air.
    """
    engine, speeds = point_mass.performance_of(plane).engine, plane.speeds
    if engine is None:
        return
    best = trim(plane, None, 0.0, speeds.climb, power=1.0, flyer=flyer).climb_m_s
    if best < (1.0 - AGREES) * speeds.climb_rate:
        strength = "static_thrust" if engine.kind == "jet" else "shaft_power"
        raise InputError(
            plane.name,
            f"performance.engine.{strength}",
            f'"{getattr(engine, strength).text}", which climbs {best / FPM:+.0f} ft/min at sea level',
            f"enough for {speeds.climb_rate / FPM:.0f} ft/min, as speeds.climb_rate states, "
            f"within {100 * AGREES:g} %",
        )


def slowest(flyer: Array, height_m: float, flap: float = 0.0) -> float:
    """Calibrated airspeed [m/s] at which the largest lift carries the weight, without power or bank."""
    from ramstill.flight import motion

    pressure = motion.air_at(flyer, height_m)[0]
    most = motion.most_lift(flyer, flap)
    weight = flyer[point_mass.MASS] * motion.gravity(height_m)
    mach = (2.0 * weight / (GAMMA * pressure * flyer[point_mass.AREA] * most)) ** 0.5
    return float(air.calibrated_airspeed(air.impact_pressure_from_mach(float(mach), pressure)))


def _moment(
    flyer: Array, height_m: float, cas_m_s: float, flap: float, gear: float, airbrake: float
) -> _Moment:
    from ramstill.flight import motion

    heights = np.array([height_m - 10.0, height_m, height_m + 10.0])
    pressure, temperature = np.transpose([motion.air_at(flyer, float(height)) for height in heights])
    speeds = np.asarray(air.true_from_calibrated(cas_m_s, pressure, temperature))
    slope = (speeds[2] - speeds[0]) / (heights[2] - heights[0])
    growth = 1.0 + speeds[1] * slope / motion.gravity(height_m)
    return _Moment(
        flyer,
        height_m,
        cas_m_s,
        flap,
        gear,
        airbrake,
        float(pressure[1]),
        float(temperature[1]),
        float(speeds[1]),
        float(growth),
    )


def _balance(
    name: str, moment: _Moment, of_path: Callable[[float, float], tuple[float, float]]
) -> tuple[float, float, float]:
    """Angle of attack, path angle [rad] and thrust [N] in balance.

    `of_path(drag, angle)` tells sin(path) and thrust, one of them given. The angle is gone after by itself:
    what the thrust lifts, and what the path takes off the weight, change it little, so this settles fast.
    """
    from ramstill.flight import motion

    flyer = moment.flyer
    weight = float(flyer[point_mass.MASS] * motion.gravity(moment.height_m))
    load = 0.5 * GAMMA * moment.pressure * moment.mach**2 * float(flyer[point_mass.AREA])
    most = motion.most_lift(flyer, moment.flap)
    empty = float(flyer[point_mass.ZERO_LIFT_ANGLE] + moment.flap * flyer[point_mass.FLAP_SHIFT])
    angle, slope, push = empty + weight / load / float(flyer[point_mass.LIFT_SLOPE]), 0.0, 0.0
    for turn in range(200):
        wanted = (weight * cos(asin(slope)) - push * sin(angle)) / load
        before, angle = angle, empty + min(wanted, most) / float(flyer[point_mass.LIFT_SLOPE])
        _, drag = motion.coefficients(flyer, angle, moment.mach, moment.flap, moment.gear, moment.airbrake)
        slope, push = of_path(load * drag, angle)
        if abs(slope) > 1.0:
            raise InputError(name, "performance", "a path steeper than upright", "less thrust or drag")
        if turn and abs(angle - before) < 1e-14:
            break
    if wanted > most * (1.0 + 1e-9):
        stall = slowest(flyer, moment.height_m, moment.flap) / KT
        raise InputError(
            name, "speed", f"{moment.cas_m_s / KT:.1f} kt", f"above the stall, {stall:.1f} kt without power"
        )
    return angle, asin(slope), push


def _at_power(name: str, moment: _Moment, power: float) -> tuple[float, float]:
    from ramstill.flight import motion

    push = motion.thrust(moment.flyer, power, moment.speed, moment.pressure, moment.temperature)
    weight = float(moment.flyer[point_mass.MASS] * motion.gravity(moment.height_m))

    def of_path(drag: float, angle: float) -> tuple[float, float]:
        return (push * cos(angle) - drag) / (weight * moment.growth), push

    angle, path, _ = _balance(name, moment, of_path)
    return angle, path


def _for_climb(name: str, moment: _Moment, climb_m_s: float) -> tuple[float, float, float]:
    """Angle of attack, path angle [rad] and the thrust [N] that a climb [m/s] takes."""
    from ramstill.flight import motion

    weight = float(moment.flyer[point_mass.MASS] * motion.gravity(moment.height_m))
    slope = climb_m_s / moment.speed

    def of_path(drag: float, angle: float) -> tuple[float, float]:
        return slope, (drag + weight * slope * moment.growth) / cos(angle)

    return _balance(name, moment, of_path)


def _at_climb(name: str, moment: _Moment, climb_m_s: float) -> tuple[float, float, float]:
    from ramstill.flight import motion

    angle, path, push = _for_climb(name, moment, climb_m_s)

    def push_of(power: float) -> float:
        return motion.thrust(moment.flyer, power, moment.speed, moment.pressure, moment.temperature)

    most = push_of(1.0)
    slack = 1e-9 * most + 1e-6  # [N] of rounding
    if push > most + slack or push < -slack:
        end = _at_power(name, moment, 1.0 if push > most else 0.0)[1]
        limit = moment.speed * sin(end) / FPM
        read = f"{climb_m_s / FPM:+.0f} ft/min at {moment.cas_m_s / KT:.0f} kt"
        high = f"{limit:+.0f} ft/min at most, with full power"
        words = high if push > most else f"{limit:+.0f} ft/min or more, with no power; or more drag"
        raise InputError(name, "climb", read, words)
    return angle, path, _root(lambda power: push_of(power) - push, 0.0, 1.0) if most > 0.0 else 0.0


def _root(of: Callable[[float], float], low: float, high: float) -> float:
    """Where a function of one sign change is zero, by halving to the last digit or so."""
    falls = of(low) > of(high)
    for _ in range(60):
        middle = 0.5 * (low + high)
        if (of(middle) > 0.0) == falls:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
