"""Diagnoses made by hand, as an answer would be, of few candidates."""

from collections.abc import Callable

import pytest

from ramstill import airplane
from ramstill.diagnosis.answer import Candidate, Diagnosis, Situation, ranked
from ramstill.faults import Fault

Make = Callable[..., Diagnosis]


def by_hand(
    name: str,
    faults: list[Fault | None],
    weights: list[float] | None = None,
    none_fits: float = 0.05,
    airborne: bool = True,
    asked: str = "made by hand",
) -> Diagnosis:
    """A diagnosis of single faults (None: no fault), by default alike, in cruise at 1,000 m or parked."""
    plane = airplane.load(name)
    shares = weights or [1.0] * len(faults)
    candidates = sorted(
        (
            Candidate((fault,) if fault else (), (1.0 - none_fits) * share / sum(shares))
            for fault, share in zip(faults, shares, strict=True)
        ),
        key=lambda candidate: -candidate.probability,
    )
    situation = Situation(airborne, float(plane.speeds.cruise) if airborne else 0.0, 1000.0)
    return Diagnosis(plane, asked, tuple(candidates), ranked(candidates), none_fits, (), situation)


@pytest.fixture(scope="session")
def made() -> Make:
    """Makes a diagnosis: see `by_hand`."""
    return by_hand


@pytest.fixture(scope="session")
def still_side() -> Diagnosis:
    """The altimeter was seen to stand still in a climb: ports shut, altimeter sticking, or a lazy needle."""
    faults = [
        Fault("static-ports-blocked"),
        Fault("altimeter-sticking", severity=1.0, size="500 ft"),
        Fault("vsi-restrictor-plugged"),
        None,
    ]
    asked = "climb: altimeter frozen"
    return by_hand("high-wing-tube", faults, asked=asked)
