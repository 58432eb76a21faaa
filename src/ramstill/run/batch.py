"""Many cases of one airplane in the same surroundings, side by side: other faults, severities, onsets."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence, Sized
from dataclasses import dataclass, replace
from itertools import chain, islice
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import DTypeLike, NDArray

from ramstill.errors import InputError
from ramstill.run.preparing import Prepared, Tappings, Worked, prepare, with_part, work_out
from ramstill.run.preparing import tappings as tappings_for
from ramstill.run.progress import Bar
from ramstill.run.record import TOLERANCE_PA, FloatArray
from ramstill.run.simulating import OUTPUT_HZ

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.pneumatics import Surroundings, Truth

Case = tuple["Fault", ...]
Values = NDArray[Any]
ALL = "all"  # every tapping
CHUNK_BYTES = 32 * 2**20  # how large a chunk is unless asked otherwise
MOST_IN_A_CHUNK = 256


@dataclass(frozen=True, slots=True)
class Channel:
    """One column of a batch. name: of a pointer or a tapping; unit: "m/s", "m" or "Pa"; what it is."""

    name: str
    unit: Literal["m/s", "m", "Pa"]
    what: Literal["pointer", "tapping"]


@dataclass(frozen=True, slots=True, eq=False)
class Batch:
    """Cases of one airplane in the same surroundings, worked out over time.

    cases: the faults of each; first: number of the first case, where this is a chunk of more; time_s (t,)
    [s]; channels: what the last axis of `values` holds, all pointers first, then the tappings asked for;
    values (case, t, channel), SI: m/s, m or Pa, NaN where nothing is shown; healthy (t, channel): the same
    without faults; truth: what is really so, at `time_s`. Iterating gives chunks of `chunk` cases, which are
    views of this one.
    """

    airplane: Airplane
    surroundings: Surroundings
    cases: tuple[Case, ...]
    first: int
    time_s: FloatArray
    channels: tuple[Channel, ...]
    values: Values
    healthy: Values
    truth: Truth
    chunk: int

    def __len__(self) -> int:
        """How many cases."""
        return len(self.cases)

    def __iter__(self) -> Iterator[Batch]:
        for begin in range(0, len(self.cases), self.chunk):
            end = begin + self.chunk
            yield replace(
                self, cases=self.cases[begin:end], first=self.first + begin, values=self.values[begin:end]
            )

    def place(self, channel: str) -> int:
        """Where a channel is on the last axis; KeyError when there is none of that name."""
        for i, one in enumerate(self.channels):
            if one.name == channel:
                return i
        raise KeyError(channel)

    def of(self, channel: str) -> Values:
        """One channel of all cases, (case, t); a view. KeyError when there is none of that name."""
        return self.values[:, :, self.place(channel)]

    def change(self, channel: str) -> Values:
        """What the faults change in one channel, (case, t): less what the airplane shows without them."""
        return np.asarray(self.of(channel) - self.healthy[:, self.place(channel)])

    def true(self, pointer: str) -> FloatArray:
        """What a pointer ought to show, SI (t,): see `instruments.truth_for`. KeyError for an unknown one."""
        from ramstill.instruments import pointers_of, truth_for

        for one in pointers_of(self.airplane):
            if one.name == pointer:
                return np.asarray(truth_for(one, self.truth), dtype=np.float64)
        raise KeyError(pointer)


def simulate_batch(
    plane: Airplane | str | Path,
    surroundings: Surroundings,
    cases: Iterable[Iterable[Fault]],
    *,
    output_hz: float = OUTPUT_HZ,
    tolerance_pa: float = TOLERANCE_PA,
    pointers: Sequence[str] | None = None,
    tappings: Sequence[str] | None = None,
    dtype: DTypeLike = np.float32,
    chunk: int | None = None,
    workers: int | None = None,
    progress: bool | None = None,
) -> Batch:
    """Work out many cases, each a sequence of faults (none: the healthy airplane): as `simulate` does each.

    plane, surroundings, output_hz [Hz], tolerance_pa [Pa]: see `simulate`. pointers: those wanted, by
    default all; tappings: whose pressures are wanted beside them, "all" for every one. dtype: float32 or
    float64; float32 resolves 0.001 ft and 0.008 Pa at sea level. chunk: cases in a chunk when the batch is
    iterated. workers: threads, by default one a processor; the values are the same for any number. progress:
    False for no bar on stderr; by default there is one when it takes more than a second. Raises InputError,
    a fault's naming its case, counted from 0; all faults are looked at before the first case is worked out.
    """
    kept = [_case(number, faults) for number, faults in enumerate(_listed(cases))]
    shared = share(plane, surroundings, output_hz, tolerance_pa, tappings, dtype, chunk, pointers)
    known: set[object] = set()
    for number, faults in enumerate(kept):
        _check(shared, number, faults, known)
    with Bar("Working out cases", len(kept), progress is not False) as bar:
        values = _worked(shared, 0, kept, _workers(workers), bar)
    return _batch(shared, 0, kept, values)


def iter_batch(
    plane: Airplane | str | Path,
    surroundings: Surroundings,
    cases: Iterable[Iterable[Fault]],
    *,
    output_hz: float = OUTPUT_HZ,
    tolerance_pa: float = TOLERANCE_PA,
    tappings: Sequence[str] | None = None,
    dtype: DTypeLike = np.float32,
    chunk: int | None = None,
    workers: int | None = None,
    progress: bool | None = None,
) -> Iterator[Batch]:
    """Work out cases chunk by chunk, for more of them than memory holds; cases may be a generator.

    As `simulate_batch`, but nothing is kept of a chunk that was handed on: with the one before it, which a
    caller may still hold, two are in memory. chunk: cases in one, by default what 32 MiB hold. A case that
    does not fit is refused when its chunk is reached.
    """
    shared = share(plane, surroundings, output_hz, tolerance_pa, tappings, dtype, chunk)
    source, threads = iter(_listed(cases)), _workers(workers)
    total = len(cases) if isinstance(cases, Sized) else None
    return _chunks(shared, source, threads, total, progress is not False)


def _chunks(
    shared: Shared, source: Iterator[Any], threads: int, total: int | None, bar_wanted: bool
) -> Iterator[Batch]:
    first, known = 0, set[object]()
    with Bar("Working out cases", total, bar_wanted) as bar:
        while cases := [_case(first + i, faults) for i, faults in enumerate(islice(source, shared.chunk))]:
            for i, faults in enumerate(cases):
                _check(shared, first + i, faults, known)
            # handed on without a name of its own here, which would keep it alive
            yield _batch(shared, first, cases, _worked(shared, first, cases, threads, bar))
            first += len(cases)


@dataclass(frozen=True, slots=True)
class Shared:
    """What does not depend on the case.

    inside: the tappings worked out; nodes: where the wanted ones are among them; healthy: (t, channel).
    """

    prepared: Prepared
    channels: tuple[Channel, ...]
    inside: Tappings
    nodes: tuple[int, ...]
    healthy: Values
    chunk: int


def share(
    plane: Airplane | str | Path,
    surroundings: Surroundings,
    output_hz: float,
    tolerance_pa: float,
    tappings: Sequence[str] | None,
    dtype: DTypeLike,
    chunk: int | None,
    pointers: Sequence[str] | None = None,
) -> Shared:
    """Prepare what all cases share, for the arguments of `simulate_batch`. Raises InputError."""
    kind = np.dtype(dtype)
    if kind not in (np.dtype(np.float32), np.dtype(np.float64)):
        raise InputError("batch", "dtype", kind.name, "float32 or float64")
    if chunk is not None:
        _whole("chunk", chunk)
    if isinstance(plane, str | Path):
        from ramstill import airplane as airplanes

        plane = airplanes.load(plane)
    watched = None if pointers is None else _watched(plane, pointers)
    prepared = prepare(plane, surroundings, output_hz, tolerance_pa, outside=False, watched=watched)
    names = prepared.healthy.node_names
    wanted = names if isinstance(tappings, str) and tappings == ALL else tappings or ()
    wanted = (wanted,) if isinstance(wanted, str) else tuple(wanted)
    for name in wanted:
        if name not in names:
            raise InputError("batch", "tappings", name, ", ".join(names))
    channels = _channels(prepared, wanted, pointers)
    if chunk is None:
        one = len(prepared.time_s) * len(channels) * kind.itemsize
        chunk = max(1, min(MOST_IN_A_CHUNK, CHUNK_BYTES // one))
    inside = tappings_for(prepared, wanted)
    if watched is not None:
        prepared = with_part(prepared, inside)
    nodes = tuple(inside.names.index(name) for name in wanted)
    healthy = np.empty((len(prepared.time_s), len(channels)), kind)
    shared = Shared(prepared, channels, inside, nodes, healthy, int(chunk))
    _fill(shared, prepared.pointers, inside.healthy_pa, 0, healthy)
    return shared


def _watched(plane: Airplane, pointers: Sequence[str]) -> frozenset[str]:
    """The instruments that have these pointers; InputError for one that none has."""
    from ramstill.instruments import pointers_of

    owners = {one.name: one.instrument.name for one in pointers_of(plane)}
    for name in pointers:
        if name not in owners:
            raise InputError("batch", "pointers", name, ", ".join(owners))
    return frozenset(owners[name] for name in pointers)


def _channels(
    prepared: Prepared, tappings: Sequence[str], wanted: Sequence[str] | None
) -> tuple[Channel, ...]:
    from ramstill.instruments import pointers_of

    pointers = [
        Channel(one.name, "m" if one.shows == "altitude" else "m/s", "pointer")
        for one in pointers_of(prepared.airplane)
        if wanted is None or one.name in wanted
    ]
    return (*pointers, *(Channel(name, "Pa", "tapping") for name in tappings))


def _worked(shared: Shared, first: int, cases: Sequence[Case], workers: int, bar: Bar) -> Values:
    """Values (case, t, channel) of some cases."""

    def work(i: int) -> Worked:
        return work_out(shared.prepared, cases[i], shared.inside, f"case {first + i}")

    return fill_in(shared, len(cases), work, workers, bar.step)


def fill_in(
    shared: Shared,
    count: int,
    work: Callable[[int], Worked],
    workers: int,
    done: Callable[[int], None] | None = None,
) -> Values:
    """Values (case, t, channel): each thread works out whole cases. `done` hears how many more there are."""
    from ramstill.pneumatics.batch import side_by_side

    out = np.empty((count, *shared.healthy.shape), shared.healthy.dtype)

    def one(i: int) -> None:
        worked = work(i)
        out[i, : worked.rows] = shared.healthy[: worked.rows]
        _fill(shared, worked.pointers, worked.pressure_pa, worked.rows, out[i])

    side_by_side(one, count, workers, done)
    return out


def _fill(
    shared: Shared, pointers: dict[str, FloatArray], pressure: FloatArray, row: int, out: Values
) -> None:
    """Fill `out` (t, channel) from a row on."""
    shown = (pointers[one.name] for one in shared.channels if one.what == "pointer")
    for i, column in enumerate(chain(shown, (pressure[:, node] for node in shared.nodes))):
        out[row:, i] = column[row:]


def _batch(shared: Shared, first: int, cases: Sequence[Case], values: Values) -> Batch:
    prepared = shared.prepared
    return Batch(
        airplane=prepared.airplane,
        surroundings=prepared.surroundings,
        cases=tuple(cases),
        first=first,
        time_s=prepared.time_s,
        channels=shared.channels,
        values=values,
        healthy=shared.healthy,
        truth=prepared.truth,
        chunk=shared.chunk,
    )


def _listed(cases: Any) -> Iterable[Any]:
    if isinstance(cases, str) or not isinstance(cases, Iterable):
        raise InputError("batch", "cases", repr(cases), "a sequence of cases, each a sequence of faults")
    return cases


def _case(number: int, faults: Any) -> Case:
    from ramstill.faults import Fault

    allowed = "a sequence of ramstill.faults.Fault"
    if isinstance(faults, str) or not isinstance(faults, Iterable):
        raise InputError(f"case {number}", "", repr(faults), allowed)
    kept = tuple(faults)
    for fault in kept:
        if not isinstance(fault, Fault):
            raise InputError(f"case {number}", "", repr(fault), allowed)
    return kept


def _check(shared: Shared, number: int, faults: Case, known: set[object]) -> None:
    """Raise InputError for a fault that does not fit the airplane; when it comes and goes does not matter."""
    from ramstill.faults import check

    for fault in faults:
        key = (fault.name, fault.where, fault.size, fault.severity == 1.0, fault.gradual_s == 0.0)
        if key in known:
            continue
        try:
            check(fault, shared.prepared.airplane)
        except InputError as error:
            source = f"case {number}: {error.source}"
            raise InputError(source, error.field, error.read, error.allowed) from None
        known.add(key)


def _workers(workers: int | None) -> int:
    if workers is None:
        from ramstill.pneumatics.batch import processors

        return processors()
    return _whole("workers", workers)


def _whole(field: str, value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int | np.integer) or value < 1:
        raise InputError("batch", field, repr(value), "a whole number of 1 or more")
    return int(value)
