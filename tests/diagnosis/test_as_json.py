"""A diagnosis as JSON: the documented shape, numbers or null alone, and probabilities that sum to 1."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from ramstill import airplane
from ramstill.airplane import Airplane
from ramstill.diagnosis import Alike, Candidate, Diagnosis, Situation
from ramstill.diagnosis.answer import ranked
from ramstill.diagnosis.as_json import as_json
from ramstill.diagnosis.checks import Check, Outcome
from ramstill.faults import Fault

NAN = float("nan")
PORTS = Fault("static-ports-blocked", "all", 1.0, 812.0)
TAPE = Fault("tape-over-static-port", "all", 0.5, 10.0)
LEAK = Fault("pitot-line-leak", "pitot-wing", 0.8, 300.0, size="2 mm")


@pytest.fixture(scope="module")
def plane() -> Airplane:
    return airplane.load("low-wing-mast")


def found(plane: Airplane) -> Diagnosis:
    candidates = (
        Candidate((PORTS,), 1.0 / 3.0, 9.0),
        Candidate((replace(PORTS, onset_s=820.0),), 1.0 / 7.0, 12.0),
        Candidate((TAPE,), 0.3, NAN),
        Candidate((LEAK, PORTS), 0.1, NAN),
        Candidate((), 0.05),
    )
    rest = 1.0 - sum(one.probability for one in candidates)
    alike = (Alike((("static-ports-blocked",), ("tape-over-static-port",), ()), "They show the same."),)
    situation = Situation(True, 50.0, 900.0)
    return Diagnosis(plane, "log.csv", candidates, ranked(candidates), rest, alike, situation, ("A note.",))


CHECK = Check(
    "look", "A look", "on the ground", "Look.", "Care.", 10.0, 0.0, 0.9, NAN, (Outcome("clear", 1.0, "All."),)
)


def figures(plane: Airplane, start_s: float | None) -> dict[str, Any]:
    text = json.dumps(as_json(found(plane), (CHECK,), start_s), allow_nan=False)
    read: dict[str, Any] = json.loads(text)
    return read


def test_the_shape(plane: Airplane) -> None:
    read = figures(plane, 20.0)
    first, tape, pair, sound = read["ranking"]
    assert first["faults"] == ["static-ports-blocked"]
    assert (first["onset_s"], first["onset_sd_s"], first["severity"]) == (812.0, 9.0, 1.0)
    assert first["places"] == [{"where": ["all"], "probability": pytest.approx(1.0)}]
    assert tape["onset_s"] is tape["onset_sd_s"] is None
    assert tape["before_start"]
    assert pair["faults"] == ["pitot-line-leak", "static-ports-blocked"]
    assert pair["onset_s"] is None
    assert not pair["before_start"]
    assert pair["likeliest"][0] == {
        "fault": "pitot-line-leak", "where": "pitot-wing", "severity": 0.8, "size": "2 mm"
    }  # fmt: skip
    assert sound["faults"] == []
    assert sound["severity"] is None
    assert read["indistinguishable"] == [[["static-ports-blocked"], ["tape-over-static-port"], []]]
    assert read["indistinguishable_why"] == ["They show the same."]
    (check,) = read["next_check"]
    assert check["outcomes"] == [{"then": "look: clear", "probability": 1.0, "meaning": "All."}]
    assert check["bits_per_minute"] is None
    assert read["notes"] == ["A note."]


def test_the_probabilities_sum_to_one(plane: Airplane) -> None:
    """To round-off: none of them is rounded."""
    read = figures(plane, 20.0)
    assert sum(one["probability"] for one in read["ranking"]) + read["none_fits"] == pytest.approx(
        1.0, abs=1e-9
    )


def test_a_reported_defect_has_no_start(plane: Airplane) -> None:
    assert not any(one["before_start"] for one in figures(plane, None)["ranking"])


def test_the_page_names_every_key(plane: Airplane) -> None:
    page = (Path(__file__).parents[2] / "docs" / "diagnosis.md").read_text(encoding="utf-8")
    told = page.partition("## JSON")[2]
    read = figures(plane, 20.0)
    keys = {*read, *read["ranking"][0], *read["next_check"][0], *read["next_check"][0]["outcomes"][0]}
    keys |= {*read["ranking"][0]["likeliest"][0], *read["ranking"][0]["places"][0]}
    assert [key for key in keys if key not in told] == []
