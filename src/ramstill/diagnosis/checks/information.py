"""What an outcome of a check says of the findings: how likely it is, what it leaves, what it is worth.

Information is that of Shannon (1948): by how much the entropy of the findings is expected to fall, in bits.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from ramstill.diagnosis.answer import Diagnosis, Names
    from ramstill.diagnosis.checks.trial import Trial
    from ramstill.diagnosis.checks.ways import Ways
    from ramstill.diagnosis.checks.witness import Witness

Array = NDArray[np.float64]

MOST_CELLS = 4096  # ways that several witnesses may look together, that the information is counted over
MOST_TOLD = 15  # and that are told one by one
TELLS_BIT = 0.02  # a witness that says less by itself is not told


@dataclass(frozen=True, slots=True)
class Beliefs:
    """How likely each way is (way + 1,), something outside the catalogue last; and which of the findings,
    named by `findings` (None: outside the catalogue), each belongs to.
    """

    probability: Array
    finding: NDArray[np.int64]
    findings: tuple[Names | None, ...]

    @classmethod
    def of(cls, diagnosis: Diagnosis, ways: Ways) -> Beliefs:
        """Of a diagnosis, without the candidates that were left out."""
        weight = np.zeros(len(ways.faults) + 1)
        for way, candidate in zip(ways.of, diagnosis.candidates, strict=True):
            if way >= 0:
                weight[way] += candidate.probability
        weight[-1] = diagnosis.none_fits
        total = weight.sum()
        if not total > 0.0:
            weight[-1] = total = 1.0
        found: dict[Names | None, int] = {}
        labels: tuple[Names | None, ...] = (*ways.names, None)
        number = np.array([found.setdefault(name, len(found)) for name in labels], dtype=np.int64)
        return cls(weight / total, number, tuple(found))

    def by_finding(self, likelihood: Array) -> Array:
        """Probability of each finding together with each outcome (finding, outcome), for a likelihood of
        outcomes under each way (way + 1, outcome).
        """
        found = np.zeros((len(self.findings), likelihood.shape[1]))
        np.add.at(found, self.finding, self.probability[:, None] * likelihood)
        return found


def entropy(probability: Array) -> float:
    """Entropy [bit] of probabilities (k,) that sum to 1."""
    there = probability[probability > 0.0]
    return float(-(there * np.log2(there)).sum())


def information(together: Array) -> float:
    """By how much knowing the outcome is expected to lower the entropy of the findings [bit], zero or more.

    together: (finding, outcome), sums to 1.
    """
    apart = together.sum(axis=1, keepdims=True) * together.sum(axis=0, keepdims=True)
    there = (together > 0.0) & (apart > 0.0)  # what is next to impossible may have rounded to nothing
    return max(float((together[there] * np.log2(together[there] / apart[there])).sum()), 0.0)


@dataclass(frozen=True, slots=True)
class Told:
    """What a trial tells, worked out: bits, of all it looks at; witnesses, the most telling first; their bins
    in each outcome (outcome, witness); likelihood of each outcome under each way (way + 1, outcome).
    """

    bits: float
    witnesses: tuple[Witness, ...]
    bins: NDArray[np.int64]
    likelihood: Array


def told(trial: Trial, beliefs: Beliefs) -> Told:
    """Work a trial out, and put together what its witnesses say."""
    chances = trial.with_none_fits()
    alone = [information(beliefs.by_finding(trial.weights @ _by_way(c))) for c in chances]
    order = sorted(range(len(chances)), key=lambda i: -alone[i])
    bits = information(beliefs.by_finding(_joint(trial, chances, _few(chances, order, MOST_CELLS))))
    telling = [i for i in order if alone[i] >= TELLS_BIT] or order[:1]
    kept = _few(chances, telling, MOST_TOLD)
    sizes = [chances[i].shape[-1] for i in kept]
    bins = np.stack(np.unravel_index(np.arange(int(np.prod(sizes))), sizes), axis=1)
    return Told(bits, tuple(trial.witnesses[i] for i in kept), bins, _joint(trial, chances, kept))


def _by_way(chances: Array) -> Array:
    """(history, way, bins) as (way, history, bins), which weights of histories multiply from the left."""
    return np.asarray(np.moveaxis(chances, 0, 1))


def _few(chances: tuple[Array, ...], order: list[int], most: int) -> list[int]:
    """As many of the first witnesses as look in no more than `most` ways together, one at least."""
    kept, cells = order[:1], chances[order[0]].shape[-1]
    for i in order[1:]:
        if cells * chances[i].shape[-1] <= most:
            kept, cells = [*kept, i], cells * chances[i].shape[-1]
    return kept


def _joint(trial: Trial, chances: tuple[Array, ...], which: list[int]) -> Array:
    """Likelihood (way + 1, outcome) of how some witnesses look together, averaged over the histories.

    Under one way and one history their readings are off independently of each other.
    """
    joint = np.ones((*chances[0].shape[:2], 1))
    for i in which:
        joint = (joint[..., None] * chances[i][:, :, None, :]).reshape(*joint.shape[:2], -1)
    return np.asarray(np.tensordot(trial.weights, joint, axes=1))
