"""What the frames of a class came to, and what a process cost, as figures."""

from __future__ import annotations

import os
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

TICKS_A_SECOND = 20
LATE_S = 0.1


@dataclass(frozen=True, slots=True)
class Came:
    """One page's frames: tick (k,) of each, and when it came (k,) [s]."""

    tick: NDArray[np.int64]
    at_s: NDArray[np.float64]

    @classmethod
    def of(cls, tick: ArrayLike, at_s: ArrayLike) -> Came:
        """From any arrays; of a tick that came twice the first counts."""
        ticks, first = np.unique(np.asarray(tick, dtype=np.int64), return_index=True)
        return cls(ticks, np.asarray(at_s, dtype=float)[first])


def judged(came: Sequence[Came], ticks: int) -> dict[str, Any]:
    """How late the frames of the last `ticks` ticks were.

    Tick k is due k / 20 s after a beginning that is the same for all of the run and for every page: the
    earliest there can be, at which no frame would have come before it was due. Lateness therefore holds all
    there is between the wall's clock and a page: a server that falls behind and never makes up for it is late
    with every later frame. A frame that never came, because a newer one took its place, counts as late.
    """
    last = max(int(page.tick.max(initial=0)) for page in came)
    first = max(last - ticks + 1, 1)
    due = (last - first + 1) * len(came)
    kept = [(page.tick >= first) & (page.tick <= last) for page in came]
    late = [
        page.at_s[those] - page.tick[those] / TICKS_A_SECOND for page, those in zip(came, kept, strict=True)
    ]
    every = np.concatenate(late)
    begun = float(every.min())
    every -= begun
    there = len(every)
    tick = np.concatenate([page.tick[those] for page, those in zip(came, kept, strict=True)])
    minute = (tick - first) // (60 * TICKS_A_SECOND)
    return {
        "ticks": last - first + 1,
        "frames_due": due,
        "frames_dropped": due - there,
        "in_time_share": float(np.count_nonzero(every < LATE_S)) / due,
        "late_ms": {
            name: round(1e3 * float(np.percentile(every, q)), 2)
            for name, q in (("median", 50), ("99 %", 99), ("99.9 %", 99.9), ("most", 100))
        },
        "least_late_each_minute_ms": [
            round(1e3 * float(every[minute == m].min()), 2) for m in range(int(minute.max()) + 1)
        ],
        "worst_page_in_time_share": min(
            float(np.count_nonzero(one - begun < LATE_S)) * len(came) / due for one in late
        ),
    }


def cpu_s(pid: int) -> float:
    """Seconds that all threads of a process have kept a core busy, from /proc (proc(5): utime, stime)."""
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return (int(fields[11]) + int(fields[12])) / os.sysconf("SC_CLK_TCK")


def resident_mb(pid: int) -> float:
    """Memory that a process holds [MB, 2**20 bytes], from /proc (proc(5): VmRSS)."""
    for line in Path(f"/proc/{pid}/status").read_text().splitlines():
        if line.startswith("VmRSS:"):
            return int(line.split()[1]) / 1024.0
    raise ProcessLookupError(f"process {pid} has ended")


def slope(at_s: ArrayLike, value: ArrayLike) -> float:
    """Least squares slope a minute; 0 for fewer than three values."""
    x, y = np.asarray(at_s, dtype=float), np.asarray(value, dtype=float)
    return float(np.polyfit(x / 60.0, y, 1)[0]) if len(x) > 2 else 0.0
