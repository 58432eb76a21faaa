"""All instruments of one airplane at once, and the truth each is held against."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.errors import InputError
from ramstill.instruments import airspeed, altimeter, encoder, vertical_speed
from ramstill.instruments.edits import Edited, PointerEdit

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics.truth import Truth

# The last part of each tapping's name, by kind of instrument.
_PORTS = {
    "airspeed-indicator": ("pitot", "static"),
    "altimeter": ("static",),
    "vertical-speed-indicator": ("static", "case"),
    "encoder": ("static",),
}
_TRUTH = {
    "airspeed-indicator": "cas_m_s",
    "altimeter": "geometric_altitude_m",
    "vertical-speed-indicator": "climb_m_s",
    "encoder": "pressure_altitude_m",
}


def tappings_of(instrument: Any) -> tuple[str, ...]:
    """Return the names of the tappings that `instrument` of an airplane reads, capsule first."""
    return tuple(f"{instrument.name}.{port}" for port in _PORTS[instrument.kind])


def truth_for(instrument: Any, truth: Truth) -> Array:
    """Return what `instrument` of an airplane ought to show [m/s or m], on the times of `truth`.

    Airspeed indicator: calibrated airspeed. Altimeter: geometric altitude above sea level, so that a wrong
    setting and a day off standard count as its errors. Vertical speed: true rate of climb. Encoder: pressure
    altitude.
    """
    return np.asarray(getattr(truth, _TRUTH[instrument.kind]), dtype=float)


def read(
    airplane: Airplane,
    time_s: Array,
    pressure_pa: Mapping[str, Array],
    setting_pa: Array | float,
    edits: Iterable[PointerEdit] = (),
) -> dict[str, Array]:
    """Return what every pointer of `airplane` shows over time, by instrument name, SI (m/s or m), each (t,).

    `pressure_pa` holds the pressure at each tapping [Pa], each (t,) on `time_s` [s]; `setting_pa` (scalar or
    (t,)) is the altimeter setting as the pilot set it [Pa]. Edits naming an instrument that the airplane
    does not have raise InputError.
    """
    time = np.asarray(time_s, dtype=float)
    edits = tuple(edits)
    names = [instrument.name for instrument in airplane.instruments]
    for edit in edits:
        if edit.instrument not in names:
            raise InputError("pointer edit", "instrument", edit.instrument, ", ".join(names))
    pointers: dict[str, Array] = {}
    for instrument in airplane.instruments:
        edited = Edited.of(instrument.name, edits, time)
        felt = [np.asarray(pressure_pa[tapping], dtype=float) for tapping in tappings_of(instrument)]
        if instrument.kind == "airspeed-indicator":
            pointer = airspeed.shown(instrument, time, felt[0], felt[1], edited)
        elif instrument.kind == "altimeter":
            pointer = altimeter.shown(instrument, time, felt[0], setting_pa, edited)
        elif instrument.kind == "vertical-speed-indicator":
            pointer = vertical_speed.shown(instrument, time, felt[0], felt[1], edited)
        else:
            pointer = encoder.shown(instrument, felt[0], edited)
        pointers[instrument.name] = pointer
    return pointers
