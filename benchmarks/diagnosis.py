"""How good the diagnosis of recordings is: a thousand cases of known faults, on two processes.

`python benchmarks/diagnosis.py` diagnoses the kept cases and prints the figures; `--tune` takes the others,
which the diagnosis may be tuned on; `--write` puts the kept ones' figures on the page. Results are kept by
case, so that a run goes on where it was ended; they count for the code that made them only.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import multiprocessing
import sys
import tempfile
from collections.abc import Iterable
from datetime import date
from functools import partial
from pathlib import Path
from typing import Any

import diagnosis_cases as cases
import diagnosis_scores as scoring
from diagnosis_judged import judged
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table

import ramstill

PAGE = Path(__file__).parents[1] / "docs" / "diagnosis-quality.md"
Row = dict[str, Any]


def made_by() -> str:
    """What tells results of one state of the code from another's: a digest of the diagnosis and the cases."""
    package = Path(next(iter(ramstill.__path__)))
    files = [*(package / "diagnosis").rglob("*.py"), *Path(__file__).parent.glob("diagnosis*.py")]
    digest = hashlib.sha256()
    for file in sorted(files):
        digest.update(file.read_bytes())
    return digest.hexdigest()[:12]


def kept(path: Path, state: str, stale: bool) -> dict[int, Row]:
    """Results by seed that a file holds; of another state of the code only where they are asked for."""
    if not path.exists():
        return {}
    rows = [json.loads(line) for line in path.read_text(encoding="utf-8").splitlines() if line.endswith("}")]
    return {row["seed"]: row for row in rows if stale or row["made_by"] == state}


def run(seeds: Iterable[int], workers: int, twins: bool, path: Path, state: str, stale: bool) -> list[Row]:
    """Diagnose the cases that have no result yet, and return all."""
    wanted = list(seeds)
    done = kept(path, state, stale)
    left = [seed for seed in wanted if seed not in done]
    path.parent.mkdir(parents=True, exist_ok=True)
    columns = (TextColumn("diagnosing"), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn())
    with (
        path.open("a", encoding="utf-8") as out,
        Progress(*columns, console=Console(stderr=True)) as bar,
        multiprocessing.get_context("spawn").Pool(max(1, min(workers, len(left)))) as pool,
    ):
        task = bar.add_task("", total=len(wanted), completed=len(wanted) - len(left))
        for row in pool.imap_unordered(partial(judged, twins=twins), left):
            row["made_by"] = state
            done[row["seed"]] = row
            out.write(json.dumps(row) + "\n")
            out.flush()
            bar.advance(task)
    return [done[seed] for seed in wanted]


def show(rows: list[Row]) -> None:
    """Print the figures and the confusion table."""
    found, out = scoring.scores(rows), Console(width=None if sys.stdout.isatty() else 150)
    table = Table("measured", "figure", "wanted")
    for line in scoring.lines(found):
        table.add_row(*line)
    out.print(table)
    table = Table(*scoring.HEADS)
    for name, cells in found.by_name.items():
        table.add_row(name, *cells)
    out.print(table)
    for row in rows:
        if "error" in row or "twin_error" in row:
            out.print(
                f"{row['seed']}: {row.get('error') or row['twin_error']}", highlight=False, markup=False
            )


def show_one(seed: int) -> None:
    """Print one case and its answer in detail."""
    row = judged(seed)
    row.pop("all", None)
    print(cases.described(cases.case(seed)))
    print(json.dumps(row, indent=1))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--tune", action="store_true", help="the cases to tune on, not the kept ones")
    parser.add_argument("--count", type=int, default=len(cases.HELD_OUT), help="how many cases")
    parser.add_argument("--first", type=int, default=0, help="how many to leave out before them")
    parser.add_argument("--workers", type=int, default=2, help="processes")
    parser.add_argument("--no-twins", action="store_true", help="leave out how far answers are apart")
    parser.add_argument("--results", type=Path, help="file of results, a line a case")
    parser.add_argument("--stale", action="store_true", help="count results of other states of the code too")
    parser.add_argument("--only", type=int, metavar="SEED", help="one case in detail")
    parser.add_argument("--write", action="store_true", help=f"write the figures into docs/{PAGE.name}")
    given = parser.parse_args()
    if given.only is not None:
        show_one(given.only)
        return
    named = "tuning" if given.tune else "kept"
    seeds = (cases.TUNING if given.tune else cases.HELD_OUT)[given.first : given.first + given.count]
    path = given.results or Path(tempfile.gettempdir()) / "ramstill-benchmarks" / f"diagnosis-{named}.jsonl"
    whole = not given.tune and not given.no_twins and len(seeds) == len(cases.HELD_OUT)
    if given.write and not whole:
        parser.error("--write takes all the kept cases and their twins")
    rows = run(seeds, given.workers, not given.no_twins, path, made_by(), given.stale)
    show(rows)
    print(f"by case: {path}", file=sys.stderr)
    if given.write:
        said = f"Seeds {seeds[0]} to {seeds[-1]}, {date.today().isoformat()}:"
        scoring.write_between(PAGE, scoring.markdown(rows, said))


if __name__ == "__main__":
    main()
