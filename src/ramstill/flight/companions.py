"""What else is true along a recorded flight: height, climb, temperature, power, as far as the record says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air import units
from ramstill.flight.course import USUAL_POWER
from ramstill.flight.readings import Readings, held, smooth

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]
FAR_FROM_GROUND = 300.0  # height of the lowest point where the record never stands on the ground [m]
STANDING = 30.0 * units.KT  # slower than this an airplane is taken to stand or taxi [m/s]


@dataclass(frozen=True, slots=True)
class Companions:
    """Arrays (t,) at the record's times, SI; None where something else has to do."""

    geometric_m: Array
    climb_m_s: Array
    height_over_ground_m: Array
    temperature_k: Array | None
    ground_speed_m_s: Array | None
    power: Array
    notes: tuple[str, ...]


def companions(airplane: Airplane, recording: Recording, readings: Readings) -> Companions:
    """Return what else the record says.

    Geometric altitude is that of the GPS where there is one (above sea level or above the ellipsoid, as it
    was written), else the altitude shown. Height over ground counts from the lowest point where the record
    starts or ends on the ground, else the airplane is taken to be far from it.
    """
    time, values = recording.time_s, recording.values
    notes = []
    if "gps altitude" in values:
        geometric, _ = smooth(airplane, recording, "gps altitude", values["gps altitude"])
        notes.append("True altitude is the recorded GPS altitude.")
    else:
        geometric = np.asarray(air.geometric_from_geopotential(readings.altitude_m))
        notes.append("There is no GPS altitude in the record: what the altimeter showed is taken as true.")
    if "outside temperature" not in values:
        notes.append("There is no outside temperature in the record: the standard day's is assumed.")
    stood = min(readings.ias_m_s[0], readings.ias_m_s[-1]) < STANDING
    height = geometric - geometric.min() + (0.0 if stood else FAR_FROM_GROUND)
    power = values.get("power")
    speed = values.get("ground speed")
    warmth = values.get("outside temperature")
    return Companions(
        geometric_m=geometric,
        climb_m_s=np.gradient(geometric, time),
        height_over_ground_m=height,
        temperature_k=None if warmth is None else held(time, warmth),
        ground_speed_m_s=None if speed is None else held(time, speed),
        power=np.full(len(time), USUAL_POWER["level"])
        if power is None
        else np.clip(held(time, power), 0.0, 1.0),
        notes=tuple(notes),
    )
