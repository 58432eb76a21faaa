"""The pump of an instantaneous vertical speed indicator: acceleration pushes air into its case.

A weighted piston on a spring in a dashpot, x' = (travel_per_g a / g0 - x) / settling_time, whose stroke takes
piston_area x from the case. The case is then above where the air alone would have it by d,

    d' = p piston_area x' / V - r d,

and r is what the case's ways out (its calibrated leak, and broken glass where there is some) let go at the
pressures there are. Assumed: isothermal, d small beside p, and a static line so wide that it takes what comes
through the leak; the pump's own air is part of the case.

Its known weakness is that a weight on a spring feels lift, not climb: a steady turn at a load factor n moves
it like an acceleration of n - 1 g, and the pointer shows a climb until the air has gone through the leak.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ramstill import air
from ramstill.air.constants import T0

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ramstill.airplane import AccelerationPump
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics import Network, Schedule


def stroke(pump: AccelerationPump, time_s: Array, load_factor: Array) -> Array:
    """Return where the piston is [m], (t,), up being positive; it starts at rest under the first load.

    load_factor (t,) [-]: lift over weight, 1 in steady level flight; straight between samples.
    """
    from ramstill.instruments.mechanics import first_order_lag

    return first_order_lag(time_s, pump.travel_per_g * (load_factor - 1.0), float(pump.settling_time))


def pumped_pressure(
    pump: AccelerationPump, time_s: Array, load_factor: Array, case_pa: Array, volume_m3: float, rate: Array
) -> Array:
    """Return what the pump adds to the pressure in the case [Pa], (t,).

    case_pa (t,): pressure there without it [Pa]; volume_m3: air in the case; rate (t,): share of an
    over-pressure that leaves in a second [1/s], see `way_out`. Between samples the piston's speed and the
    rate are taken as constant, which makes the step exact.
    """
    from ramstill.instruments import _kernels

    moved = np.diff(stroke(pump, time_s, load_factor), prepend=0.0)
    moved[0] = 0.0
    pushed = case_pa * pump.piston_area * moved / volume_m3
    leaving = rate * np.diff(time_s, prepend=time_s[0])
    kept = np.exp(-leaving)
    # (1 - e^-x) / x, 1 at x = 0: what is left at the end of the step of what came in evenly during it
    evenly = np.where(leaving > 1e-9, -np.expm1(-leaving) / np.maximum(leaving, 1e-9), 1.0)
    return _kernels.filled_and_emptied(kept, pushed * evenly)


class Way(NamedTuple):
    """One link out of a case.

    beyond: the place of a volume, or n plus that of a boundary; conductance [kg/(s Pa^2)], inertia [s/kg]: of
    the engine's flow law; compensated: whether it is such a leak; schedule: how far it is open, None for 1.
    """

    beyond: int
    conductance: float
    inertia: float
    compensated: bool
    schedule: Schedule | None


def ways_out(network: Network, node: str) -> tuple[Way, ...]:
    """Return the links out of a volume that let a small difference by, as a slug of water does not."""
    from ramstill.pneumatics.laws import coefficients, thresholds

    conductance, inertia, compensated = coefficients(network)
    held = np.maximum(*thresholds(network)) > 0.0
    at = network.index_of(node)
    found = []
    for i, (a, b) in enumerate(zip(network.link_a.tolist(), network.link_b.tolist(), strict=True)):
        if at in (a, b) and not held[i]:
            beyond, schedule = b if a == at else a, network.openness[i]
            passes = float(conductance[i]), float(inertia[i]), bool(compensated[i])
            found.append(Way(beyond, *passes, schedule))
    return tuple(found)


def way_out(
    network: Network,
    node: str,
    time_s: Array,
    pressure_pa: Mapping[str, Array],
    outside_pa: Mapping[str, Array],
) -> Array:
    """Return the share of a small over-pressure at `node` that leaves it in a second [1/s], (t,).

    All links at the node count, as open as they are, linearised about the flow that is in them: from
    w + B w^2 / A = D / A with D = pa^2 - pb^2, dw/dp = 2 p / (A sqrt(1 + 4 B D / A^2)); the little that the
    density in an orifice changes is left out. A boundary without a pressure in `outside_pa` counts as level
    with the node.
    """
    here = np.asarray(pressure_pa[node], dtype=float)
    warmth = T0 / np.asarray(air.standard_temperature(air.pressure_altitude(here)))
    names = (*network.node_names, *network.boundary_names)
    total = np.zeros(len(here))
    for way in ways_out(network, node):
        name = names[way.beyond]
        other = np.asarray(pressure_pa.get(name, outside_pa.get(name, here)), dtype=float)
        openness = 1.0 if way.schedule is None else np.asarray(way.schedule.at(time_s))
        viscous = way.conductance * openness**2 * (warmth if way.compensated else 1.0)
        drive = np.abs(here - other) * (here + other)
        total += 2.0 * here * viscous / np.sqrt(1.0 + 4.0 * way.inertia * viscous * drive)
    return np.asarray(total / network.capacity[network.index_of(node)])
