"""From a reported defect to a diagnosis."""

import pytest

from ramstill import airplane
from ramstill.diagnosis import diagnose_reported
from ramstill.errors import InputError

PLANE = airplane.load("low-wing-mast")


@pytest.fixture(scope="module")
def blocked():
    return diagnose_reported(
        PLANE, ["climb: altimeter frozen, vsi zero", "climb: airspeed falling"], progress=False
    )


def test_blocked_ports(blocked):
    assert blocked.ranking[0].names == ("static-ports-blocked",)
    assert blocked.asked == "climb: airspeed falling, altimeter frozen, vsi zero"
    assert blocked.evidence is None
    assert blocked.checked == ()
    assert blocked.notes


def test_probabilities(blocked):
    total = sum(one.probability for one in blocked.candidates) + blocked.none_fits
    assert total == pytest.approx(1.0, abs=1e-12)
    assert sum(one.probability for one in blocked.ranking) + blocked.none_fits == pytest.approx(
        1.0, abs=1e-12
    )
    likely = [one.probability for one in blocked.candidates]
    assert likely == sorted(likely, reverse=True)


def test_onset_is_not_known_from_words(blocked):
    assert all(one.onset_s is None and one.onset_sd_s is None for one in blocked.ranking)


def test_what_shows_the_same_is_said(blocked):
    same = next(one for one in blocked.alike if one.why.startswith("Every instrument shows the same"))
    assert ("static-ports-blocked",) in same.findings
    assert ("tape-over-static-port",) in same.findings


def test_situation_is_the_end_of_the_last_phase(blocked):
    assert blocked.situation.airborne
    assert blocked.situation.cas_m_s == pytest.approx(float(PLANE.speeds.climb), rel=1e-6)
    ground = diagnose_reported(PLANE, ["on the ground: altimeter high"], progress=False)
    assert not ground.situation.airborne
    assert ground.situation.cas_m_s == 0.0


def test_order_of_the_words_does_not_matter(blocked):
    again = diagnose_reported(PLANE, ["climb: asi falls, VSI at zero, altimeter stuck"], progress=False)
    assert [(f.names, f.probability) for f in again.ranking] == [
        (f.names, f.probability) for f in blocked.ranking
    ]


def test_a_sound_airplane():
    found = diagnose_reported(PLANE, ["climb: all normal; level: all normal"], progress=False)
    assert found.ranking[0].names == ()
    assert found.ranking[0].faults == ()


def test_what_no_single_fault_does():
    found = diagnose_reported(
        PLANE, ["climb: airspeed blank, altimeter jumped down, vsi reversed, encoder rising"], progress=False
    )
    assert found.none_fits > found.ranking[0].probability


def test_what_tells_the_next_one_apart_is_said():
    plane = airplane.load("pressurised-turboprop")
    found = diagnose_reported(plane, ["climb: altimeter frozen, vsi zero, airspeed falling"], progress=False)
    telling = [one.why for one in found.alike if one.why.startswith("What was said goes with either")]
    assert any("the right" in why and "static-ports-blocked" in why for why in telling)


def test_a_check_can_be_taken_account_of(blocked):
    after = blocked.weighed([float(c.names == ("tee-plugged",)) for c in blocked.candidates], 0.0, "tee seen")
    assert after.ranking[0].names == ("tee-plugged",)


def test_unknown_word():
    with pytest.raises(InputError, match="altmeter"):
        diagnose_reported(PLANE, ["climb: altmeter frozen"])
