"""What a diagnosis says: how likely each fault is, what cannot be told apart, and what shows it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault

Array = NDArray[np.float64]
Names = tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Candidate:
    """One way it may be: faults (none: the airplane is sound) at their places, with their sizes.

    probability: of this way, given the readings; the candidates and `none_fits` sum to 1. onset_sd_s [s]: how
    well the onset of the first fault is known, NaN where the readings do not say.
    """

    faults: tuple[Fault, ...]
    probability: float
    onset_sd_s: float = float("nan")

    @property
    def names(self) -> Names:
        """Names of its faults, in alphabetical order."""
        return tuple(sorted(fault.name for fault in self.faults))


@dataclass(frozen=True, slots=True)
class Finding:
    """The candidates with faults of the same names as one answer; `faults` are those of the likeliest.

    onset_s, onset_sd_s [s]: of the last fault of the likeliest one; None where the readings do not say, or
    where nothing is wrong. severity: of its first fault, or None. places: where the faults may be, each with
    its share of `probability`, the likeliest first.
    """

    faults: tuple[Fault, ...]
    probability: float
    onset_s: float | None
    onset_sd_s: float | None
    severity: float | None
    places: tuple[tuple[tuple[str | None, ...], float], ...]

    @property
    def names(self) -> Names:
        """Names of its faults, in alphabetical order; none for the sound airplane."""
        return tuple(sorted(fault.name for fault in self.faults))


@dataclass(frozen=True, slots=True)
class Alike:
    """Answers that these readings cannot tell apart, and why in a sentence."""

    findings: tuple[Names, ...]
    why: str


@dataclass(frozen=True, slots=True)
class Situation:
    """The flight at the end of the readings, in which the next check would be made; SI."""

    airborne: bool
    cas_m_s: float
    pressure_altitude_m: float


@dataclass(frozen=True, slots=True)
class Prediction:
    """What one finding makes the instruments show: quantity -> (t,), SI."""

    names: Names
    shown: Mapping[str, Array]


@dataclass(frozen=True, slots=True)
class Evidence:
    """What the answer rests on.

    time_s (t,) [s]; recorded: quantity of a recording ("ias", "altitude", "vertical speed") -> (t,), SI,
    NaN where nothing was recorded; spread: quantity -> (t,), how far a reading may be from what is predicted,
    one standard deviation; predictions: of the leading findings, the first of them first, and of no fault;
    elsewhere: quantity -> (t,): what the rest of the recording says (GPS and so on) that it ought to be,
    where it says so; decided_s [s]: when the first finding left the best one behind it that differs, None
    where nothing decides; odds (t,): by how much, as the natural logarithm of their odds gained up to then;
    against: names of the one left behind.
    """

    time_s: Array
    recorded: Mapping[str, Array]
    spread: Mapping[str, Array]
    predictions: tuple[Prediction, ...]
    elsewhere: Mapping[str, Array]
    decided_s: float | None
    odds: Array
    against: Names | None


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """The whole answer.

    asked: what was read: the name of a recording, or the reported defect as understood; candidates: all of
    weight, the likeliest first; ranking: the same by names of faults; none_fits: probability of something
    outside the catalogue; checked: outcomes of checks taken account of, as they were given; notes: what was
    assumed, in sentences; evidence: None for a reported defect.
    """

    airplane: Airplane
    asked: str
    candidates: tuple[Candidate, ...]
    ranking: tuple[Finding, ...]
    none_fits: float
    alike: tuple[Alike, ...]
    situation: Situation
    notes: tuple[str, ...] = ()
    evidence: Evidence | None = None
    checked: tuple[str, ...] = ()

    def weighed(self, likelihood: Iterable[float], of_none_fits: float, checked: str) -> Diagnosis:
        """The diagnosis after an outcome that each candidate makes this likely (in their order)."""
        new = np.array([c.probability for c in self.candidates]) * np.array(list(likelihood))
        rest = self.none_fits * of_none_fits
        total = float(new.sum()) + rest
        if not total > 0.0:  # nothing known makes that outcome: it is none of them
            new, rest, total = np.zeros(len(new)), 1.0, 1.0
        pairs = zip(self.candidates, new / total, strict=True)
        candidates = sorted(
            (replace(c, probability=float(p)) for c, p in pairs), key=lambda c: -c.probability
        )
        return replace(
            self,
            candidates=tuple(candidates),
            ranking=ranked(candidates),
            none_fits=rest / total,
            checked=(*self.checked, checked),
        )


def ranked(candidates: Iterable[Candidate]) -> tuple[Finding, ...]:
    """Put candidates with faults of the same names together, the likeliest first."""
    groups: dict[Names, list[Candidate]] = {}
    for candidate in candidates:
        groups.setdefault(candidate.names, []).append(candidate)
    findings = [_finding(group) for group in groups.values()]
    return tuple(sorted(findings, key=lambda f: (-f.probability, len(f.faults), f.names)))


def _finding(group: list[Candidate]) -> Finding:
    best = max(group, key=lambda c: c.probability)
    total = sum(c.probability for c in group)
    shares: dict[tuple[str | None, ...], float] = {}
    for c in group:
        where = tuple(fault.where for fault in c.faults)
        shares[where] = shares.get(where, 0.0) + c.probability
    places = tuple(
        (where, share / total if total else 0.0)
        for where, share in sorted(shares.items(), key=lambda s: -s[1])
    )
    known = bool(best.faults) and bool(np.isfinite(best.onset_sd_s))
    return Finding(
        faults=best.faults,
        probability=total,
        onset_s=best.faults[-1].onset_s if known else None,
        onset_sd_s=best.onset_sd_s if known else None,
        severity=best.faults[0].severity if best.faults else None,
        places=places,
    )
