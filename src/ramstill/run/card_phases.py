"""Pitch and power for the phases of flight, from the airplane's own flight model."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sin
from typing import TYPE_CHECKING

from ramstill import air
from ramstill.air.units import FPM
from ramstill.errors import InputError
from ramstill.run.card_steady import Held, airspeed, at_rest, readings

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.trim import Trim
    from ramstill.pneumatics import Network
    from ramstill.run.record import FloatArray

APPROACH_PATH = 3.0 * pi / 180.0  # [rad]; common practice, no source
LEAST_CLIMB = 100.0 * FPM  # a climb slower than this is none (the rate that defines a service ceiling) [m/s]
NO_MODEL = "the airplane file has no [performance], so that pitch and power are not known"


@dataclass(frozen=True, slots=True)
class Settings:
    """Pitch of the fuselage datum over the horizon [rad], power (0 to 1), the climb they give [m/s].

    cas_m_s: calibrated airspeed [m/s]; shown_m_s: what the first airspeed reading shows then, calibrated
    where the airplane has none [m/s]; full: whether the engine has no more to give there, which in thin air
    is less than all of its rated power.
    """

    cas_m_s: float
    shown_m_s: float
    pitch_rad: float
    power: float
    climb_m_s: float
    full: bool = False


@dataclass(frozen=True, slots=True)
class PhaseRow:
    """One phase, flap and gear (0 to 1), and the settings at each altitude, None where it is not flown."""

    name: str
    flap: float
    gear: float
    at: tuple[Settings | None, ...]


def phases(plane: Airplane, altitudes_m: tuple[float, ...]) -> tuple[tuple[PhaseRow, ...], str]:
    """Pitch and power for climb, cruise, descent and approach at pressure altitudes [m]; standard day.

    Climb and descent at the rates in the airplane's speeds, or as far towards them as the engine goes;
    cruise at the usual speed, or the fastest that all power holds; the approach on a path of 3 degrees with
    full flap and gear down. A glider has a glide at each speed, and half its airbrakes out on the approach.
    No rows, and why, without a flight model.
    """
    from ramstill.flight.point_mass import flyer
    from ramstill.pneumatics import compile_network

    if plane.performance is None:
        return (), NO_MODEL
    speeds, engine = plane.speeds, plane.performance.engine
    climb, cruise, approach = float(speeds.climb), float(speeds.cruise), float(speeds.approach)
    made, network = flyer(plane, None), compile_network(plane)
    if engine is None:
        wanted = [
            _Wanted("glide, slow", climb),
            _Wanted("glide, fast", cruise),
            _Wanted("approach", approach, airbrake=0.5, low_only=True),
        ]
    else:
        wanted = [
            _Wanted("climb", climb, rate_m_s=float(speeds.climb_rate)),
            _Wanted("cruise", cruise, rate_m_s=0.0),
            _Wanted("descent", cruise, rate_m_s=-float(speeds.descent_rate)),
            _Wanted("approach", approach, None, -APPROACH_PATH, 1.0, 1.0, low_only=True),
        ]
    return tuple(_row(plane, network, made, one, altitudes_m) for one in wanted), ""


@dataclass(frozen=True, slots=True)
class _Wanted:
    """What a phase asks for: a rate of climb [m/s], a path [rad], or neither: no power."""

    name: str
    cas_m_s: float
    rate_m_s: float | None = None
    path_rad: float | None = None
    flap: float = 0.0
    gear: float = 0.0
    airbrake: float = 0.0
    low_only: bool = False


def _row(
    plane: Airplane, network: Network, flyer: FloatArray, wanted: _Wanted, altitudes_m: tuple[float, ...]
) -> PhaseRow:
    heights = altitudes_m[:1] if wanted.low_only else altitudes_m
    pointer = next(iter(readings(plane, "airspeed")), None)
    at: list[Settings | None] = []
    for height in heights:
        found = _trimmed(plane, flyer, wanted, height)
        if found is None:
            at.append(None)
            continue
        shown = found.cas_m_s
        if pointer is not None:
            held = Held(height, found.cas_m_s, wanted.flap, wanted.gear, found.power)
            shown = airspeed(pointer.instrument, at_rest(plane, network, held))
        all_in = found.power >= 1.0 or _no_more(plane, flyer, wanted, found)
        at.append(Settings(found.cas_m_s, shown, found.pitch_rad, found.power, found.climb_m_s, all_in))
    missing = (None,) * (len(altitudes_m) - len(at))
    return PhaseRow(wanted.name, wanted.flap, wanted.gear, (*at, *missing))


def _trimmed(plane: Airplane, flyer: FloatArray, wanted: _Wanted, altitude_m: float) -> Trim | None:
    """Steady flight as it is wanted, or as near as the engine gets to it: see `phases`."""
    from ramstill.flight.trim import level_speed, trim

    height = float(air.geometric_from_geopotential(altitude_m))
    rate = wanted.rate_m_s
    if wanted.path_rad is not None:
        pressure, warmth = air.static_pressure(altitude_m), air.standard_temperature(altitude_m)
        rate = float(air.true_from_calibrated(wanted.cas_m_s, pressure, warmth)) * sin(wanted.path_rad)

    def steady(cas_m_s: float, **given: float) -> Trim:
        setup = {"flap": wanted.flap, "gear": wanted.gear, "airbrake": wanted.airbrake}
        return trim(plane, None, height, cas_m_s, **given, **setup, flyer=flyer)

    if rate is not None:
        try:
            return steady(wanted.cas_m_s, climb_m_s=rate)
        except InputError:
            pass  # more than all power, or less than none
    try:
        if rate == 0.0:
            return steady(level_speed(plane, None, height, 1.0), climb_m_s=0.0)
        found = steady(wanted.cas_m_s, power=1.0 if rate is not None and rate > 0.0 else 0.0)
    except InputError:
        return None
    return None if rate is not None and rate > 0.0 and found.climb_m_s < LEAST_CLIMB else found


def _no_more(plane: Airplane, flyer: FloatArray, wanted: _Wanted, found: Trim) -> bool:
    """Whether all power at that speed gives no climb worth having over what was found."""
    from ramstill.flight.trim import trim

    setup = {"flap": wanted.flap, "gear": wanted.gear, "airbrake": wanted.airbrake}
    if found.power <= 0.0:
        return False
    most = trim(plane, None, found.height_m, found.cas_m_s, power=1.0, **setup, flyer=flyer)
    return most.climb_m_s - found.climb_m_s < LEAST_CLIMB / 10.0
