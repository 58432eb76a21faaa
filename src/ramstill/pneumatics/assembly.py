"""From a network and its surroundings to the arrays of the kernel."""

from collections.abc import Iterable
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import GAMMA, P0, R_AIR
from ramstill.pneumatics.elimination import Plan, plan
from ramstill.pneumatics.laws import figures
from ramstill.pneumatics.network import FloatArray, IntArray, Network, never_negative
from ramstill.pneumatics.openness import over_pieces
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.plumbing import COMPENSATED, HOLDING, LANES, MOST, PLAIN, SOFTNESS, Plumbing
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.step import Pieces
from ramstill.pneumatics.surroundings import Surroundings
from ramstill.pneumatics.swelling import MOST_SHARE, swollen
from ramstill.pneumatics.walls import case_heat

FADE_PA = 0.1  # over so much either way upstream turns into downstream, at standard sea level [Pa]
TINY = 1e-30  # [kg/s]


class Wiring(NamedTuple):
    """What follows from who is joined to whom, as `Plumbing` has it. touched: boundaries, as in a network.

    walls_a, walls_b (l,): the volume whose wall the air at either end is as warm as.
    """

    touched: tuple[int, ...]
    walls_a: IntArray
    walls_b: IntArray
    ends: IntArray
    swell_ends: IntArray
    entries: int
    plan: Plan


def wiring(network: Network) -> Wiring:
    """Of a network; worked out once for all that are joined alike, so nothing in it is to be changed."""
    ends = np.concatenate([network.link_a, network.link_b]).astype(np.int64, copy=False)
    swell = np.concatenate([network.swell_a, network.swell_b]).astype(np.int64, copy=False)
    return _wired(len(network.node_names), ends.tobytes(), swell.tobytes())


@lru_cache(maxsize=512)
def _wired(n: int, ends: bytes, swells: bytes) -> Wiring:
    both, swell = np.frombuffer(ends, dtype=np.int64), np.frombuffer(swells, dtype=np.int64)
    touched = np.unique(both[both >= n])
    at_boundary = n + np.searchsorted(touched, both)
    a, b = np.where(both < n, both, at_boundary).reshape(2, -1).copy()
    swell_a, swell_b = swell.reshape(2, -1)
    ends_of_both = zip([*a, *swell_a], [*b, *swell_b], strict=True)
    pairs = [(int(i), int(j)) for i, j in ends_of_both if min(i, j) >= 0 and max(i, j) < n]
    made, slots = plan(n, pairs)
    spare = len(slots)

    def where(first: IntArray, second: IntArray) -> IntArray:
        found = [
            [slots.get(entry, spare) for entry in ((i, i), (i, j), (j, i), (j, j))]
            for i, j in zip(first.tolist(), second.tolist(), strict=True)
        ]
        return np.array(found, dtype=np.int64).reshape(-1, 4).T

    walls_a, walls_b = np.where(a < n, a, b), np.where(b < n, b, a)
    return Wiring(
        touched=tuple(touched.tolist()),
        walls_a=walls_a,
        walls_b=walls_b,
        ends=np.stack([a, b, np.where(a < n, a, n + walls_a), np.where(b < n, b, n + walls_b), *where(a, b)]),
        swell_ends=np.stack([swell_a, swell_b, *where(swell_a, swell_b)]),
        entries=spare + 1,
        plan=made,
    )


def assemble(network: Network) -> tuple[Plumbing, tuple[str, ...]]:
    """The network for the kernel, and the boundaries its links touch, in the kernel's order."""
    n, joined, links = len(network.node_names), wiring(network), figures(network)
    swell_a, swell_b = network.swell_a, network.swell_b
    wall = network.temperature_k
    carried = 0.0 if network.heat == "isothermal" else 1.0
    gamma = 1.0 if network.heat == "isothermal" else GAMMA
    passed = heat_of_walls(network) if network.heat == "walls" else np.zeros(n)
    smaller = np.minimum(network.volume_m3[swell_a], network.volume_m3[np.maximum(swell_b, swell_a)])
    fade = np.maximum(2.0 * P0 * FADE_PA * links.conductance, TINY)
    holding = (links.hold_ab > 0.0) | (links.hold_ba > 0.0)
    plumbing = Plumbing(
        volumes=np.array([network.capacity, network.volume_m3, wall, (GAMMA - 1.0) * passed]),
        links=_in_lanes(
            links.conductance,
            links.inertia,
            links.reynolds,
            links.straight,
            links.hold_ab,
            links.hold_ba,
            fade * fade,
            (1.0 - carried) * wall[joined.walls_a],
            (1.0 - carried) * wall[joined.walls_b],
        ),
        ends=joined.ends,
        kind=np.where(links.compensated, COMPENSATED, np.where(holding, HOLDING, PLAIN)),
        swells=np.array([network.swell_m3_pa, MOST_SHARE * smaller]),
        swell_ends=joined.swell_ends,
        gamma=gamma,
        carried=carried,
        entries=joined.entries,
        plan=joined.plan,
    )
    return plumbing, tuple(network.boundary_names[end - n] for end in joined.touched)


def _in_lanes(*rows: FloatArray) -> FloatArray:
    """Rows of a figure for each link, and 0 for dead links that make up the last `LANES`."""
    count = len(rows[0])
    made = np.zeros((len(rows), -(-count // LANES) * LANES))
    made[:, :count] = rows
    return made


def heat_of_walls(network: Network) -> FloatArray:
    """What the walls of each volume pass [W/K], (n,): as given, or those of spheres."""
    if network.heat_w_k is not None:
        return np.asarray(network.heat_w_k, dtype=np.float64)
    return case_heat(network.volume_m3, network.temperature_k)


def swellings(plumbing: Plumbing, pressure_pa: FloatArray) -> FloatArray:
    """What has swollen by how much in the end [m3], (s,), at pressures (n,) [Pa]."""
    if not len(plumbing.swell_a):
        return np.zeros(0)
    beyond = np.where(plumbing.swell_b < 0, P0, pressure_pa[plumbing.swell_b])
    difference = (pressure_pa[plumbing.swell_a] - beyond).tolist()
    sizes = zip(difference, plumbing.swells[SOFTNESS].tolist(), plumbing.swells[MOST].tolist(), strict=True)
    return np.array([swollen(*one)[0] for one in sizes])


def volumes_at(plumbing: Plumbing, pressure_pa: FloatArray) -> FloatArray:
    """Volumes [m3] at rest, (n,), with capsules swollen as they are at pressures (n,) [Pa]."""
    return _grown(plumbing, swellings(plumbing, pressure_pa))


def _grown(plumbing: Plumbing, swelling: FloatArray) -> FloatArray:
    volume = plumbing.volume.copy()
    for a, b, grown in zip(plumbing.swell_a, plumbing.swell_b, swelling, strict=True):
        volume[a] += grown
        if b >= 0:
            volume[b] -= grown
    return volume


def state_of(plumbing: Plumbing, pressure_pa: FloatArray, temperature_k: FloatArray) -> FloatArray:
    """The kernel's state, (2 n + s,), with capsules at rest: pressures, masses, swellings."""
    swelling = swellings(plumbing, pressure_pa)
    mass = pressure_pa * _grown(plumbing, swelling) / (R_AIR * temperature_k)
    return np.concatenate([pressure_pa, mass, swelling])


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
    schedules = open_shares(network, surroundings)
    kinks = {surroundings.start_s, surroundings.end_s, *surroundings.kinks_s}
    kinks.update(t for schedule in schedules if schedule is not None for t in schedule.knots)
    begin = np.array([start_s, *sorted(t for t in kinks if start_s < t < end_s), end_s])
    openness, rate = over_pieces(begin, schedules)
    return Pieces(
        begin=begin,
        first_knot=_knots_at(outside.knots, begin[:-1], "right"),
        last_knot=_knots_at(outside.knots, begin[1:], "left"),
        openness=openness,
        opening_rate=rate,
    )


def open_shares(network: Network, surroundings: Surroundings) -> tuple[Schedule | None, ...]:
    """Open share of each link over time: the network's, times what shuts an opening from outside."""
    shares = list(network.openness)
    for name, schedule in surroundings.openness.items():
        there = shares[place := network.link_of(name)]
        shares[place] = never_negative(name, there.times(schedule) if there else schedule)
    return tuple(shares)


def _knots_at(knots: FloatArray, times: FloatArray, side: str) -> NDArray[np.int64]:
    found = np.searchsorted(knots, times, side="right" if side == "right" else "left") - 1
    return np.asarray(found, dtype=np.int64)
