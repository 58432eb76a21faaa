"""The ways an airplane may be that a check is worked out for: candidates with the same faults are one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from ramstill.diagnosis.answer import Diagnosis, Names
    from ramstill.faults import Fault

Faults = tuple["Fault", ...]
ONSET_S = 5.0  # when faults set in, in what is flown to work a check out [s]


@dataclass(frozen=True, slots=True)
class Ways:
    """Faults of each way, with no fault first, and which way each candidate is taken for.

    One that was left out is taken for the likeliest way of the same names, at the same places where there is
    one; -1 where no way has its names.
    """

    faults: tuple[Faults, ...]
    of: NDArray[np.int64]

    @property
    def names(self) -> tuple[Names, ...]:
        """Names of the faults of each way, in alphabetical order."""
        return tuple(tuple(sorted(fault.name for fault in way)) for way in self.faults)


def ways(diagnosis: Diagnosis, covered: float, most: int) -> Ways:
    """The likeliest ways that together have `covered` of what the candidates have, `most` at most.

    A fault that was gone again when the readings ended is none.
    """
    keys: list[Faults] = []
    for candidate in diagnosis.candidates:
        there = (fault for fault in candidate.faults if fault.end_s is None)
        faults = (replace(fault, onset_s=ONSET_S, gradual_s=0.0) for fault in there)
        keys.append(tuple(sorted(faults, key=lambda f: (f.name, f.where or "", f.severity, f.size or ""))))
    weight: dict[Faults, float] = {}
    for key, candidate in zip(keys, diagnosis.candidates, strict=True):
        weight[key] = weight.get(key, 0.0) + candidate.probability
    kept: list[Faults] = [()]
    total, so_far = sum(weight.values()), weight.get((), 0.0)
    for key in sorted((k for k in weight if k), key=lambda k: -weight[k]):
        if len(kept) >= most or so_far >= covered * total:
            break
        kept.append(key)
        so_far += weight[key]
    number: dict[object, int] = {}
    for i, key in enumerate(kept):  # the likeliest of a kind first
        for alike in (key, _places(key), _names(key)):
            number.setdefault(alike, i)
    taken = [next((number[k] for k in (key, _places(key), _names(key)) if k in number), -1) for key in keys]
    return Ways(tuple(kept), np.array(taken, dtype=np.int64))


def _places(faults: Faults) -> object:
    return "places", tuple((fault.name, fault.where) for fault in faults)


def _names(faults: Faults) -> object:
    return "names", tuple(fault.name for fault in faults)
