"""From a plan to a path: what the airplane does, moment by moment, on a stated day."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.atmosphere import HIGHEST, LOWEST
from ramstill.air.constants import EARTH_RADIUS, G0
from ramstill.air.units import HPA
from ramstill.errors import InputError
from ramstill.flight import legs
from ramstill.flight.attitude import angle_of_attack, load_factor
from ramstill.flight.course import Course
from ramstill.flight.tables import LONGEST_S
from ramstill.pneumatics import Truth

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.planned import FlightPlan

Array = NDArray[np.float64]
SAMPLE_S = 0.2  # [s]; onsets take seconds, so a spline through these is far inside any instrument's step


@dataclass(frozen=True, slots=True)
class FlightPath:
    """What is true along a flight: `truth` on its own times; bank, heading [rad], load factor [-] (k,)."""

    truth: Truth
    bank_rad: Array
    heading_rad: Array
    load_factor: Array
    kinks_s: tuple[float, ...] = ()
    title: str = "planned flight"


def right_setting(day: air.Day, elevation_m: float, source: str, field: str) -> float:
    """The altimeter setting [Pa] with which an altimeter at a field shows its elevation [m].

    Raises InputError naming `field` of the file `source` for an elevation at which there is no air.
    """
    try:
        field_pa = float(day.pressure(float(air.geopotential_from_geometric(elevation_m))))
        return float(air.altimeter_setting(field_pa, elevation_m))
    except ValueError as error:
        raise InputError(source, field, f"{elevation_m:g} m", str(error)) from None


def chosen_setting(chosen_pa: float | None, right_pa: float, source: str, field: str) -> float:
    """The altimeter setting [Pa] that is chosen, or the right one where none is.

    Raises InputError naming `field` of the file `source` for one that no altitude goes with.
    """
    if chosen_pa is None:
        return right_pa
    try:
        air.pressure_altitude(chosen_pa)
    except ValueError as error:
        raise InputError(source, field, f"{chosen_pa / HPA:g} hPa", str(error)) from None
    return chosen_pa


def plan(
    flight: FlightPlan, airplane: Airplane, day: air.Day | None = None, source: str = "flight plan"
) -> FlightPath:
    """Return the path of a planned flight.

    Assumptions: still air without wind; rates are of pressure altitude; the angle of attack is that at which
    the wing carries weight times load factor (0 where the airplane file has no wing, and on the ground).
    Raises InputError naming the leg that cannot be flown.
    """
    day = day or air.Day()
    correct_pa = right_setting(day, flight.field_elevation, source, "flight.field_elevation")
    course = Course.begin(flight, airplane, day, correct_pa, source)
    for number, leg in enumerate(flight.leg):
        after = flight.leg[number + 1] if number + 1 < len(flight.leg) else None
        legs.fly(course, leg, number + 1, after)
    if course.now_s > LONGEST_S:
        hours = f"{LONGEST_S / 3600.0:g} h at most"
        raise InputError(
            source, "flight.leg", f"a flight of {course.now_s / 3600.0:.3g} h (the durations)", hours
        )
    return _worked_out(course, flight, airplane, day, correct_pa)


def _worked_out(
    course: Course, flight: FlightPlan, airplane: Airplane, day: air.Day, correct_pa: float
) -> FlightPath:
    time = course.sample_times(SAMPLE_S)
    shown = course.start_altitude + course.rate.integral(time)
    cas = np.maximum(course.start_speed + course.acceleration.integral(time), 0.0)
    cas[cas < 1e-9] = 0.0
    altitude = shown + float(air.pressure_altitude(correct_pa))
    if altitude.max() > HIGHEST or altitude.min() < LOWEST:
        worst = altitude.max() if altitude.max() > HIGHEST else altitude.min()
        allowed = f"a path between {LOWEST:g} m and {HIGHEST:g} m of pressure altitude"
        raise InputError(course.source, "flight", f"a path through {worst:.0f} m", allowed)
    static = np.asarray(air.static_pressure(altitude))
    height = np.asarray(day.height(static))
    temperature = np.asarray(day.temperature(height))
    geometric = np.asarray(air.geometric_from_geopotential(height))
    # hydrostatics: a metre of pressure altitude is T/T_std metres of the day's air, more in weaker gravity
    warm = temperature / np.asarray(air.standard_temperature(altitude))
    stretch = warm * (1.0 + geometric / EARTH_RADIUS) ** 2
    climb = course.rate.at(time) * stretch
    impact = np.asarray(air.impact_pressure(cas))
    mach = np.asarray(air.mach(impact, static))
    tas = np.asarray(air.true_airspeed(mach, temperature))
    bank, ground = course.bank.at(time), course.on_ground.at(time)
    flap = course.flap.at(time)
    lifted = load_factor(time, climb, tas, bank)
    alpha = angle_of_attack(airplane.wing, static, mach, lifted, flap) * (1.0 - ground)
    setting = chosen_setting(flight.altimeter_setting, correct_pa, course.source, "flight.altimeter_setting")
    turn = np.where(tas > 1.0, G0 * np.tan(bank) / np.maximum(tas, 1.0), 0.0) * (1.0 - ground)
    heading = np.concatenate([[0.0], np.cumsum(0.5 * (turn[1:] + turn[:-1]) * np.diff(time))])
    truth = Truth.steady(
        time,
        phases=tuple(course.phases),
        pressure_altitude_m=altitude,
        geometric_altitude_m=geometric,
        static_pressure_pa=static,
        impact_pressure_pa=impact,
        cas_m_s=cas,
        tas_m_s=tas,
        climb_m_s=climb,
        outside_temperature_k=temperature,
        altimeter_setting_pa=setting,
        angle_of_attack_rad=alpha,
        sideslip_rad=course.sideslip.at(time) * (1.0 - ground),
        flap=flap,
        gear=course.gear.at(time),
        power=course.power.at(time),
        height_over_ground_m=np.maximum(geometric - course.ground_geometric(time), 0.0),
        ground_speed_m_s=np.sqrt(np.maximum(tas**2 - climb**2, 0.0)),
        load_factor=lifted * (1.0 - ground) + ground,
    )
    return FlightPath(truth=truth, bank_rad=bank, heading_rad=heading, load_factor=lifted)
