"""What in a run was too quick for an engine without inertia, and what that hides on each pointer.

Looked for where the engine's own pressures at the instruments bend fast. There each change of the air outside
and of the openings is given to the engine linearised and to the full response of the same plumbing
(`pneumatics.step_departures`); their difference goes through each instrument's own law, lag and stops.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ramstill.run.needles import needle_change, unsaid_si
from ramstill.run.record import FloatArray, Run, TooQuick

if TYPE_CHECKING:
    from ramstill.pneumatics import Network, Schedule

# What departs from a straight line by less, LOOK_S before to LOOK_S after, hides less than that where the air
# has no inertia: at most 15 ft/min, 0.1 kt at 60 kt.
ROUGH_PA, LOOK_S = 2.0, 0.1
TAIL_S = 4.0  # the slowest plumbing has calmed down
MOST_AT_ONCE_S = 240.0
SEEN_S = 0.05  # a flick that is over sooner is not seen: common practice, no source
APART_S = 2.0  # what shows up again within this is one event
MOST_CHANGES = 24  # of the plumbing, the ones with the largest differences


class _Change(NamedTuple):
    """One opening or shutting of a link in the plumbing."""

    link: int
    begin_s: float
    end_s: float
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class _Felt:
    """What a run's engine knows: pressures at all tappings (t, n), and which of them instruments read."""

    run: Run
    network: Network
    openness: tuple[Schedule | None, ...]
    pressure_pa: FloatArray
    tappings: tuple[str, ...]

    def before(self, at_s: float) -> FloatArray:
        """Pressure at every tapping just before a time [Pa], (n,): the sample there, or the last one."""
        times = self.run.time_s
        return np.asarray(self.pressure_pa[max(int(np.searchsorted(times, at_s + 1e-9)) - 1, 0)])

    def shares(self, at_s: float) -> tuple[float, ...]:
        """Open share of every link from a time on."""
        return tuple(1.0 if one is None else float(one.at(at_s)) for one in self.openness)

    def held(self, shares: tuple[float, ...]) -> Network:
        """The network with its links open by these shares."""
        from ramstill.pneumatics import Schedule

        return replace(self.network, openness=tuple(Schedule.constant(share) for share in shares))


def find(run: Run) -> tuple[TooQuick, ...]:
    """Everything that was too quick, in order of time, the panel's order where times are alike."""
    felt = _felt(run)
    found: list[TooQuick] = []
    stretches = _rough(felt)
    if not stretches:
        return ()
    changes = _changes(felt, stretches)
    for begin, end in stretches:
        for first, last in _pieces(begin, end):
            grid, added = _added(felt, changes, first, last)
            found += _shown(felt, grid, added, first, last)
    order = {pointer.name: i for i, pointer in enumerate(run.panel)}
    return tuple(sorted(_joined(found), key=lambda one: (one.at_s, order[one.pointer])))


def _felt(run: Run) -> _Felt:
    from ramstill.instruments.pointers import tappings_of
    from ramstill.pneumatics.assembly import open_shares

    network, around = run.applied.network, run.applied.surroundings
    tappings = dict.fromkeys(name for one in run.airplane.instruments for name in tappings_of(one))
    pressure = np.stack([run.pressure_pa[name] for name in network.node_names], axis=1)
    return _Felt(run, network, open_shares(network, around), pressure, tuple(tappings))


def _rough(felt: _Felt) -> list[tuple[float, float]]:
    """Stretches of time [s] in which a pressure at an instrument departs fast from a straight line."""
    times = felt.run.time_s
    if len(times) < 3:
        return []
    step = float(np.median(np.diff(times)))
    values = np.stack([felt.run.pressure_pa[name] for name in felt.tappings], axis=1)
    h = max(1, round(LOOK_S / step))
    bend = np.abs(values[2 * h :] - 2.0 * values[h:-h] + values[: -2 * h]).max(axis=1, initial=0.0)
    at = np.flatnonzero(bend > ROUGH_PA)
    if not len(at):
        return []
    groups = np.split(at, np.flatnonzero(np.diff(at) > 1) + 1)
    found = [(float(times[group[0]]), float(times[group[-1] + 2 * h])) for group in groups]
    joined: list[tuple[float, float]] = []
    for begin, end in found:
        if joined and begin <= joined[-1][1] + TAIL_S:
            joined[-1] = (joined[-1][0], max(joined[-1][1], end))
        else:
            joined.append((begin, end))
    return joined


def _pieces(begin_s: float, end_s: float) -> Iterator[tuple[float, float]]:
    """A stretch with its tail, cut into pieces that memory holds."""
    count = max(1, int(np.ceil((end_s + TAIL_S - begin_s) / MOST_AT_ONCE_S)))
    yield from pairwise(np.linspace(begin_s, end_s + TAIL_S, count + 1).tolist())


def _changes(felt: _Felt, stretches: list[tuple[float, float]]) -> list[_Change]:
    """Openings and shuttings of links that touch a stretch, the largest ones, in order of time."""
    found = []
    for link, schedule in enumerate(felt.openness):
        if schedule is None or not schedule.knots:
            continue
        for begin, end, before, after in _runs(schedule):
            inside = felt.run.time_s[0] < end and begin <= felt.run.time_s[-1]
            if inside and any(begin <= last and end >= first for first, last in stretches):
                found.append(_Change(link, max(begin, float(felt.run.time_s[0])), end, before, after))
    largest = sorted(found, key=lambda change: -abs(_standing(felt, change)))[:MOST_CHANGES]
    return sorted(largest, key=lambda change: (change.begin_s, change.link))


def _runs(schedule: Schedule) -> list[tuple[float, float, float, float]]:
    """(begin, end, value before, value after) of each rise or fall, pieces of one way joined."""
    found: list[tuple[float, float, float, float]] = []
    points = zip(schedule.times_s, schedule.values, strict=True)
    for (t0, v0), (t1, v1) in pairwise(points):
        if v0 == v1:
            continue
        last = found[-1] if found else None
        if last is not None and last[1] == t0 and (last[3] > last[2]) == (v1 > v0):
            found[-1] = (last[0], t1, last[2], v1)
        else:
            found.append((t0, t1, v0, v1))
    return found


def _standing(felt: _Felt, change: _Change) -> float:
    """Difference across a link from a to b [Pa]: before it shuts, or the largest while it opens."""
    times = felt.run.time_s
    first = max(int(np.searchsorted(times, change.begin_s + 1e-9)) - 1, 0)
    last = max(int(np.searchsorted(times, change.end_s - 1e-9)), first + 1)
    last = last if change.after > change.before else first + 1
    when, n = times[first:last], felt.pressure_pa.shape[1]
    around = felt.run.applied.surroundings

    def at(end: int) -> FloatArray:
        if end < n:
            return np.asarray(felt.pressure_pa[first:last, end])
        return np.asarray(around.at_left(when)[:, end - n])

    ends = felt.network.link_a[change.link], felt.network.link_b[change.link]
    across = at(int(ends[0])) - at(int(ends[1]))
    return float(across[np.argmax(np.abs(across))])


def _added(
    felt: _Felt, changes: list[_Change], first_s: float, last_s: float
) -> tuple[FloatArray, dict[str, FloatArray]]:
    """A fine grid [s] from before a piece on, and what the engine leaves out at each tapping [Pa]."""
    from ramstill.pneumatics.departures import STEP_HZ

    start = max(first_s - TAIL_S, float(felt.run.time_s[0]))
    grid = start + np.arange(int(np.ceil((last_s - start) * STEP_HZ)) + 1) / STEP_HZ
    total = np.zeros((len(felt.tappings), len(grid)))
    inside = [change for change in changes if start <= change.end_s and change.begin_s <= last_s]
    _add_changes(felt, inside, grid, total)
    _add_outside(felt, inside, grid, total)
    return grid, dict(zip(felt.tappings, total, strict=True))


def _add_changes(felt: _Felt, changes: list[_Change], grid: FloatArray, total: FloatArray) -> None:
    """Links that open or shut: all that begin and end together are worked out together."""
    from ramstill.pneumatics.departures import STEP_HZ, Change, step_departures

    for times in sorted({(change.begin_s, change.end_s) for change in changes}):
        begin, end = times
        together = [change for change in changes if (change.begin_s, change.end_s) == times]
        sudden = [
            Change(change.link, change.before, change.after, _standing(felt, change), end - begin)
            for change in together
        ]
        outside = felt.run.applied.surroundings.at_left([begin])[0]
        network = felt.held(felt.shares(end))
        departures = step_departures(network, felt.tappings, felt.before(begin), outside, sudden)
        for i, change in enumerate(together):
            spread = float(departures.spread_s[i])
            # what opens matters when it begins to, what shuts when it is nearly shut
            starts = begin if change.after > change.before else end - spread
            ramp = np.clip((grid - starts) / max(spread, 1.0 / STEP_HZ) + 1e-9, 0.0, 1.0)
            _convolve(np.diff(ramp, prepend=0.0)[:, None], departures.of_changes[:, i : i + 1], total)


def _add_outside(felt: _Felt, changes: list[_Change], grid: FloatArray, total: FloatArray) -> None:
    """The air outside, piece by piece between changes of the plumbing."""
    from ramstill.pneumatics.departures import STEP_HZ, step_departures

    around = felt.run.applied.surroundings
    cuts = [float(grid[0]), *sorted({c.end_s for c in changes if grid[0] < c.end_s < grid[-1]}), np.inf]
    outside = around.at(grid)
    h = round(0.25 * STEP_HZ)
    bend = np.zeros(len(grid))
    if len(grid) > 2 * h:
        bends = np.abs(outside[2 * h :] - 2.0 * outside[h:-h] + outside[: -2 * h])
        bend[h:-h] = bends.max(axis=1)
    for begin, end in pairwise(cuts):
        inside = (grid >= begin) & (grid < end)
        if not inside.any() or bend[inside].max() < 0.25 * ROUGH_PA:
            continue
        at = float(grid[inside][np.argmax(bend[inside])])
        network = felt.held(felt.shares(at))
        departures = step_departures(network, felt.tappings, felt.before(at), around.at_left([at])[0])
        steps = np.diff(outside, axis=0, prepend=outside[:1])
        # what goes on evenly has long been going on
        steps = np.where(inside[:, None], steps - steps[1], 0.0)
        _convolve(steps, departures.of_boundaries, total)


def _convolve(steps: FloatArray, responses: FloatArray, total: FloatArray) -> None:
    """Add to `total` (k, t) the sum of step responses (k, c, s) to steps (t, c)."""
    from ramstill.pneumatics.departures import EARLY_S, STEP_HZ

    early = round(EARLY_S * STEP_HZ)
    size = 1 << (len(steps) + responses.shape[2] - 1).bit_length()
    driven = np.fft.rfft(steps, size, axis=0)
    summed = np.einsum("fc,kcf->kf", driven, np.fft.rfft(responses, size, axis=2))
    total += np.fft.irfft(summed, size, axis=1)[:, early : early + total.shape[1]]


def _shown(
    felt: _Felt, grid: FloatArray, added: dict[str, FloatArray], first_s: float, last_s: float
) -> list[TooQuick]:
    """Where a pointer is off by what counts within a piece."""
    found = []
    run = felt.run
    for pointer in run.panel:
        off = needle_change(run, pointer, grid, added)
        off[(grid < first_s) | (grid > last_s)] = 0.0
        over = np.flatnonzero(np.abs(off) > unsaid_si(pointer))
        if not len(over):
            continue
        cuts = np.flatnonzero(np.diff(grid[over]) > APART_S)
        for group in np.split(over, cuts + 1):
            if len(group) * (grid[1] - grid[0]) < SEEN_S:
                continue
            worst = int(group[np.argmax(np.abs(off[group]))])
            found.append(
                TooQuick(
                    pointer=pointer.name,
                    at_s=float(grid[group[0]]),
                    until_s=float(grid[group[-1]]),
                    off_si=float(off[worst]),
                    cause=_cause(run, float(grid[group[0]])),
                )
            )
    return found


def _joined(found: list[TooQuick]) -> list[TooQuick]:
    """What one piece ends with and the next goes on with is one event."""
    joined: list[TooQuick] = []
    for one in sorted(found, key=lambda each: (each.pointer, each.at_s)):
        last = joined[-1] if joined else None
        if last is not None and last.pointer == one.pointer and one.at_s - last.until_s <= APART_S:
            worse = max((last, one), key=lambda each: abs(each.off_si))
            joined[-1] = replace(last, until_s=one.until_s, off_si=worse.off_si)
        else:
            joined.append(one)
    return joined


def _cause(run: Run, at_s: float) -> str:
    """The fault that has just come or gone, else what is flown or applied; "" where nothing is named."""
    from ramstill.faults import catalogue
    from ramstill.run.phrases import first_down

    def since(fault_times: tuple[float, ...]) -> float:
        return min((at_s - t for t in fault_times if at_s - t >= -0.1), default=np.inf)

    near = []
    for fault in run.faults:
        times = (fault.onset_s, fault.onset_s + fault.gradual_s)
        ends = () if fault.end_s is None else (fault.end_s,)
        name = first_down(catalogue()[fault.name].title)
        near += [(since(times), name), (since(ends), f"{name}, gone")]
        if fault.onset_s <= at_s <= fault.onset_s + fault.gradual_s:
            near.append((0.0, name))
    closest = min(near, default=(np.inf, ""))
    if closest[0] <= TAIL_S:
        return closest[1]
    phases = [name for begin, name in run.truth.phases if begin <= at_s + 0.1]
    return phases[-1] if phases else ""
