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
from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.network import (
    HOLE,
    LEAK_LAMINAR,
    LEAK_ORIFICE,
    SLUG,
    TUBE,
    FloatArray,
    IntArray,
    Network,
)

HOLE_DISCHARGE = 0.61  # sharp-edged hole, incompressible: potential flow gives pi / (pi + 2) = 0.611
# A tube loses half a dynamic head at its mouth and a whole one where it opens: 1 / sqrt(1.5) = 0.816.
TUBE_DISCHARGE = 1.5**-0.5
END_LENGTH = 3.0 * pi / 16.0  # of tube, per bore: see `end_length`
CAPILLARY_SHARE = 0.69  # of the full-scale difference at sea level, in a capillary and an orifice in a row


def end_length(bore_m: ArrayLike) -> FloatArray:
    """Length of tube [m] that resists as much as the ends of a hole: 3 pi d / 16.

    Creeping flow through a hole in a thin wall, q = d^3 dp / (24 mu): R. A. Sampson, Phil. Trans. R. Soc.
    Lond. A 182 (1891) 449; that it adds to the length of a thick one: Z. Dagan, S. Weinbaum, R. Pfeffer,
    J. Fluid Mech. 115 (1982) 505 (within 1 %).
    """
    return np.asarray(END_LENGTH * np.asarray(bore_m, dtype=np.float64))


def laminar_tube_flow(
    pa: ArrayLike, pb: ArrayLike, length_m: ArrayLike, bore_m: ArrayLike, temperature_k: ArrayLike
) -> FloatArray:
    """Isothermal laminar mass flow through a tube [kg/s] without ends: pi d^4 (pa^2 - pb^2) / (256 mu R T L).

    pa, pb [Pa]. Poiseuille's law with density proportional to pressure along the tube; slow flow of a perfect
    gas (Reynolds number below about 2000, pressure drop by speeding up neglected).
    """
    pa, pb = np.asarray(pa, dtype=np.float64), np.asarray(pb, dtype=np.float64)
    bore, mu = np.asarray(bore_m, dtype=np.float64), np.asarray(viscosity(temperature_k))
    viscous = 256.0 * mu * R_AIR * np.asarray(temperature_k) * np.asarray(length_m) / (pi * bore**4)
    return np.asarray((pa - pb) * (pa + pb) / viscous)


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
    temperature = link_temperatures(network)
    count = len(temperature)
    made = Figures(*(np.zeros(count, dtype=np.bool_ if i == 2 else np.float64) for i in range(7)))
    mu = np.asarray(viscosity(temperature))
    bad = _figures(network.link_kind, network.link_size, temperature, mu, made)
    if bad >= 0:
        raise ValueError(f"link {network.link_names[bad]!r} is of an unknown kind")
    return made


@jit
def _figures(
    kind: IntArray, size: FloatArray, temperature_k: FloatArray, viscosity_pa_s: FloatArray, made: Figures
) -> int:
    """Fill in; return a link of an unknown kind, -1 for none."""
    for i in range(len(kind)):
        first, second, third = size[i, 0], size[i, 1], size[i, 2]
        temperature, mu = temperature_k[i], viscosity_pa_s[i]
        if kind[i] == TUBE or kind[i] == HOLE:
            if second == 0.0 or third == 0.0:
                continue
            discharge = HOLE_DISCHARGE if kind[i] == HOLE else TUBE_DISCHARGE
            viscous, inertial = losses(first, second, discharge, temperature, mu)
            made.conductance[i], made.inertia[i] = third / viscous, inertial / (viscous * third)
            if kind[i] == TUBE:
                made.reynolds[i] = 4.0 / (pi * second * mu * third)
                made.straight[i] = first / (first + END_LENGTH * second)
        elif kind[i] == LEAK_LAMINAR:
            # the volume behind it follows a small step at standard sea level: C = V / (R T) = 2 P0 G tau
            made.conductance[i] = second / (R_AIR * temperature) / (2.0 * P0 * first)
            made.compensated[i] = True
        elif kind[i] == LEAK_ORIFICE:
            # the steady flow at full scale, C dp / tau, goes with the whole difference dp, of which a
            # capillary takes its share and an orifice the rest
            flow = second / (R_AIR * temperature) * third / first
            drive = 2.0 * P0 * third
            made.conductance[i] = flow / (CAPILLARY_SHARE * drive)
            made.inertia[i] = (1.0 - CAPILLARY_SHARE) / CAPILLARY_SHARE / flow
        elif kind[i] == SLUG:
            made.hold_ab[i], made.hold_ba[i] = first, second
            made.conductance[i] = 0.5 * third  # the law has pa + pb, twice the mean
        else:
            return i
    return -1


@jit
def losses(
    length_m: float, bore_m: float, discharge: float, temperature_k: float, viscosity_pa_s: float
) -> tuple[float, float]:
    """A [Pa^2 s/kg] and B [Pa^2 s2/kg2] of one round passage with its ends."""
    warmth = R_AIR * temperature_k
    viscous = 256.0 * viscosity_pa_s * warmth * (length_m + END_LENGTH * bore_m) / (pi * bore_m**4)
    return viscous, warmth / (discharge * pi / 4.0 * bore_m**2) ** 2


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
