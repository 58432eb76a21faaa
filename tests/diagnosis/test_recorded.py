"""From a recording to the fault: what must hold of any answer, and plain faults found."""

import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ramstill import airplane
from ramstill.diagnosis import Diagnosis, diagnose
from ramstill.diagnosis.as_json import as_json
from ramstill.flight.recording import Recording

Record = Callable[..., Recording]
BLOCKED_S = 150.0


@pytest.fixture(scope="module")
def blocked(record: Record) -> Diagnosis:
    """The static port shut in the climb."""
    faults = [{"name": "static-ports-blocked", "onset": f"{BLOCKED_S:g} s"}]
    return diagnose(airplane.load("high-wing-tube"), record(faults), progress=False)


@pytest.fixture(scope="module")
def sound(sound_record: Recording) -> Diagnosis:
    """Nothing wrong."""
    return diagnose(airplane.load("high-wing-tube"), sound_record, progress=False)


def names_like(found: Diagnosis) -> set[tuple[str, ...]]:
    """The first answer and what cannot be told from it."""
    first = found.ranking[0].names
    return {first, *(n for one in found.alike if first in one.findings for n in one.findings)}


def test_a_blocked_static_port_is_found_with_its_onset(blocked: Diagnosis) -> None:
    assert ("static-ports-blocked",) in names_like(blocked)
    assert blocked.ranking[0].probability > 0.3
    # knots are 2.5 s apart, and what is trapped tells the onset to about two of them
    assert blocked.ranking[0].onset_s == pytest.approx(BLOCKED_S, abs=6.0)
    assert sum(f.probability for f in blocked.ranking if f.names in names_like(blocked)) > 0.95


def test_nothing_wrong_is_said_first(sound: Diagnosis) -> None:
    assert sound.ranking[0].names == ()
    assert sound.none_fits < 0.1


def test_probabilities_sum_to_one(blocked: Diagnosis, sound: Diagnosis) -> None:
    for found in (blocked, sound):
        assert sum(c.probability for c in found.candidates) + found.none_fits == pytest.approx(1.0, abs=1e-9)
        assert sum(f.probability for f in found.ranking) + found.none_fits == pytest.approx(1.0, abs=1e-9)
        assert all(0.0 <= f.probability <= 1.0 for f in found.ranking)


def test_the_evidence_fits_the_first_answer_and_not_the_sound_airplane(blocked: Diagnosis) -> None:
    evidence = blocked.evidence
    assert evidence is not None
    first, last = evidence.predictions[0], evidence.predictions[-1]
    assert first.names == blocked.ranking[0].names
    assert last.names == ()

    def off(shown: np.ndarray) -> float:
        far = (evidence.recorded["altitude"] - shown) / evidence.spread["altitude"]
        return float(np.nanmedian(np.abs(far)[evidence.time_s > BLOCKED_S + 60.0]))

    # three standard deviations is what the page calls far off
    assert off(first.shown["altitude"]) < 3.0 < off(last.shown["altitude"])
    assert evidence.decided_s is not None
    assert evidence.decided_s > BLOCKED_S - 10.0


def test_what_leaves_nothing_to_see_is_said_to_be_like_no_fault(sound: Diagnosis) -> None:
    like = names_like(sound)
    assert ("encoder-dead",) in like
    assert ("lines-crossed",) not in like  # no half of it could hide


@pytest.mark.full
def test_the_answer_is_the_same_again_and_with_one_thread(record: Record, blocked: Diagnosis) -> None:
    faults = [{"name": "static-ports-blocked", "onset": f"{BLOCKED_S:g} s"}]
    again = diagnose(airplane.load("high-wing-tube"), record(faults), workers=1, progress=False)
    assert [(c.names, c.probability) for c in again.candidates] == [
        (c.names, c.probability) for c in blocked.candidates
    ]


def test_it_can_be_written_as_json(blocked: Diagnosis) -> None:
    written = json.loads(json.dumps(as_json(blocked, (), 0.0), allow_nan=False))
    assert written["ranking"][0]["faults"] == list(blocked.ranking[0].names)


@pytest.mark.parametrize(
    "only", ["ias", *(pytest.param(name, marks=pytest.mark.full) for name in ("altitude", "vertical speed"))]
)
def test_one_instrument_is_enough_and_says_little_of_a_sound_airplane(
    sound_record: Recording, only: str
) -> None:
    alone = replace(sound_record, values={only: sound_record.values[only]})
    found = diagnose(airplane.load("high-wing-tube"), alone, pairs=False, progress=False)
    assert found.ranking[0].names == ()
    assert found.ranking[0].probability < 0.9


def test_readings_that_nothing_makes_are_none_of_these(sound_record: Recording) -> None:
    values = dict(sound_record.values)
    swinging = 60.0 * np.sin(sound_record.time_s / 7.0) * (sound_record.time_s > 120.0)
    values["altitude"] = values["altitude"] + swinging
    values["ias"] = np.maximum(values["ias"] + 0.2 * swinging, 0.0)
    found = diagnose(airplane.load("high-wing-tube"), replace(sound_record, values=values), progress=False)
    assert found.none_fits > 0.9
