"""The day's column of air about the place where the airplane is: heights in it, and what an altimeter that is
set right would be set to.

At every pressure the day is taken to be warmer than the standard one by as much as it is where the airplane
flies (as `air.Day` has it); it is held fast at the true pressure and height.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING, Self

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.constants import EARTH_RADIUS, G0, R_AIR

if TYPE_CHECKING:
    from ramstill.pneumatics import Truth

FloatArray = NDArray[np.float64]
_STEPS = 12
STANDARD_K = 1e-6  # a day no further off than this is the standard one
SET_RIGHT_M = 0.01  # a setting no further off than this is right: 0.03 ft


@dataclass(frozen=True, slots=True)
class Column:
    """Arrays (t,): pressure [Pa], pressure altitude, geopotential and geometric height [m] of the airplane,
    how much warmer than standard it is [K], and the ground below: geometric height and pressure altitude [m].
    """

    pressure_pa: FloatArray
    pressure_altitude_m: FloatArray
    geopotential_m: FloatArray
    geometric_m: FloatArray
    warmer_k: FloatArray
    ground_m: FloatArray
    ground_pressure_altitude_m: FloatArray

    @classmethod
    def of(cls, truth: Truth) -> Self:
        """Of the truth at some times. In flight without a height over ground the ground is the sea."""
        pressure = truth.static_pressure_pa
        altitude = np.asarray(air.pressure_altitude(pressure))
        warmer = truth.outside_temperature_k - np.asarray(air.standard_temperature(altitude))
        warmer = np.where(np.abs(warmer) < STANDARD_K, 0.0, warmer)
        geometric = truth.geometric_altitude_m
        geopotential = np.asarray(air.geopotential_from_geometric(geometric))
        ground = geometric - truth.height_over_ground_m
        if not truth.height_over_ground_m.any() and (truth.cas_m_s > 0.0).all():
            ground = np.zeros_like(geometric)
        deeper = np.asarray(air.geopotential_from_geometric(ground)) - geopotential
        below = altitude + deeper
        for _ in range(_STEPS):  # Newton, as in air.day: height against pressure altitude has slope T / T_std
            miss = _thickness(altitude, below, pressure, warmer) - deeper
            step = miss / (1.0 + warmer / np.asarray(air.standard_temperature(below)))
            below = below - step
            if np.max(np.abs(step), initial=0.0) < 1e-9:
                break
        return cls(pressure, altitude, geopotential, geometric, warmer, ground, below)

    def at(self, rows: list[int]) -> Self:
        """The same at some rows."""
        return replace(self, **{field.name: getattr(self, field.name)[rows] for field in fields(self)})

    @property
    def right_setting_m(self) -> FloatArray:
        """Pressure altitude [m] of the setting with which an altimeter on the ground shows its height."""
        return np.asarray(self.ground_pressure_altitude_m - self.ground_m)

    @property
    def warmth(self) -> FloatArray:
        """How much thicker the day's air is than standard air where the airplane is [-]."""
        standard = np.asarray(air.standard_temperature(self.pressure_altitude_m))
        return np.asarray(1.0 + self.warmer_k / standard)

    @property
    def lightness(self) -> FloatArray:
        """How much a geopotential metre is in real ones where the airplane is [-]."""
        return np.asarray((1.0 + self.geometric_m / EARTH_RADIUS) ** 2)

    def added(self, altitude_m: FloatArray, temperature: bool, gravity: bool) -> FloatArray:
        """What comes to the reading of an altimeter that is set right, at pressure altitudes [m] (t,), where
        it knows how warm the day is (`temperature` false) or how weak gravity is (`gravity` false) [m].
        """
        plain = self.ground_m + (altitude_m - self.ground_pressure_altitude_m)
        if temperature and gravity:
            return np.zeros_like(plain)
        over_ground = np.asarray(air.geopotential_from_geometric(self.ground_m))
        felt = np.asarray(air.static_pressure(altitude_m))
        thick = _thickness(self.pressure_altitude_m, altitude_m, self.pressure_pa, self.warmer_k, felt)
        if temperature:  # the standard day's air, in real metres
            up = over_ground + (altitude_m - self.ground_pressure_altitude_m)
            return np.asarray(self.ground_m + _risen(over_ground, up) - plain)
        if gravity:
            return np.asarray(self.ground_m + (self.geopotential_m - over_ground) + thick - plain)
        risen = _risen(self.geopotential_m, self.geopotential_m + thick)
        return np.asarray(self.geometric_m + risen - plain)


def _risen(low_m: FloatArray, high_m: FloatArray) -> FloatArray:
    """Real metres between two geopotential heights [m]; exactly none where they are the same."""
    low, high = (np.asarray(air.geometric_from_geopotential(height)) for height in (low_m, high_m))
    return np.asarray(high - low)


def _thickness(
    from_m: FloatArray,
    to_m: FloatArray,
    from_pa: FloatArray,
    warmer_k: FloatArray,
    to_pa: FloatArray | None = None,
) -> FloatArray:
    """Geopotential metres of the day's air between two pressure altitudes [m]."""
    if not warmer_k.any():
        return np.asarray(to_m - from_m)
    to_pressure = np.asarray(air.static_pressure(to_m)) if to_pa is None else to_pa
    return np.asarray(to_m - from_m + warmer_k * (R_AIR / G0) * np.log(from_pa / to_pressure))
