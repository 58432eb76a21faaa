"""Where the pressures come to rest when nothing outside changes any more."""

from collections.abc import Mapping

import numpy as np
from numpy.typing import ArrayLike

from ramstill.pneumatics._compiled import entry_jit
from ramstill.pneumatics.assembly import assemble, volumes_at
from ramstill.pneumatics.elimination import factor, solve
from ramstill.pneumatics.equations import (
    BY_A,
    BY_B,
    OUT_OF_LAW,
    SLOPES,
    flows_by_law,
    gather,
    linearise,
    stiffness_of,
)
from ramstill.pneumatics.network import FloatArray, Network
from ramstill.pneumatics.plumbing import CAPACITY, A, B, Plumbing

_CLOSE_PA = 1e-7  # the last move of any volume when the search ends [Pa]
_MOST_ROUNDS = 300
_SWELL_ROUNDS = 50


def settle(
    network: Network,
    boundary_pa: ArrayLike | Mapping[str, float],
    initial_pa: ArrayLike | None = None,
    at_s: float = 0.0,
) -> FloatArray:
    """Equilibrium pressures (n,) [Pa] with the boundaries held.

    boundary_pa: (b,) in the order of the network's `boundary_names`, or by name [Pa]; at_s: when the
    schedules of openness are read [s]. Volumes shut off from every boundary keep their air: they even out
    among themselves what `initial_pa` (n,) gave them, or take the mean of the boundaries where it is not
    given; what swells into them presses them together. All the air is as warm as its walls. Raises
    ValueError for shapes that do not fit.
    """
    names = network.boundary_names
    if isinstance(boundary_pa, Mapping):
        held = np.array([boundary_pa[name] for name in names], dtype=np.float64)
    else:
        held = np.asarray(boundary_pa, dtype=np.float64)
    if held.shape != (len(names),):
        raise ValueError("one pressure is needed for each boundary")
    plumbing, touched = assemble(network)
    outer = held[[names.index(name) for name in touched]]
    mean = float(np.mean(outer if len(outer) else held)) if len(held) else np.nan
    n = len(network.node_names)
    y = np.full(n, mean) if initial_pa is None else np.array(initial_pa, dtype=np.float64)
    if y.shape != (n,) or not (y > 0.0).all():
        raise ValueError("the initial pressures are one for each volume, and above zero")
    openness = _open_at(network, at_s)
    joined = (openness > 0.0) & (plumbing.conductance > 0.0)
    return _settled(plumbing, outer, openness, y, _parts(plumbing, joined, n))


def settle_each(
    network: Network, boundary_pa: FloatArray, initial_pa: FloatArray, at_s: FloatArray
) -> FloatArray:
    """As `settle` at each of k times [s]: boundary_pa (k, b), initial_pa and what is returned (k, n) [Pa]."""
    plumbing, touched = assemble(network)
    columns = [network.boundary_names.index(name) for name in touched]
    found = np.array(initial_pa, dtype=np.float64)
    known: dict[bytes, tuple[np.ndarray, list[np.ndarray]]] = {}
    for row, when in enumerate(at_s):
        outer = np.array(boundary_pa[row, columns], dtype=np.float64)
        openness = _open_at(network, float(when))
        joined = (openness > 0.0) & (plumbing.conductance > 0.0)
        name = joined.tobytes()
        if name not in known:
            known[name] = _parts(plumbing, joined, found.shape[1])
        found[row] = _settled(plumbing, outer, openness, found[row], known[name])
    return found


def _open_at(network: Network, at_s: float) -> FloatArray:
    return np.array([1.0 if s is None else float(s.at(at_s)) for s in network.openness])


def _settled(
    plumbing: Plumbing,
    outer: FloatArray,
    openness: FloatArray,
    y: FloatArray,
    parts: tuple[np.ndarray, list[np.ndarray]],
) -> FloatArray:
    reached, shut = parts
    start = y.copy()
    volume = volumes_at(plumbing, start)
    for inside in shut:
        _even_out(plumbing, start, volume, inside, y)
    if reached.any():
        y[reached] = _rest(plumbing, outer, openness, y)[reached]
    if len(plumbing.swell_a):  # what swells into shut air presses it together, and that pushes back
        for _ in range(_SWELL_ROUNDS):
            before, now = y.copy(), volumes_at(plumbing, y)
            for inside in shut:
                if (now[inside] != volume[inside]).any():
                    _even_out(plumbing, start, volume, inside, y, now)
            if np.max(np.abs(y - before)) < _CLOSE_PA:
                break
    return y


def _even_out(
    plumbing: Plumbing,
    start: FloatArray,
    volume: FloatArray,
    inside: np.ndarray,
    y: FloatArray,
    now: FloatArray | None = None,
) -> None:
    """Even out shut air, in place: its mass at `start` [Pa] in `volume` [m3], in what it has now [m3]."""
    if now is None:
        now = volume
        if np.ptp(y[inside]) == 0.0:
            return
    wall = plumbing.wall[inside]
    mass = float(np.sum(start[inside] * volume[inside] / wall))
    y[inside] = mass / float(np.sum(now[inside] / wall))


def _parts(plumbing: Plumbing, joined: np.ndarray, n: int) -> tuple[np.ndarray, list[np.ndarray]]:
    """Which volumes some boundary reaches (n,), and which belong together of those that none does."""
    group = list(range(n))

    def root(i: int) -> int:
        while group[i] != i:
            i = group[i]
        return i

    links = [(int(a), int(b)) for a, b in zip(plumbing.a[joined], plumbing.b[joined], strict=True)]
    for a, b in links:
        if max(a, b) < n:
            group[root(a)] = root(b)
    roots = np.array([root(i) for i in range(n)])
    open_roots = {roots[min(a, b)] for a, b in links if max(a, b) >= n}
    reached = np.isin(roots, list(open_roots))
    return reached, [roots == root for root in sorted(set(roots.tolist()) - open_roots)]


def _rest(plumbing: Plumbing, outer: FloatArray, openness: FloatArray, start: FloatArray) -> FloatArray:
    """Where pressures (n,) [Pa] come to rest from where they start."""
    links = plumbing.links.shape[1]
    pressure = np.concatenate([start, outer])
    still, flow, slopes = np.zeros_like(pressure), np.zeros(links), np.zeros((SLOPES, links))
    stiffness, move = np.zeros(plumbing.entries), np.zeros_like(pressure)
    come_to_rest(plumbing, openness, pressure, flow, still, np.zeros(links), slopes, stiffness, move)
    return pressure[: len(start)]


@entry_jit
def come_to_rest(
    plumbing: Plumbing,
    openness: FloatArray,
    pressure: FloatArray,
    flow: FloatArray,
    still: FloatArray,
    idle: FloatArray,
    slopes: FloatArray,
    stiffness: FloatArray,
    move: FloatArray,
) -> None:
    """Implicit steps in pressures (n + b,) and flows (l,) that grow while they go well, ending as Newton's
    method.

    still (n + b,), idle (l,): zeros; slopes, stiffness (entries,) and move (n + b,) are worked in.
    """
    n = plumbing.volumes.shape[1]
    flows_by_law(plumbing, pressure, openness, flow)
    step = 1e-3
    for _ in range(_MOST_ROUNDS):
        linearise(plumbing, pressure, still, openness, idle, flow, slopes)
        stiffness_of(plumbing, slopes, stiffness)
        for m in range(n):
            stiffness[m] += plumbing.volumes[CAPACITY, m] / step
        gather(plumbing, flow, slopes, move)
        factor(plumbing.plan, stiffness)
        solve(plumbing.plan, stiffness, move)
        largest, goes_well = 0.0, True
        for m in range(n):
            largest = max(largest, abs(move[m]))
            goes_well = goes_well and pressure[m] + move[m] > 0.1 * pressure[m]  # NaN does not
        if not goes_well:
            step *= 0.1
            continue
        for m in range(n, len(move)):
            move[m] = 0.0
        for m in range(n):
            pressure[m] += move[m]
        for i in range(plumbing.ends.shape[1]):
            a, b = plumbing.ends[A, i], plumbing.ends[B, i]
            flow[i] += slopes[OUT_OF_LAW, i] + slopes[BY_A, i] * move[a] + slopes[BY_B, i] * move[b]
        if largest < _CLOSE_PA and step >= 1e12:
            break
        step = min(1e15, step * (30.0 if largest < 1e3 else 3.0))
