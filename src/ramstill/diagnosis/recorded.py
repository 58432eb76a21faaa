"""From a recorded flight to the faults behind it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis.answer import Candidate, Diagnosis, Situation, ranked
from ramstill.diagnosis.likeness import alike
from ramstill.diagnosis.pairs import ice_without_heat
from ramstill.diagnosis.pairs import pairs as pairs_of
from ramstill.diagnosis.priors import NO_FAULT, OUTSIDE_THE_CATALOGUE, suspects
from ramstill.diagnosis.search import Tried, over_onsets, search
from ramstill.diagnosis.second import better_of_both
from ramstill.diagnosis.setting_up import set_up
from ramstill.diagnosis.showing import evidence, showings
from ramstill.diagnosis.stray import stray
from ramstill.diagnosis.trials import BEFORE, Bench

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]
LEAST = 1e-7  # probability of a candidate that is worth keeping


def diagnose(
    plane: Airplane,
    recording: Recording,
    *,
    pairs: bool = True,
    workers: int | None = None,
    progress: bool | None = None,
) -> Diagnosis:
    """Say what is likely to be wrong with an airplane that made a recording.

    Every fault of the catalogue, at every place and in several sizes, is simulated along the flight and held
    against the readings; pairs: two at once too, where none explains them alone, and ice where heat is
    lacking. workers: threads, by default one a processor. progress: False for no bar on stderr. Assumptions:
    flap and gear up, wings level; the columns are those of the first instruments in the airplane's file. What
    it works by is in docs/diagnosis-method.md. Raises InputError for a recording that nothing can be made of.
    """
    from ramstill.run.progress import Bar

    with Bar("Trying faults", None, progress is not False) as bar:
        bench, seen = set_up(plane, recording, workers)
        bench.bar = bar
        off = stray(bench)
        doing = search(bench, wanted := suspects(plane, larger=True), off.onsets_s)
        if pairs:
            ice_without_heat(doing, wanted)
            pairs_of(doing, off.gained)
        shown_on = better_of_both(doing, seen)
    weighed = [_weigh(bench, tried) for tried in doing.found.values()]
    logs = [one.log for one in weighed]
    logs += [np.log(NO_FAULT), np.log(OUTSIDE_THE_CATALOGUE) + off.log]
    weights = np.exp(np.array(logs) - max(logs))
    weights /= weights.sum()
    candidates = [Candidate((), float(weights[-2]))]
    candidates += [
        Candidate(one.faults, float(w), one.onset_sd_s)
        for one, w in zip(weighed, weights, strict=False)
        if w > LEAST
    ]
    total = sum(one.probability for one in candidates) + float(weights[-1])
    candidates = [replace(one, probability=one.probability / total) for one in candidates]
    candidates.sort(key=lambda one: -one.probability)
    ranking = ranked(candidates)
    best: dict[tuple[str, ...], Weighed] = {}
    for one in weighed:
        if one.names not in best or one.log > best[one.names].log:
            best[one.names] = one
    shown = showings(
        shown_on,
        [
            (f.names, best[f.names].tried if f.names else None)
            for f in ranking
            if f.probability > 0.002 or not f.names
        ],
    )
    return Diagnosis(
        plane,
        recording.source,
        tuple(candidates),
        ranking,
        float(weights[-1]) / total,
        alike(shown_on, ranking, shown),
        Situation(
            bool(bench.ref.airborne[-1] > 0.0),
            float(bench.ref.airspeed_m_s[-1]),
            float(bench.ref.altitude_m[-1]),
        ),
        (*recording.notes, *bench.ref.notes),
        evidence(shown_on, seen, ranking, shown),
    )


@dataclass(frozen=True, slots=True)
class Weighed:
    """One set of suspects with its onset left open: its faults, and the log of how likely it is."""

    tried: Tried
    faults: tuple[Fault, ...]
    log: float
    onset_sd_s: float

    @property
    def names(self) -> tuple[str, ...]:
        """Names of its faults, in alphabetical order."""
        return tuple(sorted(fault.name for fault in self.faults))


def _weigh(bench: Bench, tried: Tried) -> Weighed:
    onset = over_onsets(bench, tried)
    later = onset.before < 0.5 and np.isfinite(onset.at_s)
    *kept, _ = tried.best.onsets_s
    faults = bench.faults(tried.suspects, (*kept, onset.at_s if later else BEFORE))
    return Weighed(tried, faults, tried.prior + onset.log, onset.sd_s if later else float("nan"))
