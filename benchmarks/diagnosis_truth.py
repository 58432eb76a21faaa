"""From what an airplane does to everything that is true of it: air, attitude, engine, way over the ground."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from diagnosis_flights import STEP_S, Flown
from diagnosis_weather import Gusts, Wind, late
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.constants import G0, GAMMA, R_AIR, RHO0
from ramstill.airplane.flying import Jet, Propeller
from ramstill.flight import FlightPath
from ramstill.flight.attitude import angle_of_attack, load_factor
from ramstill.pneumatics import Truth

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

Array = NDArray[np.float64]
SPOOL_S = 1.5  # a lever is not moved faster [s]


@dataclass(frozen=True, slots=True)
class Beside:
    """What a recorder knows besides the pitot-static instruments, every step, (k,) SI; track, heading [rad].

    height_m: geometric; power: 0 to 1, or None without an engine.
    """

    height_m: Array
    ground_speed_m_s: Array
    track_rad: Array
    heading_rad: Array
    temperature_k: Array
    pitch_rad: Array
    power: Array | None


def path_of(
    plane: Airplane, flown: Flown, day: air.Day, gusts: Gusts | None = None, power: Array | None = None
) -> FlightPath:
    """The path, with gusts or without; on the ground there are none. power (k,): where it is known."""
    here = flown.airborne
    altitude, cas = flown.pressure_altitude_m, flown.cas_m_s
    bank = flown.bank_rad
    static = np.asarray(air.static_pressure(altitude))
    if gusts is not None:
        altitude = altitude + here * gusts.heave_m
        static = np.asarray(air.static_pressure(altitude))
        ratio = cas / np.maximum(_tas(cas, static, day), 1.0)
        cas = np.maximum(cas + here * gusts.along * ratio, 0.0)
    height = np.asarray(day.height(static))
    temperature = np.asarray(day.temperature(height))
    geometric = np.asarray(air.geometric_from_geopotential(height))
    impact = np.asarray(air.impact_pressure(cas))
    mach = np.asarray(air.mach(impact, static))
    tas = np.asarray(air.true_airspeed(mach, temperature))
    climb = np.gradient(geometric, STEP_S)
    lifted = load_factor(flown.time_s, late(climb, STEP_S, 1.0), tas, bank)
    lifted = np.clip(lifted, 0.3, 3.0)
    alpha = angle_of_attack(plane.wing, static, mach, lifted, flown.flap) * here
    slip = flown.sideslip_rad
    if gusts is not None:
        fast = np.maximum(tas, float(plane.speeds.stall_landing))
        more = here * gusts.felt_up / fast
        zero = float(plane.wing.zero_lift_angle) if plane.wing is not None else 0.0
        lifted = lifted * (1.0 + more / np.maximum(alpha - zero, 0.02))
        alpha, slip = alpha + more, slip + here * gusts.across / fast
    if power is None:
        power = flown.power
    if power is None:
        power = np.clip(_power(plane, flown, tas, static, temperature, climb, lifted), 0.0, 1.0)
    truth = Truth.steady(
        flown.time_s,
        phases=((0.0, "case"),),
        pressure_altitude_m=altitude,
        geometric_altitude_m=geometric,
        static_pressure_pa=static,
        impact_pressure_pa=impact,
        cas_m_s=cas,
        tas_m_s=tas,
        climb_m_s=climb,
        outside_temperature_k=temperature,
        altimeter_setting_pa=flown.setting_pa,
        angle_of_attack_rad=alpha,
        sideslip_rad=slip,
        flap=flown.flap,
        gear=flown.gear,
        power=power,
        height_over_ground_m=flown.over_ground_m,
        ground_speed_m_s=tas,
        load_factor=np.clip(lifted, 0.0, 3.0) * here + 1.0 - here,
    )
    return FlightPath(truth, bank, flown.heading_rad, lifted, title="case")


def beyond_the_engine(plane: Airplane, flown: Flown, path: FlightPath) -> float:
    """Share of a flight that asks for more power than there is, or for less than none [-]."""
    if _engine(plane) is None or flown.power is not None:
        return 0.0
    truth = path.truth
    asked = _power(
        plane,
        flown,
        truth.tas_m_s,
        truth.static_pressure_pa,
        truth.outside_temperature_k,
        truth.climb_m_s,
        truth.load_factor,
    )
    return float(np.mean((asked < -0.03) | (asked > 1.05)))


def beside(plane: Airplane, flown: Flown, path: FlightPath, wind: Wind) -> Beside:
    """What GPS, compass and the rest say without error along a path without gusts."""
    truth = path.truth
    north, east = wind.at(truth.geometric_altitude_m, truth.time_s)
    level = np.sqrt(np.maximum(truth.tas_m_s**2 - truth.climb_m_s**2, 0.0))
    near = np.clip(flown.over_ground_m / 20.0, 0.0, 1.0)  # it is stiller at the ground, where it rolls
    ahead = flown.heading_rad + flown.sideslip_rad
    to_north = level * np.cos(ahead) + near * north
    to_east = level * np.sin(ahead) + near * east
    through = np.clip(_through_the_air(plane, truth) / np.maximum(truth.tas_m_s, 1.0), -0.5, 0.5)
    pitch = truth.angle_of_attack_rad * np.cos(flown.bank_rad) + np.arcsin(through) * flown.airborne
    return Beside(
        truth.geometric_altitude_m,
        np.hypot(to_north, to_east),
        np.arctan2(to_east, to_north) % (2.0 * np.pi),
        flown.heading_rad % (2.0 * np.pi),
        truth.outside_temperature_k,
        pitch,
        truth.power if _engine(plane) is not None else None,
    )


def _tas(cas: Array, static: Array, day: air.Day) -> Array:
    return np.asarray(air.true_from_calibrated(cas, static, np.asarray(day.temperature(day.height(static)))))


def _engine(plane: Airplane) -> Propeller | Jet | None:
    return None if plane.performance is None else plane.performance.engine


def _drag(plane: Airplane, truth_mach: Array, static: Array, lifted: Array, gear: Array) -> Array:
    """Drag [N] by the parabolic polar, without what shock waves add."""
    flies, wing = plane.performance, plane.wing
    assert flies is not None
    assert wing is not None
    load = np.maximum(0.5 * GAMMA * static * truth_mach**2 * float(wing.area), 1.0)
    lift = np.clip(float(wing.mass) * G0 * lifted / load, -2.0, 2.0)
    zero = float(flies.zero_lift_drag) + gear * float(flies.gear_drag)
    return np.asarray(load * (zero + float(flies.induced_drag) * lift * lift))


def _power(
    plane: Airplane,
    flown: Flown,
    tas: Array,
    static: Array,
    temperature: Array,
    climb: Array,
    lifted: Array,
) -> Array:
    """Share of power (k,) that a climb and a change of speed ask for; on the ground what a take-off takes.

    Below 0 where brakes would be needed, above 1 where the engine has not that much.
    """
    engine, wing = _engine(plane), plane.wing
    if engine is None or wing is None:
        return np.zeros(len(tas))
    density = static / (R_AIR * temperature)
    mach = tas / np.sqrt(GAMMA * R_AIR * temperature)
    v = np.maximum(tas, 10.0)
    quicker = late(np.gradient(tas, STEP_S), STEP_S, SPOOL_S)
    steady = late(climb, STEP_S, SPOOL_S)
    push = _drag(plane, mach, static, lifted, flown.gear)
    push = push + float(wing.mass) * (G0 * steady / v + quicker)
    if isinstance(engine, Jet):
        most = engine.count * float(engine.static_thrust) * (density / RHO0) ** float(engine.density_exponent)
        share = push / (most * np.maximum(1.0 - float(engine.mach_fall) * mach, 0.1))
    else:
        disc = engine.count * np.pi / 4.0 * float(engine.diameter) ** 2
        faster = 0.5 * (np.sqrt(v * v + 2.0 * np.maximum(push, 0.0) / (density * disc)) - v)
        given = push * (v + faster) / float(engine.figure_of_merit)
        share = given / (engine.count * float(engine.shaft_power))
    rolling = (flown.over_ground_m < 1.0) & (np.gradient(tas, STEP_S) > 0.2)
    return late(np.where(rolling, 1.0, share), STEP_S, SPOOL_S)


def _through_the_air(plane: Airplane, truth: Truth) -> Array:
    """Rate of climb through the air (k,) [m/s]: a glider that does not sink is in air that rises."""
    if _engine(plane) is not None or plane.performance is None or plane.wing is None:
        return np.asarray(truth.climb_m_s)
    mach = np.asarray(air.mach(truth.impact_pressure_pa, truth.static_pressure_pa))
    drag = _drag(plane, mach, truth.static_pressure_pa, truth.load_factor, truth.gear)
    slower = late(np.gradient(truth.tas_m_s, STEP_S), STEP_S, SPOOL_S)
    return np.asarray(-truth.tas_m_s * (drag / (float(plane.wing.mass) * G0) + slower / G0))
