"""The pieces of the speed contest fit together; run only where the extra `benchmark` is installed."""

import importlib
import sys
from collections.abc import Iterator
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from ramstill.pneumatics import integrate

pytest.importorskip("sksundae")
pytestmark = pytest.mark.full  # compiling the callbacks takes some seconds
FOLDER = Path(__file__).parents[2] / "benchmarks"
END_S = 20.0


@pytest.fixture(scope="module")
def folder() -> Iterator[Path]:
    sys.path.insert(0, str(FOLDER))
    yield FOLDER
    sys.path.remove(str(FOLDER))


@pytest.fixture(scope="module")
def modules(folder: Path) -> tuple[ModuleType, ModuleType, ModuleType]:
    return tuple(  # type: ignore[return-value]
        importlib.import_module(name) for name in ("engine_cases", "engine_contestants", "engine_tuning")
    )


def test_everybody_comes_within_1_pa_of_radau(modules: tuple[ModuleType, ModuleType, ModuleType]) -> None:
    """20 s of a climb with the inlet shut half-way: 1 Pa is what the contest is held at."""
    cases, contestants, tuning = modules
    plane = cases.airplanes.load(cases.AIRPLANE)
    fault = cases.Fault("pitot-inlet-blocked", onset_s=9.0)
    flown = cases.flown(plane)
    case = cases.make("short", plane, flown, (fault,), flown.start_s + END_S)
    truth = tuning.reference(case)
    ours = integrate(case.network, case.surroundings, case.judged_s, initial_pa=case.initial_pa)
    assert np.max(np.abs(ours - truth)) < 1.0
    for contestant in contestants.contestants():
        found = tuning.run(contestant, case, case.judged_s, contestants.Setting(0.01))
        assert np.max(np.abs(found - truth)) < 1.0, contestant.name
