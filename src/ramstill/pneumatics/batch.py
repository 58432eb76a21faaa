"""Many networks over the same time, in threads: what they share is worked out once."""

import os
from collections import deque
from collections.abc import Callable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, DTypeLike, NDArray

from ramstill.pneumatics.integrate import TOLERANCE_PA, Inside, asked_for, spun_up
from ramstill.pneumatics.network import Network
from ramstill.pneumatics.stem import Stem, grow
from ramstill.pneumatics.surroundings import Surroundings

BLOCK = 4  # cases that a thread takes at a time


def integrate_batch(
    networks: Sequence[Network],
    surroundings: Surroundings | Sequence[Surroundings],
    output_s: ArrayLike,
    tolerance_pa: float = TOLERANCE_PA,
    initial_pa: ArrayLike | Inside | None = None,
    *,
    stem: Stem | None = None,
    channels: Sequence[str] | None = None,
    dtype: DTypeLike = np.float32,
    workers: int | None = None,
) -> NDArray[Any]:
    """Pressures [Pa] of many networks with the same volumes at `output_s` [s], (case, time, channel).

    surroundings: of all of them, or of each; initial_pa (n,) or `Inside`: the air at the first output time,
    the same for all, by default `spun_up` for each. stem: a run on the same times that cases branch off,
    by default the first of them: up to where a case begins to differ from it, it is the stem's run; a case
    that begins otherwise is worked out from the start. channels: names of the volumes that are wanted, by
    default all. dtype: float32 or float64. workers: threads, one a processor by default; the values do not
    depend on it. Raises SolverError, ValueError.
    """
    times = asked_for(output_s, tolerance_pa)
    around = [surroundings] * len(networks) if isinstance(surroundings, Surroundings) else list(surroundings)
    if len(around) != len(networks) or not len(networks):
        raise ValueError("a batch is one network or more, and surroundings for all or for each")
    if stem is None:
        first = _start(networks[0], around[0], times, initial_pa, networks[0])
        stem = grow(networks[0], around[0], times, tolerance_pa, first)
    elif not np.array_equal(times, stem.time_s) or tolerance_pa != stem.tolerance_pa:
        raise ValueError("the stem of a batch is on the same times at the same tolerance")
    names = stem.network.node_names
    if any(network.node_names != names for network in networks):
        raise ValueError("the networks of a batch have the same volumes")
    unknown = [name for name in channels or () if name not in names]
    if unknown:
        raise ValueError(f"the networks of a batch have no volume {unknown[0]!r}")
    if np.dtype(dtype) not in (np.float32, np.float64):
        raise ValueError(f"a batch comes as float32 or float64, not as {np.dtype(dtype)}")
    columns = np.array([names.index(name) for name in channels or names], dtype=np.int64)
    out = np.empty((len(networks), len(times), len(columns)), dtype=dtype)
    shared = stem.pressure_pa[:, columns].astype(out.dtype)

    def one(number: int) -> None:
        network, air = networks[number], around[number]
        row, own = stem.rows_alike(network, air), None
        out[number, :row] = shared[:row]
        if row == 0:
            own = _start(network, air, times, initial_pa, stem.network)
        if row < len(times):
            stem.carry_on(network, air, row, out[number, row:], columns, own)

    side_by_side(one, len(networks), processors() if workers is None else workers)
    return out


def _start(
    network: Network,
    surroundings: Surroundings,
    times: NDArray[np.float64],
    initial_pa: ArrayLike | Inside | None,
    settled_as: Network,
) -> ArrayLike | Inside:
    if initial_pa is not None:
        return initial_pa
    return spun_up(network, surroundings, float(times[0]), settled_as=settled_as)


def side_by_side(
    one: Callable[[int], None], count: int, workers: int, done: Callable[[int], None] | None = None
) -> None:
    """Call `one` with 0 to count - 1 in so many threads; `done` hears here how many more are done."""
    blocks = [range(first, min(first + BLOCK, count)) for first in range(0, count, BLOCK)]

    def several(numbers: range) -> int:
        for number in numbers:
            one(number)
        return len(numbers)

    if min(workers, len(blocks)) < 2:
        for block in blocks:
            worked = several(block)
            if done is not None:
                done(worked)
        return
    with ThreadPoolExecutor(workers, "ramstill-batch") as pool:
        waiting: deque[Future[int]] = deque(pool.submit(several, block) for block in blocks)
        try:
            while waiting:
                worked = waiting.popleft().result()
                if done is not None:
                    done(worked)
        finally:
            for late in waiting:
                late.cancel()


def processors() -> int:
    """How many processors this process may use."""
    here = getattr(os, "sched_getaffinity", None)
    return len(here(0)) if here else os.cpu_count() or 1
