"""Which check comes next: what it tells of hand-made diagnoses, on several airplanes of the hangar."""

import re
from dataclasses import replace

import numpy as np
import pytest

from ramstill import airplane
from ramstill.diagnosis.answer import Situation
from ramstill.diagnosis.checks import next_checks, take_outcome
from ramstill.diagnosis.checks.check import RATED_SHOP
from ramstill.diagnosis.priors import NO_FAULT, suspects
from ramstill.faults import Fault

# Words by which someone could be told to do what ruins instruments. Nobody is.
FORBIDDEN = re.compile(r"\b(blow|suck|breath|mouth|pinch|squeeze|break the glass|hammer|needle into)", re.I)


def everything(made, name, airborne=True):
    """All faults that an airplane can have, at their full size, as they are beforehand."""
    usual = [one for one in suspects(airplane.load(name)) if one.usual]
    faults = [None, *(one.fault(0.0) for one in usual)]
    return made(name, faults, [NO_FAULT, *(one.weight for one in usual)], 0.1, airborne)


@pytest.fixture(scope="module", params=[(n, a) for n in airplane.hangar() for a in (True, False)], ids=str)
def checks(request, made):
    return next_checks(everything(made, *request.param))


def test_outcomes_are_all_there_is(checks):
    for check in checks:
        total = sum(outcome.probability for outcome in check.outcomes)
        assert total == pytest.approx(1.0 if check.outcomes else 0.0, abs=1e-9)  # rounding


def test_scores_follow_from_bits_minutes_and_risk_and_fall(checks):
    for check in checks:
        assert check.score == pytest.approx(check.bits / (check.minutes + 10_000.0 * check.risk))
    scores = [check.score for check in checks if check.key != "shop"]
    assert scores == sorted(scores, reverse=True)


def test_texts_are_safe(checks):
    for check in checks:
        text = " ".join((check.title, check.how, check.cautions, *(o.text for o in check.outcomes)))
        assert not FORBIDDEN.search(text), text
        assert "Fly first, diagnose second." in check.cautions
        if check.key.startswith("bench-") or check.key == "inspect-lines":
            assert check.where == RATED_SHOP
            assert "14 CFR 91.411(a)(2)" in check.cautions
        if "test set" in check.how:
            assert check.where == RATED_SHOP
            assert "both sides" in check.how
        if check.key == "change-altitude":
            assert "visual conditions" in check.cautions
        if check.key == "feel-heat":
            assert "placard" in check.cautions


def test_only_what_the_airplane_has_is_offered(made):
    keys = {n: {c.key for c in next_checks(everything(made, n))} for n in ("low-wing-mast", "sailplane")}
    assert "alternate-open" not in keys["low-wing-mast"]
    assert "drain-sump" in keys["low-wing-mast"]
    assert not keys["sailplane"] & {"heat-on", "pitch-power", "encoder-altitude", "drain-sump", "feel-heat"}


def test_parked_nothing_is_to_be_flown(made):
    for check in next_checks(everything(made, "twin-two-ports", airborne=False)):
        assert check.where != "in the air"


def test_the_alternate_source_tells_the_still_side_apart(still_side):
    first = next(c for c in next_checks(still_side) if c.where == "in the air" and c.key != "panel")
    assert first.key == "alternate-open"
    assert first.bits > 0.8  # two bits are left in four alike


@pytest.mark.parametrize(
    ("told", "stands"),
    [
        ("alternate open: altimeter jumps up 500 ft, vsi jumps up", "static-ports-blocked"),
        ("alternate open: vsi hardly moves, altimeter jumps up 30 ft", "vsi-restrictor-plugged"),
    ],
)
def test_after_a_decisive_outcome_the_right_one_stands(still_side, told, stands):
    after = take_outcome(still_side, told)
    assert after.ranking[0].names == (stands,)
    assert after.ranking[0].probability > 0.85
    assert "alternate-open" not in {c.key for c in next_checks(after)}


def test_a_small_change_of_altitude_finds_a_sticking_altimeter(still_side):
    after = take_outcome(still_side, "change-altitude: altimeter stands still, vsi follows")
    assert after.ranking[0].names == ("altimeter-sticking",)


def test_the_drain_tells_water_and_the_walk_round_tape(made):
    faults = [Fault("water-in-static-line"), Fault("tape-over-static-port"), Fault("port-deformed")]
    start = made("low-wing-mast", faults, airborne=False)
    wet = take_outcome(start, "drain-sump: water comes out")
    taped = take_outcome(start, "look-openings: still openings taped over")
    assert wet.ranking[0].names == ("water-in-static-line",)
    assert taped.ranking[0].names == ("tape-over-static-port",)


def test_leak_tests_find_leaks_and_their_side(made):
    faults = [Fault("static-line-leak"), Fault("pitot-line-leak"), None]
    start = made("twin-two-ports", faults, airborne=False)
    still = take_outcome(start, "leak-static: altimeter loses 900 ft")
    ram = take_outcome(start, "leak-pitot: airspeed loses 120 kt")
    assert still.ranking[0].names == ("static-line-leak",)
    assert ram.ranking[0].names == ("pitot-line-leak",)


def test_heat_brings_back_what_ice_took_where_the_heater_works(made):
    faults = [Fault("heat-left-off"), Fault("heater-failed"), Fault("pitot-line-off")]
    start = made("high-wing-tube", faults, asked="in icing cloud: airspeed falling")
    back = take_outcome(start, "heat-on: airspeed jumps")
    assert back.ranking[0].names == ("heat-left-off",)
    not_back = take_outcome(start, "heat-on: airspeed hardly moves")
    assert not_back.ranking[-1].names == ("heat-left-off",)


def test_ice_takes_no_heater_out_of_clear_air(made):
    faults = [Fault("heat-left-off"), Fault("pitot-line-off")]
    start = made("high-wing-tube", faults, asked="level: airspeed zero")
    after = take_outcome(start, "pitch-power: airspeed right within 10 kt")
    assert after.ranking[0].names == ("heat-left-off",)


def test_sides_are_compared_where_there_are_two(made):
    faults = [Fault("pitot-inlet-blocked", "left-inlet"), Fault("pitot-inlet-blocked", "right-inlet"), None]
    start = made("pressurised-turboprop", [*faults, Fault("pointer-stuck", "altimeter-right")])
    after = take_outcome(start, "compare-sides: altimeter right more than 100 ft below the altimeter left")
    assert after.ranking[0].names == ("pointer-stuck",)


def test_the_shop_takes_over_when_one_stands_or_nothing_tells(made):
    stands = made("high-wing-tube", [Fault("vsi-restrictor-plugged"), None], [97.0, 1.0], 0.01)
    first = next_checks(stands)[0]
    assert first.key == "shop"
    assert first.where == RATED_SHOP
    assert "vertical speed indicator leak plugged (98 %)" in first.how
    assert "14 CFR 91.411(a)(2)" in first.cautions
    # both trap the same air and leave the same to be seen: only a shop tells these two apart
    alike = made(
        "high-wing-tube", [Fault("line-crushed", "static-floor"), Fault("tee-plugged")], none_fits=0.0
    )
    assert next_checks(take_outcome(alike, "alternate: airspeed jumps"))[0].key == "shop"


def test_a_fault_that_was_gone_again_is_none(made):
    gone = made("high-wing-tube", [Fault("static-ports-blocked", onset_s=10.0, end_s=50.0), None])
    told = take_outcome(gone, "change-altitude: altimeter follows")
    assert told.ranking[0].probability == pytest.approx(told.ranking[1].probability)


def test_bits_are_less_than_there_are(still_side):
    left = np.array([*(f.probability for f in still_side.ranking), still_side.none_fits])
    there = -(left * np.log2(left)).sum()
    assert all(0.0 <= check.bits <= there for check in next_checks(still_side))


def test_every_worked_outcome_can_be_told(still_side):
    for check in next_checks(still_side):
        for outcome in check.outcomes[:3]:
            after = take_outcome(still_side, f"{check.key}: {outcome.text}")
            named = re.match(r"Leaves (.+?) \((\d+) %\)", outcome.meaning)
            assert named is not None
            likely = max(*(f.probability for f in after.ranking), after.none_fits)
            assert int(named[2]) == pytest.approx(100.0 * likely, abs=0.6)  # rounded to a percent


@pytest.mark.parametrize("name", ["business-jet", "high-wing-tube"])
@pytest.mark.parametrize(("cas", "altitude"), [(np.nan, np.nan), (300.0, 14000.0), (5.0, -300.0)])
def test_no_situation_is_too_odd(made, name, cas, altitude):
    start = made(name, [Fault("static-ports-blocked"), None])
    odd = replace(start, situation=Situation(True, cas, altitude))
    assert next_checks(odd)
