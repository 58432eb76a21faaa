"""How likely a person is to say each behaviour of an instrument in a phase, from what its pointer does.

Each behaviour has a measure in noticeable amounts of its instrument, and a person's threshold with a spread:
said of x of them in x^3 / (1 + x^3) of the cases: half at one, 11 in 100 at a half, 89 in 100 at two.
What should be shown is what the same airplane shows without a fault. Assumed, all figures: people differ.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.saying import BEHAVIOURS

Array = NDArray[np.float64]
NAMES = tuple(word.name for word in BEHAVIOURS)

# What a person notices as off, by what is shown [m/s or m]; the encoder's counts in hundreds of feet are
# heard from the ground.
NOTICEABLE = {
    "airspeed": 5.0 * KT,
    "altitude": 75.0 * FT,
    "vertical-speed": 100.0 * FPM,
    "encoder": 300.0 * FT,
    "variometer": 60.0 * FPM,
}
RATES = ("vertical-speed", "variometer")
ZERO_AMOUNTS = {"airspeed": 3.0}  # a needle below 15 kt is called zero; else one noticeable amount
SLOPE = 3.0
SLIP = 0.005  # said though nothing is like it
UNDECIDED = 0.15  # said of an instrument where the phase gives no occasion for it

STILL = 0.5  # moves by less than this many noticeable amounts: frozen
LATE_S = 4.0
JUMP_S, JUMP = 2.0, 0.5  # within this time, by so many noticeable amounts: a jump catches the eye
SWINGS = 4.0  # to and fro, in noticeable amounts
SETTLE_S = 10.0  # what a fault does in its first seconds is a jump; the other words are for what comes after
BEFORE_S = 1.0  # what stood there before the fault is seen too, so that a jump is one
_SMOOTH_S = 3.0


@dataclass(frozen=True, slots=True)
class Seen:
    """One instrument in one phase, in many cases. SI; (n, t) but where said.

    shows: key of `NOTICEABLE`; time_s (t,); shown; healthy (t,): what it should show; settled (t,): samples
    after the fault's first seconds; blank: share of the time in which it shows nothing, (n,); missed: the
    share in which it does so and should show something, or the other way about, (n,).
    """

    shows: str
    time_s: Array
    shown: Array
    healthy: Array
    settled: NDArray[np.bool_]
    blank: Array
    missed: Array

    @property
    def amount(self) -> float:
        """What is noticeable [m/s or m]."""
        return NOTICEABLE[self.shows]

    @property
    def off(self) -> Array:
        """What it shows less what it should, in noticeable amounts, (n, t)."""
        return (self.shown - self.healthy) / self.amount

    @property
    def step_s(self) -> float:
        """Time between samples [s]."""
        return float(self.time_s[1] - self.time_s[0])

    def samples(self, over_s: float) -> int:
        """How many samples last so long."""
        return max(1, round(over_s / self.step_s))


def said_of(
    shows: str, time_s: Array, shown: ArrayLike, healthy: ArrayLike, span: tuple[float, float], onset_s: float
) -> Array:
    """Probability of each behaviour, (n, b), in the order of `NAMES`, between `SLIP` and 1.

    shows: key of `NOTICEABLE`; time_s (t,) [s], evenly; shown (n, t), healthy (t,), SI, NaN: nothing shown;
    span: of the phase [s]; onset_s: of the faults [s], before the end of the phase or not at all in it.
    """
    begin, end = span
    late = begin <= onset_s < end
    first = onset_s - BEFORE_S if late else begin
    kept = (time_s >= first) & (time_s <= end)
    when = time_s[kept]
    settle = min(onset_s + SETTLE_S, 0.5 * (onset_s + end)) if late else begin
    right = np.asarray(healthy, dtype=float)[kept]
    read = np.atleast_2d(np.asarray(shown, dtype=float))[:, kept]
    settled = when >= settle
    nothing = np.isnan(read)
    blank = np.mean(nothing[:, settled], axis=1)
    missed = np.mean((nothing != np.isnan(right))[:, settled], axis=1)
    right = np.nan_to_num(right)  # an instrument that rightly shows nothing stands at nothing
    read = np.where(nothing, right, read)
    seen = Seen(shows, when, read, right, settled, blank, missed)
    found = {name: measure(seen) * (1.0 - blank) for name, measure in _MEASURES.items()}
    found["normal"] = _normal(seen)
    found["blank"] = blank
    found["jumped"] = _either(found["jumped up"], found["jumped down"])
    found["dead"] = _either(found["frozen"], seen.missed)
    return np.asarray(SLIP + (1.0 - SLIP) * np.stack([found[name] for name in NAMES], axis=-1))


def noticed(amounts: Array) -> Array:
    """How likely it is that a person says so of this many thresholds; never of less than none."""
    cubed = np.maximum(amounts, 0.0) ** SLOPE
    return np.asarray(cubed / (1.0 + cubed))


def _either(one: Array, other: Array) -> Array:
    return np.asarray(1.0 - (1.0 - one) * (1.0 - other))


def _range(values: Array) -> Array:
    return np.asarray(values.max(axis=-1) - values.min(axis=-1))


def _smoothed(values: Array, samples: int) -> Array:
    """Means over so many samples, (n, t - samples + 1)."""
    summed = np.cumsum(np.concatenate([np.zeros_like(values[..., :1]), values], axis=-1), axis=-1)
    return np.asarray((summed[..., samples:] - summed[..., :-samples]) / samples)


# ---- one measure a word: probability (n,)


def _off_by(seen: Seen) -> Array:
    """How far it is off for longer than a moment: nine tenths of the time less [noticeable amounts]."""
    return np.asarray(np.quantile(np.abs(seen.off[:, seen.settled]), 0.9, axis=1))


def _normal(seen: Seen) -> Array:
    return np.asarray((1.0 - noticed(_off_by(seen))) * (1.0 - seen.missed))


def _frozen(seen: Seen) -> Array:
    shown = seen.shown[:, seen.settled] / seen.amount
    still = 1.0 - noticed(_range(shown) / STILL)
    should_move = noticed(_range(seen.healthy[seen.settled] / seen.amount))
    occasion = _either(should_move, noticed(_off_by(seen)))
    return np.asarray(still * (occasion + UNDECIDED * (1.0 - occasion)))


def _zero(seen: Seen) -> Array:
    of_zero = ZERO_AMOUNTS.get(seen.shows, 1.0)
    return 1.0 - noticed(np.median(np.abs(seen.shown[:, seen.settled]), axis=1) / seen.amount / of_zero)


def _moved(values: Array) -> Array:
    return np.asarray(values[..., -1] - values[..., 0])


def _rising(seen: Seen) -> Array:
    return noticed(_moved(seen.shown) / seen.amount)


def _falling(seen: Seen) -> Array:
    return noticed(-_moved(seen.shown) / seen.amount)


def _gap(seen: Seen) -> Array:
    """How much too high, on average over the second half [noticeable amounts]."""
    off = seen.off[:, seen.settled]
    return np.asarray(off[:, off.shape[1] // 2 :].mean(axis=1))


def _high(seen: Seen) -> Array:
    return noticed(_gap(seen))


def _low(seen: Seen) -> Array:
    return noticed(-_gap(seen))


def _reversed(seen: Seen) -> Array:
    if seen.shows in RATES:
        right = seen.healthy[seen.settled] / seen.amount
        shown = seen.shown[:, seen.settled] / seen.amount
        moving = np.abs(right) > 1.0
        occasion = float(noticed(2.0 * np.asarray(moving.mean())))
        wrong = -(shown * np.sign(right))[:, moving].mean(axis=1) if moving.any() else np.zeros(len(shown))
    else:
        right = _moved(seen.healthy) / seen.amount
        occasion = float(noticed(np.abs(right)))
        wrong = -_moved(seen.shown) / seen.amount * np.sign(right)
    return np.asarray(occasion * noticed(wrong) + (1.0 - occasion) * UNDECIDED)


def _late(seen: Seen) -> Array:
    """As one time constant T would have it: should less shown = T times the rate of what is shown."""
    smooth = seen.samples(_SMOOTH_S)
    behind = -_smoothed(seen.off[:, seen.settled], smooth)
    shown = _smoothed(seen.shown[:, seen.settled] / seen.amount, smooth)
    rate = np.gradient(shown, seen.step_s, axis=1)
    both, of_rate, of_behind = (
        (a * b).sum(axis=1) for a, b in ((behind, rate), (rate, rate), (behind, behind))
    )
    constant = both / np.maximum(of_rate, 1e-12)
    explained = np.maximum(both, 0.0) ** 2 / np.maximum(of_rate * of_behind, 1e-12)
    seen_at_all = noticed(np.abs(behind).max(axis=1))
    return np.asarray(noticed(constant / LATE_S) * explained * seen_at_all)


def _jump(seen: Seen, sign: float) -> Array:
    over = min(seen.samples(JUMP_S), len(seen.time_s) - 1)
    gained = sign * (seen.off[:, over:] - seen.off[:, :-over])
    return noticed((gained.max(axis=1) - np.maximum(np.median(gained, axis=1), 0.0)) / JUMP)


def _jumped_up(seen: Seen) -> Array:
    return _jump(seen, 1.0)


def _jumped_down(seen: Seen) -> Array:
    return _jump(seen, -1.0)


def _sticking(seen: Seen) -> Array:
    smooth = seen.samples(_SMOOTH_S)
    shown = _smoothed(seen.shown[:, seen.settled] / seen.amount, smooth)
    right = _smoothed(seen.healthy[seen.settled] / seen.amount, smooth)
    should, does = np.abs(np.diff(right)), np.abs(np.diff(shown, axis=1))
    hung = np.where(does < 0.1 * should, should, 0.0).sum(axis=1)
    found = noticed(hung) * (1.0 - 0.5 * (1.0 - noticed(_range(shown) / STILL)))
    # friction shows where a movement begins or turns back; in a steady climb it has no occasion
    occasion = float(noticed(np.asarray(should.sum() - np.abs(_moved(right)))))
    return np.maximum(found, UNDECIDED * (1.0 - occasion))


def _unsteady(seen: Seen) -> Array:
    off = _smoothed(seen.off[:, seen.settled], seen.samples(_SMOOTH_S))
    way = np.abs(np.diff(off, axis=1)).sum(axis=1) - np.abs(_moved(off))
    return noticed(way / SWINGS)


_MEASURES: dict[str, Callable[[Seen], Array]] = {
    "frozen": _frozen,
    "zero": _zero,
    "rising": _rising,
    "falling": _falling,
    "high": _high,
    "low": _low,
    "reversed": _reversed,
    "late": _late,
    "jumped up": _jumped_up,
    "jumped down": _jumped_down,
    "sticking": _sticking,
    "unsteady": _unsteady,
}
