"""From any opening to any instrument: small oscillations in the whole plumbing, branches and loops included.

Each tube is a two-port: what flows in at either end is linear in the pressures of both,

    (w1, w2) = Y (p1, p2),   Y = y [[coth(phi L), -1/sinh(phi L)], [-1/sinh(phi L), coth(phi L)]],

which is the transfer matrix of tube_response.py, [[cosh, sinh / y], [y sinh, cosh]], solved for the flows. At
each tapping what flows in fills its volume, so summing over the tubes there gives one linear system in the
pressures: on a row of tubes it is the recursion of H. Bergh and H. Tijdeman (NLR-TR F.238, 1965), on a tree a
side branch is one more admittance, and nothing in it asks for a tree.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from ramstill.air.constants import P0
from ramstill.pneumatics.compiling import SMALLEST_VOLUME, compile_network
from ramstill.pneumatics.lag import linear_conductance
from ramstill.pneumatics.laws import end_length
from ramstill.pneumatics.network import HOLE, TUBE, FloatArray, Network
from ramstill.pneumatics.tube_response import ComplexArray, check_air, volume_admittance, wave

if TYPE_CHECKING:
    from ramstill.airplane import Airplane


def frequency_response(
    plumbing: Network | Airplane,
    moving: str | Iterable[str] | None,
    tapping: str,
    frequency_hz: ArrayLike,
    mean_pressure_pa: float = P0,
    temperature_k: float | None = None,
    polytropic_exponent: float = 1.4,
    at_s: float = 0.0,
) -> ComplexArray:
    """Pressure at a tapping over the pressure of the air outside, complex, shaped as `frequency_hz`.

    moving: the boundaries whose pressures go up and down together, by one unit each, the others staying; None
    for all of them. frequency_hz [Hz], 0 or more; time goes as e^(+i w t), so that lag is a negative phase.
    mean_pressure_pa [Pa]. temperature_k [K]: of all the air, or None for the network's own temperatures.
    polytropic_exponent [-]: of the air in the volumes, 1 isothermal to 1.4 adiabatic; heat exchange in the
    tubes is worked out. at_s [s]: when the schedules of openness are read.

    A tube's own air counts along it, not at its ends. A hole resists, and has inertia, as a short tube with
    the engine's end length, and holds no air. A link open by a share has that share of the area. A calibrated
    leak is the engine's, linearised and without inertia. Small oscillations about air at rest: a hole that
    loses a dynamic head, or a turbulent tube, damps more. Raises ValueError for unknown names and for air
    that cannot be.
    """
    network = as_network(plumbing, temperature_k)
    place = _tapping(network, tapping)
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    check_air(frequency, mean_pressure_pa, float(network.temperature_k.min()), polytropic_exponent)
    outside = moving_boundaries(network, moving)
    flat = frequency.ravel()
    found = solve_waves(network, outside, flat, mean_pressure_pa, polytropic_exponent, at_s)[:, place]
    return np.asarray(
        np.where(frequency > 0.0, found.reshape(frequency.shape), found.real.reshape(frequency.shape))
    )


def as_network(plumbing: Network | Airplane, temperature_k: float | None = None) -> Network:
    """The network of an airplane, or the one given, at a temperature [K] if one is named."""
    network = plumbing if isinstance(plumbing, Network) else compile_network(plumbing)
    if temperature_k is None:
        return network
    if not (np.isfinite(temperature_k) and temperature_k > 0.0):
        raise ValueError("the temperature must be above zero, and finite")
    return replace(network, temperature_k=np.full(len(network.node_names), float(temperature_k)))


def moving_boundaries(network: Network, moving: str | Iterable[str] | None) -> FloatArray:
    """1 for each boundary that moves, 0 for the others, (b,). ValueError for an unknown name."""
    names = network.boundary_names
    wanted = list(names) if moving is None else [moving] if isinstance(moving, str) else list(moving)
    for name in wanted:
        if name not in names:
            raise ValueError(f"the network has no boundary {name!r}")
    return np.array([float(name in wanted) for name in names])


def solve_waves(
    network: Network,
    outside: FloatArray,
    frequency_hz: FloatArray,
    pressure_pa: float,
    exponent: float,
    at_s: float,
) -> ComplexArray:
    """Pressures (f, n) at every tapping with every tube as a wave guide; the boundaries at `outside` (b,)."""
    # The slowest wave asked for is far below anything that matters: it stands for frequency zero.
    f = np.maximum(frequency_hz, 1e-9)
    nodes = len(network.node_names)
    conductance = linear_conductance(network, pressure_pa, at_s)
    lumped = np.array(network.volume_m3)
    system = _System(nodes, len(network.boundary_names), len(f))
    for i, (kind, a, b, size) in enumerate(
        zip(network.link_kind, network.link_a, network.link_b, network.link_size, strict=True)
    ):
        if conductance[i] == 0.0:
            continue
        if kind not in (TUBE, HOLE):
            flow = np.full(len(f), conductance[i], dtype=np.complex128)
            system.join(int(a), int(b), flow, flow)
            continue
        openness = network.openness[i]
        share = 1.0 if openness is None else float(openness.at(at_s))
        length, bore, count = float(size[0]), float(size[1]) * np.sqrt(share), float(size[2])
        temperature = float(np.mean([network.temperature_k[end] for end in (a, b) if end < nodes]))
        phi, own = wave(bore / 2.0, f, pressure_pa, temperature)
        reach = phi * (length + float(end_length(bore)))
        if kind == HOLE:
            through = count * own / reach
            system.join(int(a), int(b), through, through)
            continue
        once = np.exp(-reach)
        gap = -np.expm1(-2.0 * reach)
        system.join(int(a), int(b), count * own * (1.0 + once * once) / gap, count * own * 2.0 * once / gap)
        half = count * np.pi / 8.0 * float(size[1]) ** 2 * length
        for end in (int(a), int(b)):
            if end < nodes:
                lumped[end] = max(lumped[end] - half, SMALLEST_VOLUME)
    for place in range(nodes):
        filling = volume_admittance(lumped[place], f, float(network.temperature_k[place]), exponent)
        system.fill(place, filling)
    return system.pressures(outside)


def solve_quasi_steady(
    network: Network,
    outside: FloatArray,
    frequency_hz: FloatArray,
    pressure_pa: float,
    exponent: float,
    at_s: float,
) -> ComplexArray:
    """Pressures (f, n) as the engine has them, linearised: resistances and volumes, no inertia, no waves."""
    f = np.maximum(frequency_hz, 1e-9)
    nodes = len(network.node_names)
    system = _System(nodes, len(network.boundary_names), len(f))
    conductance = linear_conductance(network, pressure_pa, at_s)
    for a, b, g in zip(network.link_a, network.link_b, conductance, strict=True):
        flow = np.full(len(f), g, dtype=np.complex128)
        system.join(int(a), int(b), flow, flow)
    for place in range(nodes):
        volume, temperature = float(network.volume_m3[place]), float(network.temperature_k[place])
        system.fill(place, volume_admittance(volume, f, temperature, exponent))
    return system.pressures(outside)


class _System:
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
        self._inner[:, place, place] += admittance

    def pressures(self, outside: FloatArray) -> ComplexArray:
        driven = self._outer @ outside.astype(np.complex128)
        return np.asarray(np.linalg.solve(self._inner, driven[..., None])[..., 0])


def _tapping(network: Network, name: str) -> int:
    if name not in network.node_names:
        raise ValueError(f"the network has no tapping {name!r}")
    return network.node_names.index(name)
