"""The flight that every suspect is flown along: the best guess at the true one before anything is suspected.

It need not be right. What it is off by is carried along by the filter; it only has to be near enough that
the laws of the instruments are straight in between.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air import units
from ramstill.air.atmosphere import HIGHEST, LOWEST
from ramstill.air.constants import G0, P0, R_AIR
from ramstill.diagnosis.observed import Observed, filled

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.pneumatics import Surroundings

Array = NDArray[np.float64]
STRONGEST_WIND = 50.0 * units.KT  # low down, twice that where jets fly. Common practice, no source
HIGH = 6000.0  # [m]
USUAL_POWER = 0.6
USUAL_WIND, STEADY_M_S, TOLD_M_S, TOLD_COUNTS = 10.0, 0.6, 2.0, 0.2
CALM_S = 3.0  # [s] quicker than this the reference does not turn
LEFT_THE_GROUND = 50.0  # [m] above where the recording begins or ends on the ground
FASTEST_SHARE = 1.15  # of the never-exceed speed, that no airplane is believed to pass
SLOWEST_SHARE = 0.9  # of the stall in landing configuration


@dataclass(frozen=True, slots=True)
class Reference:
    """The flight along the knots, (k,) each, SI, and where it comes from.

    altitude: pressure altitude; airspeed: calibrated; setting: of the altimeter; airborne: 1 or 0; outside:
    temperature; excess, excess_slope: rate of climb that the power leaves over drag, and its change with the
    airspeed, NaN where power is not recorded; angle, angle_slope: angle of attack that carries the airplane.
    """

    knots_s: Array
    altitude_m: Array
    airspeed_m_s: Array
    climb_m_s: Array
    setting_pa: Array
    temperature_k: Array
    airborne: Array
    angle_rad: Array
    angle_slope: Array
    excess_m_s: Array
    excess_slope: Array
    power: Array
    slowest_m_s: float
    fastest_m_s: float
    gps_offset_m: float
    notes: tuple[str, ...]

    @property
    def static_pa(self) -> Array:
        """Static pressure outside [Pa]."""
        return np.asarray(air.static_pressure(self.altitude_m))

    @property
    def tas_m_s(self) -> Array:
        """True airspeed [m/s]."""
        return np.asarray(air.true_from_calibrated(self.airspeed_m_s, self.static_pa, self.temperature_k))


def refer(airplane: Airplane, seen: Observed) -> Reference:
    """Return the reference flight: from GPS where there is any, else from what the instruments showed."""
    notes: list[str] = []
    value, knots = seen.value, seen.knots_s
    setting = filled(value["altimeter setting"]) if seen.has("altimeter setting") else np.full(len(knots), P0)
    shown = None
    if seen.has("altitude"):
        shown = filled(value["altitude"]) + np.asarray(air.pressure_altitude(setting))
    offset = 0.0
    if seen.has("gps altitude"):
        gps = filled(value["gps altitude"])
        if shown is not None:
            offset = float(np.clip(np.median(gps - shown), -600.0, 600.0))
        altitude = gps - offset
    elif shown is not None:
        altitude = shown
    elif seen.has("vertical speed"):
        rate = filled(value["vertical speed"])
        altitude = np.concatenate([[0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1])) * seen.step_s])
        altitude = altitude - min(float(altitude.min()), 0.0) + 500.0
        notes.append("No altitude is recorded: it is summed up from the vertical speed.")
    else:
        altitude = np.full(len(knots), 1000.0)
        notes.append("No altitude is recorded: 1,000 m is assumed.")
    altitude = _calm(np.clip(altitude, LOWEST + 100.0, HIGHEST - 1000.0), seen.step_s)
    if seen.has("outside temperature"):
        warmth = filled(value["outside temperature"])
    else:
        warmth = np.asarray(air.standard_temperature(altitude))
        notes.append("No outside temperature is recorded: the standard day's is assumed.")
    speeds = airplane.speeds
    slowest, fastest = SLOWEST_SHARE * float(speeds.stall_landing), FASTEST_SHARE * float(speeds.never_exceed)
    airspeed = _airspeed(seen, altitude, warmth, slowest, notes, float(speeds.cruise))
    airborne = _airborne(seen, altitude, airspeed, slowest)
    # where the pointer shows what no flight can be, the airplane is taken to go on as before
    believed = (airspeed >= slowest) & (airspeed <= 1.05 * fastest) | (airborne == 0.0)
    if believed.any():
        airspeed = np.interp(knots, knots[believed], airspeed[believed])
    else:
        airspeed = np.full(len(knots), float(speeds.cruise))
    airspeed = np.where(airborne > 0.0, np.clip(airspeed, slowest, 1.05 * fastest), np.maximum(airspeed, 0.0))
    airspeed = _calm(airspeed, seen.step_s)
    angle, angle_slope = _angle(airplane, altitude, airspeed)
    excess, excess_slope = _excess(airplane, seen, altitude, airspeed)
    return Reference(
        knots_s=knots,
        altitude_m=altitude,
        airspeed_m_s=airspeed,
        climb_m_s=np.gradient(altitude, knots),
        setting_pa=setting,
        temperature_k=warmth,
        airborne=airborne,
        angle_rad=angle,
        angle_slope=angle_slope,
        excess_m_s=excess,
        excess_slope=excess_slope,
        power=_power(airplane, seen),
        slowest_m_s=slowest,
        fastest_m_s=fastest,
        gps_offset_m=offset,
        notes=tuple(notes),
    )


def carried(airplane: Airplane, ref: Reference, altitude: Array, airspeed: Array, step_s: float) -> Reference:
    """The reference with another pressure altitude [m] and calibrated airspeed [m/s], (k,) each."""
    altitude = _calm(np.clip(altitude, LOWEST + 100.0, HIGHEST - 1000.0), step_s)
    fast = np.where(ref.airborne > 0.0, np.clip(airspeed, ref.slowest_m_s, 1.05 * ref.fastest_m_s), airspeed)
    airspeed = _calm(np.maximum(fast, 0.0), step_s)
    angle, slope = _angle(airplane, altitude, airspeed)
    climb = np.gradient(altitude, ref.knots_s)
    return replace(
        ref,
        altitude_m=altitude,
        airspeed_m_s=airspeed,
        climb_m_s=climb,
        angle_rad=angle,
        angle_slope=slope,
    )


def _power(airplane: Airplane, seen: Observed) -> Array:
    """Power along the knots, as recorded or as usual."""
    if seen.has("power"):
        return np.clip(filled(seen.value["power"]), 0.0, 1.0)
    return np.full(len(seen.knots_s), usual_power(airplane))


def usual_power(airplane: Airplane) -> float:
    """Power in flight [0 to 1], where none is recorded; an engine shakes the pointers loose."""
    engineless = airplane.performance is not None and airplane.performance.engine is None
    return 0.0 if engineless else USUAL_POWER


def _calm(values: Array, step_s: float) -> Array:
    """Values without the ripple of steps and gusts, which would shake the rate and energy pointers."""
    from scipy.ndimage import gaussian_filter1d

    return np.asarray(gaussian_filter1d(values, CALM_S / step_s, mode="nearest"))


def _airspeed(
    seen: Observed, altitude: Array, warmth: Array, slowest: float, notes: list[str], cruise: float
) -> Array:
    static = np.asarray(air.static_pressure(altitude))
    shown = filled(seen.value["ias"]) if seen.has("ias") else None
    if not seen.has("along"):
        if shown is None:
            notes.append("Neither airspeed nor ground speed is recorded: cruise speed is assumed.")
            return np.full(len(altitude), cruise)
        return np.maximum(shown, 0.0)
    along = filled(seen.value["along"])
    across = filled(seen.value["across"]) if seen.has("across") else np.zeros(len(along))
    north, east = along * seen.north - across * seen.east, along * seen.east + across * seen.north
    told = None
    if shown is not None:
        told = np.asarray(air.true_from_calibrated(np.maximum(shown, 0.0), static, warmth))
        told = np.where((shown > slowest) & (along > 0.7 * slowest), told, np.nan)
    strongest = STRONGEST_WIND * (2.0 if altitude.max() > HIGH else 1.0)
    wind = _wind(north, east, seen, told, strongest) if seen.directed else (0.0, 0.0)
    tas = (north - wind[0]) * seen.north + (east - wind[1]) * seen.east
    return np.asarray(air.calibrated_from_true(np.maximum(tas, 0.0), static, warmth))


def _wind(
    north: Array, east: Array, seen: Observed, told: Array | None, strongest: float
) -> tuple[float, float]:
    """The one wind (north, east) [m/s] with which the true airspeed is the most steady, and as it was told.

    A pointer may be wrong, so that what it tells (k,) [m/s] counts up to a point; so does a calm day.
    """
    sizes, ways = np.linspace(0.0, strongest, 14), np.linspace(0.0, 2.0 * np.pi, 24, endpoint=False)
    best = (np.inf, 0.0, 0.0)
    for size in sizes:
        for way in ways if size else ways[:1]:
            to = size * np.cos(way), size * np.sin(way)
            tas = (north - to[0]) * seen.north + (east - to[1]) * seen.east
            cost = float(np.abs(np.diff(tas)).sum()) / STEADY_M_S + 0.5 * (size / USUAL_WIND) ** 2
            if told is not None:
                off = np.minimum(np.abs(tas - told) / TOLD_M_S, 3.0)
                cost += TOLD_COUNTS * float(np.nansum(off))
            if cost < best[0]:
                best = cost, *to
    return best[1], best[2]


def _airborne(seen: Observed, altitude: Array, airspeed: Array, slowest: float) -> Array:
    """1 where the airplane flies for sure, 0 where it may stand or roll."""
    fast = airspeed > 1.25 * slowest
    if seen.has("along"):
        fast &= filled(seen.value["along"]) > 0.8 * slowest
    ends = min(altitude[0], altitude[-1])
    high = altitude > ends + LEFT_THE_GROUND
    if seen.has("altitude"):
        high |= np.abs(np.gradient(filled(seen.value["altitude"]), seen.knots_s)) > 1.5
    flies = fast | high
    first, last = (int(np.argmax(flies)), len(flies) - int(np.argmax(flies[::-1]))) if flies.any() else (0, 0)
    inside = np.zeros(len(flies))
    inside[first:last] = 1.0  # between take-off and landing it does not stand
    return inside


def _angle(airplane: Airplane, altitude: Array, airspeed: Array) -> tuple[Array, Array]:
    """Angle of attack and its slope over calibrated airspeed, without flap."""
    from ramstill.flight.attitude import angle_of_attack

    static = np.asarray(air.static_pressure(altitude))
    one, none = np.ones(len(altitude)), np.zeros(len(altitude))

    def at(speed: Array) -> Array:
        mach = np.asarray(air.mach_from_calibrated(speed, static))
        return angle_of_attack(airplane.wing, static, mach, one, none)

    fast = np.maximum(airspeed, 15.0)
    return at(fast), (at(fast + 1.0) - at(fast - 1.0)) / 2.0


def _excess(airplane: Airplane, seen: Observed, altitude: Array, airspeed: Array) -> tuple[Array, Array]:
    """Rate of climb that recorded power leaves, flap and gear up; NaN where nobody can say."""
    nothing = np.full(len(altitude), np.nan)
    if not seen.has("power") or airplane.performance is None:
        return nothing, nothing
    from ramstill.flight import motion, point_mass

    flyer = point_mass.flyer(airplane)
    static = np.asarray(air.static_pressure(altitude))
    warmth = np.asarray(air.standard_temperature(altitude))
    power = _power(airplane, seen)

    def left(speed: Array) -> Array:
        tas = np.asarray(air.true_from_calibrated(speed, static, warmth))
        mach = np.asarray(air.mach_from_calibrated(speed, static))
        from ramstill.flight.attitude import angle_of_attack

        angle = angle_of_attack(airplane.wing, static, mach, np.ones(len(speed)), np.zeros(len(speed)))
        found = np.empty(len(speed))
        for i in range(len(speed)):
            state = point_mass.state(float(tas[i]), float(altitude[i]), power=float(power[i]))
            looked = motion.look(flyer, state, point_mass.controls(angle_of_attack_rad=float(angle[i])))
            force = looked[point_mass.THRUST] - looked[point_mass.DRAG]
            found[i] = force * tas[i] / (flyer[point_mass.MASS] * G0)
        return found

    fast = np.maximum(airspeed, 15.0)
    return left(fast), (left(fast + 2.0) - left(fast - 2.0)) / 4.0


def around(airplane: Airplane, ref: Reference) -> Surroundings:
    """The pressures outside along the reference flight: flap and gear up, wings level, without sideslip."""
    from ramstill.flight.outside import boundary_names, pressures
    from ramstill.pneumatics import Surroundings, Truth

    time = ref.knots_s
    static, airspeed = ref.static_pa, ref.airspeed_m_s
    truth = Truth.steady(
        time,
        phases=((float(time[0]), "recorded flight"),),
        pressure_altitude_m=ref.altitude_m,
        geometric_altitude_m=ref.altitude_m,
        static_pressure_pa=static,
        impact_pressure_pa=np.asarray(air.impact_pressure(airspeed)),
        cas_m_s=airspeed,
        tas_m_s=ref.tas_m_s,
        climb_m_s=ref.climb_m_s,
        outside_temperature_k=ref.temperature_k,
        altimeter_setting_pa=ref.setting_pa,
        angle_of_attack_rad=np.where(ref.airborne > 0.0, ref.angle_rad, 0.0),
        power=ref.power,
        height_over_ground_m=ref.altitude_m - ref.altitude_m.min() + np.where(ref.airborne.all(), 300.0, 0.0),
        ground_speed_m_s=ref.tas_m_s,
        load_factor=np.ones(len(time)),
    )
    return Surroundings.from_samples(
        time,
        boundary_names(airplane),
        pressures(airplane, truth),
        truth,
        title="recorded flight",
        curve="monotone",
    )


def per_metre(ref: Reference) -> Array:
    """How fast static pressure falls with pressure altitude along the reference [Pa/m]."""
    return np.asarray(ref.static_pa * G0 / (R_AIR * np.asarray(air.standard_temperature(ref.altitude_m))))
