"""A recording put on even knots: what was read at each, and how far it may be off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air import units

if TYPE_CHECKING:
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]
MOST_KNOTS = 300  # of an hour; longer recordings have more
SHORTEST_S, LONGEST_S = 4.0, 12.0  # between knots [s]
SKEW_S = 0.2  # what is left between columns that were aligned, one standard deviation [s]; assumed
ALONE = 3.0  # more readings than this between knots make the mean no better: their errors go together

# What the mean of a few sound readings is off by in any case, one standard deviation [SI]. Assumed: friction
# and scale of instruments, and what a model of an airplane leaves out.
OFF_BY = {
    "ias": 0.12 * units.KT,
    "altitude": 2.0 * units.FT,
    "vertical speed": 12.0 * units.FPM,
    "gps altitude": 3.0 * units.FT,
    "along": 0.2 * units.KT,
    "across": 0.3 * units.KT,
    "pitch": np.radians(0.3),
}
OFF_SHARE = {"vertical speed": 0.01, "ias": 0.001}  # and by this share of itself


@dataclass(frozen=True, slots=True)
class Observed:
    """Means between knots. knots_s (k,) [s], even; value, sd: quantity -> (k,) SI, NaN for nothing read.

    Quantities are those of a recording, but for the ground speed, which is taken apart: "along" the heading
    and "across" it to the right, where there is a heading, else along the track. north, east (k,): where
    "along" points, 1 and 0 where nobody knows; directed: whether anybody does.
    """

    knots_s: Array
    step_s: float
    value: Mapping[str, Array]
    sd: Mapping[str, Array]
    north: Array
    east: Array
    directed: bool

    def has(self, quantity: str) -> bool:
        """Whether anything was read of a quantity."""
        return quantity in self.value


def observe(recording: Recording, friction: Mapping[str, float] | None = None) -> Observed:
    """Put a recording on knots of some seconds.

    friction: quantity -> how far the pointer that is recorded hangs back [SI].
    """
    time = recording.time_s
    span = float(time[-1] - time[0])
    step = float(np.clip(span / MOST_KNOTS, SHORTEST_S, LONGEST_S))
    step = max(step, float(np.median(np.diff(time))))
    count = max(int(np.ceil((span + 1e-9) / step)), 2)
    knots = time[0] + step * (np.arange(count) + 0.5)
    place = np.minimum(((time - time[0]) / step).astype(int), count - 1)
    rows = dict(recording.values)
    steps = {q: float(s) for q, s in recording.steps.items()}
    ahead = _ahead(rows)
    if "ground speed" in rows:
        speed = rows["ground speed"]
        if "heading" in rows and "track" in rows:
            drift = rows["track"] - rows["heading"]
            rows["along"], rows["across"] = speed * np.cos(drift), speed * np.sin(drift)
            steps["across"] = 0.0
        else:
            rows["along"] = speed
        steps["along"] = steps.get("ground speed", 0.0)
    value, sd = {}, {}
    for quantity, read in rows.items():
        mean, n = _means(read, place, count)
        if np.isnan(mean).all():
            continue
        slope = _slope(mean, step)
        # the middle of some readings is not quite that between two knots
        value[quantity] = mean = (
            mean + np.nan_to_num(knots - _means(time + 0.0 * read, place, count)[0]) * slope
        )
        noise = steps.get(quantity, 0.0) ** 2 / 12.0 + _noise(read) ** 2
        off = (
            OFF_BY.get(quantity, 0.0)
            + (friction or {}).get(quantity, 0.0)
            + OFF_SHARE.get(quantity, 0.0) * np.abs(mean)
        )
        sd[quantity] = np.sqrt(noise / np.clip(n, 1.0, ALONE) + off**2 + (_fastest(mean, step) * SKEW_S) ** 2)
    north, east = np.ones(count), np.zeros(count)
    if ahead is not None:
        north, east = (filled(_means(part, place, count)[0]) for part in (np.cos(ahead), np.sin(ahead)))
        size = np.maximum(np.hypot(north, east), 1e-9)
        north, east = north / size, east / size
    return Observed(knots, step, value, sd, north, east, ahead is not None)


def shifted(seen: Observed, by_s: Mapping[str, float]) -> Observed:
    """The same with the readings of some quantities taken as made so much later than written [s]."""
    value = dict(seen.value)
    for quantity, late in by_s.items():
        if quantity in value and late:
            read = value[quantity]
            moved = np.interp(seen.knots_s + late, seen.knots_s, filled(read), np.nan, np.nan)
            value[quantity] = np.where(np.isnan(read), np.nan, moved)
    return replace(seen, value=value)


def _ahead(rows: Mapping[str, Array]) -> Array | None:
    """Where the airplane heads, or goes, (t,) [rad]; None where neither is recorded."""
    for quantity in ("heading", "track"):
        if quantity in rows:
            return _held_angle(rows[quantity])
    return None


def _held_angle(angle: Array) -> Array:
    known = ~np.isnan(angle)
    where = np.arange(len(angle))
    return np.asarray(np.interp(where, where[known], np.unwrap(angle[known])))


def _means(read: Array, place: NDArray[np.int64], count: int) -> tuple[Array, Array]:
    """Mean (k,) and number (k,) of the readings between knots; NaN where there are none."""
    known = ~np.isnan(read)
    number = np.bincount(place[known], minlength=count).astype(float)
    total = np.bincount(place[known], weights=read[known], minlength=count)
    return np.where(number > 0.0, total / np.maximum(number, 1.0), np.nan), number


def _noise(read: Array) -> float:
    """Scatter of single readings, one standard deviation: from second differences, which a flight has not.

    Of white noise the second difference has six times its variance; the median absolute one is taken, so
    that jumps count little.
    """
    known = read[~np.isnan(read)]
    if len(known) < 8:
        return 0.0
    return float(1.4826 * np.median(np.abs(np.diff(known, 2))) / np.sqrt(6.0))


def _slope(mean: Array, step: float) -> Array:
    """Rate of change (k,)."""
    return np.asarray(np.gradient(filled(mean), step)) if len(mean) > 1 else np.zeros(len(mean))


def _fastest(mean: Array, step: float) -> Array:
    """Rate of change (k,), the faster one of the two sides."""
    rate = np.abs(np.diff(filled(mean))) / step
    return np.asarray(np.maximum(np.append(rate, 0.0), np.insert(rate, 0, 0.0)))


def filled(mean: Array) -> Array:
    """Straight lines across what is missing."""
    known = ~np.isnan(mean)
    where = np.arange(len(mean))
    return np.asarray(np.interp(where, where[known], mean[known])) if known.any() else np.zeros(len(mean))
