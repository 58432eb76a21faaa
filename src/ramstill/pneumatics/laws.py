"""What the sizes of a link make of the flow law: its viscous conductance and its inertia.

Every link follows the law of flow.py: G = 1 / A and E = B / A, where in the incompressible limit the two
losses in series are A w + B w |w| = pa^2 - pb^2. docs/physics.md holds the reasons and the sources.
"""

from math import pi

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.constants import P0, R_AIR
from ramstill.air.gas import viscosity
from ramstill.pneumatics.network import HOLE, LEAK_LAMINAR, LEAK_ORIFICE, SLUG, TUBE, FloatArray, Network

HOLE_DISCHARGE = 0.61  # sharp-edged hole, incompressible: potential flow gives pi / (pi + 2) = 0.611
# A tube loses half a dynamic head at its mouth and a whole one where it opens: 1 / sqrt(1.5) = 0.816.
TUBE_DISCHARGE = 1.5**-0.5
CAPILLARY_SHARE = 0.69  # of the full-scale difference at sea level, in a capillary and an orifice in a row


def end_length(bore_m: ArrayLike) -> FloatArray:
    """Length of tube [m] that resists as much as the ends of a hole: 3 pi d / 16.

    Creeping flow through a hole in a thin wall, q = d^3 dp / (24 mu): R. A. Sampson, Phil. Trans. R. Soc.
    Lond. A 182 (1891) 449; that it adds to the length of a thick one: Z. Dagan, S. Weinbaum, R. Pfeffer,
    J. Fluid Mech. 115 (1982) 505 (within 1 %).
    """
    return np.asarray(3.0 * pi / 16.0 * np.asarray(bore_m, dtype=np.float64))


def laminar_tube_flow(
    pa: ArrayLike, pb: ArrayLike, length_m: ArrayLike, bore_m: ArrayLike, temperature_k: ArrayLike
) -> FloatArray:
    """Isothermal laminar mass flow through a tube [kg/s] without ends: pi d^4 (pa^2 - pb^2) / (256 mu R T L).

    pa, pb [Pa]. Poiseuille's law with density proportional to pressure along the tube; slow flow of a perfect
    gas (Reynolds number below about 2000, pressure drop by speeding up neglected).
    """
    pa, pb = np.asarray(pa, dtype=np.float64), np.asarray(pb, dtype=np.float64)
    return np.asarray((pa - pb) * (pa + pb) / _viscous(length_m, bore_m, temperature_k))


def _viscous(length_m: ArrayLike, bore_m: ArrayLike, temperature_k: ArrayLike) -> FloatArray:
    """A of a tube [Pa^2 s/kg]."""
    mu = np.asarray(viscosity(temperature_k))
    bore = np.asarray(bore_m, dtype=np.float64)
    return np.asarray(256.0 * mu * R_AIR * np.asarray(temperature_k) * np.asarray(length_m) / (pi * bore**4))


def _inertial(bore_m: float, discharge: float, temperature_k: float) -> float:
    """B of a hole [Pa^2 s2/kg2]."""
    return R_AIR * temperature_k / (discharge * pi / 4.0 * bore_m**2) ** 2


def coefficients(network: Network) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """G [kg/(s Pa^2)], E [s/kg] and whether it is a compensated leak, (l,) each.

    Gas in a link has the mean temperature of the volumes it joins (a boundary counts as the volume beside
    it).
    """
    count = len(network.link_names)
    conductance, inertia, compensated = np.zeros(count), np.zeros(count), np.zeros(count, dtype=np.bool_)
    for i, (kind, size) in enumerate(zip(network.link_kind, network.link_size, strict=True)):
        temperature = _link_temperature(network, i)
        if kind in (TUBE, HOLE):
            length, bore, number = (float(value) for value in size[:3])
            if bore == 0.0 or number == 0.0:
                continue
            a_one = float(_viscous(length + end_length(bore), bore, temperature))
            b_one = _inertial(bore, HOLE_DISCHARGE if kind == HOLE else TUBE_DISCHARGE, temperature)
            conductance[i], inertia[i] = number / a_one, b_one / (a_one * number)
        elif kind == LEAK_LAMINAR:
            conductance[i], compensated[i] = _leak_conductance(size[0], size[1], temperature), True
        elif kind == LEAK_ORIFICE:
            conductance[i], inertia[i] = _capillary_and_orifice(size[0], size[1], size[2], temperature)
        elif kind == SLUG:
            conductance[i] = 0.5 * float(size[2])  # the law has pa + pb, twice the mean
        else:
            raise ValueError(f"link {network.link_names[i]!r} is of an unknown kind")
    return conductance, inertia, compensated


def friction(network: Network) -> tuple[FloatArray, FloatArray]:
    """Reynolds number of each unit of mass flow [s/kg], 4 / (pi d mu) of each tube side by side, and the
    share of the laminar loss that is the tube's own and not its ends', (l,) each.

    0 for what never turns turbulent in the engine: holes, where the inertial loss rules, leaks and slugs.
    """
    found, straight = np.zeros(len(network.link_names)), np.zeros(len(network.link_names))
    for i in np.flatnonzero(network.link_kind == TUBE):
        length, bore, number = network.link_size[i, :3]
        if bore > 0.0 and number > 0.0:
            found[i] = 4.0 / (pi * bore * float(viscosity(_link_temperature(network, int(i)))) * number)
            straight[i] = length / (length + float(end_length(bore)))
    return found, straight


def _link_temperature(network: Network, link: int) -> float:
    """Mean temperature [K] of the volumes a link joins: a boundary counts as the volume beside it."""
    ends = (network.link_a[link], network.link_b[link])
    return float(np.mean([network.temperature_k[end] for end in ends if end < len(network.node_names)]))


def thresholds(network: Network) -> tuple[FloatArray, FloatArray]:
    """Difference [Pa] that nothing passes below, from a to b and from b to a, (l,) each: 0 but for slugs."""
    slug = network.link_kind == SLUG
    return np.where(slug, network.link_size[:, 0], 0.0), np.where(slug, network.link_size[:, 1], 0.0)


def _leak_conductance(time_constant_s: float, volume_m3: float, temperature_k: float) -> float:
    """G with which a volume follows a small step at standard sea level: C = V / (R T) = 2 P0 G tau."""
    return float(volume_m3 / (R_AIR * temperature_k) / (2.0 * P0 * time_constant_s))


def _capillary_and_orifice(
    time_constant_s: float, volume_m3: float, full_scale_pa: float, temperature_k: float
) -> tuple[float, float]:
    """G and E of a capillary that takes its share of the full-scale difference, and an orifice the rest.

    The steady flow at full scale, C dp / tau, then goes with the whole difference dp.
    """
    flow = volume_m3 / (R_AIR * temperature_k) * full_scale_pa / time_constant_s
    drive = 2.0 * P0 * full_scale_pa
    a = CAPILLARY_SHARE * drive / flow
    b = (1.0 - CAPILLARY_SHARE) * drive / flow**2
    return float(1.0 / a), float(b / a)
