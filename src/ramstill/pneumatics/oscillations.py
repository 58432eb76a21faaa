"""Small oscillations in the whole plumbing, branches and loops included: a linear system a frequency.

Each tube is a two-port: what flows in at either end is linear in the pressures of both,

    (w1, w2) = Y (p1, p2),   Y = y [[coth(phi L), -1/sinh(phi L)], [-1/sinh(phi L), coth(phi L)]],

which is the transfer matrix of tube_response.py, [[cosh, sinh / y], [y sinh, cosh]], solved for the flows. At
each tapping what flows in fills its volume, so summing over the tubes there gives one linear system in the
pressures: on a row of tubes it is the recursion of H. Bergh and H. Tijdeman (NLR-TR F.238, 1965), on a tree a
side branch is one more admittance, and nothing in it asks for a tree.
"""

from collections.abc import Iterator
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.constants import R_AIR
from ramstill.pneumatics.compiling import SMALLEST_VOLUME
from ramstill.pneumatics.lag import linear_conductance
from ramstill.pneumatics.laws import coefficients, end_length
from ramstill.pneumatics.network import HOLE, TUBE, FloatArray, Network
from ramstill.pneumatics.tube_response import ComplexArray, Wave, volume_admittance, wave

# The slowest wave asked for is far below anything that matters: it stands for frequency zero.
SLOWEST_HZ = 1e-9


Waves = dict[tuple[float, float], Wave]


class Links(NamedTuple):
    """Each link about one state, (l,): open share [-], mass flow for each pascal [kg/(s Pa)], and how much
    more it resists than in slow flow [Pa s/kg], both 0 where it is shut.
    """

    share: FloatArray
    conductance: FloatArray
    extra: FloatArray


class System:
    """Sum of what flows away from each tapping, at each frequency."""

    def __init__(self, nodes: int, boundaries: int, frequencies: int) -> None:
        self._nodes = nodes
        self._inner = np.zeros((frequencies, nodes, nodes), dtype=np.complex128)
        self._outer = np.zeros((frequencies, nodes, boundaries), dtype=np.complex128)

    def join(self, a: int, b: int, own: ComplexArray, other: ComplexArray) -> None:
        """Add a link: from either end flows own * (pressure here) - other * (pressure there)."""
        for here, there in ((a, b), (b, a)):
            if here >= self._nodes:
                continue
            self._inner[:, here, here] += own
            if there < self._nodes:
                self._inner[:, here, there] -= other
            else:
                self._outer[:, here, there - self._nodes] += other

    def fill(self, place: int, admittance: ComplexArray) -> None:
        """Add what a tapping's own volume takes in."""
        self._inner[:, place, place] += admittance

    def pressures(self, outside: FloatArray) -> ComplexArray:
        """Pressures (f, n) where the boundaries stand at `outside` (b,)."""
        driven = self._outer @ outside.astype(np.complex128)
        return np.asarray(np.linalg.solve(self._inner, driven[..., None])[..., 0])

    def responses(self, injected: ComplexArray) -> ComplexArray:
        """Pressures (f, n, b + c): of each boundary moving by one, then of each flow `injected` (f, n, c)."""
        return np.asarray(np.linalg.solve(self._inner, np.concatenate([self._outer, injected], axis=2)))


def links_of(
    network: Network, pressure_pa: float, at_s: float = 0.0, difference_pa: FloatArray | None = None
) -> Links:
    """The links about air at rest, or with a steady difference (l,) standing across each [Pa].

    With a difference a link counts as what passes it over what drives it: a jet through a hole meets far more
    resistance than a trickle. Turbulence along tubes, and expansion, are left out.
    """
    share = np.array([1.0 if s is None else float(s.at(at_s)) for s in network.openness])
    slow = linear_conductance(network, pressure_pa, at_s)
    if difference_pa is None:
        return Links(share, slow, np.zeros(len(slow)))
    # from w + E w^2 = slow |difference|, the law of flow.py
    inertia = coefficients(network)[1]
    slower = 0.5 * (1.0 + np.sqrt(1.0 + 4.0 * inertia * slow * np.abs(difference_pa)))
    shut = slow == 0.0
    extra = np.where(shut, 0.0, (slower - 1.0) / np.where(shut, 1.0, slow))
    return Links(share, slow / slower, extra)


def wave_system(
    network: Network, frequency_hz: FloatArray, pressure_pa: float, exponent: ArrayLike, links: Links
) -> System:
    """Every tube as a wave guide, every hole with the inertia of its length, at (f,) above 0 [Hz].

    exponent: polytropic, of the volumes without the air of the tubes; a number, or (n, f).
    """
    nodes, f = len(network.node_names), frequency_hz
    system = System(nodes, len(network.boundary_names), len(f))
    waves: Waves = {}
    for i, (a, b) in enumerate(zip(network.link_a, network.link_b, strict=True)):
        if links.conductance[i] > 0.0:
            own, other = admittances(network, i, f, pressure_pa, links, waves)
            system.join(int(a), int(b), own, other)
    _fill(system, network, own_volumes(network, links), f, pressure_pa, exponent)
    return system


def engine_system(
    network: Network, frequency_hz: FloatArray, pressure_pa: float, exponent: ArrayLike, links: Links
) -> System:
    """As the engine has it, linearised: resistances and volumes, no inertia, no waves."""
    nodes, f = len(network.node_names), frequency_hz
    system = System(nodes, len(network.boundary_names), len(f))
    for a, b, g in zip(network.link_a, network.link_b, links.conductance, strict=True):
        flow = np.full(len(f), g, dtype=np.complex128)
        system.join(int(a), int(b), flow, flow)
    _fill(system, network, network.volume_m3, f, pressure_pa, exponent)
    return system


def admittances(
    network: Network,
    link: int,
    frequency_hz: FloatArray,
    pressure_pa: float,
    links: Links,
    waves: Waves | None = None,
) -> tuple[ComplexArray, ComplexArray]:
    """What flows into a link for each pascal at the same end, and out for each at the other [kg/(s Pa)].

    waves: those known at these frequencies, by bore and temperature; a new one is added.
    """
    f, extra = frequency_hz, links.extra[link]
    kind, size = network.link_kind[link], network.link_size[link]
    if kind not in (TUBE, HOLE) or links.conductance[link] == 0.0:
        flow = np.full(len(f), links.conductance[link], dtype=np.complex128)
        return flow, flow
    length, bore, count = float(size[0]), float(size[1]) * np.sqrt(links.share[link]), float(size[2])
    ends = (network.link_a[link], network.link_b[link])
    nodes = len(network.node_names)
    temperature = float(np.mean([network.temperature_k[end] for end in ends if end < nodes]))
    waves = {} if waves is None else waves
    if (bore, temperature) not in waves:
        waves[bore, temperature] = wave(bore / 2.0, f, pressure_pa, temperature)
    phi, single = waves[bore, temperature]
    reach = phi * (length + float(end_length(bore)))
    if kind == HOLE:
        through = count * single / reach
        through = through / (1.0 + extra * through)
        return through, through
    once = np.exp(-reach)
    gap = -np.expm1(-2.0 * reach)
    own, other = count * single * (1.0 + once * once) / gap, count * single * 2.0 * once / gap
    if extra * links.conductance[link] < 1e-3:
        return own, other
    # half of what the ends resist at either end: as impedances, whose determinant is that of the wave alone
    square = (count * single) ** 2
    own, other = own / square + 0.5 * extra, other / square
    within = own * own - other * other
    return own / within, other / within


def own_volumes(network: Network, links: Links) -> FloatArray:
    """Volumes without the air that counts along open tubes [m3], (n,)."""
    volume = np.array(network.volume_m3, dtype=np.float64)
    for end, _, half in tube_halves(network, links):
        volume[end] = max(volume[end] - half, SMALLEST_VOLUME)
    return volume


def tube_halves(network: Network, links: Links) -> Iterator[tuple[int, float, float]]:
    """Each half of each open tube: the place of the tapping where it ends, its bore [m], its air [m3]."""
    for i in np.flatnonzero((network.link_kind == TUBE) & (links.conductance > 0.0)):
        length, bore, count = (float(size) for size in network.link_size[i, :3])
        for end in (int(network.link_a[i]), int(network.link_b[i])):
            if end < len(network.node_names):
                yield end, bore, count * np.pi / 8.0 * bore**2 * length


def _fill(
    system: System,
    network: Network,
    volume_m3: FloatArray,
    frequency_hz: FloatArray,
    pressure_pa: float,
    exponent: ArrayLike,
) -> None:
    """Add volumes and capsules: what swells takes in air, and makes room for it next door."""
    f = frequency_hz
    each: NDArray[np.complex128] = np.broadcast_to(
        np.asarray(exponent, dtype=np.complex128), (len(volume_m3), len(f))
    )
    for place, volume in enumerate(volume_m3):
        warm = float(network.temperature_k[place])
        system.fill(place, volume_admittance(volume, f, warm, each[place]))
    for a, b, compliance in zip(network.swell_a, network.swell_b, network.swell_m3_pa, strict=True):
        density = pressure_pa / (R_AIR * float(network.temperature_k[a]))
        taken = 2j * np.pi * f * density * compliance
        if b < 0:
            system.fill(int(a), taken)
        else:
            system.join(int(a), int(b), taken, taken)
