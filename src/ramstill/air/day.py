"""An off-standard day: another pressure at sea level, and warmer or colder air all the way up.

Assumption: at every pressure the air is warmer than the standard day's by the same number of kelvins, so the
tropopause stays at its pressure and not at its height. With T = T_std(p) + dT the hydrostatic law integrates
exactly: the height between two pressures is the standard thickness plus dT (R/g) ln(p1/p2). Dry air.
Source of the standard law: ICAO Doc 7488/3 (1993). The constant offset is common practice, no source.
"""

from dataclasses import dataclass
from typing import Any, overload

import numpy as np
from numpy.typing import ArrayLike

from ramstill.air._arrays import Array, require, vectorised
from ramstill.air.atmosphere import HIGHEST, log_pressure_unbounded, pressure_altitude, temperature_unbounded
from ramstill.air.constants import G0, P0, R_AIR

LARGEST_OFFSET_K = 100.0  # [K]; beyond this it is not a day any more
_STEPS = 60


@dataclass(frozen=True, slots=True)
class Day:
    """The air of one day.

    `sea_level_pressure_pa` [Pa] at mean sea level; `temperature_offset_k` [K] above the standard day's
    temperature at every pressure. Heights are geopotential metres above mean sea level,
    in the real air of the day.
    Raises ValueError unless the pressure is positive and the offset within 100 K.
    """

    sea_level_pressure_pa: float = P0
    temperature_offset_k: float = 0.0

    def __post_init__(self) -> None:
        require(0.0 < self.sea_level_pressure_pa < np.inf, "sea-level pressure must be positive, in pascal")
        inside = abs(self.temperature_offset_k) <= LARGEST_OFFSET_K
        require(inside, f"temperature offset must lie within {LARGEST_OFFSET_K:g} K either way")

    @classmethod
    def from_temperature(
        cls, temperature_k: float, height_m: float, sea_level_pressure_pa: float = P0
    ) -> "Day":
        """The day on which the air at a height [m] has a temperature [K].

        Raises ValueError where that is more than 100 K off the standard day.
        """
        day = cls(sea_level_pressure_pa)
        for _ in range(_STEPS):  # the next offset moves the level by a third of the last change at most
            offset = temperature_k - float(temperature_unbounded(np.asarray(day.pressure_altitude(height_m))))
            done = abs(offset - day.temperature_offset_k) < 1e-10
            day = cls(sea_level_pressure_pa, offset)
            if done:
                break
        return day

    @overload
    def height(self, pressure_pa: float) -> float: ...
    @overload
    def height(self, pressure_pa: ArrayLike) -> Array: ...
    def height(self, pressure_pa: Any) -> Any:
        """Height [m] at which the day has a static pressure [Pa]. ValueError below that at 47 km standard."""
        return _height(pressure_pa, self.sea_level_pressure_pa, self.temperature_offset_k)

    @overload
    def pressure_altitude(self, height_m: float) -> float: ...
    @overload
    def pressure_altitude(self, height_m: ArrayLike) -> Array: ...
    def pressure_altitude(self, height_m: Any) -> Any:
        """Pressure altitude [m] at a height [m]. ValueError where it would be above 47 km."""
        return _pressure_altitude_at(height_m, self.sea_level_pressure_pa, self.temperature_offset_k)

    @overload
    def pressure(self, height_m: float) -> float: ...
    @overload
    def pressure(self, height_m: ArrayLike) -> Array: ...
    def pressure(self, height_m: Any) -> Any:
        """Static pressure [Pa] at a height [m]; the inverse of `height`."""
        return _pressure_from(self.pressure_altitude(height_m))

    @overload
    def temperature(self, height_m: float) -> float: ...
    @overload
    def temperature(self, height_m: ArrayLike) -> Array: ...
    def temperature(self, height_m: Any) -> Any:
        """Temperature [K] of the air at a height [m]."""
        return _temperature_from(self.pressure_altitude(height_m), self.temperature_offset_k)


def _thickness(h: Array, sea_level: Array, offset: Array) -> Array:
    """Height [m] in the day's air between the pressures of two pressure altitudes [m]."""
    warm = log_pressure_unbounded(sea_level) - log_pressure_unbounded(h)
    return np.asarray(h - sea_level + offset * (R_AIR / G0) * warm)


@vectorised
def _height(pressure_pa: Array, sea_level_pressure_pa: Array, offset_k: Array) -> Array:
    h = np.asarray(pressure_altitude(pressure_pa))
    return _thickness(h, np.asarray(pressure_altitude(sea_level_pressure_pa)), offset_k)


@vectorised
def _pressure_altitude_at(height_m: Array, sea_level_pressure_pa: Array, offset_k: Array) -> Array:
    # Newton. Height against pressure altitude rises with slope 1 + dT/T_std, without jumps and always between
    # 0.5 and 1.5 for the offsets allowed, so steps shrink from any start.
    sea_level = np.asarray(pressure_altitude(sea_level_pressure_pa))
    h = sea_level + height_m / (1.0 + offset_k / temperature_unbounded(sea_level))
    for _ in range(_STEPS):
        miss = _thickness(h, sea_level, offset_k) - height_m
        step = miss / (1.0 + offset_k / temperature_unbounded(h))
        h = h - step
        if not np.any(np.abs(step) > 1e-11 * (1.0 + np.abs(h))):
            break
    require(~(h > HIGHEST + 1e-3), f"height must lie below a pressure altitude of {HIGHEST:g} m")
    return h


@vectorised
def _pressure_from(pressure_altitude_m: Array) -> Array:
    return np.asarray(P0 * np.exp(log_pressure_unbounded(pressure_altitude_m)))


@vectorised
def _temperature_from(pressure_altitude_m: Array, offset_k: Array) -> Array:
    return temperature_unbounded(pressure_altitude_m) + offset_k


@vectorised
def altimeter_setting(station_pressure_pa: Array, station_elevation_m: Array) -> Array:
    """Altimeter setting (QNH) [Pa] of a station: with it an altimeter there shows the elevation [m].

    The standard-day law, whatever the day is like: pressure altitude of the setting = that of the station
    less the elevation. At sea level it is the pressure itself. Source: the definition of QNH, ICAO Doc 8896
    (from memory).
    """
    h = np.asarray(pressure_altitude(station_pressure_pa)) - station_elevation_m
    require(~(h > HIGHEST), f"pressure altitude less elevation lies above {HIGHEST:g} m")
    return np.asarray(P0 * np.exp(log_pressure_unbounded(h)))


@vectorised
def indicated_altitude(static_pressure_pa: Array, altimeter_setting_pa: Array) -> Array:
    """Altitude [m] that a perfect altimeter shows for a static pressure [Pa] and a setting [Pa] on its scale.

    The setting turns the pointer by its own pressure altitude: that of p less that of the setting.
    Source: 14 CFR 43 Appendix E, Table IV, which is this law to the foot.
    """
    p, setting = static_pressure_pa, altimeter_setting_pa
    return np.asarray(np.asarray(pressure_altitude(p)) - np.asarray(pressure_altitude(setting)))
