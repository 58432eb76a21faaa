"""The cases that a diagnosis is measured on are what they are said to be, and the figures add up."""

import importlib
import sys
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import ModuleType
from typing import Any

import numpy as np
import pytest

from ramstill import airplane
from ramstill.faults import Fault

FOLDER = Path(__file__).parents[2] / "benchmarks"
OF_THE_JUDGE = {"diagnosis.py", "diagnosis_judged.py", "diagnosis_scores.py", "diagnosis_speed.py"}
SEEDS = (4, 12, 23, 36)


@pytest.fixture(scope="module")
def cases() -> Iterator[ModuleType]:
    sys.path.insert(0, str(FOLDER))
    yield importlib.import_module("diagnosis_cases")
    sys.path.remove(str(FOLDER))


@pytest.fixture(scope="module")
def some(cases: ModuleType) -> dict[int, Any]:
    return {seed: cases.case(seed) for seed in SEEDS}


def test_the_generator_knows_nothing_of_the_diagnosis() -> None:
    made_by = [file for file in FOLDER.glob("diagnosis*.py") if file.name not in OF_THE_JUDGE]
    assert len(made_by) >= 7
    for file in made_by:
        imports = [line for line in file.read_text().splitlines() if "import" in line]
        assert not any("ramstill.diagnosis" in line for line in imports), file.name


def test_kept_and_tuning_seeds_have_none_in_common(cases: ModuleType) -> None:
    assert not set(cases.HELD_OUT) & set(cases.TUNING)
    assert len(cases.HELD_OUT) == 1000


def test_a_seed_makes_the_same_case_again(cases: ModuleType, some: dict[int, Any]) -> None:
    again, before = cases.case(SEEDS[0]), some[SEEDS[0]]
    assert again.truth == before.truth
    for quantity, values in before.recording.values.items():
        np.testing.assert_array_equal(again.recording.values[quantity], values)


def test_cases_are_recordings_with_a_truth(some: dict[int, Any]) -> None:
    for found in some.values():
        record, truth = found.recording, found.truth
        assert record.time_s[-1] - record.time_s[0] > 250.0
        assert {"ias", "altitude", "vertical speed"} & set(record.values)
        assert (found.twin is None) == (truth.kind != "catalogue")
        if truth.onset_s is not None:
            assert record.time_s[0] < truth.onset_s < record.time_s[-1]
        if found.twin is not None:
            assert set(found.twin.values) == set(record.values)
            assert dict(found.twin.steps) == dict(record.steps)
            np.testing.assert_array_equal(found.twin.time_s, record.time_s)


def test_the_airplane_is_off_its_file_by_what_is_said(cases: ModuleType) -> None:
    perturbed = importlib.import_module("diagnosis_airplanes").perturbed
    for name in ("high-wing-tube", "sailplane", "business-jet"):
        nominal = airplane.load(name)
        plane = perturbed(nominal, np.random.default_rng(1))
        volumes = [a.volume / b.volume for a, b in zip(plane.fittings, nominal.fittings, strict=True)]
        bores = [a.bore / b.bore for a, b in zip(plane.lines, nominal.lines, strict=True)]
        bases = [
            float(a.pressure_coefficient.base) - float(b.pressure_coefficient.base)
            for a, b in zip(plane.openings, nominal.openings, strict=True)
        ]
        assert 0.8 <= min(volumes) < max(volumes) <= 1.2
        assert 0.9 <= min(bores) < max(bores) <= 1.1
        assert max(map(abs, bases)) <= 0.02
        assert plane.lines[0].length_m == nominal.lines[0].length_m


def test_a_pointer_is_bent_from_the_onset_on_and_enough_to_see(cases: ModuleType) -> None:
    strange = importlib.import_module("diagnosis_strange")
    time = np.arange(0.0, 600.0, 0.25)
    shown = {"ias": 50.0 + 5.0 * np.sin(time / 60.0), "altitude": 1000.0 + 0.5 * time}
    seen = set()
    for seed in range(60):
        found = strange.bent(np.random.default_rng(seed), time, shown, list(shown))
        if found is None:
            continue
        bent, words, onset = found
        quantity = words.partition(":")[0]
        seen.add(words)
        off = np.abs(bent[quantity] - shown[quantity])
        assert off[time < onset].max() == 0.0
        assert off.max() > strange.NOTICED[quantity]
    assert len(seen) > 8


def _row(names: list[str], answer: list[str], probability: float, **more: Any) -> dict[str, Any]:
    kind = "catalogue" if names and names != ["outside the catalogue"] else "outside" if names else "healthy"
    rest = ["another"] if answer != ["another"] else []
    ranking = [[answer, probability], [rest, 1.0 - probability]]
    row = {"names": names, "kind": kind, "ranking": ranking, "onset_s": None, "seconds": 1.0, "alike": []}
    return row | {"separation": 0.0, "separation_of_group": 0.0} | more


def test_figures_of_a_few_cases_made_by_hand(cases: ModuleType) -> None:
    scores = importlib.import_module("diagnosis_scores")
    onset = {"onset_s": 100.0, "onset_found_s": 110.0, "onset_sd_s": 5.0}
    rows = [
        _row(["a"], ["a"], 0.9, separation=4.0, **onset),
        _row(["a"], ["b"], 0.6, separation=5.0),
        _row(["b"], ["a"], 0.5, alike=[[["a"], ["b"]]]),
        _row([], [], 0.8),
        _row([], ["a"], 0.7),
        _row(["outside the catalogue"], ["outside the catalogue"], 1.0),
    ]
    found = scores.scores(rows)
    assert found.accuracy == 0.5
    assert found.accuracy_in_groups == pytest.approx(4.0 / 6.0)
    assert (found.apart, found.of_apart, found.apart_share) == (2, 0.5, pytest.approx(2.0 / 3.0))
    assert (found.false_alarms, found.of_outside) == (0.5, 1.0)
    assert (found.onsets, found.onset_median_s) == (1, 10.0)
    assert found.by_name["a"][:4] == ["2", "1", "2", "1"]
    # each of the six is a bin of its own: |0.9 - 1|, 0.6, 0.5, |0.8 - 1|, 0.7, 0
    assert found.honesty == pytest.approx((0.1 + 0.6 + 0.5 + 0.2 + 0.7 + 0.0) / 6.0)


def test_figures_go_between_the_markers_of_a_page(cases: ModuleType, tmp_path: Path) -> None:
    scores = importlib.import_module("diagnosis_scores")
    page = tmp_path / "page.md"
    page.write_text(f"before\n{scores.BEGIN}\nold\n{scores.END}\nafter\n")
    scores.write_between(page, scores.markdown([_row(["a"], ["a"], 0.9)], "said"))
    text = page.read_text()
    assert text.startswith("before\n")
    assert text.endswith("after\n")
    assert "old" not in text
    assert "| a | 1 | 1 |" in text


def test_how_far_answers_are_apart_follows_their_likelihoods(cases: ModuleType) -> None:
    from ramstill.diagnosis.answer import Candidate, Diagnosis, Situation, ranked

    judged = importlib.import_module("diagnosis_judged")
    plane = airplane.load("high-wing-tube")
    before = judged.beforehand(plane)
    true, other = ("static-line-leak",), ("pitot-line-leak",)
    ratio = np.exp(8.0)  # four standard deviations
    weights = {true: ratio * before[true], other: before[other], (): 0.5 * before[()]}
    total = sum(weights.values())
    made = tuple(
        Candidate(tuple(Fault(name) for name in names), weight / total) for names, weight in weights.items()
    )
    answer = Diagnosis(plane, "", made, ranked(made), 0.0, (), Situation(True, 50.0, 1000.0))
    apart, nearest = judged.separation(answer, true, (true,))
    assert apart == pytest.approx(4.0)
    assert nearest == other
    # with the other one in its group the next is no fault, half as likely
    grouped, nearest = judged.separation(answer, true, (true, other))
    assert grouped == pytest.approx(np.sqrt(2.0 * np.log(2.0 * ratio)))
    assert nearest == ()
    swapped = replace(answer, ranking=ranked(made[1:]))
    assert judged.separation(swapped, true, (true,))[0] == 0.0
