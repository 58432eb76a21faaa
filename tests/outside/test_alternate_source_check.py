"""The check with the alternate source, and the limits that checks name, against what is published.

Sources: data/blockage_facts.csv, rows on the alternate source (FAA-H-8083-25, as seen on pages that restate
it); FAA Aeronautical Information Manual 7-2-3 a.3, 75 ft; 14 CFR 23.1325(b)(2)(i) of 2014, 100 ft in a
minute; AC 43.13-1B 12-59, 150 kt and 10 kt in a minute; data/part43_appE_table3_friction.csv, 70 ft.
"""

import pytest

from ramstill import airplane
from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.answer import Candidate, Diagnosis, Situation, ranked
from ramstill.diagnosis.checks import in_the_shop, next_checks, on_the_ground, standing
from ramstill.diagnosis.checks.laboratory import Laboratory
from ramstill.diagnosis.checks.ways import ways
from ramstill.faults import Fault

# Unpressurised, with an alternate source in the cabin.
CABIN = ["glass-trainer", "high-wing-tube", "twin-two-ports"]
SETTLED_FPM = 30.0  # as good as no rate: what friction may hang back, 25 ft/min at most in the hangar


def diagnosis(name: str) -> Diagnosis:
    """No fault or ports shut, alike, in cruise at 3,000 ft."""
    plane = airplane.load(name)
    both = (Candidate((), 0.45), Candidate((Fault("static-ports-blocked"),), 0.45))
    situation = Situation(True, float(plane.speeds.cruise), 3000.0 * FT)
    return Diagnosis(plane, "", both, ranked(both), 0.1, (), situation)


@pytest.mark.parametrize("name", CABIN)
def test_on_a_sound_airplane_pointers_do_as_the_handbook_says(name, read):
    said = [r for r in read("blockage_facts") if r["situation"].startswith("alternate static selected")]
    words = {r["instrument"]: r["expected_behaviour"] for r in said}
    assert "a little higher" in words["altimeter"]
    assert "higher" in words["ASI"]
    assert "momentary climb, then settles" in words["VSI"]
    start = diagnosis(name)
    lab = Laboratory(start, ways(start, 1.0, 9))
    for flight in lab.flown_alternate[0].flights:
        for one in lab.showing("altitude", "airspeed", "vertical-speed", moved_by=lab.alternate).values():
            moved = float(flight.moved(one.name, flight.level_s, flight.turned_s)[0])  # the sound airplane
            if one.shows == "altitude":
                assert 0.0 < moved < 100.0 * FT  # "a little": tens of feet, common practice, no source
            elif one.shows == "airspeed":
                assert 0.0 < moved < 10.0 * KT
            else:
                assert float(flight.swung(one.name, flight.level_s)[0]) > 100.0 * FPM
                rate = float(flight.at(one.name, flight.turned_s)[0])
                assert abs(rate) < SETTLED_FPM * FPM  # the true rate is none


@pytest.mark.parametrize("name", CABIN)
def test_it_tells_shut_ports_from_open_ones(name):
    check = next(c for c in next_checks(diagnosis(name)) if c.key == "alternate-open")
    assert check.bits > 0.5  # about one bit lies between the two


def test_the_limits_are_the_published_ones(read):
    assert on_the_ground.FIELD_FT == 75.0
    assert in_the_shop.STATIC_LIMIT_FT == 100.0
    assert in_the_shop.PITOT_LIMIT_KT == 10.0
    assert pytest.approx(150.0 * KT) == standing.TEST_M_S
    row = next(r for r in read("part43_appE_table3_friction") if float(r["altitude_ft"]) == 1000.0)
    assert in_the_shop.FOLLOWS[1] - 1.0 == pytest.approx(float(row["tolerance_ft"]) / 1000.0)
