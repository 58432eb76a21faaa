"""Tuning: of each contestant the quickest setting that comes within 1 Pa of the reference, and its time."""

import contextlib
import hashlib
import os
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from engine_block import FloatArray, pose
from engine_cases import Case
from engine_contestants import Contestant, Setting, with_solve_ivp

from ramstill.pneumatics import flow, friction, integrate, swelling, volumes

MOST_PA, MOST_TRIES = 1.0, 6
UP_PA, DOWN_PA = (0.03, 0.1, 0.3, 1.0, 3.0), (0.01, 3e-3, 1e-3)  # weights to be tried
HOPELESS = 3.0  # a try this many times slower than the best setting so far is not followed up
PATIENCE_S, TUNING_S = 40.0, 120.0  # a first try, and the search for each contestant, may take so long [s]
OURS_PA = (5.0, 2.0, 1.0, 0.5, 0.2, 0.1, 0.05, 0.02, 0.01, 5e-3)


@dataclass(frozen=True, slots=True)
class Found:
    """The best of one contestant on one case: how it was set, its time [s] and its error [Pa]."""

    name: str
    setting: str
    seconds: float
    error_pa: float
    run: Callable[[], FloatArray] | None


def reference(case: Case) -> FloatArray:
    """SciPy's Radau at rtol 1e-10, restarted at every kink, at the judged times; kept between runs."""
    problem = pose(case.network, case.surroundings, case.output_s[0], case.output_s[-1])
    digest = hashlib.sha256()
    for laws in (flow, friction, swelling, volumes):  # a changed law has another truth
        digest.update(Path(laws.__file__).read_bytes())
    for values in (problem.block, problem.begin, case.judged_s, case.initial_pa):
        digest.update(np.ascontiguousarray(values).tobytes())
    folder = Path(tempfile.gettempdir()) / f"ramstill-benchmark-{os.getuid() if hasattr(os, 'getuid') else 0}"
    folder.mkdir(mode=0o700, exist_ok=True)
    kept = folder / f"{digest.hexdigest()[:24]}.npy"
    if kept.is_file():
        return np.load(kept)
    exact = Setting(1e-7)
    found = with_solve_ivp("Radau", rtol=1e-10)(
        problem, case.initial_pa, case.judged_s, problem.stops(True), exact
    )
    np.save(kept, found)
    return found


def run(
    contestant: Contestant,
    case: Case,
    times: FloatArray,
    setting: Setting,
    deadline_s: float = np.inf,
    tries: int = 1,
) -> FloatArray:
    """From a network and its surroundings to pressures (len(times), n) [Pa].

    tries: where the solver gives up, once more with a third of the weight, so many times in all.
    """
    start, end, banded = case.output_s[0], case.output_s[-1], setting.solver == "band"
    problem = replace(pose(case.network, case.surroundings, start, end, banded), deadline_s=deadline_s)
    for _ in range(tries - 1):
        with contextlib.suppress(ArithmeticError):
            return contestant.solve(problem, case.initial_pa, times, problem.stops(setting.restarts), setting)
        setting = replace(setting, weight_pa=setting.weight_pa / 3.0)
    return contestant.solve(problem, case.initial_pa, times, problem.stops(setting.restarts), setting)


def tried(
    contestant: Contestant,
    cases: list[Case],
    truths: list[FloatArray],
    setting: Setting,
    most_s: float = PATIENCE_S,
) -> tuple[float, float]:
    """Seconds and largest error [Pa] over some cases; no end of both where it gives up."""
    error, started = 0.0, time.perf_counter()
    tries = 1 if len(cases) == 1 else MOST_TRIES
    for case, truth in zip(cases, truths, strict=True):
        try:
            found = run(contestant, case, case.judged_s, setting, started + most_s, tries)
        except ArithmeticError:
            return time.perf_counter() - started, np.inf
        error = max(error, float(np.max(np.abs(found - truth))))
        if not error <= MOST_PA:
            break
    return time.perf_counter() - started, error


def tune(
    contestant: Contestant, cases: list[Case], truths: list[FloatArray], longest: tuple[float, ...]
) -> tuple[Setting, float] | None:
    """The quickest setting within 1 Pa in all cases, and its error; None where there is none.

    First, for each longest step with and without restarts (and order and patience, where a try takes
    milliseconds), larger weights until two in a row are not good enough, or smaller ones where the first is
    not; then what else can be tuned, about the best of those.
    """
    best: tuple[float, Setting, float] | None = None
    over = time.perf_counter() + TUNING_S

    def good(setting: Setting) -> bool:
        nonlocal best
        if time.perf_counter() > over:
            return False
        most = PATIENCE_S if best is None else HOPELESS * best[0]
        seconds, error = tried(contestant, cases, truths, setting, most)
        if error > MOST_PA:
            return False
        if best is None or seconds < 1.2 * best[0]:
            seconds = min(seconds, tried(contestant, cases, truths, setting, most)[0])
        if best is None or seconds < best[0]:
            best = seconds, setting, error
        return True

    for other in contestant.grid(longest):
        goods: list[bool] = []
        for weight in UP_PA:
            goods.append(good(replace(other, weight_pa=weight)))
            if not any(goods[-2:]) and len(goods) > 1:
                break
        for weight in () if goods[0] else DOWN_PA:
            if good(replace(other, weight_pa=weight)):
                break
    for _ in range(2):
        for beside in () if best is None else (contestant.about, _weights_about):
            for setting in list(beside(best[1])):
                good(setting)
    return None if best is None else (best[1], best[2])


def _weights_about(setting: Setting) -> Iterator[Setting]:
    for factor in (0.5, 1.5, 2.0, 3.0):
        yield replace(setting, weight_pa=setting.weight_pa * factor)


def alone(case: Case, tolerance_pa: float) -> FloatArray:
    """A case by the engine, at the judged times."""
    return integrate(case.network, case.surroundings, case.judged_s, tolerance_pa, case.initial_pa)


def ours(
    cases: list[Case],
    truths: list[FloatArray],
    by_engine: Callable[[Case, float], FloatArray] = alone,
) -> tuple[float, float]:
    """The engine's largest tolerance [Pa] that comes within 1 Pa in all cases, and its error."""
    for tolerance in OURS_PA:
        error = 0.0
        for case, truth in zip(cases, truths, strict=True):
            found = by_engine(case, tolerance)
            error = max(error, float(np.max(np.abs(found - truth))))
        if error <= MOST_PA:
            return tolerance, error
    raise ArithmeticError("no tolerance of the engine comes within 1 Pa of the reference")


def timed(runs: dict[str, Callable[[], object]], rounds: int = 7, enough_s: float = 20.0) -> dict[str, float]:
    """Shortest time of each [s] once it is warm, taken in turns: a busy machine is so to all of them."""
    best = dict.fromkeys(runs, np.inf)
    for call in runs.values():
        call()
    for _ in range(rounds):
        for name, call in runs.items():
            if best[name] * rounds > enough_s and best[name] < np.inf:
                continue
            started = time.perf_counter()
            call()
            best[name] = min(best[name], time.perf_counter() - started)
    return best
