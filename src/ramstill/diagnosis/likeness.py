"""Which answers a recording cannot tell apart, and why."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from ramstill.air import units
from ramstill.diagnosis.answer import Alike, Finding, Names
from ramstill.diagnosis.trials import Bench, apart
from ramstill.diagnosis.worth import TRUST, worth
from ramstill.run.phrases import clock

Array = NDArray[np.float64]
SIGMAS = 3.0  # nearer than this is not told apart
LEAST = 0.01  # probability of an answer that is worth saying what it is like


@dataclass(frozen=True, slots=True)
class Showing:
    """What one answer makes the instruments show: shown (k, SHOWN) and log likelihood by knot (k,)."""

    names: Names
    shown: Array
    each: Array


def gained(bench: Bench, showing: Showing) -> float:
    """What the readings are worth for an answer over the sound airplane, as log of the odds."""
    return float(worth(showing.each.sum() - bench.sound.total))


def alike(bench: Bench, ranking: Sequence[Finding], showings: Sequence[Showing]) -> tuple[Alike, ...]:
    """Groups of answers of weight that the readings leave together, the likeliest first.

    Two are alike where the log of the odds that the readings give one over the other is below half of three
    standard deviations squared.
    """
    by_name = {one.names: one for one in showings}
    left = [f.names for f in ranking if f.probability >= LEAST and f.names in by_name]
    groups = []
    while left:
        first, *rest = left
        near = [
            names
            for names in rest
            if abs(gained(bench, by_name[first]) - gained(bench, by_name[names])) < 0.5 * SIGMAS**2
        ]
        if near:
            groups.append(Alike((first, *near), _why(bench, by_name[first], [by_name[n] for n in near])))
        left = [names for names in rest if names not in near]
    return tuple(groups)


def _why(bench: Bench, first: Showing, others: Sequence[Showing]) -> str:
    far = [apart(bench, first.shown, other.shown) for other in others]
    worst = max(far, key=lambda one: float((one**2).sum()))
    if () in (first.names, *(other.names for other in others)):
        return "In this recording they leave nothing to see, or nothing that stands out from its scatter."
    if TRUST * float((worst**2).sum()) < SIGMAS**2:
        return "They put the same pressures into the instruments that are recorded."
    knot, which = np.unravel_index(int(np.argmax(worst)), worst.shape)
    other = others[int(np.argmax([one[knot, which] for one in far]))]
    by, unit, what = (
        (units.FT, "ft", "altimeter"),
        (units.KT, "kt", "airspeed"),
        (units.FPM, "ft/min", "vertical speed"),
    )[int(which)]
    a, b = first.shown[knot, which], other.shown[knot, which]
    if np.isnan(a) or np.isnan(b):
        return "They differ only where one of them shows nothing."
    size = abs(a - b) / by
    at = clock(float(bench.ref.knots_s[knot]))
    return (
        f"They differ by {size:.0f} {unit} of {what} at most, at {at}, which gusts, the wind and an airplane "
        "not quite like its file can do as well."
    )
