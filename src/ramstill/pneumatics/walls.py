"""How much heat the walls of lines and cases pass to the air in them, for each kelvin of difference.

From the time constants of heat.py, those of a slow even change: Q = m c_p (T_wall - T) / tau. In still air
both m and tau go with the pressure, so that what is left, k times a length, does not: 8 pi k L for a tube of
any bore, 20 pi k r for a sphere.
"""

import numpy as np
from numpy.typing import ArrayLike

from ramstill.air.constants import CP_AIR, P0
from ramstill.air.gas import density
from ramstill.pneumatics.heat import case_time_constant, tube_time_constant
from ramstill.pneumatics.network import FloatArray


def tube_heat(bore_m: ArrayLike, length_m: ArrayLike, temperature_k: ArrayLike) -> FloatArray:
    """Heat [W/K] that the walls of a tube pass to the air in it; arrays are broadcast."""
    bore = np.asarray(bore_m, dtype=np.float64)
    volume = np.pi / 4.0 * bore**2 * np.asarray(length_m)
    return _heat(volume, temperature_k, tube_time_constant(bore, P0, temperature_k, "steady-change"))


def case_heat(volume_m3: ArrayLike, temperature_k: ArrayLike) -> FloatArray:
    """Heat [W/K] that the walls of a case, taken as a sphere, pass to the air in it; arrays are broadcast."""
    volume = np.asarray(volume_m3, dtype=np.float64)
    return _heat(volume, temperature_k, case_time_constant(volume, P0, temperature_k, "steady-change"))


def _heat(volume: FloatArray, temperature_k: ArrayLike, time_constant_s: FloatArray) -> FloatArray:
    return np.asarray(np.asarray(density(P0, temperature_k)) * volume * CP_AIR / time_constant_s)
