"""Whether the columns of a recording that speak of the same thing agree, window by window.

A column in another unit than its header says is off by the same factor all through, against every column
that it can be held against; a fault is not. Each comparison gives one ratio a window.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.atmosphere import HIGHEST, LOWEST

Array = NDArray[np.float64]
Values = Mapping[str, Array]  # quantity -> (t,) SI, with "time" [s]

WINDOW_S = (15.0, 60.0)  # how short and how long a window may be [s]
WINDOWS = 12  # in a record, where the windows' length allows
READINGS_A_WINDOW = 5
MOVED_M = 30.0  # a change of altitude smaller than this in a window says nothing [m]
FEWEST = 4  # windows that say something
LIKELY_K = 35.0  # from the standard day [K]
NEAR_EXACT, NEAR_AT_ANY_HEIGHT, NEAR_IN_WIND = 0.06, 0.2, 0.3  # speeds, as `Agreement.near`
MOVING = 0.5  # share of the record's high speeds (the 90th of a hundred) above which it flies


@dataclass(frozen=True, slots=True)
class Agreement:
    """One comparison of two quantities.

    of: the quantities; ratio (w,) [-]: the first over the second in each window that says something, 0 or
    infinity where one stands still; late (w,): whether the window lies in the second half of the record;
    near: how far the logarithm of a ratio may be from 0 where both are sound; exact: whether nothing
    unknown, such as the wind, has a share in the ratio.
    """

    of: tuple[str, str]
    ratio: Array
    late: NDArray[np.bool_]
    near: float
    exact: bool

    def share(self, near: float | None = None) -> float:
        """Share of the windows whose ratio is near 1; the lower one of the two halves that have windows."""
        with np.errstate(divide="ignore"):
            good = np.abs(np.log(self.ratio)) <= (self.near if near is None else near)
        return float(min(good[half].mean() for half in (self.late, ~self.late) if half.any()))

    @property
    def typical(self) -> float:
        """The middle ratio."""
        return float(np.median(self.ratio))


def agreements(values: Values) -> tuple[Agreement, ...]:
    """Compare what can be compared: heights with each other and with rates, airspeed with ground speed.

    A comparison with fewer than `FEWEST` windows that say something is left out. Assumptions: the air's
    temperature makes altitude and GPS altitude differ by 15 % at most; a wind that does not change, where
    tracks show it, else one of at most a third of the airspeed, mostly.
    """
    found = [
        _heights("altitude", "gps altitude", values),
        _rates("altitude", values),
        _rates("gps altitude", values),
        _speeds(values),
    ]
    return tuple(a for a in found if a is not None and len(a.ratio) >= FEWEST)


def _heights(one: str, other: str, values: Values) -> Agreement | None:
    if one not in values or other not in values:
        return None
    time = values["time"]
    edges, width = _edges(time)
    first, second = (np.diff(_at(edges, width, time, values[q])) for q in (one, other))
    return _changes((one, other), edges, first, second, 0.15)


def _rates(height: str, values: Values) -> Agreement | None:
    if height not in values or "vertical speed" not in values:
        return None
    time, rate = values["time"], values["vertical speed"]
    edges, width = _edges(time)
    known = ~np.isnan(rate)
    risen = np.concatenate(
        [[0.0], np.cumsum(0.5 * (rate[known][1:] + rate[known][:-1]) * np.diff(time[known]))]
    )
    first = np.diff(np.interp(edges, time[known], risen))
    second = np.diff(_at(edges, width, time, values[height]))
    return _changes(("vertical speed", height), edges, first, second, 0.35)


def _changes(of: tuple[str, str], edges: Array, first: Array, second: Array, near: float) -> Agreement:
    tells = np.maximum(np.abs(first), np.abs(second)) >= MOVED_M  # False for NaN
    first, second = first[tells], second[tells]
    with np.errstate(divide="ignore"):
        ratio = np.where(first * second < 0.0, 0.0, np.abs(first) / np.abs(second))
    return Agreement(of, ratio, _late(edges)[tells], near, True)


def _speeds(values: Values) -> Agreement | None:
    if "ias" not in values or "ground speed" not in values:
        return None
    time, ground, flown = values["time"], values["ground speed"], true_airspeed(values)
    known = ~(np.isnan(flown) | np.isnan(ground))
    if not known.any():
        return None
    fast = known & (ground > MOVING * np.percentile(ground[known], 90))
    wind = _wind(values, flown, fast)
    against = ground
    if wind is not None:
        along, across = np.cos(values["track"]), np.sin(values["track"])
        against = np.hypot(ground * along - wind[0], ground * across - wind[1])
        against = np.where(np.isnan(against), ground, against)
    edges, _ = _edges(time)
    ratio = np.full(len(edges) - 1, np.nan)
    for i, (begin, end) in enumerate(pairwise(edges)):
        inside = fast & (time >= begin) & (time < end)
        if inside.sum() >= 3:
            ratio[i] = np.median(flown[inside] / np.maximum(against[inside], 1e-9))
    tells = ~np.isnan(ratio)
    exact = wind is not None and ("altitude" in values or "gps altitude" in values)
    near = NEAR_EXACT if exact else NEAR_IN_WIND if wind is None else NEAR_AT_ANY_HEIGHT
    return Agreement(("ias", "ground speed"), ratio[tells], _late(edges)[tells], near, exact)


def climbing(height: str, values: Values) -> Array:
    """Rates of change of a height in the windows in which it changes, without sign [m/s]."""
    edges, width = _edges(values["time"])
    moved = np.abs(np.diff(_at(edges, width, values["time"], values[height])))
    return moved[moved >= MOVED_M] / np.diff(edges)[moved >= MOVED_M]


def flying(speeds: Array) -> Array:
    """The speeds in flight, of a record (t,) [m/s]: well above standing and rolling, NaN left out."""
    known = speeds[~np.isnan(speeds)]
    return known[known > MOVING * np.percentile(known, 90)] if len(known) else known


def true_airspeed(values: Values) -> Array:
    """True airspeed of the airspeed shown [m/s].

    At GPS altitude, else altitude, else sea level; at the recorded temperature where it is a likely one, else
    the standard day's.
    """
    ias = values["ias"]
    height = values.get("gps altitude", values.get("altitude"))
    if height is None:
        height = np.zeros(len(ias))
    known = ~np.isnan(height)
    time = values["time"]
    height = np.interp(time, time[known], height[known]) if known.any() else np.zeros(len(ias))
    height = np.clip(height, LOWEST, 0.5 * HIGHEST)
    static = np.asarray(air.static_pressure(height))
    impact = np.asarray(air.impact_pressure(np.where(np.isnan(ias), 0.0, ias)))
    warmth = np.asarray(air.standard_temperature(height))
    recorded = values.get("outside temperature", warmth)
    with np.errstate(invalid="ignore"):
        warmth = np.where(np.abs(recorded - warmth) < LIKELY_K, recorded, warmth)
    tas = air.true_airspeed(air.mach(impact, static), warmth)
    return np.where(np.isnan(ias), np.nan, np.asarray(tas))


def _wind(values: Values, flown: Array, fast: NDArray[np.bool_]) -> tuple[float, float] | None:
    """The steady wind (north, east) [m/s] that, with a factor on the airspeed, fits the ground speed best.

    None where there are no tracks, or too few directions to tell the wind from the factor.
    """
    if "track" not in values:
        return None
    used = fast & ~np.isnan(values["track"])
    if used.sum() < 10:
        return None
    ground, track, tas = values["ground speed"][used], values["track"][used], flown[used]
    north, east = ground * np.cos(track), ground * np.sin(track)
    if np.hypot(np.mean(np.cos(track)), np.mean(np.sin(track))) > 0.9:  # all one way
        return None
    wind, factor = np.zeros(2), float(np.median(ground) / max(float(np.median(tas)), 1e-9))
    for _ in range(20):  # Gauss and Newton
        x, y = north - wind[0], east - wind[1]
        length = np.maximum(np.hypot(x, y), 1e-9)
        slopes = np.stack([-x / length, -y / length, -tas], axis=1)
        step = np.linalg.lstsq(slopes, -(length - factor * tas), rcond=None)[0]
        wind, factor = wind + step[:2], factor + float(step[2])
        if not np.isfinite(step).all() or np.hypot(*wind) > np.median(ground):
            return None
        if np.abs(step).max() < 1e-4:
            break
    return float(wind[0]), float(wind[1])


def _edges(time: Array) -> tuple[Array, float]:
    """Edges of windows [s], and over how long readings are taken together at each."""
    shortest, longest = WINDOW_S
    length = float(np.clip((time[-1] - time[0]) / WINDOWS, shortest, longest))
    length = max(length, READINGS_A_WINDOW * float(np.median(np.diff(time))))
    return np.arange(time[0], time[-1] + 1e-9, length), length / 4.0


def _late(edges: Array) -> NDArray[np.bool_]:
    return np.asarray(edges[:-1] >= 0.5 * (edges[0] + edges[-1]) - 1e-9)


def _at(edges: Array, width: float, time: Array, readings: Array) -> Array:
    """The middle reading around each edge, NaN where there is none."""
    found = np.full(len(edges), np.nan)
    begin, end = (np.searchsorted(time, edges + side * width / 2.0) for side in (-1.0, 1.0))
    for i in range(len(edges)):
        near = readings[begin[i] : end[i] + 1]
        near = near[~np.isnan(near)]
        if len(near):
            found[i] = np.median(near)
    return found
