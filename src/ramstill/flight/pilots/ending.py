"""What a flight leaves behind once flown: its path, what was seen, the stall and the first honest cue."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.units import FPM, FT, KT
from ramstill.errors import InputError
from ramstill.flight import point_mass as point
from ramstill.flight.outside import surroundings
from ramstill.flight.path import FlightPath
from ramstill.flight.pilots import cues
from ramstill.flight.pilots.flown import CUES, Event, Flown
from ramstill.flight.pilots.logged import STEP_S
from ramstill.flight.pilots.onward import ROW_CONTROLS, ROW_STATE
from ramstill.flight.pilots.table import STYLES
from ramstill.flight.trim import slowest
from ramstill.pneumatics import Truth

if TYPE_CHECKING:
    from ramstill.flight.pilots.logged import Logged

Array = NDArray[np.float64]
FLAPS = tuple(i / 10.0 for i in range(11))
AT_STOP = 0.98  # of its full scale: a needle that can go no further tells nothing [-]


def flown(flight: Logged) -> Flown:
    """Put it all together. Raises InputError where a healthy airplane did not do what was asked."""
    late = next((event for event in flight.events if event.kind == "late"), None)
    if late is not None and not flight.faulty.faults:
        number = len(flight.phases)
        allowed = "an altitude that is reached in that time, a longer `within`, or another style"
        raise InputError(flight.source, f"pilot.task[{number}].to", late.text, allowed)
    count = flight.i + 1
    path = _path(flight, count)
    names = flight.watching.names
    seen = cues.averaged(seen_at(flight, slice(0, count)), STEP_S)
    asked = np.zeros(count)
    cues.asked_all(flight.flyer, seen, asked)
    events = [*flight.events, *_found(flight, seen)]
    return Flown(
        path=path,
        surroundings=surroundings(flight.airplane, path),
        faults=flight.faulty.faults,
        plan=flight.plan,
        events=tuple(sorted(events, key=lambda event: event.at_s)),
        shown={name: flight.shown[:count, i].copy() for i, name in enumerate(names)},
        pitch_rad=flight.rows[:count, ROW_STATE + point.PITCH].copy(),
        lever=flight.lever[:count].copy(),
        asked_pitch_rad=asked,
    )


def _path(flight: Logged, count: int) -> FlightPath:
    rows, time = flight.rows[:count], flight.time_s[:count]
    static = rows[:, point.STATIC].copy()
    truth = Truth.steady(
        time,
        phases=tuple(flight.phases),
        pressure_altitude_m=np.asarray(air.pressure_altitude(static)),
        geometric_altitude_m=rows[:, ROW_STATE + point.HEIGHT],
        static_pressure_pa=static,
        impact_pressure_pa=rows[:, point.IMPACT],
        cas_m_s=rows[:, point.CALIBRATED],
        tas_m_s=rows[:, ROW_STATE + point.SPEED],
        climb_m_s=rows[:, point.CLIMB],
        outside_temperature_k=rows[:, point.TEMPERATURE],
        altimeter_setting_pa=flight.setting_pa,
        angle_of_attack_rad=rows[:, point.ANGLE],
        flap=rows[:, ROW_CONTROLS + point.FLAP],
        gear=rows[:, ROW_CONTROLS + point.GEAR],
        power=rows[:, ROW_STATE + point.POWER],
        height_over_ground_m=np.maximum(rows[:, ROW_STATE + point.HEIGHT] - flight.plan.field_elevation, 0.0),
        ground_speed_m_s=rows[:, point.GROUND_SPEED],
        load_factor=rows[:, point.LOAD_FACTOR],
    )
    none = np.zeros(count)
    how = STYLES[flight.plan.style]
    title = f"flown by a pilot ({flight.plan.style}: {how})"
    return FlightPath(truth, none, none, truth.load_factor, title=title)


def warned_speeds(flyer: Array, height_m: float) -> Array:
    """Calibrated airspeed [m/s] at which the stall warning should sound, for FLAPS; 0 without a warner."""
    return np.array([float(flyer[point.STALL_WARNING]) * slowest(flyer, height_m, flap) for flap in FLAPS])


def seen_at(flight: Logged, some: slice) -> Array:
    """What can be seen and compared at some times, (k, 15): see cues.py; rates are left at nothing."""
    rows, shown, follows = flight.rows[some], flight.shown[some], flight.follows
    seen = np.full((len(rows), cues.COMPARED), np.nan)
    for column, place in (
        (cues.CAS, follows.airspeed),
        (cues.ALTITUDE, follows.altimeter),
        (cues.READ_BACK, follows.encoder),
        (cues.OTHER_CAS, follows.other_airspeed),
        (cues.OTHER_ALTITUDE, follows.other_altimeter),
        (cues.OTHER_RATE, follows.rate),
    ):
        if place >= 0:
            seen[:, column] = shown[:, place]
    at_stop = np.abs(seen[:, cues.OTHER_RATE]) > AT_STOP * follows.rate_most
    seen[at_stop, cues.OTHER_RATE] = np.nan
    seen[:, cues.READ_BACK] -= flight.offset_m  # the ground has the right setting
    seen[:, cues.PITCH] = rows[:, ROW_STATE + point.PITCH]
    seen[:, cues.POWER] = rows[:, ROW_STATE + point.POWER]
    seen[:, cues.FLAP] = rows[:, ROW_CONTROLS + point.FLAP]
    seen[:, cues.GEAR] = rows[:, ROW_CONTROLS + point.GEAR]
    warner = float(flight.flyer[point.STALL_WARNING])
    seen[:, cues.WARNED] = _near_stall(rows, warner) if warner > 0.0 else 0.0
    seen[:, cues.GROUND_SPEED] = rows[:, point.GROUND_SPEED]
    return seen


def _near_stall(rows: Array, margin: float) -> NDArray[np.bool_]:
    """Where the wing is within so much of its stall, upright."""
    return np.asarray((rows[:, point.STALL_MARGIN] < margin) & (rows[:, point.ANGLE] > 0.0))


def _found(flight: Logged, seen: Array) -> list[Event]:
    """Stall, warning, highest speed and the first honest cue; seen (k, 15), averaged."""
    count = len(seen)
    rows, time = flight.rows[:count], flight.time_s[:count]
    place = flight.follows.airspeed
    speed = flight.shown[:count, place] if place >= 0 else np.full(count, np.nan)
    cas, found = rows[:, point.CALIBRATED], []
    warner = float(flight.flyer[point.STALL_WARNING])
    if warner > 0.0 and (at := _first(_near_stall(rows, warner))) is not None:
        found.append(
            Event("warning", float(time[at]), f"the stall warning sounds; {_shows(speed[at], cas[at])}")
        )
    if (at := _first(_near_stall(rows, 1.0))) is not None:
        found.append(Event("stall", float(time[at]), f"the wing stalls; {_shows(speed[at], cas[at])}"))
    limit = float(flight.airplane.speeds.never_exceed)
    if (at := _first(cas > limit)) is not None:
        text = f"faster than ever allowed ({limit / KT:.0f} kt); {_shows(speed[at], cas[at])}"
        found.append(Event("limit", float(time[at]), text))
    warned = np.interp(seen[:, cues.FLAP], FLAPS, flight.warned)
    off = np.zeros((count, len(CUES)))
    cues.disagree_all(flight.flyer, seen, warned, off)
    if min(flight.follows.airspeed, flight.follows.altimeter) < 0:  # what is not there never showed anything
        off[:, cues.BLANK_CUE] = 0.0
    first = cues.first_lasting(time, off)
    if first is not None:
        at_s, cue = first
        at = int(np.searchsorted(time, at_s))
        name = list(CUES)[cue]
        found.append(Event("cue", at_s, _told(flight, name, seen[at], float(warned[at])), name))
    return found


def _first(there: NDArray[np.bool_]) -> int | None:
    places = np.flatnonzero(there)
    return int(places[0]) if len(places) else None


def _shows(shown: float, true: float) -> str:
    if np.isnan(shown):
        return f"{true / KT:.0f} kt are flown"
    return f"the pointer shows {shown / KT:.0f} kt, {true / KT:.0f} kt are flown"


def _told(flight: Logged, name: str, seen: Array, warned: float) -> str:
    """What a cue says, in figures."""
    if name == "blank":
        what = "airspeed" if np.isnan(seen[cues.CAS]) else "altitude"
        return f"the {what} that is followed is no longer shown"
    pitch, climb, speed = cues.asked_for(flight.flyer, seen)
    cas, altitude = seen[cues.CAS] / KT, seen[cues.ALTITUDE] / FT
    power = 100.0 * seen[cues.POWER]
    shown = f"{cas:.0f} kt, {_moving(seen[cues.CAS_RATE])}, with {power:.0f} % of power"
    if name == "pitch":
        degrees = 180.0 / np.pi
        there, asked = (_signed(angle * degrees) for angle in (seen[cues.PITCH], pitch))
        return f"the nose stands at {there}° where {shown} asks for {asked}°"
    if name == "climb":
        rate = seen[cues.ALTITUDE_RATE] / FPM
        return f"the altimeter moves at {_fpm(rate)} where {shown} gives {_fpm(climb / FPM)}"
    if name == "warning":
        return f"the stall warning sounds at {cas:.0f} kt shown, where it should come at {warned / KT:.0f} kt"
    if name == "ground-speed":
        expected = (speed - flight.plan.headwind) / KT
        ground = seen[cues.GROUND_SPEED] / KT
        made = "where airspeed, altitude and wind make it"
        return f"the GPS ground speed is {ground:.0f} kt, {made} {expected:.0f} kt"
    if name == "read-back":
        back = seen[cues.READ_BACK] / FT
        return f"the ground reads {back:,.0f} ft back, where the altimeter shows {altitude:,.0f} ft"
    return _other(seen)


def _other(seen: Array) -> str:
    if abs(seen[cues.OTHER_CAS] - seen[cues.CAS]) > cues.OTHER_SPEED_OFF:
        return (
            f"the other airspeed indicator shows {seen[cues.OTHER_CAS] / KT:.0f} kt beside "
            f"{seen[cues.CAS] / KT:.0f} kt"
        )
    if abs(seen[cues.OTHER_ALTITUDE] - seen[cues.ALTITUDE]) > cues.OTHER_ALTITUDE_OFF:
        return (
            f"the other altimeter shows {seen[cues.OTHER_ALTITUDE] / FT:,.0f} ft beside "
            f"{seen[cues.ALTITUDE] / FT:,.0f} ft"
        )
    rates = [_fpm(seen[column] / FPM) for column in (cues.OTHER_RATE, cues.ALTITUDE_RATE)]
    return f"the vertical speed indicator shows {rates[0]} while the altimeter moves at {rates[1]}"


def _fpm(rate: float) -> str:
    return f"{_signed(round(rate, -1))} ft/min"


def _signed(value: float) -> str:
    """A figure with its sign; none has neither."""
    whole = round(value)
    return f"{whole:+,d}".replace("-", "−") if whole else "0"


def _moving(rate_m_s2: float) -> str:
    each = rate_m_s2 / KT
    if abs(each) < 0.2:
        return "steady"
    return f"{'rising' if each > 0.0 else 'falling'} by {abs(each):.1f} kt a second"
