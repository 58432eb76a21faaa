"""The air-data computer: two pressures sampled, turned into figures, filtered, and shown as digits."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.instruments.airspeed import airspeed_from_difference
from ramstill.instruments.altimeter import altitude_of_setting, pressure_altitude
from ramstill.instruments.edits import Edited

if TYPE_CHECKING:
    from ramstill.airplane import AirDataComputer
    from ramstill.instruments.mechanics import Array

BLANK = np.nan  # nothing is shown, which is not the same as zero


def sample_times(time_s: Array, interval_s: float) -> Array:
    """Return when samples are taken [s]: from the first time on, every `interval_s`, to the last."""
    count = int(np.floor((time_s[-1] - time_s[0]) / interval_s + 1e-9))
    return np.asarray(time_s[0] + interval_s * np.arange(count + 1))


def filtered(sampled: Array, interval_s: float, filter_s: float) -> Array:
    """Return samples through a first-order filter of time constant `filter_s` [s], started in equilibrium.

    y += (1 - e^(-interval / filter)) (x - y); 0 for none.
    """
    if filter_s <= 0.0:
        return sampled
    from ramstill.instruments import _kernels

    share = -np.expm1(-interval_s / filter_s)
    return _kernels.filtered(np.ascontiguousarray(sampled, dtype=float), float(share))


def slope(sampled: Array, interval_s: float, filter_s: float) -> Array:
    """Return the filtered rate of change of samples [per s]: each difference over its interval.

    Started in equilibrium with the first difference.
    """
    if len(sampled) < 2:
        return np.zeros_like(sampled)
    rate = np.diff(sampled) / interval_s
    return filtered(np.concatenate([rate[:1], rate]), interval_s, filter_s)


def in_steps(value: Array, step: float) -> Array:
    """Return the nearest whole step, a tie going up; NaN stays."""
    return np.asarray(np.floor(value / step + 0.5) * step)


def shown(
    instrument: AirDataComputer,
    time_s: Array,
    pitot_pa: Array,
    static_pa: Array,
    setting_pa: Array | float,
    edited: Edited,
) -> dict[str, Array]:
    """Return each of its readings over time by name [m/s or m], (t,): NaN where it shows nothing.

    Both pressures [Pa] are taken every sample interval, straight between the times given. Airspeed is the
    calibrated airspeed of their difference, altitude the pressure altitude less that of the setting, each
    through its filter; vertical speed is the filtered slope of pressure altitude, so that turning the setting
    shows none. It keeps what the last sample gave, in whole steps. Outside its limits it shows nothing.
    """
    when = sample_times(time_s, float(instrument.sample_interval))
    interval = float(instrument.sample_interval)
    pitot, static = (np.interp(when, time_s, pressure) for pressure in (pitot_pa, static_pa))
    height = pressure_altitude(static)
    setting = np.clip(
        np.asarray(setting_pa, dtype=float) + edited.setting_offset_pa,
        instrument.setting_lowest,
        instrument.setting_highest,
    )
    speed = filtered(airspeed_from_difference(pitot - static), interval, float(instrument.filter_time))
    smooth = filtered(height, interval, float(instrument.filter_time))
    rate = slope(height, interval, float(instrument.vertical_speed_filter))
    last = np.clip(np.searchsorted(when, time_s + 1e-9, side="right") - 1, 0, len(when) - 1)
    readings = {
        "airspeed": _limited(
            in_steps(speed[last], instrument.airspeed_step),
            float(instrument.lowest_airspeed),
            float(instrument.highest_airspeed),
        ),
        "altitude": _limited(
            in_steps(smooth[last] - altitude_of_setting(setting), instrument.altitude_step),
            -np.inf,
            float(instrument.highest_altitude),
        ),
        "vertical-speed": _limited(
            in_steps(rate[last], instrument.vertical_speed_step),
            -float(instrument.highest_vertical_speed),
            float(instrument.highest_vertical_speed),
        ),
    }
    return {name: readings[what] for name, what in instrument.readings.items()}


def _limited(value: Array, lowest: float, highest: float) -> Array:
    """Blank what lies outside, by more than the rounding of a unit."""
    slack = 1e-9 * max(abs(highest), 1.0)
    return np.where((value >= lowest - slack) & (value <= highest + slack), value, BLANK)
