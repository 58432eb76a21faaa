"""Seconds and megabytes of starting up and of a ten-minute run, against the limits we set ourselves.

Run with the installed package's Python: `python benchmarks/startup.py`. Prints a table with ratios.
"""

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path

REPEATS = 7
TEN_MINUTES = """
format = 1
title = "Ten minutes level, static ports blocked half-way"
airplane = "low-wing-mast"

[flight]
field_elevation = "0 ft"
start_speed = "100 kt"
start_altitude = "3000 ft"

[[flight.leg]]
kind = "level"
duration = "10 min"

[[fault]]
name = "static-ports-blocked"
onset = "5 min"
"""

MEASURE = """
import json, resource, subprocess, sys, time
started = time.perf_counter()
done = subprocess.run(sys.argv[1:], capture_output=True, text=True)
seconds = time.perf_counter() - started
peak = resource.getrusage(resource.RUSAGE_CHILDREN).ru_maxrss
found = {"seconds": seconds, "megabytes": peak / 1024, "code": done.returncode, "stderr": done.stderr}
print(json.dumps(found))
"""


def measure(*arguments: str) -> dict[str, float]:
    """Seconds and peak resident megabytes of one call; a failed call ends the benchmark."""
    out = subprocess.run(
        [sys.executable, "-c", MEASURE, *arguments], capture_output=True, text=True, check=True
    )
    found: dict[str, float] = json.loads(out.stdout)
    if found["code"]:
        sys.exit(f"{' '.join(arguments)} failed: {found['stderr']}")
    return found


def best(*arguments: str, repeats: int = REPEATS) -> tuple[float, float]:
    """The quickest of several calls [s], and its peak memory [MB]."""
    runs = [measure(*arguments) for _ in range(repeats)]
    quickest = min(runs, key=lambda run: run["seconds"])
    return quickest["seconds"], quickest["megabytes"]


def main() -> None:
    """Measure and print."""
    ramstill = [sys.executable, "-m", "ramstill"]
    rows: list[tuple[str, float, float | None, float, float | None]] = []
    rows.append(("bare Python", *_pair(best(sys.executable, "-c", "pass"), None, None)))
    rows.append(("ramstill --help", *_pair(best(*ramstill, "--help"), 0.25, None)))
    with tempfile.TemporaryDirectory() as folder:
        scenario = Path(folder) / "ten-minutes.toml"
        scenario.write_text(TEN_MINUTES, encoding="utf-8")
        started = time.perf_counter()
        measure(*ramstill, "run", str(scenario), "--out", f"{folder}/first")
        first = time.perf_counter() - started
        warm = best(*ramstill, "run", str(scenario), "--out", f"{folder}/again", repeats=3)
    rows.append(("ten-minute run", *_pair(warm, None, 300.0)))
    print(f"{'':<18}{'seconds':>9}{'of limit':>10}{'MB':>8}{'of limit':>10}")
    for name, seconds, limit_s, megabytes, limit_mb in rows:
        share_s = f"{seconds / limit_s:.2f}" if limit_s else "-"
        share_mb = f"{megabytes / limit_mb:.2f}" if limit_mb else "-"
        print(f"{name:<18}{seconds:>9.3f}{share_s:>10}{megabytes:>8.0f}{share_mb:>10}")
    print(f"first ten-minute run in this checkout (compiling if the cache was empty): {first:.1f} s")


def _pair(
    found: tuple[float, float], limit_s: float | None, limit_mb: float | None
) -> tuple[float, float | None, float, float | None]:
    return found[0], limit_s, found[1], limit_mb


if __name__ == "__main__":
    main()
