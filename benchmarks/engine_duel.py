"""Cases (a) and (b): one flight at a time, the engine beside every contestant."""

import contextlib
import os
import sys
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from functools import partial

import engine_tuning as tuning
import numpy as np
from engine_block import FloatArray
from engine_cases import TAPPINGS, Case
from engine_contestants import Contestant

from ramstill.pneumatics import integrate

LONGEST_S = {"planned flight": (0.0, 30.0, 5.0), "recorded climb": (0.0, 0.5)}
NATIVE = "CVODE, C callbacks"


@dataclass(frozen=True, slots=True)
class Row:
    """One contestant on one case. ratio: its time over the engine's; with_pointers: of the whole work."""

    case: str
    name: str
    setting: str
    milliseconds: float
    error_pa: float
    ratio: float
    with_pointers: float


def engine(case: Case, tolerance_pa: float) -> FloatArray:
    """What the engine does for the same arrays: pressures at the judged times."""
    return integrate(case.network, case.surroundings, case.judged_s, tolerance_pa, case.initial_pa)


def duel(case: Case, against: tuple[Contestant, ...], say: Callable[[str], None]) -> list[Row]:
    """Tune everybody, then time in turns the very runs whose errors were measured."""
    say(f"{case.title}: reference")
    truth = tuning.reference(case)
    tolerance, our_error = tuning.ours([case], [truth])
    found: dict[str, tuple[str, float]] = {"Ramstill": (f"tolerance {tolerance:g} Pa", our_error)}
    runs: dict[str, Callable[[], object]] = {"Ramstill": partial(engine, case, tolerance)}
    for contestant in against:
        say(f"{case.title}: tuning {contestant.name}")
        with quiet():
            best = tuning.tune(contestant, [case], [truth], LONGEST_S[case.title])
        if best is None:
            found[contestant.name] = ("none comes within 1 Pa", float("nan"))
            continue
        found[contestant.name] = (str(best[0]), best[1])
        runs[contestant.name] = partial(tuning.run, contestant, case, case.judged_s, best[0])
    say(f"{case.title}: timing")
    pressure = engine(case, tolerance)[np.isin(case.judged_s, case.output_s)]
    runs["pointers"] = partial(shown, case, pressure)
    with quiet():
        seconds = tuning.timed(runs)
    own, pointers = seconds["Ramstill"], seconds["pointers"]
    rows = []
    for name, (setting, error) in found.items():
        took = seconds.get(name, float("nan"))
        whole = (took + pointers) / (own + pointers)
        rows.append(Row(case.title, name, setting, 1e3 * took, error, took / own, whole))
    return rows


def shown(case: Case, pressure: FloatArray) -> tuple[dict[str, FloatArray], list[FloatArray]]:
    """Pointers and six tappings at 10 Hz, from everybody's pressures alike."""
    names = case.network.node_names
    return case.pointers(pressure), [pressure[:, names.index(name)] for name in TAPPINGS]


@contextlib.contextmanager
def quiet() -> Iterator[None]:
    """Keep off the screen what solvers complain of while settings are tried."""
    streams = (sys.stdout, sys.stderr)
    for stream in streams:
        stream.flush()
    kept, nowhere = [os.dup(1), os.dup(2)], os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, 1)
    os.dup2(nowhere, 2)
    try:
        yield
    finally:
        for number, stream in enumerate(streams, 1):
            stream.flush()
            os.dup2(kept[number - 1], number)
            os.close(kept[number - 1])
        os.close(nowhere)


def nearest(rows: list[Row], with_native: bool) -> str:
    """The best of the contestants, with or without the one that no binding offers."""
    others = [row for row in rows[1:] if row.ratio == row.ratio and (with_native or row.name != NATIVE)]
    best = min(others, key=lambda row: row.ratio)
    return f"{best.name}, {best.ratio:.2f} times the engine's time"


def as_json(rows: list[Row]) -> list[dict[str, object]]:
    """Rows for --json."""
    return [asdict(row) for row in rows]
