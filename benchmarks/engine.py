"""The engine beside the solvers a user would reach for: ratios at the same measured error.

Run with the installed package's Python and its extra `benchmark`: `python benchmarks/engine.py`. Everybody
integrates the engine's own laws, compiled, from the same start, and is tuned until its largest error at any
tapping is within 1 Pa of SciPy's Radau at rtol 1e-10, at 10 Hz and 1, 10 and 100 ms after each onset.
`--only flight climb batch growth profile` picks parts; `--quick` cuts flights short; `--json` prints JSON.
"""

import argparse
import json
import sys
import warnings

import engine_cases as cases
import engine_duel as duels
import engine_profile as profiles
from engine_contestants import contestants
from rich.console import Console
from rich.table import Table

PARTS = ("flight", "climb", "batch", "growth", "profile")
TARGETS = {"planned flight": 15.0, "recorded climb": 50.0, "batch": 100.0}


def main() -> None:
    """Measure and print."""
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    asked.add_argument("--only", nargs="+", choices=PARTS, default=PARTS)
    asked.add_argument("--profile", action="store_true", help="only where the time of one run goes")
    asked.add_argument("--quick", action="store_true", help="short flights and few variants")
    asked.add_argument("--json", action="store_true")
    options = asked.parse_args()
    warnings.simplefilter("ignore")
    parts = ("profile",) if options.profile else options.only
    found: dict[str, object] = {}
    out = Console(width=150) if not options.json else Console(file=sys.stderr, width=150)
    for part in parts:
        found[part] = PART[part](options.quick, out)
    if options.json:
        print(json.dumps(found, indent=1))


def say(text: str) -> None:
    """Progress, on stderr."""
    print(text, file=sys.stderr, flush=True)


def flight(quick: bool, out: Console) -> object:
    """(a)"""
    return _duel(cases.planned_flight(150.0 if quick else cases.TEN_MINUTES_S), out)


def climb(quick: bool, out: Console) -> object:
    """(b)"""
    return _duel(cases.recorded_climb(60.0 if quick else None), out)


def _duel(case: cases.Case, out: Console) -> object:
    rows = duels.duel(case, contestants(), say)
    table = Table(
        title=f"{case.title}: {len(case.network.node_names)} volumes, {len(case.output_s)} output times; "
        f"wanted {TARGETS[case.title]:g} times"
    )
    for name, side in (
        ("", "left"),
        ("setting", "left"),
        ("ms", "right"),
        ("error [Pa]", "right"),
        ("times ours", "right"),
        ("with pointers", "right"),
    ):
        table.add_column(name, justify=side)  # type: ignore[arg-type]
    for row in rows:
        table.add_row(
            row.name,
            row.setting,
            f"{row.milliseconds:.2f}",
            f"{row.error_pa:.2f}",
            f"{row.ratio:.2f}",
            f"{row.with_pointers:.2f}",
        )
    out.print(table)
    as_they_come, hardest = (duels.nearest(rows, own) for own in (False, True))
    out.print(f"best of them as they are called: {as_they_come}; with hand-made C callbacks: {hardest}\n")
    return duels.as_json(rows)


def profile(quick: bool, out: Console) -> object:
    """Where the time goes."""
    case = cases.planned_flight()
    stages, work = profiles.stages(case), profiles.work(case)
    table = Table(title=f"stages of the planned flight ({work})")
    table.add_column("stage")
    table.add_column("ms", justify="right")
    for name, milliseconds in stages.items():
        table.add_row(name, f"{milliseconds:.3f}")
    out.print(table)
    first, second = (0.0, 0.0) if quick else profiles.fresh_compile_s()
    out.print(f"first integrate with an empty cache {first:.1f} s, with the cache it leaves {second:.2f} s")
    return {"stages_ms": stages, "work": work, "fresh_s": first, "cached_s": second}


def batch(quick: bool, out: Console) -> object:
    """(c)"""
    import engine_batch

    return engine_batch.report(quick, out, say)


def growth(quick: bool, out: Console) -> object:
    """Cost against volumes and variants."""
    import engine_growth

    return engine_growth.report(quick, out, say)


PART = {"flight": flight, "climb": climb, "batch": batch, "growth": growth, "profile": profile}

if __name__ == "__main__":
    main()
