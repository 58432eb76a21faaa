"""Columns of a recorded flight: their names, the units in those names, and what is plausible in them."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from ramstill.air import units
from ramstill.air.atmosphere import HIGHEST, LOWEST


@dataclass(frozen=True, slots=True)
class Column:
    """One way of writing one quantity: SI = written * factor + offset."""

    quantity: str
    factor: float = 1.0
    offset: float = 0.0
    step: float = 0.0  # how finely it is taken to be written where the readings do not tell [as written]


_DEG = pi / 180.0
_SPEEDS = {"kt": units.KT, "kmh": units.KM_H, "mph": units.MPH, "mps": 1.0}
_HEIGHTS = {"ft": (units.FT, 10.0), "m": (1.0, 3.0)}

# Header -> what it holds. Headers that are not here are ignored unless a column map names them.
COLUMNS: dict[str, Column] = {
    "time_s": Column("time"),
    "time_ms": Column("time", 1e-3),
    **{f"ias_{unit}": Column("ias", factor, step=1.0) for unit, factor in _SPEEDS.items()},
    **{
        f"altitude_{unit}": Column("altitude", factor, step=step) for unit, (factor, step) in _HEIGHTS.items()
    },
    "vsi_fpm": Column("vertical speed", units.FPM, step=10.0),
    "vsi_mps": Column("vertical speed", 1.0, step=0.1),
    "altimeter_setting_inhg": Column("altimeter setting", units.INHG),
    "altimeter_setting_hpa": Column("altimeter setting", units.HPA),
    **{f"ground_speed_{unit}": Column("ground speed", factor, step=1.0) for unit, factor in _SPEEDS.items()},
    "track_deg": Column("track", _DEG),
    "heading_deg": Column("heading", _DEG),
    **{
        f"gps_altitude_{unit}": Column("gps altitude", factor, step=step)
        for unit, (factor, step) in _HEIGHTS.items()
    },
    "oat_c": Column("outside temperature", 1.0, units.CELSIUS_ZERO),
    "oat_k": Column("outside temperature"),
    "oat_f": Column("outside temperature", 5.0 / 9.0, units.CELSIUS_ZERO - 32.0 * 5.0 / 9.0),
    "pitch_deg": Column("pitch", _DEG),
    "power_pct": Column("power", 0.01),
}
INSTRUMENTS = ("ias", "altitude", "vertical speed")  # one of these is needed

# What a reading may be, in SI: wide enough for anything that flies, narrow enough to catch a wrong unit or
# column.
PLAUSIBLE: dict[str, tuple[float, float, str]] = {
    "time": (-1e12, 1e12, "a time in seconds"),
    "ias": (0.0, 1000.0, "an airspeed of 0 to 1000 m/s"),
    "altitude": (LOWEST, HIGHEST, f"an altitude of {LOWEST:g} m to {HIGHEST:g} m"),
    "vertical speed": (-500.0, 500.0, "a vertical speed within 500 m/s either way"),
    "altimeter setting": (80000.0, 115000.0, "a setting of 800 hPa to 1150 hPa"),
    "ground speed": (0.0, 1500.0, "a ground speed of 0 to 1500 m/s"),
    "track": (-4.0 * pi, 4.0 * pi, "an angle within 720 deg either way"),
    "heading": (-4.0 * pi, 4.0 * pi, "an angle within 720 deg either way"),
    "gps altitude": (LOWEST, 2.0 * HIGHEST, f"an altitude of {LOWEST:g} m to {2 * HIGHEST:g} m"),
    "outside temperature": (150.0, 350.0, "a temperature of -123 degC to 77 degC"),
    "pitch": (-pi, pi, "an angle within 180 deg either way"),
    "power": (-0.5, 2.0, "a power of -50 % to 200 %"),
}
