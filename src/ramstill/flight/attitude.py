"""How hard the wing works: load factor and the angle of attack that carries it."""

from __future__ import annotations

from math import pi
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import G0, GAMMA

if TYPE_CHECKING:
    from ramstill.airplane import Wing

Array = NDArray[np.float64]

# Coefficient tables are not made for more; a straight lift line means nothing beyond the stall.
LARGEST_ANGLE = 25.0 * pi / 180.0  # [rad]
SLOWEST_MACH = 1e-3  # [-]; below this the wing carries nothing worth an angle


def load_factor(time_s: Array, climb_m_s: Array, tas_m_s: Array, bank_rad: Array | float) -> Array:
    """Lift over weight [-], (k,), of a path: turning and curving up or down.

    time_s (k,) [s]; true climb and airspeed (k,) [m/s].
    n = (cos(path angle) + upward acceleration / g) / cos(bank), in coordinated flight; the part of the upward
    acceleration that comes from a change of speed in a steep climb is left out. Source: the balance of forces
    across the path, in any text on flight mechanics.
    """
    if len(time_s) < 2:
        return np.ones(np.shape(time_s))
    up = np.gradient(climb_m_s, time_s)
    slope = np.clip(climb_m_s / np.maximum(tas_m_s, 1.0), -1.0, 1.0)
    return np.asarray((np.sqrt(1.0 - slope * slope) + up / G0) / np.cos(bank_rad))


def angle_of_attack(
    wing: Wing | None, static_pressure_pa: Array, mach: Array, lifted: Array, flap: Array
) -> Array:
    """Angle of attack [rad], (k,), at which the lift is weight times `lifted`; zero where wing is None.

    Lift = slope * (angle - zero-lift angle - flap shift) * (gamma/2) p M^2 * area: a straight lift line
    without a stall or compressibility, flap shifting it in proportion. Held within 25 degrees either way.
    """
    if wing is None:
        return np.zeros(np.shape(mach))
    dynamic = 0.5 * GAMMA * static_pressure_pa * np.maximum(mach, SLOWEST_MACH) ** 2
    coefficient = wing.mass * G0 * lifted / (dynamic * wing.area)
    zero_lift = wing.zero_lift_angle + flap * wing.flap_zero_lift_shift
    return np.asarray(np.clip(zero_lift + coefficient / wing.lift_slope, -LARGEST_ANGLE, LARGEST_ANGLE))
