"""Up to which frequency the engine, which knows no inertia of the air, may be trusted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np

from ramstill.air.constants import P0
from ramstill.pneumatics.frequency_response import (
    as_network,
    moving_boundaries,
    solve_quasi_steady,
    solve_waves,
)
from ramstill.pneumatics.network import FloatArray, Network
from ramstill.pneumatics.tube_response import check_air

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

_GRID_HZ = np.geomspace(1e-4, 1e3, 281)  # forty to a decade
_HALVINGS = 8  # of the step of the grid in which a limit lies: to 0.02 %


def quasi_steady_limits_hz(
    plumbing: Network | Airplane,
    moving: str | Iterable[str] | None = None,
    mean_pressure_pa: float = P0,
    temperature_k: float | None = None,
    polytropic_exponent: float = 1.4,
    engine_exponent: float | None = None,
    amplitude_off: float = 0.05,
    phase_off_rad: float = np.pi / 18.0,
    at_s: float = 0.0,
) -> dict[str, float]:
    """For each tapping the lowest frequency [Hz] at which the engine is off; infinite where it never is.

    Off: the engine's amplitude differs from the full response's by more than `amplitude_off` of it, or its
    phase by more than `phase_off_rad` [rad]. The engine here is its linearised network of resistances and
    volumes. engine_exponent [-]: the polytropic exponent of its volumes; None for the same as in the full
    response, so that what counts is inertia and waves alone; 1 for an engine that takes all air as
    isothermal. The other arguments are those of `frequency_response`. Searched from 0.0001 to 1000 Hz; a
    departure that comes and goes within a twelfth of an octave may be missed.
    """
    network = as_network(plumbing, temperature_k)
    slow = polytropic_exponent if engine_exponent is None else engine_exponent
    for exponent in (polytropic_exponent, slow):
        check_air(_GRID_HZ, mean_pressure_pa, float(network.temperature_k.min()), exponent)
    outside = moving_boundaries(network, moving)

    def excess(f: FloatArray) -> FloatArray:
        """Above zero where the engine is off, (f, n)."""
        full = solve_waves(network, outside, f, mean_pressure_pa, polytropic_exponent, at_s)
        quick = solve_quasi_steady(network, outside, f, mean_pressure_pa, slow, at_s)
        reached = (np.abs(full) > 0.0) & (np.abs(quick) > 0.0)
        ratio = np.where(reached, quick, 1.0) / np.where(reached, full, 1.0)
        off = np.maximum(np.abs(np.abs(ratio) - 1.0) / amplitude_off, np.abs(np.angle(ratio)) / phase_off_rad)
        return np.asarray(off - 1.0)

    over = excess(_GRID_HZ) > 0.0
    every = np.arange(len(network.node_names))
    first = np.argmax(over, axis=0)
    low, high = _GRID_HZ[np.maximum(first - 1, 0)], _GRID_HZ[first]
    for _ in range(_HALVINGS):
        middle = np.sqrt(low * high)
        beyond = excess(middle)[every, every] > 0.0
        low, high = np.where(beyond, low, middle), np.where(beyond, middle, high)
    limits = np.where(over.any(axis=0), high, np.inf)
    return dict(zip(network.node_names, limits.tolist(), strict=True))


def quasi_steady_limit_hz(
    plumbing: Network | Airplane,
    tapping: str | None = None,
    moving: str | Iterable[str] | None = None,
    mean_pressure_pa: float = P0,
    temperature_k: float | None = None,
    polytropic_exponent: float = 1.4,
    engine_exponent: float | None = None,
    at_s: float = 0.0,
) -> float:
    """The lowest frequency [Hz] where the engine is off by more than 5 % in amplitude or 10 degrees in phase.

    tapping: at this one, or None for the lowest of all instrument ports (names with a point, such as
    "airspeed.pitot"). Arguments, and what "off" means, as in `quasi_steady_limits_hz`. A change that takes
    longer than about a third of the period 1/f holds little above f. Raises ValueError for unknown names.
    """
    limits = quasi_steady_limits_hz(
        plumbing,
        moving,
        mean_pressure_pa,
        temperature_k,
        polytropic_exponent,
        engine_exponent,
        at_s=at_s,
    )
    if tapping is not None:
        if tapping not in limits:
            raise ValueError(f"the network has no tapping {tapping!r}")
        return limits[tapping]
    ports = [name for name in limits if "." in name] or list(limits)
    return min(limits[name] for name in ports)
