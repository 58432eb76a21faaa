"""The evidence in words, for those who do not see it, and what its gaps are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.pictures.scales import clock, spoken

if TYPE_CHECKING:
    from ramstill.pictures.evidence import Guess, Lane, Odds

FloatArray = NDArray[np.float64]
_GAP = 5.0  # times the usual step: then nothing was recorded in between


def gaps_in(time_s: FloatArray) -> list[tuple[float, float]]:
    """Stretches (since, until) [s] between two samples that lie much further apart than is usual."""
    apart = np.diff(time_s)
    if not len(apart):
        return []
    wide = np.flatnonzero(apart > _GAP * float(np.median(apart)))
    return [(float(time_s[i]), float(time_s[i + 1])) for i in wide]


def odds_words(power: int) -> str:
    """Odds of ten to a power, as short as they go on a scale."""
    if power == 0:
        return "even"
    names = {1: "10", 2: "100", 3: "1,000", 4: "10⁴", 5: "10⁵", 6: "10⁶"}
    return f"{names[power]}:1" if power > 0 else f"1:{names[-power]}"


def off_by(lane: Lane, predicted: FloatArray) -> float:
    """The root mean square of recorded less predicted [standard deviations]; NaN where nothing is known."""
    off = (lane.recorded - predicted) / np.where(lane.spread > 0.0, lane.spread, np.nan)
    known = off[np.isfinite(off)]
    return float(np.sqrt(np.mean(known**2))) if len(known) else float("nan")


def describe(time_s: FloatArray, lanes: Sequence[Lane], guesses: Sequence[Guess], odds: Odds | None) -> str:
    """The picture in words: the range of each lane, and how near each finding comes to it."""
    said = [f"From {clock(float(time_s[0]))} to {clock(float(time_s[-1]))}."]
    for i, lane in enumerate(lanes):
        low, high = float(np.nanmin(lane.recorded)), float(np.nanmax(lane.recorded))
        each = ", ".join(f"{g.label} {spoken(off_by(lane, g.predicted[i]), 1)}" for g in guesses)
        said.append(
            f"{lane.title}: recorded {spoken(low)} to {spoken(high)} {lane.unit}; typical distance from what "
            f"is predicted, in standard deviations: {each}."
        )
    for since, until in gaps_in(time_s):
        said.append(f"No readings from {clock(since)} to {clock(until)}.")
    first = guesses[0]
    if first.onset_s is not None:
        said.append(f"{first.label}: sets in at {clock(first.onset_s)}.")
    if odds and odds.decided_s is not None:
        said.append(f"Decided against {odds.against} by {clock(odds.decided_s)}.")
    return " ".join(said)
