"""What the sizes of a link make of the flow law: its viscous conductance and its inertia.

Every link follows the law of flow.py: G = 1 / A and E = B / A, where in the incompressible limit the two
losses in series are A w + B w |w| = pa^2 - pb^2. docs/physics.md holds the reasons and the sources.
"""

from math import pi
from typing import NamedTuple

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


class Figures(NamedTuple):
    """What flow.py needs to know of each link, (l,) each: see `Plumbing`."""

    conductance: FloatArray
    inertia: FloatArray
    compensated: NDArray[np.bool_]
    hold_ab: FloatArray
    hold_ba: FloatArray
    reynolds: FloatArray
    straight: FloatArray


def figures(network: Network) -> Figures:
    """All that follows from the kinds and sizes of a network's links.

    Gas in a link has the mean temperature of the volumes it joins (a boundary counts as the volume beside
    it). hold_ab, hold_ba: difference [Pa] that nothing passes below, from a to b and from b to a; 0 but for
    slugs. reynolds: Reynolds number of each unit of mass flow [s/kg], 4 / (pi d mu) of each tube side by
    side; straight: share of the laminar loss that is the tube's own and not its ends'; both 0 for what never
    turns turbulent in the engine: holes, where the inertial loss rules, leaks and slugs. ValueError for a
    kind that is none.
    """
    kind, (first, second, third) = network.link_kind, network.link_size.T[:3]
    temperature = link_temperatures(network)
    mu, warmth = np.asarray(viscosity(temperature)), R_AIR * temperature
    wide = (kind <= HOLE) & (second > 0.0) & (third > 0.0)  # a round passage through which something goes
    bore, count = np.where(wide, second, 1.0), np.where(wide, third, 1.0)
    length = first + end_length(bore)
    square = bore * bore
    viscous = 256.0 / pi * mu * warmth * length / (square * square)
    discharge = np.where(kind == HOLE, HOLE_DISCHARGE * pi / 4.0, TUBE_DISCHARGE * pi / 4.0)
    area = discharge * square
    tube = wide & (kind == TUBE)
    made = Figures(
        conductance=np.where(wide, count / viscous, 0.0),
        inertia=np.where(wide, warmth / (area * area * viscous * count), 0.0),
        compensated=kind == LEAK_LAMINAR,
        hold_ab=np.where(kind == SLUG, first, 0.0),
        hold_ba=np.where(kind == SLUG, second, 0.0),
        reynolds=np.where(tube, 4.0 / pi / (bore * mu * count), 0.0),
        straight=np.where(tube, first / length, 0.0),
    )
    for i in np.flatnonzero(kind > HOLE).tolist():
        one, (a, b, c) = int(kind[i]), network.link_size[i, :3].tolist()
        if one == LEAK_LAMINAR:
            made.conductance[i] = _leak_conductance(a, b, float(temperature[i]))
        elif one == LEAK_ORIFICE:
            both = _capillary_and_orifice(a, b, c, float(temperature[i]))
            made.conductance[i], made.inertia[i] = both
        elif one == SLUG:
            made.conductance[i] = 0.5 * c  # the law has pa + pb, twice the mean
        else:
            raise ValueError(f"link {network.link_names[i]!r} is of an unknown kind")
    return made


def coefficients(network: Network) -> tuple[FloatArray, FloatArray, NDArray[np.bool_]]:
    """G [kg/(s Pa^2)], E [s/kg] and whether it is a compensated leak, (l,) each: see `figures`."""
    return figures(network)[:3]


def friction(network: Network) -> tuple[FloatArray, FloatArray]:
    """Reynolds number of each unit of mass flow [s/kg], and a tube's own share, (l,) each: see `figures`."""
    return figures(network)[5:]


def thresholds(network: Network) -> tuple[FloatArray, FloatArray]:
    """Difference [Pa] that nothing passes below, either way, (l,) each: see `figures`."""
    return figures(network)[3:5]


def link_temperatures(network: Network) -> FloatArray:
    """Mean temperature [K] of the volumes a link joins, (l,): a boundary counts as the volume beside it."""
    n, a, b = len(network.node_names), network.link_a, network.link_b
    wall = network.temperature_k
    return np.asarray(0.5 * (wall[np.where(a < n, a, b)] + wall[np.where(b < n, b, a)]))


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
