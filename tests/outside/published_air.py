"""Pressures, altitudes and airspeeds by their published formulas, apart from this package.

Nothing here is taken from `ramstill`: what is laid on a recorded flight must not come from what judges it.
Arrays of any shape; SI throughout. The figures of the standard day are those of ICAO Doc 7488.
"""

import numpy as np
from numpy.typing import ArrayLike, NDArray

Array = NDArray[np.float64]

FT, KT, INHG, PSI = 0.3048, 1852.0 / 3600.0, 3386.389, 6894.757
P0, T0, A0 = 101325.0, 288.15, 340.294  # sea level: [Pa], [K], speed of sound [m/s]
GRAVITY, GAS, LAPSE = 9.80665, 287.05287, 0.0065  # [m/s2], [J/(kg K)], [K/m]
TOP, TOP_T = 11000.0, 216.65  # where the temperature stops falling [m], [K]
_POWER = GRAVITY / (GAS * LAPSE)
_TOP_P = P0 * (TOP_T / T0) ** _POWER


def pressure_at(altitude_m: ArrayLike) -> Array:
    """Return the pressure [Pa] of the standard day at a pressure altitude below 20 km [m].

    ICAO Doc 7488: p = p0 (1 - L h / T0)^(g / (R L)) to 11 km, p = p11 exp(-g (h - 11 km) / (R T11)) above.
    """
    h = np.asarray(altitude_m, dtype=float)
    low = P0 * (1.0 - LAPSE * np.minimum(h, TOP) / T0) ** _POWER
    return np.asarray(low * np.exp(-GRAVITY * np.maximum(h - TOP, 0.0) / (GAS * TOP_T)))


def altitude_of(pressure_pa: ArrayLike) -> Array:
    """Return the pressure altitude [m] of a pressure [Pa]: `pressure_at` turned round."""
    p = np.asarray(pressure_pa, dtype=float)
    low = T0 / LAPSE * (1.0 - (np.maximum(p, _TOP_P) / P0) ** (1.0 / _POWER))
    return np.asarray(low + GAS * TOP_T / GRAVITY * np.log(np.maximum(_TOP_P / p, 1.0)))


def impact_of(cas_m_s: ArrayLike) -> Array:
    """Return the impact pressure [Pa] of a calibrated airspeed below the speed of sound [m/s].

    NASA RP-1046: qc = p0 ((1 + 0.2 (V / a0)^2)^3.5 - 1).
    """
    return np.asarray(P0 * ((1.0 + 0.2 * (np.asarray(cas_m_s, dtype=float) / A0) ** 2) ** 3.5 - 1.0))


def airspeed_of(impact_pa: ArrayLike) -> Array:
    """Return the airspeed [m/s] of an impact pressure [Pa], `impact_of` turned round; 0 under 0."""
    q = np.maximum(np.asarray(impact_pa, dtype=float), 0.0)
    return np.asarray(A0 * np.sqrt(5.0 * ((q / P0 + 1.0) ** (2.0 / 7.0) - 1.0)))


def too_high_by(setting_pa: float) -> float:
    """Return how much an altimeter set to `setting_pa` [Pa] shows above pressure altitude [m].

    14 CFR Part 43 Appendix E, Table IV: the altitude of the setting in the standard atmosphere, turned round.
    """
    return -float(altitude_of(setting_pa))


def late(time_s: Array, pressure_pa: Array, sea_level_s: float) -> Array:
    """Return the pressure (t,) [Pa] behind a long narrow passage, in balance at the first time.

    dp'/dt = (p - p') / lambda with lambda = 128 mu L V / (pi d^4 p), so in inverse proportion to pressure
    (NACA TN 1562); `sea_level_s`: lambda at 101325 Pa. Solved exactly over each step for a straight p.
    """
    found = np.array(pressure_pa, dtype=float)
    for i in range(1, len(found)):
        constant = sea_level_s * P0 / found[i - 1]
        step = time_s[i] - time_s[i - 1]
        slope = (pressure_pa[i] - pressure_pa[i - 1]) / step
        behind = found[i - 1] - pressure_pa[i - 1] + slope * constant
        found[i] = pressure_pa[i] - slope * constant + behind * np.exp(-step / constant)
    return found


def hanging_back(x: Array, band: float) -> Array:
    """Return what follows `x` (t,) only when pulled by more than `band`, at rest with it at first.

    The play of two parts (Coulomb friction without mass): y stays while |x - y| < band. Common practice.
    """
    found = np.array(x, dtype=float)
    for i in range(1, len(found)):
        found[i] = min(max(found[i - 1], x[i] - band), x[i] + band)
    return found


def filtered(time_s: Array, x: Array, constant_s: float) -> Array:
    """Return `x` (t,) through a first-order filter, in balance at the first time. Common practice."""
    found = np.array(x, dtype=float)
    share = -np.expm1(-np.diff(time_s) / constant_s)
    for i in range(1, len(found)):
        found[i] = found[i - 1] + share[i - 1] * (x[i] - found[i - 1])
    return found


def water_head(volume_m3: float, bore_m: float, rise: float) -> float:
    """Return the pressure [Pa] that holds a slug of water in a line up to a rise per length of `rise` [-].

    Hydrostatics, 1000 kg/m3: rho g times the height that the slug stands in one leg. Surface tension is
    left out (at most 4 sigma / d, 63 Pa in a bore of 4.6 mm).
    """
    return 1000.0 * GRAVITY * volume_m3 / (np.pi / 4.0 * bore_m**2) * rise
