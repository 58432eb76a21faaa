"""A diagnosis as JSON holds it: names with their units, and null for what is not known."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite
from typing import TYPE_CHECKING, Any

from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.diagnosis.answer import Diagnosis, Finding
    from ramstill.diagnosis.checks import Check


def as_json(
    diagnosis: Diagnosis, checks: Sequence[Check] = (), start_s: float | None = None
) -> dict[str, Any]:
    """Return the answer: what was asked, the ranking, what is alike, and the checks, the best first.

    `ranking` has every finding of weight; its probabilities and `none_fits` sum to 1. Faults are lists of
    names, an empty one the sound airplane. `indistinguishable` has a list of such lists for each group that
    the readings cannot tell apart. start_s [s]: when the recording begins, None for a reported defect; a
    fault that was there already has no onset, and `before_start` says so.
    """
    plane, evidence = diagnosis.airplane, diagnosis.evidence
    return {
        "airplane": plane.name,
        "invented_example": plane.invented,
        "asked": diagnosis.asked,
        "checked": list(diagnosis.checked),
        "ranking": [_finding(finding, start_s) for finding in diagnosis.ranking],
        "none_fits": diagnosis.none_fits,
        "indistinguishable": [[list(names) for names in one.findings] for one in diagnosis.alike],
        "indistinguishable_why": [one.why for one in diagnosis.alike],
        "next_check": [_check(check) for check in checks],
        "decided_s": None if evidence is None else _known(evidence.decided_s),
        "decided_against": None if evidence is None or evidence.against is None else list(evidence.against),
        "notes": list(diagnosis.notes),
        "safety": SAFETY,
    }


def _finding(finding: Finding, start_s: float | None) -> dict[str, Any]:
    before = bool(finding.faults) and start_s is not None and finding.faults[0].onset_s <= start_s
    return {
        "faults": list(finding.names),
        "probability": finding.probability,
        "onset_s": None if before else _known(finding.onset_s),
        "onset_sd_s": None if before else _known(finding.onset_sd_s),
        "severity": _known(finding.severity),
        "before_start": before,
        "likeliest": [
            {"fault": fault.name, "where": fault.where, "severity": fault.severity, "size": fault.size}
            for fault in finding.faults
        ],
        "places": [{"where": list(where), "probability": share} for where, share in finding.places],
    }


def _check(check: Check) -> dict[str, Any]:
    return {
        "check": check.key,
        "title": check.title,
        "where": check.where,
        "how": check.how,
        "cautions": check.cautions,
        "minutes": check.minutes,
        "risk": check.risk,
        "information_bits": check.bits,
        "bits_per_minute": _known(check.score),
        "outcomes": [
            {"then": f"{check.key}: {one.text}", "probability": one.probability, "meaning": one.meaning}
            for one in check.outcomes
        ],
    }


def _known(value: float | None) -> float | None:
    return float(value) if value is not None and isfinite(value) else None
