"""The diagnosis on a real flight: faults laid on it by algebra, and the flight as it was.

Source of the flight: test_recorded_climb_replay.py. The faults are laid by formulas that know nothing of the
engine (laid_laws.py, published_air.py, checked in test_laid_faults.py); what counts as right stands in
laid_verdicts.py. The airplane is an invented one that the jet never was: its ports, lines and cabin are not
known to anybody, which is part of the question.

Tolerances: nine in ten of the laid faults right, those that leave the record within three steps not counted;
no fault first on every part of the untouched flight; onset within 15 s in the median, where it is told.
"""

from collections import defaultdict

import numpy as np
import pytest
from laid_cases import AIR_DATA, BEFORE, NOT_THEIRS, STANDBY, counts, healthy_cuts
from laid_faults import Case, record
from laid_verdicts import RIGHT, answer, of_case, recorded_airplane, verdict

from ramstill import airplane

COUNTED = [case for case in (*AIR_DATA, *STANDBY, *BEFORE) if counts(case)]
# Of the plainest faults, for everyday (some ten seconds each); all of them with full counts.
PLAIN = ("static-ports-blocked-2000", "everything-blocked-1500")
FEW = [c for c in COUNTED if c.title in PLAIN]
QUICK_CUTS = ("middle-third",)


def _told(cases: list[Case]) -> dict[str, str]:
    """Title -> verdict, and the onsets checked on the way."""
    said, late = {}, []
    for case in cases:
        word, found = of_case(case)
        said[case.title] = word
        onset = case.faults[0].onset_s
        if word in RIGHT and onset is not None and found.ranking[0].onset_s is not None:
            late.append(abs(found.ranking[0].onset_s - onset))
    assert late
    print(f"onset off by {np.median(late):.1f} s in the median of {len(late)}")
    assert np.median(late) <= 15.0
    return said


def test_plain_faults_are_named():
    said = _told(FEW)
    assert len(said) == len(PLAIN)
    assert set(said.values()) <= set(RIGHT), said


@pytest.mark.full
def test_nine_in_ten_of_all_faults_are_named():
    said = _told(COUNTED)
    right = sum(word in RIGHT for word in said.values())
    print(f"{right} of {len(said)} right; not: { {t: w for t, w in said.items() if w not in RIGHT} }")
    assert right >= 0.9 * len(said), said
    by_name: dict[str, list[str]] = defaultdict(list)
    for case in COUNTED:
        by_name[case.faults[0].name].append(said[case.title])
    # and none of them is one that it cannot find at all
    assert all(set(RIGHT) & set(words) for words in by_name.values()), dict(by_name)


@pytest.mark.parametrize("title", QUICK_CUTS)
def test_the_flight_as_it_was_has_no_fault(title: str):
    found = answer(healthy_cuts()[title], recorded_airplane("air-data"))
    assert verdict((), (), found) == "named", found.ranking[:3]


@pytest.mark.full
@pytest.mark.parametrize("title", sorted(healthy_cuts().keys() - set(QUICK_CUTS)))
def test_no_part_of_it_has_one(title: str):
    found = answer(healthy_cuts()[title], recorded_airplane("air-data"))
    assert verdict((), (), found) == "named", found.ranking[:3]


@pytest.mark.parametrize(
    "name", [NOT_THEIRS[0], *(pytest.param(name, marks=pytest.mark.full) for name in NOT_THEIRS[1:])]
)
def test_it_is_no_flight_of_a_slow_airplane(name: str):
    """It climbs past 30,000 ft at up to 340 kt, far over the limits in those airplanes' files."""
    found = answer(record(), airplane.load(name))
    assert verdict((), (), found) in ("refused", "none fits"), found.ranking[:3]
