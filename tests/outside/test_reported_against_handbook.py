"""The handbook's failures told in words: each puts the fault that the handbook names first.

Source: data/blockage_facts.csv, in own words; each row names its source and how it was come by (most restate
FAA-H-8083-25, Pilot's Handbook of Aeronautical Knowledge, chapter on flight instruments, as seen elsewhere).
A report is what its rows say, as a pilot would, in the phases of the standard flight. First is a fault that
comes first or that the answer itself says cannot be told from the first: many ways of shutting an opening
read alike, and the handbook does not tell them apart either.
"""

import csv
from functools import cache
from pathlib import Path

import pytest

from ramstill import airplane
from ramstill.diagnosis import diagnose_reported
from ramstill.faults import catalogue

with (Path(__file__).parent / "data" / "blockage_facts.csv").open(encoding="utf-8") as file:
    SITUATIONS = {row["situation"] for row in csv.DictReader(file)}

SOUND = ""
QUICK = ("high-wing-tube", "low-wing-mast")
ALL_OF_THEM = (*QUICK, "twin-two-ports")

# situation -> (report, the fault's names on the airplanes that have them, airplanes)
REPORTS = {
    "pitot inlet blocked, drain open": (
        "climb: airspeed zero, altimeter normal, vsi normal",
        ["pitot-inlet-blocked"],
        ("high-wing-tube", "twin-two-ports"),
    ),
    "pitot inlet and drain blocked": (
        "climb: airspeed rising, altimeter normal, vsi normal; slowing down: airspeed frozen; "
        "descent: airspeed falling",
        ["pitot-and-drain-blocked", "pitot-inlet-blocked"],
        ALL_OF_THEM,
    ),
    "pitot inlet and drain blocked before take-off": (
        "take-off roll: airspeed zero; climb: airspeed rising",
        ["pitot-and-drain-blocked", "pitot-inlet-blocked"],
        ALL_OF_THEM,
    ),
    "static blocked, pitot clear": (
        "climb: airspeed low, altimeter frozen, vsi zero; descent: airspeed high, altimeter frozen, vsi zero",
        ["static-ports-blocked"],
        ALL_OF_THEM,
    ),
    "static and pitot (with drain) blocked": (
        "climb, descent: airspeed frozen, altimeter frozen, vsi zero",
        ["everything-blocked"],
        ALL_OF_THEM,
    ),
    "alternate static selected, vented to an unpressurised cabin": (
        "level: altimeter jumped up, airspeed high, vsi jumped up; descent: vsi normal",
        ["alternate-static-open"],
        ("high-wing-tube", "twin-two-ports"),
    ),
    "drain hole only blocked, inlet clear": (
        "climb: airspeed normal; level: airspeed normal",
        ["pitot-drain-blocked", SOUND],
        ("high-wing-tube", "twin-two-ports"),
    ),
    "static line leak inside a pressurised cabin": (
        "level: left altimeter low, left airspeed low, right altimeter normal",
        ["static-line-leak"],
        ("pressurised-turboprop",),
    ),
    # The row says "slightly": what a pilot notices here is as much as a line that came off. On an airplane
    # with two ports even that is less than what a dented port does, which comes first.
    "static line leak inside an unpressurised cabin": (
        "level: altimeter high, airspeed high, vsi normal",
        ["static-line-leak", "static-line-off"],
        ("high-wing-tube",),
    ),
    "pitot line leak": (
        "climb: airspeed low; level: airspeed low, altimeter normal, vsi normal; descent: airspeed low",
        ["pitot-line-leak"],
        ALL_OF_THEM,
    ),
    "level flight, healthy system": (
        "level: vsi zero, airspeed normal, altimeter normal",
        [SOUND],
        ALL_OF_THEM,
    ),
}
NOT_REPORTED = {  # why a row tells no defect of one fault
    "VSI glass broken as a substitute alternate source": "two at once: blocked ports and a broken glass",
    "start of a climb or descent": "how a sound instrument behaves",
    "abrupt pitch change or turbulence": "how a sound instrument behaves",
    "rapid descent": "how a sound instrument behaves",
    "rapid climb": "how a sound instrument behaves",
}
CASES = [
    pytest.param(situation, name, id=f"{situation} / {name}", marks=() if name in QUICK else pytest.mark.full)
    for situation, (_, _, names) in REPORTS.items()
    for name in names
]


@cache
def answer(situation, name):
    return diagnose_reported(airplane.load(name), [REPORTS[situation][0]], progress=False)


def test_every_situation_is_reported_or_said_why_not():
    assert set(REPORTS) | set(NOT_REPORTED) == SITUATIONS
    assert not set(REPORTS) & set(NOT_REPORTED)


@pytest.mark.parametrize(("situation", "name"), CASES)
def test_the_fault_comes_first(situation, name):
    found = answer(situation, name)
    first = found.ranking[0].names
    able = {
        fault for fault in REPORTS[situation][1] if not fault or catalogue()[fault].places(found.airplane)
    }
    with_first = {first} | {n for one in found.alike if first in one.findings for n in one.findings}
    right = {(fault,) if fault else () for fault in able}
    assert right & with_first, [(f.names, round(f.probability, 3)) for f in found.ranking[:5]]
    assert found.none_fits < found.ranking[0].probability
