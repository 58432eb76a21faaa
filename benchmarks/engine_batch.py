"""Case (c): a thousand variants of the planned flight, float32 out in chunks, on two cores.

The contestants run on two processes, a sample of the variants each, and their time is scaled; starting the
processes is not counted for them.
"""

import ctypes
import gc
import multiprocessing
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path

import engine_cases as cases
import engine_tuning as tuning
import numpy as np
from engine_block import FloatArray
from engine_cases import TAPPINGS, Case
from engine_contestants import Contestant, Setting, contestants
from engine_duel import quiet
from rich.console import Console
from rich.table import Table

from ramstill.pneumatics import grow, integrate_batch
from ramstill.run import iter_batch
from ramstill.run.batch import Shared, fill_in, share
from ramstill.run.preparing import Worked, go_on

COUNT, CHUNK, SAMPLE, JUDGED, CORES = 1000, 100, 100, 8, 2
BATCH = "Ramstill, iter_batch"
ROUNDS, NEVER = 3, (float("inf"), float("nan"))
AGAINST = ("CVODE, C callbacks", "LSODA, SciPy odeint", "CVODE, scikit-sundae")
WANTED = {"six tappings": TAPPINGS, "every tapping": None, "six tappings and pointers": TAPPINGS}
One = Callable[[Case], FloatArray]


@dataclass(frozen=True, slots=True)
class Row:
    """What one contestant takes for each variant [ms] and over the engine's time; memory in chunks' sizes."""

    out: str
    name: str
    setting: str
    error_pa: float
    milliseconds: float
    ratio: float
    memory: float


def chosen(case: Case, pressure: FloatArray, out: str) -> FloatArray:
    """One variant's output (t, channels), float32."""
    names, wanted = case.network.node_names, WANTED[out]
    columns = [names.index(name) for name in wanted or names]
    kept = pressure[:, columns].astype(np.float32)
    if not out.endswith("pointers"):
        return kept
    shown = case.pointers(pressure)
    return np.concatenate([kept, np.stack(list(shown.values()), axis=1).astype(np.float32)], axis=1)


def by_contestant(case: Case, contestant: Contestant, setting: Setting, out: str) -> FloatArray:
    """One variant by another solver; where it gives up, once more with a third of the weight."""
    found = tuning.run(contestant, case, case.output_s, setting, tries=tuning.MOST_TRIES)
    return chosen(case, found, out)


_WORK: dict[str, tuple[One, list[Case]]] = {}  # what forked processes find in their memory


def _number(number: int) -> FloatArray:
    one, variants = _WORK["now"]
    with quiet():
        return one(variants[number])


def in_processes(one: One, variants: list[Case]) -> Iterator[tuple[FloatArray, float]]:
    """Chunks (case, time, channel), and the seconds since the processes were ready."""
    _WORK["now"] = one, variants
    _number(0)  # loads what is compiled before the processes fork, or each would load it on the clock
    with multiprocessing.get_context("fork").Pool(CORES) as pool:
        pool.map(_number, range(min(2 * CORES, len(variants))), 1)
        started = time.perf_counter()
        for first in range(0, len(variants), CHUNK):
            numbers = range(first, min(first + CHUNK, len(variants)))
            chunk = None
            for place, found in enumerate(pool.imap(_number, numbers, 4)):
                if chunk is None:
                    chunk = np.empty((len(numbers), *found.shape), dtype=np.float32)
                chunk[place] = found
            assert chunk is not None
            yield chunk, time.perf_counter() - started


def engine_chunks(variants: list[Case], tolerance_pa: float, out: str) -> Iterator[tuple[FloatArray, float]]:
    """The engine's own batch, with the airplane without faults, from which the variants branch off."""
    started = time.perf_counter()
    first = variants[0]
    healthy, around = first.healthy, first.surroundings  # none of these faults changes the air outside
    if out.endswith("pointers"):
        shared = share(first.plane, around, 10.0, tolerance_pa, WANTED[out], np.float32, CHUNK)
    else:
        stem = grow(healthy, around, first.output_s, tolerance_pa, first.initial_pa)
    for begin in range(0, len(variants), CHUNK):
        some = variants[begin : begin + CHUNK]
        if out.endswith("pointers"):
            work = partial(_with_pointers, shared, some)
            chunk = fill_in(shared, len(some), work, CORES)
        else:
            chunk = integrate_batch(
                [case.network for case in some],
                around,
                first.output_s,
                tolerance_pa,
                first.initial_pa,
                stem=stem,
                channels=WANTED[out],
                workers=CORES,
            )
        yield chunk, time.perf_counter() - started
        del chunk


def _with_pointers(shared: Shared, some: list[Case], number: int) -> Worked:
    return go_on(shared.prepared, some[number].applied, shared.inside)


def branched_off(case: Case, tolerance_pa: float) -> FloatArray:
    """One variant as it is in a batch, at the judged times."""
    times, around = case.judged_s, case.surroundings
    stem = grow(case.healthy, around, times, tolerance_pa, case.initial_pa)
    start = case.initial_pa
    one = integrate_batch([case.network], around, times, tolerance_pa, start, stem=stem, dtype=np.float64)
    return np.asarray(one[0])


def as_users_call_it(variants: list[Case], tolerance_pa: float) -> Iterator[tuple[FloatArray, float]]:
    """`iter_batch`, which puts the faults in and spins the air up too: pointers and six tappings."""
    started = time.perf_counter()
    around = cases.flown(variants[0].plane)
    for some in iter_batch(
        variants[0].plane,
        around,
        [case.faults for case in variants],
        tolerance_pa=tolerance_pa,
        tappings=TAPPINGS,
        chunk=CHUNK,
        workers=CORES,
        progress=False,
    ):
        chunk = some.values
        del some  # or it would be kept while the next is worked out
        yield chunk, time.perf_counter() - started
        del chunk


def consumed(chunks: Iterator[tuple[FloatArray, float]]) -> tuple[float, float]:
    """Seconds of all chunks, and the largest memory of this process above where it stood, in chunks."""
    before, size, seconds = _peak(start=True), 0, 0.0
    for chunk, so_far in chunks:
        seconds = so_far
        size = max(size, chunk.nbytes)
        del chunk
    return seconds, (_peak() - before) / max(size, 1)


def _peak(start: bool = False) -> float:
    """Peak resident bytes of this process, or those it has now, where the system tells; else not a number."""
    try:
        if start:
            gc.collect()
            ctypes.CDLL(None).malloc_trim(0)
            Path("/proc/self/clear_refs").write_text("5")
        status = Path("/proc/self/status").read_text()
    except (OSError, AttributeError):
        return float("nan")
    field = "VmRSS:" if start else "VmHWM:"
    return 1024.0 * float(status.split(field)[1].split()[0])


def measure(quick: bool, say: Callable[[str], None]) -> list[Row]:
    """Tune on some variants, then time."""
    count, sample, judged = (40, 10, 3) if quick else (COUNT, SAMPLE, JUDGED)
    variants = cases.variants(count)
    spread = variants[:: max(1, count // judged)][:judged]
    say("batch: references")
    truths = [tuning.reference(case) for case in spread]
    tolerance, our_error = tuning.ours(spread, truths, branched_off)
    made: dict[str, tuple[str, float, One | None]] = {}
    for contestant in contestants():
        if contestant.name in AGAINST:
            say(f"batch: tuning {contestant.name}")
            with quiet():
                best = tuning.tune(contestant, spread, truths, (0.0, 30.0))
            if best is None:
                made[contestant.name] = ("none comes within 1 Pa in all", float("nan"), None)
            else:
                one = partial(by_contestant, contestant=contestant, setting=best[0])
                made[contestant.name] = (str(best[0]), best[1], one)
    rows = []
    for out in WANTED:
        say(f"batch: timing, {out}")
        took: dict[str, tuple[float, float]] = {}
        for _ in range(ROUNDS):  # in turns: a busy machine is so to all of them
            seconds, memory = consumed(engine_chunks(variants, tolerance, out))
            took["Ramstill"] = min(took.get("Ramstill", NEVER), (1e3 * seconds / count, memory))
            if out.endswith("pointers"):
                seconds, memory = consumed(as_users_call_it(variants, tolerance))
                took[BATCH] = min(took.get(BATCH, NEVER), (1e3 * seconds / count, memory))
            for name, (_, _, run_one) in made.items():
                if run_one is not None:
                    seconds, memory = consumed(in_processes(partial(run_one, out=out), variants[:sample]))
                    took[name] = min(took.get(name, NEVER), (1e3 * seconds / sample, memory))
        ours = took["Ramstill"][0]
        words, memory = f"tolerance {tolerance:g} Pa", took["Ramstill"][1]
        rows.append(Row(out, "Ramstill", words, our_error, ours, 1.0, memory))
        if BATCH in took:
            each, memory = took[BATCH]
            rows.append(Row(out, BATCH, words, our_error, each, each / ours, memory))
        for name, (setting, error, _) in made.items():
            each, memory = took.get(name, (float("nan"), float("nan")))
            rows.append(Row(out, name, setting, error, each, each / ours, memory))
    return rows


def report(quick: bool, out: Console, say: Callable[[str], None]) -> object:
    """Measure and print."""
    rows = measure(quick, say)
    table = Table(title="variants of the planned flight, float32, two cores; wanted 100 times")
    for name in ("out", "", "setting", "error [Pa]", "ms a variant", "times ours", "memory [chunks]"):
        table.add_column(name)
    for row in rows:
        figures = (row.error_pa, row.milliseconds, row.ratio, row.memory)
        table.add_row(row.out, row.name, row.setting, *(f"{figure:.2f}" for figure in figures))
    out.print(table)
    return [asdict(row) for row in rows]
