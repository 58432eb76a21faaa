"""How fast the air in tubes and cases takes the temperature of their walls, by conduction.

Air whose pressure p(t) is the same all through, between walls that keep their temperature, obeys

    rho cp dT/dt = dp/dt + k div grad T.

With the diffusivity a = k / (rho cp) its deviations die out as sums of e^(-t / tau). The slowest has
tau = r^2 / (j01^2 a) in a long cylinder (j01 = 2.405 is the first zero of the Bessel function J0) and
tau = r^2 / (pi^2 a) in a sphere: H. S. Carslaw, J. C. Jaeger, Conduction of Heat in Solids, 2nd ed. (1959),
chapters VII and IX (from memory; the tests solve the equation). While pressure goes on changing evenly, the
mean temperature is off by dp/dt / (rho cp) times r^2 / (8 a) in the cylinder and r^2 / (15 a) in the sphere,
the means of the parabolas that even heating makes.

Assumed: air at rest (natural convection, which sets in when a case of 80 mm is off by some tenths of a
kelvin, shortens the times), small deviations, walls that hold far more heat than the air. Shapes are round: a
flat or crowded case of the same volume is quicker. docs/frequency-response.md has the numbers.
"""

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.constants import CP_AIR, GAMMA, P0, T0
from ramstill.air.gas import density, thermal_conductivity
from ramstill.pneumatics.tube_response import ComplexArray, bessel_ratio

FloatArray = NDArray[np.float64]
When = Literal["dying-out", "steady-change"]

# r^2 / (a tau): the first eigenvalue, and the mean of the parabola.
_CYLINDER = {"dying-out": 5.783185962946785, "steady-change": 8.0}
_SPHERE = {"dying-out": np.pi**2, "steady-change": 15.0}


def thermal_diffusivity(pressure_pa: ArrayLike = P0, temperature_k: ArrayLike = T0) -> FloatArray:
    """Diffusivity of heat in air [m2/s], k / (rho cp), at a pressure [Pa] and temperature [K].

    Shaped as the two together. ValueError unless both are above zero.
    """
    pressure, temperature = np.asarray(pressure_pa, dtype=float), np.asarray(temperature_k, dtype=float)
    if not ((pressure > 0.0).all() and (temperature > 0.0).all()):
        raise ValueError("pressure and temperature must be above zero")
    held = np.asarray(density(pressure, temperature)) * CP_AIR
    return np.asarray(np.asarray(thermal_conductivity(temperature)) / held)


def tube_time_constant(
    bore_m: ArrayLike,
    pressure_pa: ArrayLike = P0,
    temperature_k: ArrayLike = T0,
    when: When = "dying-out",
) -> FloatArray:
    """Time constant [s] with which air in a long tube of a bore [m] takes the wall's temperature.

    when: "dying-out" for what is left some while after a disturbance, "steady-change" for the mean
    temperature in a slow even change of pressure (28 % shorter). Assumptions and source at the head of the
    module. Raises ValueError for a bore, pressure or temperature that is not above zero.
    """
    radius = _positive(bore_m) / 2.0
    return np.asarray(radius**2 / (_CYLINDER[when] * thermal_diffusivity(pressure_pa, temperature_k)))


def case_time_constant(
    volume_m3: ArrayLike,
    pressure_pa: ArrayLike = P0,
    temperature_k: ArrayLike = T0,
    when: When = "dying-out",
) -> FloatArray:
    """Time constant [s] with which air in a case takes the wall's temperature: a sphere of a volume [m3].

    The same volume shaped otherwise is nearer to its walls: this is an upper bound. when: as in
    `tube_time_constant` (34 % shorter in a steady change). Raises ValueError unless all is above zero.
    """
    radius = sphere_radius(volume_m3)
    return np.asarray(radius**2 / (_SPHERE[when] * thermal_diffusivity(pressure_pa, temperature_k)))


def sphere_radius(volume_m3: ArrayLike) -> FloatArray:
    """Radius [m] of a sphere of a volume [m3]. ValueError unless it is above zero."""
    return np.asarray((3.0 * _positive(volume_m3) / (4.0 * np.pi)) ** (1.0 / 3.0))


def tube_exponent(
    bore_m: float, frequency_hz: ArrayLike, pressure_pa: float = P0, temperature_k: float = T0
) -> ComplexArray:
    """Complex polytropic exponent of air oscillating in a tube: 1 when slow, 1.4 when fast.

    1/n = 1 + (gamma - 1)/gamma J2/J0 of i^(3/2) r sqrt(w / a); time goes as e^(+i w t). Source: H. Bergh and
    H. Tijdeman, NLR-TR F.238 (1965). bore_m [m]; frequency_hz [Hz], any shape, 0 or more.
    """
    shear = float(_positive(bore_m)) / 2.0 * _per_root(frequency_hz, pressure_pa, temperature_k)
    still = shear == 0.0
    slow = 1.0 + bessel_ratio(np.exp(0.75j * np.pi) * np.where(still, 1.0, shear))
    return _exponent(np.where(still, 1.0, slow))


def case_exponent(
    volume_m3: float, frequency_hz: ArrayLike, pressure_pa: float = P0, temperature_k: float = T0
) -> ComplexArray:
    """Complex polytropic exponent of air oscillating in a spherical case of a volume [m3].

    The mean temperature is (1 - F) of what it would be without walls, F = 3 (z coth z - 1) / z^2 with
    z = r sqrt(i w / a): the heat equation above, solved in a sphere. frequency_hz [Hz], any shape, 0 or more.
    """
    size = float(sphere_radius(volume_m3)) * _per_root(frequency_hz, pressure_pa, temperature_k)
    z = np.sqrt(1j) * np.maximum(size, 1e-2)
    # Below 0.01 the closed form loses digits; the series 1 - z^2/15 is then exact to 1e-9.
    exact = 3.0 * (z / np.tanh(z) - 1.0) / z**2
    return _exponent(np.where(size > 1e-2, exact, 1.0 - 1j * size**2 / 15.0))


def _exponent(held: ComplexArray) -> ComplexArray:
    """From the share of the temperature swing that the walls take out, 1 isothermal and 0 adiabatic."""
    return np.asarray(1.0 / (1.0 - (GAMMA - 1.0) / GAMMA * (1.0 - held)))


def _per_root(frequency_hz: ArrayLike, pressure_pa: float, temperature_k: float) -> FloatArray:
    frequency = np.asarray(frequency_hz, dtype=float)
    if not (np.isfinite(frequency).all() and (frequency >= 0.0).all()):
        raise ValueError("frequencies must be zero or more, and finite")
    return np.asarray(np.sqrt(2.0 * np.pi * frequency / thermal_diffusivity(pressure_pa, temperature_k)))


def _positive(size: ArrayLike) -> FloatArray:
    found = np.asarray(size, dtype=float)
    if not (np.isfinite(found).all() and (found > 0.0).all()):
        raise ValueError("sizes must be above zero, and finite")
    return found
