"""The air that a case is flown in: the day, the wind over height and time, and gusts that hang together."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.signal import lfilter

from ramstill import air
from ramstill.air.units import HPA

if TYPE_CHECKING:
    from numpy.random import Generator

Array = NDArray[np.float64]
# What a flight meets; all of it assumed.
SEA_LEVEL_HPA, TEMPERATURE_K = 8.0, 8.0  # one standard deviation off the standard day
ICING_C = (-12.0, -3.0)  # outside temperature where ice is to grow
CALMEST, ROUGHEST, ROUGH = 0.0, 1.5, 3.0  # standard deviation of gusts [m/s]; the last occasionally
OFTEN_ROUGH = 0.06
GUST_LENGTH_M = 200.0  # about the scale of the Dryden spectra near the ground (MIL-F-8785C, from memory)
HEAVE_S, HELD_S = 2.0, 25.0  # an airplane rises with a gust after the first, and is back by the second


@dataclass(frozen=True, slots=True)
class Wind:
    """Wind [m/s] to the north and east: at sea level, how it grows by height and changes by time."""

    at_sea_level: tuple[float, float]
    by_height_per_s: tuple[float, float]
    by_time_m_s2: tuple[float, float]

    def at(self, height_m: Array, time_s: Array) -> tuple[Array, Array]:
        """Wind to the north and east (k,) [m/s] at heights (k,) [m] and times (k,) [s]."""
        north, east = (
            self.at_sea_level[i] + self.by_height_per_s[i] * height_m + self.by_time_m_s2[i] * time_s
            for i in (0, 1)
        )
        return north, east


def a_day(rng: Generator, icing_at_m: float | None = None) -> air.Day:
    """A day off standard; with ice at a height [m] where one is given."""
    pressure = 1013.25 + float(np.clip(rng.normal(0.0, SEA_LEVEL_HPA), -25.0, 25.0))
    warmth = float(np.clip(rng.normal(0.0, TEMPERATURE_K), -20.0, 20.0))
    cold = rng.uniform(*ICING_C)
    if icing_at_m is None:
        return air.Day(pressure * HPA, warmth)
    return air.Day.from_temperature(273.15 + cold, icing_at_m, pressure * HPA)


def a_wind(rng: Generator) -> Wind:
    """Up to 12 m/s at sea level, more and veering higher up, changing slowly."""
    speed, towards = rng.uniform(0.0, 12.0), rng.uniform(0.0, 2.0 * np.pi)
    growth, veer = rng.uniform(0.0, 5e-3), rng.normal(0.0, 0.5)
    drift = rng.normal(0.0, 1.0 / 600.0, 2)
    return Wind(
        (speed * np.cos(towards), speed * np.sin(towards)),
        (growth * np.cos(towards + veer), growth * np.sin(towards + veer)),
        (float(drift[0]), float(drift[1])),
    )


def wandering(rng: Generator, count: int, step_s: float, sd: float, tau_s: float) -> Array:
    """A random walk that is pulled back (Ornstein and Uhlenbeck): (count,), of a standard deviation."""
    keep = float(np.exp(-step_s / tau_s))
    kicks = rng.normal(0.0, 1.0, count) * np.sqrt(1.0 - keep * keep)
    kicks[0] = rng.normal()
    return np.asarray(sd * lfilter([1.0], [1.0, -keep], kicks))


def late(value: Array, step_s: float, tau_s: float) -> Array:
    """What a first-order lag makes of `value` (k,), settled at the start."""
    keep = float(np.exp(-step_s / tau_s))
    return np.asarray(lfilter([1.0 - keep], [1.0, -keep], value, zi=[keep * value[0]])[0])


def smoothly_wandering(rng: Generator, count: int, step_s: float, sd: float, tau_s: float) -> Array:
    """As `wandering`, without corners: what a hand or a pilot does."""
    found = late(wandering(rng, count, step_s, 1.0, tau_s), step_s, 0.5 * tau_s)
    return np.asarray(sd * np.sqrt(1.5) * found)


@dataclass(frozen=True, slots=True)
class Gusts:
    """Gusts along, across and up (k,) [m/s], and what the airplane does in those from below."""

    along: Array
    across: Array
    up: Array
    heave_m_s: Array
    heave_m: Array

    @property
    def felt_up(self) -> Array:
        """The up-gust less how fast the airplane gives way [m/s]."""
        return self.up - self.heave_m_s


def gusts(rng: Generator, count: int, step_s: float, tas_m_s: float) -> Gusts:
    """Gusts of a flight at about one true airspeed [m/s]."""
    rough = rng.random() < OFTEN_ROUGH
    sd = rng.uniform(ROUGHEST, ROUGH) if rough else rng.uniform(CALMEST, ROUGHEST)
    tau = GUST_LENGTH_M / max(tas_m_s, 20.0)
    along, across, up = (wandering(rng, count, step_s, sd * k, tau) for k in (1.0, 0.8, 0.7))
    rides = late(up, step_s, HEAVE_S)
    moved = np.cumsum(rides) * step_s
    held = moved - late(moved, step_s, HELD_S)
    held = held - late(held, step_s, HELD_S)  # twice, or slow gusts would carry it away
    return Gusts(along, across, up, np.gradient(held, step_s), held)
