"""From a recorded flight to the faults behind it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis.answer import Candidate, Diagnosis, Situation, ranked
from ramstill.diagnosis.likeness import alike
from ramstill.diagnosis.manners import Manners, manners
from ramstill.diagnosis.model import READ, Model, Noise, Told, flat, model, off_for_no_reason, shown_by, tell
from ramstill.diagnosis.observed import Observed, observe, shifted
from ramstill.diagnosis.pairs import ice_without_heat
from ramstill.diagnosis.pairs import pairs as pairs_of
from ramstill.diagnosis.panel import finely, panel_of
from ramstill.diagnosis.priors import NO_FAULT, OUTSIDE_THE_CATALOGUE, suspects
from ramstill.diagnosis.reference import around, refer
from ramstill.diagnosis.search import Tried, over_onsets, search
from ramstill.diagnosis.showing import evidence, showings
from ramstill.diagnosis.stray import stray
from ramstill.diagnosis.trials import BEFORE, TOLERANCE_PA, Bench, usual_flight
from ramstill.diagnosis.worth import TRUST

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]
ROUGHNESS = (0.5, 1.0, 2.0, 4.0)  # of the flight, of which the likeliest is taken
# Columns that are written together, and by how much late they are tried, beside the altitude [s].
TOGETHER = (("vertical speed",), ("ias",), ("gps altitude",), ("along", "across"), ("pitch",), ("power",))
LATE_S = (-4.0, -2.5, -1.2, 1.2, 2.5, 4.0, 6.0)
GUSTS = (0.2, 0.5, 1.0, 2.0)
SCATTER = (1.0, 1.6, 2.5)  # of readings, beside what they should
LOOSE = (6.0, 6.0, 6.0)  # how far pointers may stray while flight and readings are looked at
USUAL = Noise()
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
        bench,
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
        alike(bench, ranking, shown, TRUST),
        Situation(
            bool(bench.ref.airborne[-1] > 0.0),
            float(bench.ref.airspeed_m_s[-1]),
            float(bench.ref.altitude_m[-1]),
        ),
        (*recording.notes, *bench.ref.notes),
        evidence(bench, seen, ranking, shown, TRUST),
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
    later = onset.before < 0.5 and np.isfinite(onset.mean_s)
    *kept, _ = tried.best.onsets_s
    faults = bench.faults(tried.suspects, (*kept, onset.mean_s if later else BEFORE))
    return Weighed(tried, faults, tried.prior + onset.log, onset.sd_s if later else float("nan"))


def set_up(plane: Airplane, recording: Recording, workers: int | None) -> tuple[Bench, Observed]:
    """Everything that trials of a recording share."""
    from ramstill.run import simulate_batch

    plane = finely(plane)
    panel = panel_of(plane)
    seen = observe(recording, panel.friction)
    ref = refer(plane, seen)
    outside = around(plane, ref)
    sound: Manners = manners(plane, panel, *usual_flight(ref), [], workers)[0]
    batch = simulate_batch(
        plane,
        outside,
        [()],
        output_hz=1.0 / seen.step_s,
        tolerance_pa=TOLERANCE_PA,
        pointers=panel.pointers,
        progress=False,
    )
    columns = {one.name: batch.values[0, :, i].astype(float) for i, one in enumerate(batch.channels)}
    shown = shown_by(panel, columns, ref, sound)
    following = sound.after(seen.step_s)
    reference = flat(seen, ref)

    def made(one: Observed, noise: Noise) -> Model:
        return model(one, ref, panel, noise, reference)

    def likely(one: Observed, noise: Noise = USUAL) -> float:
        """How likely the readings are with pointers that may stray, so that no fault spoils the answer."""
        return _trusted(tell(off_for_no_reason(made(one, noise), LOOSE), shown, following))

    seen = aligned(seen, likely)
    noise = USUAL
    for _ in range(2):
        ways = [replace(noise, roughness=by) for by in ROUGHNESS]
        noise = max(ways, key=lambda one: likely(seen, one))
        ways = [replace(noise, gusts=by) for by in GUSTS]
        noise = max(ways, key=lambda one: likely(seen, one))
        for quantity in READ:
            if seen.has(quantity):
                ways = [replace(noise, scatter={**noise.scatter, quantity: by}) for by in SCATTER]
                noise = max(ways, key=lambda one: likely(seen, one))
    best = made(seen, noise)
    sound_told = tell(best, shown, following)
    return Bench(plane, panel, best, ref, outside, sound_told, shown, sound, workers), seen


def _trusted(told: Told) -> float:
    """Log likelihood but for the tenth of the knots that are the least likely."""
    return float(np.sort(told.each)[len(told.each) // 10 :].sum())


def aligned(seen: Observed, likely: Callable[[Observed], float]) -> Observed:
    """Readings with the recorder's columns put in time with each other, as far as it makes them likelier.

    A recorder writes one column later than another, and smooths it; nothing that does as much for a whole
    flight can be told from that.
    """
    late: dict[str, float] = {}
    best = likely(seen)
    for together in TOGETHER:
        some = [quantity for quantity in together if seen.has(quantity)]
        if not some:
            continue
        for by in LATE_S:
            tried = late | dict.fromkeys(some, by)
            found = likely(shifted(seen, tried))
            if found > best:
                best, late = found, tried
    return shifted(seen, late)
