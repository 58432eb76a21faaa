"""Seconds and megabytes of a diagnosis: of a recording of an hour, and of a reported defect.

Each is worked out by a process of its own; what is compiled has been compiled, and kept, by one before it.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import resource
import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

HOUR_S, SEED = 3600.0, 7
RECORDING_S, REPORT_S, MEMORY_MB, CORES = 15.0, 3.0, 1000.0, 2
SAW = "climb: altimeter frozen, vsi zero, airspeed falling"
PLANES = ("high-wing-tube", "pressurised-turboprop")
COLUMNS = {
    "ias": 1.0,
    "altitude": 10.0,
    "vertical speed": 10.0,
    "altimeter setting": 0.01,
    "ground speed": 1.0,
    "track": 1.0,
    "heading": 1.0,
    "gps altitude": 1.0,
    "outside temperature": 1.0,
    "pitch": 0.1,
    "power": 1.0,
}


def recording_of_an_hour(name: str, path: Path) -> int:
    """Write an hour with all columns and static ports blocked from half-way on: how many lines."""
    import diagnosis_cases as cases
    import numpy as np
    from diagnosis_airplanes import perturbed
    from diagnosis_flights import STEP_S, planned
    from diagnosis_recorder import EDGE_S, Recorder, write_csv, written_columns
    from diagnosis_truth import beside, path_of
    from diagnosis_weather import a_day, a_wind, gusts

    from ramstill.faults import Fault

    rng = np.random.default_rng(SEED)
    nominal = cases.hangar(name)
    plane, day = perturbed(nominal, rng), a_day(rng)
    flown = planned(plane, day, rng, HOUR_S + 2.0 * EDGE_S + 1.0, True, None)
    recorder = Recorder(COLUMNS, 1.0, 0.0, 2.0, 0.0, False)
    flown = replace(flown, setting_pa=np.full(len(flown.time_s), float(flown.setting_pa[0])))
    calm = path_of(plane, flown, day)
    rough = gusts(rng, len(flown.time_s), STEP_S, float(np.median(calm.truth.tas_m_s)))
    real = path_of(plane, flown, day, rough, calm.truth.power)
    shown = cases.what_is_shown(plane, real, (Fault("static-ports-blocked", onset_s=0.5 * HOUR_S),))
    aside = beside(plane, flown, calm, a_wind(rng))
    at, columns = written_columns(rng, recorder, shown, aside, flown.setting_pa)
    write_csv(path, recorder, at, columns, 6)
    return len(at)


def _recording(name: str, path: str) -> dict[str, Any]:
    from ramstill import airplane
    from ramstill.diagnosis import diagnose
    from ramstill.flight import recording

    began = time.perf_counter()
    found = diagnose(airplane.load(name), recording.read(path), workers=CORES, progress=False)
    return _took(began) | {"first": list(found.ranking[0].names) if found.ranking else []}


def _report(name: str, _path: str) -> dict[str, Any]:
    from ramstill import airplane
    from ramstill.diagnosis import diagnose_reported

    began = time.perf_counter()
    found = diagnose_reported(airplane.load(name), [SAW], workers=CORES, progress=False)
    return _took(began) | {"first": list(found.ranking[0].names) if found.ranking else []}


def _took(began: float) -> dict[str, Any]:
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    return {"seconds": time.perf_counter() - began, "peak_mb": peak}


def apart(work: Any, name: str, path: str) -> dict[str, Any]:
    """Run it in a new process; the first one only to have everything compiled."""
    found: dict[str, Any] = {}
    for _ in range(2):
        with multiprocessing.get_context("spawn").Pool(1) as pool:
            found = pool.apply(work, (name, path))
    return found


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print the figures as JSON alone")
    as_json = parser.parse_args().json
    figures: dict[str, dict[str, Any]] = {}
    with tempfile.TemporaryDirectory() as folder:
        for name in PLANES:
            path = Path(folder) / f"{name}.csv"
            print(f"{name}: flying an hour", file=sys.stderr)
            lines = recording_of_an_hour(name, path)
            print(f"{name}: diagnosing {lines} lines", file=sys.stderr)
            figures[f"{name}, {lines} lines"] = {"wanted_s": RECORDING_S} | apart(_recording, name, str(path))
            print(f"{name}: a reported defect", file=sys.stderr)
            figures[f"{name}, reported"] = {"wanted_s": REPORT_S} | apart(_report, name, "")
    if as_json:
        print(json.dumps(figures))
        return
    print(f"{'':40} {'took':>8} {'wanted':>8} {'memory':>10} {'wanted':>8}   first answer")
    for title, row in figures.items():
        print(
            f"{title:40} {row['seconds']:6.1f} s {row['wanted_s']:6.0f} s {row['peak_mb']:7.0f} MB "
            f"{MEMORY_MB:5.0f} MB   {' + '.join(row['first']) or 'no fault'}"
        )


if __name__ == "__main__":
    main()
