"""How fast changes of pressure come through tubes and volumes: viscous, thermal and acoustic."""

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import jve

from ramstill.air.constants import CP_AIR, GAMMA, P0, R_AIR, T0
from ramstill.air.gas import thermal_conductivity, viscosity

ComplexArray = NDArray[np.complex128]
FloatArray = NDArray[np.float64]

_WIDE = 1e6  # beyond this |alpha| the ratio of Bessel functions is its asymptote within 1e-12


class Wave(NamedTuple):
    """Small oscillations in a tube, each shaped as the frequencies.

    per_m: propagation constant phi [1/m], pressure going as e^(-phi x); admittance: mass flow over pressure
    of such a wave [kg/(s Pa)].
    """

    per_m: ComplexArray
    admittance: ComplexArray


def bessel_ratio(alpha: ArrayLike) -> ComplexArray:
    """J2(alpha) / J0(alpha) for complex arguments in the upper half plane, at any size of alpha.

    alpha^2/8 for small ones (Poiseuille's flow), -1 for large ones (no friction).
    """
    alpha = np.asarray(alpha, dtype=np.complex128)
    wide = np.abs(alpha) > _WIDE
    inner = np.where(wide, 1j, alpha)
    # Both are scaled by the same exp(-|Im alpha|): their ratio neither overflows nor loses digits.
    ratio = jve(2, inner) / jve(0, inner)
    return np.asarray(np.where(wide, -1.0 + 2j / np.where(wide, alpha, 1.0), ratio))


def wave(
    radius_m: float, frequency_hz: FloatArray, mean_pressure_pa: float = P0, temperature_k: float = T0
) -> Wave:
    """Propagation constant and admittance of a tube at frequencies above zero [Hz].

    Rigid isothermal walls, laminar, tube much longer than wide, wave much longer than the tube is wide.
    Source: H. Bergh and H. Tijdeman, NLR-TR F.238 (1965), equations for phi and n; C. Zwikker and
    C. W. Kosten, Sound Absorbing Materials (1949) for the physics.
    """
    omega = 2.0 * np.pi * frequency_hz
    mu = float(viscosity(temperature_k))
    density = mean_pressure_pa / (R_AIR * temperature_k)
    prandtl = mu * CP_AIR / float(thermal_conductivity(temperature_k))
    shear = radius_m * np.sqrt(omega * density / mu)
    turn = np.exp(0.75j * np.pi)  # i^(3/2)
    friction = bessel_ratio(turn * shear)
    heat = bessel_ratio(turn * shear * np.sqrt(prandtl))
    # 1/n: the air in the tube is isothermal when slow (n = 1), adiabatic when fast (n = gamma).
    inverse_n = 1.0 + (GAMMA - 1.0) / GAMMA * heat
    per_m = omega / np.sqrt(R_AIR * temperature_k) * np.sqrt(inverse_n / friction)
    area = np.pi * radius_m**2
    return Wave(per_m, 1j * area * friction * per_m / omega)


def tube_response(
    lengths_m: ArrayLike,
    radii_m: ArrayLike,
    volumes_m3: ArrayLike,
    frequency_hz: ArrayLike,
    mean_pressure_pa: float = P0,
    temperature_k: float = T0,
    polytropic_exponent: float = 1.4,
) -> ComplexArray:
    """Pressure at the end of the last tube over pressure at the open end, shaped as `frequency_hz`.

    lengths_m, radii_m [m], volumes_m3 [m3]: (t,) tubes in series from the open end, one volume at each tube's
    far end, 0 for none. frequency_hz [Hz], any shape, 0 or more; 0 gives 1. mean_pressure_pa [Pa],
    temperature_k [K] of the air. polytropic_exponent [-]: of the air in the volumes only, 1 isothermal, 1.4
    adiabatic; in the tubes heat exchange with the wall is worked out. Time goes as e^(+i w t), so that lag is
    a negative phase.

    Assumes small oscillations about air at rest, laminar flow, rigid walls at constant temperature, tubes
    much longer than wide and volumes small beside the wave length. Source: H. Bergh and H. Tijdeman,
    Theoretical and experimental results for the dynamic response of pressure measuring systems, NLR-TR F.238
    (1965). Raises ValueError for sizes that do not fit or are out of range.
    """
    lengths, radii, volumes = _sizes(lengths_m, radii_m, volumes_m3)
    frequency = np.asarray(frequency_hz, dtype=np.float64)
    check_air(frequency, mean_pressure_pa, temperature_k, polytropic_exponent)
    moving = frequency > 0.0
    f = np.where(moving, frequency, 1.0)
    response = np.ones(f.shape, dtype=np.complex128)
    behind = np.zeros(f.shape, dtype=np.complex128)  # admittance of all that follows [kg/(s Pa)]
    # From the closed end to the open one: the recursion of the report, with what each tube feeds as one load.
    for length, radius, volume in zip(lengths[::-1], radii[::-1], volumes[::-1], strict=True):
        phi, own = wave(float(radius), f, mean_pressure_pa, temperature_k)
        load = (behind + volume_admittance(volume, f, temperature_k, polytropic_exponent)) / own
        # With decaying exponentials only: at high frequency long thin tubes pass nothing and overflow
        # nothing.
        once = np.exp(-phi * length)
        plus, minus = 1.0 + once * once, -np.expm1(-2.0 * phi * length)
        through = plus + load * minus
        response = response * 2.0 * once / through
        behind = own * (minus + load * plus) / through
    return np.asarray(np.where(moving, response, 1.0))


def volume_admittance(
    volume_m3: ArrayLike, frequency_hz: ArrayLike, temperature_k: float, exponent: ArrayLike
) -> ComplexArray:
    """Mass flow into a volume over pressure in it [kg/(s Pa)]: i w V / (k R T)."""
    omega = 2.0 * np.pi * np.asarray(frequency_hz)
    return np.asarray(1j * omega * np.asarray(volume_m3) / (np.asarray(exponent) * R_AIR * temperature_k))


def _sizes(*given: ArrayLike) -> list[FloatArray]:
    sizes = [np.atleast_1d(np.asarray(one, dtype=np.float64)) for one in given]
    if any(one.ndim != 1 or one.shape != sizes[0].shape for one in sizes) or not len(sizes[0]):
        raise ValueError("lengths, radii and volumes are rows of the same length, one for each tube")
    if not all(np.isfinite(one).all() for one in sizes):
        raise ValueError("lengths, radii and volumes are finite numbers")
    if (sizes[0] <= 0.0).any() or (sizes[1] <= 0.0).any():
        raise ValueError("lengths and radii of tubes must be above zero")
    if (sizes[2] < 0.0).any():
        raise ValueError("volumes must be zero or more")
    return sizes


def check_air(frequency_hz: FloatArray, pressure_pa: float, temperature_k: float, exponent: float) -> None:
    """Raise ValueError for frequencies or air that cannot be."""
    if not (np.isfinite(frequency_hz).all() and (frequency_hz >= 0.0).all()):
        raise ValueError("frequencies must be zero or more, and finite")
    if not (np.isfinite([pressure_pa, temperature_k]).all() and pressure_pa > 0.0 and temperature_k > 0.0):
        raise ValueError("mean pressure and temperature must be above zero, and finite")
    if not (np.isfinite(exponent) and exponent >= 1.0):
        raise ValueError("the polytropic exponent is at least 1 (isothermal); adiabatic air has 1.4")
