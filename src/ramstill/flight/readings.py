"""From readings in steps to smooth readings: one curve for each quantity, and what had to be assumed."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air import units
from ramstill.air.constants import P0
from ramstill.flight.replay import instrument_for
from ramstill.flight.smoothing import smoothest
from ramstill.flight.steps import garbled

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]

# A curve may leave the half step of a reading that came late, in all no further than this share of a step:
# with the friction of the pointer on top, the replay then still rounds to within one step.
FURTHEST = 0.85
ROUNDS_TO_ONE = 1.45
# Features shorter than this are not followed where the band does not ask for them outright [s].
GIVE_S = 1.5
# What a sound reading cannot do: (fastest change per second, jump) [SI]. Common practice, no source.
SOUND = {
    "ias": (15.0, 20.0 * units.KT),
    "altitude": (150.0, 300.0 * units.FT),
    "gps altitude": (150.0, 300.0),
}


@dataclass(frozen=True, slots=True)
class Readings:
    """Smooth readings (t,) at the record's times: airspeed [m/s], altitude [m] and setting [Pa].

    `altitude_m` is what the altimeter shows with `setting_pa` set. Sentences in `notes`; times of rows that
    the curve is not led through, by quantity, in `set_aside`.
    """

    time_s: Array
    ias_m_s: Array
    altitude_m: Array
    setting_pa: Array
    recorded: tuple[str, ...]  # which of ias and altitude come from the record
    set_aside: dict[str, Array]
    notes: tuple[str, ...]


def smooth_readings(airplane: Airplane, recording: Recording) -> Readings:
    """Return the smooth curves behind a record's readings of airspeed and altitude.

    What is not recorded is replaced by the next best: airspeed by ground speed taken as true airspeed, or by
    the airplane's cruise speed; altitude by GPS altitude, or by summing up the vertical speed, or by sea
    level.
    """
    time, values = recording.time_s, recording.values
    notes, aside = list(recording.notes), {}
    setting = values.get("altimeter setting")
    setting_pa = np.full(len(time), P0) if setting is None else held(time, setting)
    recorded = []
    if "altitude" in values:
        recorded.append("altitude")
        # the setting moves the pointer, not the airplane: smooth what is behind it
        behind = np.asarray(air.pressure_altitude(setting_pa))
        flown, out = smooth(airplane, recording, "altitude", values["altitude"] + behind)
        altitude, aside["altitude"] = flown - behind, out
    elif "gps altitude" in values:
        notes.append("There is no altitude in the record: GPS altitude is taken as pressure altitude.")
        altitude, _ = smooth(airplane, recording, "gps altitude", values["gps altitude"])
    elif "vertical speed" in values:
        notes.append("There is no altitude in the record: vertical speed is summed up from sea level.")
        rate = held(time, values["vertical speed"])
        altitude = np.concatenate([[0.0], np.cumsum(0.5 * (rate[1:] + rate[:-1]) * np.diff(time))])
        altitude = np.maximum(altitude - min(altitude.min(), 0.0), 0.0)
    else:
        notes.append("There is no altitude in the record: sea level is assumed.")
        altitude = np.zeros(len(time))
    if "ias" in values:
        recorded.append("ias")
        ias, aside["ias"] = smooth(airplane, recording, "ias", values["ias"])
        ias = np.maximum(ias, 0.0)
    elif "ground speed" in values:
        notes.append("There is no airspeed in the record: ground speed is taken as true airspeed.")
        pressure = np.asarray(air.static_pressure(altitude))
        tas, _ = smooth(airplane, recording, "ground speed", values["ground speed"])
        warmth = np.asarray(air.standard_temperature(altitude))
        ias = np.asarray(air.calibrated_from_true(np.maximum(tas, 0.0), pressure, warmth))
    else:
        notes.append("There is no airspeed in the record: the airplane's cruise speed is assumed.")
        ias = np.full(len(time), float(airplane.speeds.cruise))
    for quantity, out in aside.items():
        if len(out):
            when = ", ".join(f"{t:g} s" for t in out[:5]) + (" and more" if len(out) > 5 else "")
            notes.append(f"{len(out)} readings of {quantity} cannot be right and are passed by: at {when}.")
    aside = {quantity: out for quantity, out in aside.items() if len(out)}
    return Readings(time, ias, altitude, setting_pa, tuple(recorded), aside, tuple(notes))


def band(airplane: Airplane, quantity: str, step: float) -> tuple[float, float]:
    """Half width of the band a curve keeps to, and how far it may leave it at most [SI]."""
    instrument = instrument_for(airplane, quantity) if quantity in ("ias", "altitude") else None
    friction = float(getattr(instrument, "friction", 0.0) or 0.0)
    furthest = min(max(ROUNDS_TO_ONE - friction / step, 0.5), FURTHEST) * step
    return 0.5 * step, furthest


def smooth(airplane: Airplane, recording: Recording, quantity: str, readings: Array) -> tuple[Array, Array]:
    """The smoothest curve near the readings, and the times of the garbled ones."""
    time, step = recording.time_s, recording.steps[quantity]
    fastest, jump = SOUND.get(quantity, (np.inf, np.inf))
    bad = garbled(time, readings, step, fastest, jump)
    sound = ~np.isnan(readings) & ~bad
    middle = np.interp(time, time[sound], readings[sound])
    half, furthest = band(airplane, quantity, step)
    width = np.where(sound, half, np.inf)
    give = np.full(len(time), GIVE_S)
    for _ in range(8):
        curve = smoothest(time, middle, width, give_s=give)
        far = sound & (np.abs(curve - middle) > furthest * (1.0 + 1e-6)) & (give > 0.0)
        if not far.any():
            break
        # these have given too much: from here on no further than allowed
        width, give = np.where(far, furthest, width), np.where(far, 0.0, give)
    return curve, time[bad]


def held(time: Array, readings: Array) -> Array:
    """Straight lines across what is missing."""
    known = ~np.isnan(readings)
    return np.asarray(np.interp(time, time[known], readings[known]))
