"""Real runs of the bundled scenarios, worked out once."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from ramstill import airplane, report, simulate
from ramstill.diagnosis.answer import Alike, Candidate, Diagnosis, Evidence, Prediction, Situation, ranked
from ramstill.diagnosis.behaviours import BehaviourTable, behaviour_table
from ramstill.diagnosis.saying import Said, instruments
from ramstill.faults import Fault
from ramstill.run import Run, bundled, load_scenario
from ramstill.run.scenario import from_tables


@cache
def _run(name: str) -> Run:
    return load_scenario(bundled()[name]).run()


@pytest.fixture(scope="session")
def run_of() -> Callable[[str], Run]:
    """The run of a bundled scenario."""
    return _run


@pytest.fixture(scope="session")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of one bundled scenario, written to disk with its table."""
    return report.write(_run("spring-afternoon"), tmp_path_factory.mktemp("page") / "out")


_PLANE = airplane.load("high-wing-tube")
_BLOCKED = Fault("static-ports-blocked", "all", 1.0, 160.0)
_FLIGHT = {
    "format": 1,
    "title": "Up and along",
    "airplane": "high-wing-tube",
    "flight": {
        "field_elevation": "640 ft",
        "leg": [
            {"kind": "take-off"},
            {"kind": "climb", "to": "3000 ft"},
            {"kind": "level", "duration": "60 s"},
        ],
    },
}
_READ = {"ias": ("airspeed", 0.6), "altitude": ("altimeter", 5.0), "vertical speed": ("vertical-speed", 0.3)}


@pytest.fixture(scope="session")
def diagnosis() -> Diagnosis:
    """A blocked static port in a simulated climb; its probabilities are put in by hand."""
    around = from_tables(_FLIGHT, "flight", Path()).surroundings
    runs = [simulate(_PLANE, around, faults, output_hz=1.0) for faults in ((_BLOCKED,), ())]
    time = runs[0].time_s
    shown = [{q: run.pointers[name] for q, (name, _) in _READ.items()} for run in runs]
    rng = np.random.default_rng(4)
    recorded = {q: shown[0][q] + rng.normal(0.0, sd, len(time)) for q, (_, sd) in _READ.items()}
    gained = sum(((recorded[q] - shown[1][q]) / _READ[q][1]) ** 2 / 2.0 for q in _READ)
    names = (_BLOCKED.name,)
    evidence = Evidence(
        time_s=time,
        recorded=recorded,
        spread={q: np.full(len(time), sd) for q, (_, sd) in _READ.items()},
        predictions=(Prediction(names, shown[0]), Prediction((), shown[1])),
        elsewhere={"altitude": runs[0].truth.geometric_altitude_m},
        decided_s=170.0,
        odds=np.cumsum(gained) / 100.0,
        against=(),
    )
    candidates = (
        Candidate((_BLOCKED,), 0.7, 9.0),
        Candidate((Fault("line-crushed", "static-tail", 1.0, 161.0),), 0.12, 8.0),
        Candidate((Fault("line-crushed", "static-floor", 1.0, 161.0),), 0.05, 8.0),
        Candidate((), 0.08),
        Candidate((Fault("encoder-dead", "encoder"), Fault("static-line-off", "static-tail")), 0.002),
        Candidate((Fault("tee-plugged", "static-tee-airspeed"),), 0.003),
    )
    return Diagnosis(
        airplane=_PLANE,
        asked="tuesday <b>.csv",
        candidates=candidates,
        ranking=ranked(candidates),
        none_fits=0.045,
        alike=(Alike(((_BLOCKED.name,), ("line-crushed",)), "Both shut the still air in."),),
        situation=Situation(True, 40.0, 800.0),
        notes=("The wind was estimated.",),
        evidence=evidence,
    )


@pytest.fixture(scope="session")
def table() -> BehaviourTable:
    """Two phases of one airplane: a short flight, so that it is quick."""
    names = [one.name for one in instruments(_PLANE)]
    said = [Said(phase, name, "normal") for phase in ("take-off roll", "climb") for name in names]
    return behaviour_table(_PLANE, said, progress=False)
