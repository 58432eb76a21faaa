"""One case diagnosed: what is kept of the answer, of its twin's, and of what both took."""

from __future__ import annotations

import math
import resource
import time
from typing import TYPE_CHECKING, Any

import diagnosis_cases

from ramstill.diagnosis import diagnose
from ramstill.diagnosis.priors import NO_FAULT, Suspect, suspects
from ramstill.diagnosis.setting_up import set_up
from ramstill.diagnosis.trials import BEFORE
from ramstill.diagnosis.worth import worth

if TYPE_CHECKING:
    from diagnosis_cases import Case

    from ramstill.airplane import Airplane
    from ramstill.diagnosis import Diagnosis
    from ramstill.diagnosis.answer import Names

LEAST = 1e-9  # a probability below this, or of an answer that is not listed, is taken to be this
KEPT = 8  # answers kept of each ranking
OUTSIDE = ("outside the catalogue",)  # as a name among those of faults


def judged(seed: int, twins: bool = True) -> dict[str, Any]:
    """Diagnose the case of a seed. What JSON can hold; an error is kept in words."""
    found = diagnosis_cases.case(seed)
    record, truth = found.recording, found.truth
    start = float(record.time_s[0])
    row: dict[str, Any] = {
        "seed": seed,
        "airplane": found.name,
        "flight": found.flight,
        "kind": truth.kind,
        "names": list(truth.names if truth.kind != "outside" else OUTSIDE),
        "faults": [[f.name, f.where, round(f.severity, 3), f.size, f.gradual_s] for f in truth.faults],
        "mechanism": truth.mechanism,
        "onset_s": None if truth.onset_s is None else truth.onset_s - start,
        "columns": list(record.values),
        "lasts_s": float(record.time_s[-1]) - start,
        "every_s": float(record.time_s[1]) - start,
    }
    began = time.perf_counter()
    try:
        answer = diagnose(found.airplane, record, workers=1, progress=False)
    except Exception as error:  # a case that breaks the diagnosis counts as wrong, and is told
        return row | {"error": f"{type(error).__name__}: {error}", "seconds": time.perf_counter() - began}
    row |= {"seconds": time.perf_counter() - began} | _answered(answer, start)
    if twins and found.twin is not None:
        row |= _twin(found)
    return row | {"peak_mb": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0}


def _answered(answer: Diagnosis, start_s: float) -> dict[str, Any]:
    listed = [(f.names, f.probability) for f in answer.ranking] + [(OUTSIDE, answer.none_fits)]
    listed.sort(key=lambda one: -one[1])
    first = answer.ranking[0] if answer.ranking else None
    known = first is not None and first.onset_s is not None
    return {
        "ranking": [[list(names), p] for names, p in listed[:KEPT]],
        "all": {"+".join(names): p for names, p in listed},
        "onset_found_s": first.onset_s - start_s if first is not None and known else None,
        "onset_sd_s": first.onset_sd_s if first is not None and known else None,
        "place": list(first.places[0][0]) if first is not None and first.places else [],
        "alike": [[list(names) for names in group.findings] for group in answer.alike],
    }


def _twin(found: Case) -> dict[str, Any]:
    """How far the true answer is from the next one where nothing else is in the way."""
    assert found.twin is not None
    began = time.perf_counter()
    try:
        if not _heard(found):
            return {
                "separation": 0.0,
                "separation_of_group": 0.0,
                "twin_seconds": time.perf_counter() - began,
            }
        answer = diagnose(found.airplane, found.twin, workers=1, progress=False)
    except Exception as error:
        return {"twin_error": f"{type(error).__name__}: {error}"}
    true = found.truth.names
    alone, nearest = separation(answer, true, (true,))
    group = next((g.findings for g in answer.alike if true in g.findings), (true,))
    return {
        "separation": alone,
        "nearest": list(nearest),
        "separation_of_group": separation(answer, true, group)[0],
        "twin_seconds": time.perf_counter() - began,
        "twin_ranking": [[list(f.names), f.probability] for f in answer.ranking[:KEPT]],
        "twin_none_fits": answer.none_fits,
    }


def _heard(found: Case) -> bool:
    """Whether the twin's readings are worth anything for the true faults, tried as they are: if not, no fault
    is as likely as they. One that comes gradually is tried by none, and is taken to be heard."""
    assert found.twin is not None
    faults = found.truth.faults
    if any(fault.gradual_s for fault in faults):
        return True
    bench, _ = set_up(found.airplane, found.twin, 1)
    true = tuple(Suspect(f.name, f.where, f.severity, f.size, 1.0, True) for f in faults)
    onsets = tuple(f.onset_s if f.onset_s > bench.start_s else BEFORE for f in faults)
    (trial,) = bench.run([(true, onsets)])
    return float(worth(trial.gained)) > 0.0


def separation(answer: Diagnosis, true: Names, group: tuple[Names, ...]) -> tuple[float, Names]:
    """How many standard deviations the true answer is from the nearest other one, and which that is.

    From the ratio of their likelihoods: sqrt(2 ln(L(true) / L(other))), 0 where the other is likelier. A
    likelihood is the probability given over the probability beforehand; what is in `group` with the true
    answer is no other, and something outside the catalogue has no readings to be near to.
    """
    before = beforehand(answer.airplane)
    given = {finding.names: finding.probability for finding in answer.ranking}

    def likelihood(names: Names) -> float:
        return float(max(given.get(names, 0.0), LEAST) / prior(before, names))

    others = [names for names in {*before, *given} if names not in group and names != true]
    nearest = max(others, key=likelihood)
    best = max(likelihood(names) for names in {true, *group})
    ratio = best / likelihood(nearest)
    return math.sqrt(2.0 * math.log(ratio)) if ratio > 1.0 else 0.0, nearest


def beforehand(plane: Airplane) -> dict[Names, float]:
    """Probability of each answer before anything is read, pairs left out."""
    found: dict[Names, float] = {(): NO_FAULT}
    for one in suspects(plane):
        found[(one.name,)] = found.get((one.name,), 0.0) + one.weight
    return found


def prior(before: dict[Names, float], names: Names) -> float:
    """Probability beforehand of an answer; a pair's is the product of its faults'."""
    if names in before:
        return before[names]
    return float(math.prod(before.get((name,), LEAST) for name in names))
