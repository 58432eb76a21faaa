"""From a network and its surroundings to the arrays of the kernel."""

from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics.elimination import plan
from ramstill.pneumatics.equations import Plumbing
from ramstill.pneumatics.laws import coefficients, thresholds
from ramstill.pneumatics.network import FloatArray, Network
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.step import Pieces
from ramstill.pneumatics.surroundings import Surroundings


def assemble(network: Network) -> tuple[Plumbing, tuple[str, ...]]:
    """The network for the kernel, and the boundaries its links touch, in the kernel's order."""
    n = len(network.node_names)
    ends = np.stack([network.link_a, network.link_b], axis=1).reshape(-1, 2)
    touched = np.unique(ends[ends >= n])
    place = {int(end): n + i for i, end in enumerate(touched)} | {i: i for i in range(n)}
    a, b = (np.array([place[int(end)] for end in column], dtype=np.int64) for column in ends.T)
    pairs = [(int(i), int(j)) for i, j in zip(a, b, strict=True) if max(i, j) < n]
    made, slots = plan(n, pairs)
    spare = len(slots)
    where = [
        [slots.get(entry, spare) for entry in ((i, i), (i, j), (j, i), (j, j))]
        for i, j in zip(a.tolist(), b.tolist(), strict=True)
    ]
    conductance, inertia, compensated = coefficients(network)
    hold_ab, hold_ba = thresholds(network)
    plumbing = Plumbing(
        capacity=network.capacity,
        a=a,
        b=b,
        conductance=conductance,
        inertia=inertia,
        compensated=compensated,
        hold_ab=hold_ab,
        hold_ba=hold_ba,
        slots=np.array(where, dtype=np.int64).reshape(-1, 4),
        entries=spare + 1,
        plan=made,
    )
    return plumbing, tuple(network.boundary_names[int(end) - n] for end in touched)


def outside_arrays(surroundings: Surroundings, names: Iterable[str], start_s: float, end_s: float) -> Outside:
    """Those boundaries, with a flat stretch before the first knot and one after the last."""
    columns = [surroundings.column(name) for name in names]
    knots = surroundings.knots_s
    before, after = min(start_s, knots[0]) - 1.0, max(end_s, knots[-1]) + 1.0
    # .copy(): picking columns may turn rows and columns around, and the kernel would be compiled once more
    pressure = surroundings.pressure_pa[:, columns].copy()
    left, right = (
        surroundings.slope_left_pa_s[:, columns].copy(),
        surroundings.slope_right_pa_s[:, columns].copy(),
    )
    left[0] = 0.0
    right[-1] = 0.0
    flat = np.zeros((1, len(columns)))
    return Outside(
        knots=np.concatenate([[before], knots, [after]]),
        pressure=np.concatenate([pressure[:1], pressure, pressure[-1:]]),
        left=np.concatenate([flat, left, flat]),
        right=np.concatenate([flat, right, flat]),
    )


def pieces(
    network: Network, surroundings: Surroundings, outside: Outside, start_s: float, end_s: float
) -> Pieces:
    """Cut the time from start to end [s] at every kink of the surroundings and of what opens and shuts."""
    schedules = [
        (i, schedule) for i, schedule in enumerate(open_shares(network, surroundings)) if schedule is not None
    ]
    kinks = {surroundings.start_s, surroundings.end_s, *surroundings.kinks_s}
    kinks.update(t for _, schedule in schedules for t in schedule.knots)
    begin = np.array([start_s, *sorted(t for t in kinks if start_s < t < end_s), end_s])
    openness = np.ones((len(begin) - 1, len(network.link_names)))
    rate = np.zeros_like(openness)
    for i, schedule in schedules:
        openness[:, i] = schedule.at(begin[:-1])
        rate[:, i] = (schedule.at_left(begin[1:]) - openness[:, i]) / np.diff(begin)
    return Pieces(
        begin=begin,
        first_knot=_knots_at(outside.knots, begin[:-1], "right"),
        last_knot=_knots_at(outside.knots, begin[1:], "left"),
        openness=openness,
        opening_rate=rate,
    )


def open_shares(network: Network, surroundings: Surroundings) -> tuple[Schedule | None, ...]:
    """Open share of each link over time: the network's, times what shuts an opening from outside."""
    for name, schedule in surroundings.openness.items():
        network = network.with_openness(name, schedule)
    return network.openness


def _knots_at(knots: FloatArray, times: FloatArray, side: str) -> NDArray[np.int64]:
    found = np.searchsorted(knots, times, side="right" if side == "right" else "left") - 1
    return np.asarray(found, dtype=np.int64)
