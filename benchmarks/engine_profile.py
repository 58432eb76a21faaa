"""Where the time of a single run goes, and what a fresh cache costs."""

import os
import subprocess
import sys
import tempfile
from collections.abc import Callable

import engine_tuning as tuning
import numpy as np
from engine_cases import FAULTS, Case

from ramstill.faults import apply
from ramstill.pneumatics import compile_network, settle, solve, spun_up
from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces

FRESH = """
import time
from ramstill import airplane
from ramstill.pneumatics import Surroundings, compile_network, integrate
plane = airplane.load("low-wing-mast")
network = compile_network(plane)
around = Surroundings.steady(0.0, 1.0, dict.fromkeys(network.boundary_names, 101325.0))
started = time.perf_counter()
integrate(network, around, [0.0, 1.0])
print(time.perf_counter() - started)
"""


def stages(case: Case) -> dict[str, float]:
    """Milliseconds of each stage of the planned flight, from an airplane and its surroundings to pointers."""
    network, around, start, end = case.network, case.surroundings, case.output_s[0], case.output_s[-1]
    healthy = compile_network(case.plane)
    first = dict(zip(around.boundary_names, around.at([start])[0].tolist(), strict=True))
    pressure = solve(network, around, case.output_s, initial_pa=case.initial_pa).pressure_pa
    touched = assemble(network)[1]
    outside = outside_arrays(around, touched, start, end)
    ends = np.array([start, end])
    calls: dict[str, Callable[[], object]] = {
        "compile_network": lambda: compile_network(case.plane),
        "faults.apply": lambda: apply(FAULTS, case.plane, healthy, around),
        "settle (one)": lambda: settle(healthy, first),
        "spun_up (settle and a run)": lambda: spun_up(healthy, around),
        "assemble the network": lambda: assemble(network),
        "assemble the outside": lambda: outside_arrays(around, touched, start, end),
        "cut into pieces": lambda: pieces(network, around, outside, start, end),
        "whole integrate, 10 Hz out": lambda: solve(
            network, around, case.output_s, initial_pa=case.initial_pa
        ),
        "whole integrate, ends only": lambda: solve(network, around, ends, initial_pa=case.initial_pa),
        "truth and outside at 10 Hz": lambda: (around.truth.at(case.output_s), around.at(case.output_s)),
        "instruments.read, all told": lambda: case.pointers(pressure),
    }
    for call in calls.values():
        call()
    return {name: 1e3 * seconds for name, seconds in tuning.timed(calls, 9).items()}


def work(case: Case) -> dict[str, float]:
    """Steps, rejected ones and evaluations of the flow at the engine's own tolerance."""
    found = solve(case.network, case.surroundings, case.output_s, initial_pa=case.initial_pa)
    return {"steps": found.steps, "rejected": found.rejected, "evaluations": found.evaluations}


def fresh_compile_s() -> tuple[float, float]:
    """Seconds of the first `integrate` with an empty cache of compiled code, and with the cache it leaves."""
    with tempfile.TemporaryDirectory() as folder:
        surroundings = {**os.environ, "NUMBA_CACHE_DIR": folder}
        took = []
        for _ in range(2):
            done = subprocess.run(
                [sys.executable, "-c", FRESH], env=surroundings, capture_output=True, text=True, check=True
            )
            took.append(float(done.stdout))
        return took[0], took[1]
