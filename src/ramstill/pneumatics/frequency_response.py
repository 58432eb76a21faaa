"""From any opening to any instrument: amplitude and phase, by the linear systems of oscillations.py."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from ramstill.air.constants import P0
from ramstill.pneumatics.compiling import compile_network
from ramstill.pneumatics.network import FloatArray, Network
from ramstill.pneumatics.oscillations import SLOWEST_HZ, engine_system, links_of, wave_system
from ramstill.pneumatics.tube_response import ComplexArray, check_air

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
    f = np.maximum(frequency_hz, SLOWEST_HZ)
    return wave_system(network, f, pressure_pa, exponent, links_of(network, pressure_pa, at_s)).pressures(
        outside
    )


def solve_quasi_steady(
    network: Network,
    outside: FloatArray,
    frequency_hz: FloatArray,
    pressure_pa: float,
    exponent: float,
    at_s: float,
) -> ComplexArray:
    """Pressures (f, n) as the engine has them, linearised: resistances and volumes, no inertia, no waves."""
    f = np.maximum(frequency_hz, SLOWEST_HZ)
    return engine_system(network, f, pressure_pa, exponent, links_of(network, pressure_pa, at_s)).pressures(
        outside
    )


def _tapping(network: Network, name: str) -> int:
    if name not in network.node_names:
        raise ValueError(f"the network has no tapping {name!r}")
    return network.node_names.index(name)
