"""Impact pressure and the four airspeeds: calibrated, equivalent, true, and Mach.

The subsonic law is the isentropic one, the supersonic law Lord Rayleigh's pitot formula (a normal shock
stands in front of the inlet). Assumptions: perfect gas, gamma 1.4, a blunt inlet facing the stream.
Sources: NACA Report 1135 (1953), equations 44 and 100; W. Gracey, Measurement of aircraft speed and altitude,
NASA RP-1046 (1980), chapters II and III (equation numbers from memory).

Below zero everything is the odd continuation: a pressure difference of -x Pa gives minus the speed of +x Pa.
It is a number to reckon with, not what a pointer does: that is the instrument's affair.
NaN goes in and comes out as NaN.
"""

import numpy as np

from ramstill.air._arrays import Array, require, vectorised
from ramstill.air.constants import A0, GAMMA, P0, R_AIR

# Of both laws, also for those who compile them.
HALF = (GAMMA - 1.0) / 2.0  # 0.2
POWER = GAMMA / (GAMMA - 1.0)  # 3.5
SHOCK = 1.0 / (GAMMA - 1.0)  # 2.5
SONIC = (1.0 + HALF) ** POWER - 1.0  # impact pressure over static pressure at Mach 1
STEPS = 60


def _ratio_of(mach: Array) -> Array:
    """Impact over static pressure [-] at a Mach number [-], odd below zero."""
    m = np.abs(mach)
    low = np.minimum(m, 1.0)
    out = np.expm1(POWER * np.log1p(HALF * low * low))
    if np.any(m > 1.0):
        m2 = np.square(np.maximum(m, 1.0))
        log_pitot = POWER * np.log((1.0 + HALF) * m2)
        log_pitot -= SHOCK * np.log((2.0 * GAMMA * m2 - GAMMA + 1.0) / (GAMMA + 1.0))
        out = np.where(m > 1.0, np.expm1(log_pitot), out)
    return np.asarray(np.copysign(out, mach))


def _mach_of(ratio: Array) -> Array:
    """Inverse of `_ratio_of`.

    Above Mach 1, Newton on x = ln M against the logarithm of the pitot ratio. That curve is convex, so a
    start on its tangent at Mach 1 lies right of the root, and every step comes closer from there.
    """
    q = np.abs(ratio)
    out = np.sqrt(np.expm1(np.log1p(np.minimum(q, SONIC)) / POWER) / HALF)
    if np.any(q > SONIC):
        over = np.log1p(np.maximum(q, SONIC)) - np.log1p(SONIC)
        span = GAMMA + 1.0
        x = over * span / (2.0 * GAMMA)  # slope at Mach 1 is 2 gamma / (gamma + 1)
        for _ in range(STEPS):
            bent = 2.0 * GAMMA * np.exp(2.0 * x)
            value = 2.0 * POWER * x - SHOCK * np.log1p(2.0 * GAMMA * np.expm1(2.0 * x) / span)
            slope = 2.0 * POWER - 2.0 * SHOCK * bent / (bent - GAMMA + 1.0)
            step = (value - over) / slope
            x = np.maximum(x - step, 0.0)
            if not np.any(np.abs(step) > 1e-14 * (1.0 + x)):
                break
        out = np.where(q > SONIC, np.exp(x), out)
    return np.asarray(np.copysign(out, ratio))


def _require_pressure(static_pressure_pa: Array) -> None:
    require(~(static_pressure_pa <= 0.0), "static pressure must be positive")


def _require_temperature(temperature_k: Array) -> None:
    require(~(temperature_k <= 0.0), "temperature must be positive, in kelvin")


@vectorised
def impact_pressure(cas_m_s: Array) -> Array:
    """Impact pressure [Pa], total minus static, of a calibrated airspeed [m/s].

    Standard sea-level air by definition; Rayleigh above its speed of sound (about 661.5 kt).
    """
    return P0 * _ratio_of(cas_m_s / A0)


@vectorised
def calibrated_airspeed(impact_pressure_pa: Array) -> Array:
    """Calibrated airspeed [m/s] of an impact pressure [Pa]; the inverse of `impact_pressure`."""
    return np.asarray(A0 * _mach_of(impact_pressure_pa / P0))


@vectorised
def impact_pressure_from_mach(mach: Array, static_pressure_pa: Array) -> Array:
    """Impact pressure [Pa] at a Mach number [-] in air of a static pressure [Pa]. ValueError unless p > 0."""
    _require_pressure(static_pressure_pa)
    return static_pressure_pa * _ratio_of(mach)


@vectorised
def mach(impact_pressure_pa: Array, static_pressure_pa: Array) -> Array:
    """Mach number [-] from impact and static pressure [Pa], either side of Mach 1. ValueError if p <= 0."""
    _require_pressure(static_pressure_pa)
    return _mach_of(impact_pressure_pa / static_pressure_pa)


@vectorised
def true_airspeed(mach: Array, temperature_k: Array) -> Array:
    """True airspeed [m/s] from Mach [-] and the temperature [K] of the air at rest. ValueError if T <= 0."""
    _require_temperature(temperature_k)
    return np.asarray(mach * np.sqrt(GAMMA * R_AIR * temperature_k))


@vectorised
def mach_from_true_airspeed(tas_m_s: Array, temperature_k: Array) -> Array:
    """Mach number [-] of a true airspeed [m/s] in air of a temperature [K]. ValueError unless T > 0."""
    _require_temperature(temperature_k)
    return np.asarray(tas_m_s / np.sqrt(GAMMA * R_AIR * temperature_k))


@vectorised
def equivalent_airspeed(mach: Array, static_pressure_pa: Array) -> Array:
    """Equivalent airspeed [m/s]: the standard sea-level speed of the same dynamic pressure (gamma/2) p M^2.

    From Mach [-] and static pressure [Pa]. ValueError unless p > 0.
    """
    _require_pressure(static_pressure_pa)
    return np.asarray(A0 * mach * np.sqrt(static_pressure_pa / P0))


@vectorised
def mach_from_equivalent(eas_m_s: Array, static_pressure_pa: Array) -> Array:
    """Mach number [-] of an equivalent airspeed [m/s] at a static pressure [Pa]. ValueError unless p > 0."""
    _require_pressure(static_pressure_pa)
    return np.asarray(eas_m_s / (A0 * np.sqrt(static_pressure_pa / P0)))


@vectorised
def mach_from_calibrated(cas_m_s: Array, static_pressure_pa: Array) -> Array:
    """Mach number [-] of a calibrated airspeed [m/s] at a static pressure [Pa]. ValueError unless p > 0."""
    _require_pressure(static_pressure_pa)
    return _mach_of(np.asarray(P0 * _ratio_of(cas_m_s / A0) / static_pressure_pa))


@vectorised
def true_from_calibrated(cas_m_s: Array, static_pressure_pa: Array, temperature_k: Array) -> Array:
    """True airspeed [m/s] of a calibrated one [m/s] at a pressure [Pa] and temperature [K]."""
    m = np.asarray(mach_from_calibrated(cas_m_s, static_pressure_pa))
    return np.asarray(true_airspeed(m, temperature_k))


@vectorised
def calibrated_from_true(tas_m_s: Array, static_pressure_pa: Array, temperature_k: Array) -> Array:
    """Calibrated airspeed [m/s] of a true one [m/s] at a pressure [Pa] and temperature [K]."""
    m = np.asarray(mach_from_true_airspeed(tas_m_s, temperature_k))
    return np.asarray(calibrated_airspeed(impact_pressure_from_mach(m, static_pressure_pa)))
