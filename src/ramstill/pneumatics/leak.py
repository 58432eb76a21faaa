"""Leaks: the one made into a vertical speed indicator, and the ones a mechanic measures."""

from functools import lru_cache
from typing import Protocol

import numpy as np
from numpy.typing import ArrayLike

from ramstill import air
from ramstill.air.constants import G0, P0, R_AIR, RHO0, T0
from ramstill.air.gas import viscosity
from ramstill.air.units import FT, KT
from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.flow import link_flow
from ramstill.pneumatics.laws import CAPILLARY_SHARE, HOLE_DISCHARGE, losses
from ramstill.pneumatics.network import FloatArray

_MINUTE = 60.0
_WIDEST_M, _NARROWEST_M = 0.05, 1e-7


class _Leak(Protocol):
    @property
    def time_constant(self) -> float: ...


def full_scale_difference(leak: _Leak, full_scale_m_s: float) -> float:
    """Difference across a calibrated leak [Pa] in a steady climb at full scale [m/s] at standard sea level.

    The case is behind by the time constant tau, so it keeps tau dp/dt = tau rho0 g0 w above the static line.
    The time constant rules: with the volume behind it, it sets how the leak flows; the difference follows.
    """
    return float(RHO0 * G0 * full_scale_m_s * float(leak.time_constant))


def share_of_full_scale(law: str, difference_share: ArrayLike) -> FloatArray:
    """Rate over full scale for a difference over that at full scale, at standard sea level, either sign.

    Shaped as `difference_share`. What a maker marks a dial by. "compensated-laminar": the same;
    "capillary-and-orifice": the orifice's share of the difference goes with the square of the rate.
    ValueError for any other law.
    """
    share = np.asarray(difference_share, dtype=np.float64)
    if law == "compensated-laminar":
        return share
    if law != "capillary-and-orifice":
        raise ValueError(f"no calibrated leak follows the law {law!r}")
    a, b, x = CAPILLARY_SHARE, 1.0 - CAPILLARY_SHARE, np.abs(share)
    return np.asarray(np.copysign(2.0 * x / (a + np.sqrt(a * a + 4.0 * b * x)), share))


@lru_cache(maxsize=1024)
def leak_hole_bore(
    volume_m3: float,
    *,
    loss_fpm: float | None = None,
    at_ft_above: float = 1000.0,
    loss_kt_per_min: float | None = None,
    at_kt: float = 150.0,
    ambient_pa: float = P0,
    temperature_k: float = T0,
    depth_m: float = 1e-3,
) -> float:
    """Bore [m] of the one round hole that leaks as much as a mechanic measures; give one of the two losses.

    volume_m3: air of the whole system under test [m3]. loss_fpm: altitude lost [ft/min] with the static
    system held `at_ft_above` ambient [ft]; loss_kt_per_min: airspeed lost [kt/min] with the pitot system held
    at `at_kt`. ambient_pa [Pa]; temperature_k [K] of the air; depth_m [m]: how thick the wall is. The loss is
    the rate at the moment the pump is shut off. Isothermal. ValueError for no loss, or one no hole up to 50
    mm makes.
    """
    if (loss_fpm is None) == (loss_kt_per_min is None):
        raise ValueError("give the loss either in ft/min or in kt/min")
    if loss_fpm is not None:
        base = float(air.pressure_altitude(ambient_pa)) + at_ft_above * FT
        step = 0.5 * FT
        inside = float(air.static_pressure(base))
        slope = (float(air.static_pressure(base - step)) - float(air.static_pressure(base + step))) / (
            2.0 * step
        )
        rate = slope * loss_fpm * FT / _MINUTE
    else:
        assert loss_kt_per_min is not None
        speed, step = at_kt * KT, 0.01 * KT
        inside = ambient_pa + float(air.impact_pressure(speed))
        slope = (float(air.impact_pressure(speed + step)) - float(air.impact_pressure(speed - step))) / (
            2.0 * step
        )
        rate = slope * loss_kt_per_min * KT / _MINUTE
    if not (rate > 0.0 and volume_m3 > 0.0):
        raise ValueError("the loss and the volume must be above zero")
    wanted = volume_m3 / (R_AIR * temperature_k) * rate
    mu = float(viscosity(temperature_k))
    found = _bore_that_passes(wanted, depth_m, temperature_k, mu, inside, ambient_pa)
    if found <= 0.0:
        raise ValueError("no hole between 0.1 micrometre and 50 mm leaks that much")
    return float(found)


@jit
def _bore_that_passes(
    flow_kg_s: float,
    depth_m: float,
    temperature_k: float,
    viscosity_pa_s: float,
    inside_pa: float,
    outside_pa: float,
) -> float:
    """Bore [m] of the hole that passes so much, by halving; 0 where none does."""
    low, high = _NARROWEST_M, _WIDEST_M
    for turn in range(82):
        # both ends first, then what lies between
        bore = low if turn == 0 else high if turn == 1 else (low * high) ** 0.5
        viscous, inertial = losses(depth_m, bore, HOLE_DISCHARGE, temperature_k, viscosity_pa_s)
        flow = abs(link_flow(inside_pa, outside_pa, 1.0, 1.0 / viscous, inertial / viscous, False))
        if turn < 2:
            if (flow < flow_kg_s) != (turn == 0):
                return 0.0
        elif flow > flow_kg_s:
            high = bore
        else:
            low = bore
    return float((low * high) ** 0.5)
