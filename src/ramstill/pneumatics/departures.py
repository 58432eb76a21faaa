"""What the inertia of the air, which the engine leaves out, does to each tapping after a sudden change.

The engine linearised and the full response (oscillations.py) of the same plumbing are given the same step: of
the pressure at a boundary, or of how far a link is open. Their difference over time is what the engine does
not show. It begins and ends at nothing, and for a change however shaped it is the sum of the differences for
the little steps that make it up.

A link that comes open, or shuts: by the compensation theorem of linear networks the plumbing as it is after
the change moves as if a source had been put across that link, which feeds what the link passes with the
difference that stood across it, less what it passed before.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import GAMMA
from ramstill.pneumatics.assembly import heat_of_walls
from ramstill.pneumatics.heat import tube_exponent
from ramstill.pneumatics.network import FloatArray, Network
from ramstill.pneumatics.oscillations import (
    Links,
    admittances,
    engine_system,
    links_of,
    own_volumes,
    tube_halves,
    wave_system,
)
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.tube_response import ComplexArray

STEP_HZ = 128  # samples a second of a difference over time
LASTS_S = 8  # from a little before its step to where it has died out
EARLY_S = 0.25  # how much before: what is cut off above smears the step by some hundredths of a second
TO_A_DECADE = 48  # frequencies that are solved for where lines ring, as sharply as 6 times; 12 below
_COUNT = STEP_HZ * LASTS_S
_EVEN_HZ = np.fft.rfftfreq(_COUNT, 1.0 / STEP_HZ)
# Pointers and filters of 0.08 s and more pass nothing of what is above; cut off gently, nothing rings.
_KEPT = 0.5 + 0.5 * np.cos(np.pi * np.clip(_EVEN_HZ / (0.25 * STEP_HZ) - 1.0, 0.0, 1.0))
_SOLVED_HZ = np.concatenate(
    [np.geomspace(0.05, 0.5, 13)[:-1], np.geomspace(0.5, _EVEN_HZ[-1], int(TO_A_DECADE * np.log10(128.0)))]
)
# A link that opens evenly matters from where it passes as much as the plumbing behind it; by three times
# that share of its opening three quarters of the change are through.
_MATTERS = 3.0
_RISE = 0.35  # a rise time is 0.35 over a bandwidth: of first-order systems


@dataclass(frozen=True, slots=True)
class Change:
    """A link that opens or shuts: its place, the open shares before and after [-], the pressure from its a to
    its b when it begins [Pa], and how long it takes [s].
    """

    link: int
    before: float
    after: float
    difference_pa: float
    lasts_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Departures:
    """Full response less the engine's, at STEP_HZ, from EARLY_S before a step on for LASTS_S.

    of_boundaries (tapping, boundary, time): after a step of 1 Pa at each boundary [-]; of_changes (tapping,
    change, time): after each change, taken as sudden [Pa]; spread_s (change,): how long of its time each
    change really takes to come through [s].
    """

    of_boundaries: FloatArray
    of_changes: FloatArray
    spread_s: FloatArray


def step_departures(
    network: Network,
    tappings: Sequence[str],
    pressure_pa: FloatArray,
    outside_pa: FloatArray,
    changes: Sequence[Change] = (),
    at_s: float = 0.0,
) -> Departures:
    """What the engine leaves out at `tappings` after steps at boundaries and after `changes` of links.

    network: as it is after the changes, its schedules read at `at_s` [s]. pressure_pa (n,), outside_pa (b,):
    before the step [Pa]; each link resists as it does with the difference that stands across it then. Heat
    through the walls as in the engine, in both, so that the difference is inertia and waves. Small changes,
    laminar tubes: for a rush it is an estimate. Raises ValueError for an unknown tapping
    and what else does not fit.
    """
    for name in tappings:
        if name not in network.node_names:
            raise ValueError(f"the network has no tapping {name!r}")
    sizes = (len(network.node_names),), (len(network.boundary_names),)
    if (np.shape(pressure_pa), np.shape(outside_pa)) != sizes:
        raise ValueError("one pressure is needed for each volume and for each boundary")
    if any(not 0 <= change.link < len(network.link_names) for change in changes):
        raise ValueError("a change is of a link of the network, by its place")
    place = [network.node_names.index(name) for name in tappings]
    mean, f = float(np.mean(pressure_pa)), _SOLVED_HZ
    links = links_of(network, mean, at_s, _across(network, pressure_pa, outside_pa, changes))
    exponents = _exponents(network, mean)
    waves = wave_system(network, f, mean, _of_own_volumes(network, links, exponents, mean), links)
    slow = engine_system(network, f, mean, exponents, links)
    passing = [admittances(network, change.link, f, mean, links)[1] for change in changes]
    steady = [np.full(len(f), links.conductance[change.link], dtype=np.complex128) for change in changes]
    sources = _sources(network, changes, passing, mean)
    full = waves.responses(sources)
    engine = slow.responses(_sources(network, changes, steady, mean))
    over = _over_time((full - engine)[:, place, :])
    b = len(outside_pa)
    spread = [
        _spread(network, change, passing[i], full[:, :, b + i], sources[:, :, i], mean)
        for i, change in enumerate(changes)
    ]
    return Departures(over[:, :b], over[:, b:], np.array(spread))


def _across(
    network: Network, pressure_pa: FloatArray, outside_pa: FloatArray, changes: Sequence[Change]
) -> FloatArray:
    """Difference from a to b of each link [Pa], (l,)."""
    both = np.concatenate([pressure_pa, outside_pa])
    across = both[network.link_a] - both[network.link_b]
    for change in changes:
        across[change.link] = change.difference_pa
    return np.asarray(across)


def _exponents(network: Network, pressure_pa: float) -> NDArray[np.complex128]:
    """Polytropic exponent of each volume (n, f) as the engine has it: 1 when slow, 1.4 when fast.

    From its energy equation for small changes: with h = H T / (p V), s = i w,
    k = (gamma s + (gamma - 1) h) / (s + (gamma - 1) h).
    """
    s = 2j * np.pi * _SOLVED_HZ[None, :]
    volume = network.volume_m3
    if network.heat == "isothermal":
        return np.ones((len(volume), len(_SOLVED_HZ)), dtype=np.complex128)
    heat = np.zeros(len(volume)) if network.heat == "adiabatic" else heat_of_walls(network)
    rate = (GAMMA - 1.0) * (heat * network.temperature_k / volume)[:, None] / pressure_pa
    return np.asarray((GAMMA * s + rate) / (s + rate))


def _of_own_volumes(
    network: Network, links: Links, exponents: ComplexArray, pressure_pa: float
) -> ComplexArray:
    """Exponents (n, f) of the volumes without their tubes, so that together they are as soft as the engine's.

    Else the heat that the engine takes from lines and cases in one would pass for inertia.
    """
    softness = network.volume_m3[:, None] / exponents
    known: dict[tuple[float, float], ComplexArray] = {}
    for end, bore, half in tube_halves(network, links):
        kind = (bore, float(network.temperature_k[end]))
        if kind not in known:
            known[kind] = tube_exponent(bore, _SOLVED_HZ, pressure_pa, kind[1])
        softness[end] -= half / known[kind]
    # what is left may be nothing, which is as hard as can be
    softness = np.where(softness == 0.0, 1e-30, softness)
    return np.asarray(own_volumes(network, links)[:, None] / softness)


def _sources(
    network: Network, changes: Sequence[Change], passing: Sequence[ComplexArray], mean_pa: float
) -> ComplexArray:
    """Flow into each tapping from each change's source (f, n, c): what the link passes now, less before."""
    nodes = len(network.node_names)
    found = np.zeros((len(_SOLVED_HZ), nodes, len(changes)), dtype=np.complex128)
    for i, (change, through) in enumerate(zip(changes, passing, strict=True)):
        before = _conductance(network, change, change.before, mean_pa)
        flow = (through - before) * change.difference_pa
        for end, sign in ((network.link_a[change.link], -1.0), (network.link_b[change.link], 1.0)):
            if end < nodes:
                found[:, end, i] += sign * flow
    return found


def _conductance(network: Network, change: Change, share: float, mean_pa: float) -> float:
    """Flow through a link open by a share over the difference that stands across it [kg/(s Pa)]."""
    openness = list(network.openness)
    openness[change.link] = Schedule.constant(share)
    across = np.full(len(openness), change.difference_pa)
    opened = replace(network, openness=tuple(openness))
    return float(links_of(opened, mean_pa, 0.0, across).conductance[change.link])


def _spread(
    network: Network,
    change: Change,
    through: ComplexArray,
    response: ComplexArray,
    source: ComplexArray,
    mean_pa: float,
) -> float:
    """How much of its time an even change needs to come through [s], `response` (f, n) to `source` (f, n)."""
    if change.lasts_s <= 0.0:
        return 0.0
    flow, moved = np.zeros_like(through), np.zeros_like(through)
    for end, sign in ((network.link_a[change.link], -1.0), (network.link_b[change.link], 1.0)):
        if end < response.shape[1]:
            flow, moved = sign * source[:, end], moved + sign * response[:, end]
    if (flow == 0.0).any() or (moved == 0.0).any():
        return change.lasts_s
    # admittance of all but the link, from one of its ends to the other
    behind = np.abs(flow / moved - through)
    widest = _conductance(network, change, max(change.before, change.after), mean_pa)
    needs = change.lasts_s * np.minimum(1.0, _MATTERS * behind / widest)
    # what is behind depends on the frequency, and that on how long it takes: where the two agree
    takes = _RISE / _SOLVED_HZ
    agree = int(np.argmax(needs >= takes)) if (needs >= takes).any() else -1
    return float(min(needs[agree], change.lasts_s))


def _over_time(difference: ComplexArray) -> FloatArray:
    """Step response (k, c, t) of a difference of responses (f, k, c), which is nothing at frequency 0."""
    from scipy.interpolate import CubicSpline

    of_step = difference / (2j * np.pi * _SOLVED_HZ)[:, None, None]
    even = np.empty((len(_EVEN_HZ), *difference.shape[1:]), dtype=np.complex128)
    even[1:] = CubicSpline(np.log(_SOLVED_HZ), of_step)(np.log(_EVEN_HZ[1:]))
    even[0] = of_step[0].real  # the lags of a slow change differ by this
    even *= _KEPT[:, None, None]
    found = np.roll(np.fft.irfft(even, _COUNT, axis=0) * STEP_HZ, round(EARLY_S * STEP_HZ), axis=0)
    return np.asarray(np.moveaxis(found, 0, -1))
