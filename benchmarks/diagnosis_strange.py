"""Faults that no catalogue of ours holds: each bends what one instrument shows, from some time on.

None works on the pressures, so that no fault of the plumbing is like it; sizes are such that a pilot would
see it within half a minute.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from diagnosis_flights import STEP_S
from diagnosis_weather import wandering
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, KT

if TYPE_CHECKING:
    from numpy.random import Generator

Array = NDArray[np.float64]
Mechanism = Callable[["Generator", Array, Array, float], Array]
NOTICED = {"ias": 6.0 * KT, "altitude": 100.0 * FT, "vertical speed": 300.0 * FPM}
SEEN_FOR_S = 30.0


def _sign(rng: Generator) -> float:
    return float(rng.choice((-1.0, 1.0)))


def _grows(since: Array, over_s: float) -> Array:
    return np.clip(since / over_s, 0.0, 1.0)


def _creep(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """The capsule gives way: the reading creeps off to where it will stay."""
    off = _sign(rng) * rng.uniform(3.0, 8.0) * unit
    return np.asarray(shown - off * np.expm1(-since / rng.uniform(40.0, 150.0)))


def _scale(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """The scale drifts: readings too large or too small by a growing share."""
    return shown * (1.0 + _sign(rng) * rng.uniform(0.12, 0.3) * _grows(since, rng.uniform(5.0, 120.0)))


def _slipped(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """The pointer slips on its shaft, at once."""
    return shown + _sign(rng) * rng.uniform(2.5, 6.0) * unit * (since >= 0.0)


def _swings(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """The pointer swings about where it should stand."""
    turns = 2.0 * np.pi * since / rng.uniform(5.0, 25.0)
    return shown + rng.uniform(1.8, 5.0) * unit * np.sin(turns) * _grows(since, 10.0)


def _bit(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """One bit of the recorder's word for the reading stays as it is, 0 or 1."""
    step = unit * 2.0 ** rng.uniform(0.7, 2.3)
    low = np.floor(shown / step) % 2.0
    return np.asarray(shown + (float(rng.integers(0, 2)) - low) * step * (since >= 0.0))


def _drops(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """Now and again the reading drops out, to a wrong value that is always the same."""
    wrong = float(shown[np.argmax(since >= 0.0)]) + _sign(rng) * rng.uniform(4.0, 15.0) * unit
    out, at = np.zeros(len(shown), dtype=bool), 0.0
    while at < since[-1]:
        lasts = rng.uniform(2.0, 12.0)
        out |= (since >= at) & (since < at + lasts)
        at += lasts + rng.uniform(4.0, 30.0)
    return np.where(out, wrong, shown)


def _capsule(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """A weak capsule: movements since then are too large, or too small, by a share."""
    first = float(shown[np.argmax(since >= 0.0)])
    return shown + _sign(rng) * rng.uniform(0.25, 0.6) * (shown - first)


def _jumps(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """A worn tooth: the pointer moves in jumps."""
    step = rng.uniform(3.0, 7.0) * unit
    return step * np.round(shown / step + rng.uniform(-0.5, 0.5))


def _noise(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """A bad contact: the reading is unsteady."""
    return shown + wandering(rng, len(shown), STEP_S, rng.uniform(1.8, 5.0) * unit, rng.uniform(0.5, 4.0))


def _held(rng: Generator, since: Array, shown: Array, unit: float) -> Array:
    """The reading is renewed only now and again."""
    every = int(rng.uniform(25.0, 60.0) / STEP_S)
    places = np.arange(len(shown))
    return np.asarray(shown[places - places % every])


_ALL = ("ias", "altitude", "vertical speed")
MECHANISMS: dict[str, tuple[Mechanism, tuple[str, ...]]] = {
    "capsule creeping": (_creep, ("ias", "altitude")),
    "scale drifting": (_scale, ("ias",)),
    "pointer slipped": (_slipped, ("ias", "vertical speed")),  # of an altimeter it is a wrong setting
    "pointer swinging": (_swings, _ALL),
    "recorder's bit stuck": (_bit, _ALL),
    "reading dropping out": (_drops, _ALL),
    "capsule weak": (_capsule, ("ias", "altitude")),
    "pointer moving in jumps": (_jumps, ("ias", "altitude")),
    "reading unsteady": (_noise, _ALL),
    "reading renewed seldom": (_held, ("ias", "altitude")),
}


def bent(
    rng: Generator, time_s: Array, shown: dict[str, Array], recorded: list[str]
) -> tuple[dict[str, Array], str, float] | None:
    """Bend one recorded reading from some time on: what is shown, in words, and when it begins [s].

    shown: quantity -> (k,) on `time_s`; None where it would not be noticed.
    """
    able = [(name, q) for name, (_, whose) in MECHANISMS.items() for q in whose if q in recorded]
    name, quantity = able[int(rng.integers(len(able)))]
    onset = float(time_s[0] + (time_s[-1] - time_s[0]) * rng.uniform(0.1, 0.7))
    since, sound = time_s - onset, shown[quantity]
    after = since >= 0.0
    value = MECHANISMS[name][0](rng, since[after], sound[after], NOTICED[quantity])
    new = np.concatenate([sound[~after], value])
    width = round(SEEN_FOR_S / STEP_S)
    off = np.nan_to_num(np.abs(new - sound))
    mean = np.convolve(off, np.ones(width) / width, mode="valid")
    if not (mean > NOTICED[quantity]).any():
        return None
    return {**shown, quantity: new}, f"{quantity}: {name}", onset
