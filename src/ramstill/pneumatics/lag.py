"""How late each tapping is: the steady lag in a slow, even change of the air outside."""

from dataclasses import replace

import numpy as np

from ramstill.air.constants import P0, R_AIR
from ramstill.pneumatics.flow import compensation
from ramstill.pneumatics.laws import coefficients, thresholds
from ramstill.pneumatics.network import FloatArray, Network


def linear_conductance(network: Network, pressure_pa: float, at_s: float = 0.0) -> FloatArray:
    """Mass flow through each link for a small difference about a pressure [kg/(s Pa)], (l,)."""
    conductance, _, compensated = coefficients(network)
    openness = np.array([1.0 if s is None else float(s.at(at_s)) for s in network.openness])
    factor = np.where(compensated, compensation(float(pressure_pa))[0], 1.0)
    held = np.maximum(*thresholds(network)) > 0.0  # water lets no small difference by
    return np.asarray(np.where(held, 0.0, 2.0 * pressure_pa * conductance * factor * openness**2))


def lag_time_constants(
    network: Network, pressure_pa: float, temperature_k: float, at_s: float = 0.0
) -> dict[str, float]:
    """Lag of each tapping [s] when every boundary moves at the same slow rate; infinite where none reaches.

    Linear: small differences about `pressure_pa` [Pa], air at `temperature_k` [K] throughout. For one tube
    into one volume this is lambda = 128 mu L V / (pi d^4 p) (NASA RP-1046, NACA Reports 593 and 919), with
    the resistance of the tube's ends added. `at_s` [s]: when the schedules of openness are read.
    """
    if not (pressure_pa > 0.0 and temperature_k > 0.0):
        raise ValueError("pressure and temperature must be above zero")
    n = len(network.node_names)
    volume = np.array(network.volume_m3, dtype=np.float64)
    # All moves alike, so capsules feel no change, but for sealed ones: d(p V)/dp of the case around them.
    alone = network.swell_b < 0
    taken = network.swell_m3_pa[alone] * (2.0 * pressure_pa - P0)
    np.add.at(volume, network.swell_a[alone], taken)
    capacity = volume / (R_AIR * temperature_k)
    warm = replace(network, temperature_k=np.full(n, float(temperature_k)))
    joined = linear_conductance(warm, pressure_pa, at_s)
    matrix = np.zeros((n, n))
    reached = np.zeros(n, dtype=bool)
    for a, b, g in zip(network.link_a, network.link_b, joined, strict=True):
        for one, other in ((a, b), (b, a)):
            if one >= n or g == 0.0:
                continue
            matrix[one, one] += g
            if other < n:
                matrix[one, other] -= g
            else:
                reached[one] = True
    for _ in range(n):
        reached |= ((matrix != 0.0) & reached[None, :]).any(axis=1)
    lag = np.full(n, np.inf)
    if reached.any():
        lag[reached] = np.linalg.solve(matrix[np.ix_(reached, reached)], capacity[reached])
    return dict(zip(network.node_names, lag.tolist(), strict=True))
