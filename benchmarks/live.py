"""A class of 100 with 100 different faults at 20 frames a second: who is late, and what it costs the server.

Run with the installed package's Python: `python benchmarks/live.py`. The server is `ramstill live` in a
process of its own, the class (`live_class.py`) is another, and its work is not counted. Ten minutes on a
machine with nothing else to do are the record; `--minutes 0.5` is for trying. How lateness is counted:
`live_figures.judged`.
"""

from __future__ import annotations

import argparse
import json
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from live_figures import LATE_S, cpu_s, resident_mb, slope

AIRPLANE = "high-wing-tube"
IN_TIME, OF_A_CORE = 0.99, 0.60  # the limits we set ourselves
GROWTH_MB_MIN = 1.0  # memory that grows less than this in its second half is steady
SAMPLES_S = 2.0


@contextmanager
def server(folder: Path, airplane: str) -> Iterator[tuple[subprocess.Popen[str], int, str]]:
    """`ramstill live` with its port and key; ended by its number."""
    command = [sys.executable, "-m", "ramstill", "live", "--port", "0", "--keep", str(folder)]
    process = subprocess.Popen([*command, "--airplane", airplane], stdout=subprocess.PIPE, text=True)
    assert process.stdout is not None
    try:
        said = ""
        for line in process.stdout:
            said += line
            if line.startswith("Kept in"):
                break
        found = re.search(r"http://127\.0\.0\.1:(\d+)/bench#(\S+)", said)
        if found is None:
            sys.exit("ramstill live did not start")
        yield process, int(found[1]), found[2]
    finally:
        process.terminate()
        process.wait(60)


def measured(minutes: float, learners: int, airplane: str) -> dict[str, Any]:
    """One class: what its frames came to, and what the server took meanwhile."""
    with tempfile.TemporaryDirectory() as folder, server(Path(folder), airplane) as (process, port, key):
        here = Path(__file__).with_name("live_class.py")
        asked = ["--port", str(port), "--learners", str(learners), "--seconds", str(60.0 * minutes)]
        with subprocess.Popen(
            [sys.executable, str(here), *asked], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        ) as taught:
            assert taught.stdin is not None
            assert taught.stdout is not None
            taught.stdin.write(f"{key}\n")
            taught.stdin.flush()
            if not taught.stdout.readline():
                sys.exit("the class did not start")
            own, class_own, cost = cpu_s(process.pid), cpu_s(taught.pid), []
            begun = time.monotonic()
            while (passed := time.monotonic() - begun) < 60.0 * minutes:
                cost.append((passed, resident_mb(process.pid), cpu_s(process.pid) - own))
                time.sleep(min(SAMPLES_S, 60.0 * minutes - passed + 0.001))
            passed = time.monotonic() - begun
            spent, class_spent = cpu_s(process.pid) - own, cpu_s(taught.pid) - class_own
            cost.append((passed, resident_mb(process.pid), spent))
            taught.stdout.readline()
            frames: dict[str, Any] = json.loads(taught.stdout.readline() or "{}")
        if taught.returncode:
            sys.exit("the class did not end well")
    at, memory = [one[0] for one in cost], [one[1] for one in cost]
    half = len(at) // 2
    return {
        "learners": learners,
        "airplane": airplane,
        "seconds": round(passed, 2),
        "server_core_share": spent / passed,
        "class_core_share": class_spent / passed,
        "memory_mb": {"begin": memory[0], "end": memory[-1], "most": max(memory)},
        "memory_slope_mb_min": slope(at, memory),
        "memory_slope_second_half_mb_min": slope(at[half:], memory[half:]),
        "memory_each_half_minute_mb": [
            round(value, 1) for value in memory[:: max(1, round(30.0 / SAMPLES_S))]
        ],
        "frames": frames,
    }


def report(found: dict[str, Any]) -> None:
    """Print it, each figure beside its limit."""
    frames, memory = found["frames"], found["memory_mb"]
    late = ", ".join(f"{name} {ms:g}" for name, ms in frames["late_ms"].items())
    share, cost = frames["in_time_share"], found["server_core_share"]
    growth = found["memory_slope_second_half_mb_min"]
    print(f"{found['learners']} learners, {frames['crafts']} different faults, {found['seconds']:.0f} s")
    print(f"frames under {1e3 * LATE_S:.0f} ms late  {share:9.3%}   at least {IN_TIME:.0%}")
    print(f"  worst page              {frames['worst_page_in_time_share']:9.3%}")
    print(f"  late [ms]               {late}")
    print(f"  never came              {frames['frames_dropped']} of {frames['frames_due']}")
    print(f"server, of one core       {cost:9.1%}   at most {OF_A_CORE:.0%}")
    print(f"  the class, not counted  {found['class_core_share']:9.1%}")
    print(
        f"memory [MB]               {memory['begin']:.0f} to {memory['end']:.0f}, most {memory['most']:.0f}"
    )
    print(f"  growth [MB/min]         {found['memory_slope_mb_min']:+9.2f}")
    print(f"  in the second half      {growth:+9.2f}   at most {GROWTH_MB_MIN:+.2f}")
    for why in frames["closed"]:
        print(f"a page was closed: {why}")


def main() -> None:
    """Measure and print; exit 1 where a limit is passed."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--minutes", type=float, default=10.0)
    parser.add_argument("--learners", type=int, default=100)
    parser.add_argument("--airplane", default=AIRPLANE)
    parser.add_argument("--json", action="store_true", help="figures as JSON alone")
    asked = parser.parse_args()
    found = measured(asked.minutes, asked.learners, asked.airplane)
    print(json.dumps(found, indent=2)) if asked.json else report(found)
    good = found["frames"]["in_time_share"] >= IN_TIME and found["server_core_share"] <= OF_A_CORE
    good &= found["memory_slope_second_half_mb_min"] <= GROWTH_MB_MIN and not found["frames"]["closed"]
    sys.exit(0 if good else 1)


if __name__ == "__main__":
    main()
