"""What each opening meets: outside pressures from the state of flight."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.constants import GAMMA
from ramstill.pneumatics import Surroundings, Truth

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.path import FlightPath

Array = NDArray[np.float64]
INSIDE = ("cabin", "wing-bay", "outside")  # boundaries that are not openings


def boundary_names(airplane: Airplane) -> tuple[str, ...]:
    """Names of everything outside the network: each opening, then cabin, wing bay and outside."""
    return (*(opening.name for opening in airplane.openings), *INSIDE)


def state_of(truth: Truth) -> dict[str, Array]:
    """Return the state that pressure coefficients depend on, by the name of the axis."""
    return {
        "angle-of-attack": truth.angle_of_attack_rad,
        "sideslip": truth.sideslip_rad,
        "flap": truth.flap,
        "gear": truth.gear,
        "mach": np.asarray(air.mach(truth.impact_pressure_pa, truth.static_pressure_pa)),
        "power": truth.power,
        "height-over-ground": truth.height_over_ground_m,
    }


def pressures(airplane: Airplane, truth: Truth) -> Array:
    """Outside pressure [Pa], (k, b), at every boundary in the order of `boundary_names`.

    Ram and still openings: static pressure plus their coefficient at the state of flight times impact
    pressure. Total-energy probes: the same, times half rho V squared of the free stream, which is
    gamma / 2 p M squared (NACA Report 1135, from memory). Cabin and wing bay: as the airplane says of its
    inside; a pressurised cabin follows its schedule.
    """
    static, impact = truth.static_pressure_pa, truth.impact_pressure_pa
    state, inside = state_of(truth), airplane.inside
    dynamic = 0.5 * GAMMA * static * state["mach"] ** 2
    of_air: dict[str, Array] = {
        "cabin": inside.cabin_pressure(static, impact),
        "wing-bay": inside.wing_bay_pressure(static, impact),
        "outside": static,
    }
    columns = [
        of_air[opening.sees]
        if opening.sees in of_air
        else static
        + opening.pressure_coefficient.at(state) * (dynamic if opening.sees == "total-energy" else impact)
        for opening in airplane.openings
    ]
    columns += [of_air[name] for name in INSIDE]
    return np.stack([np.broadcast_to(c, truth.time_s.shape) for c in columns], axis=1).astype(float)


def surroundings(airplane: Airplane, path: FlightPath) -> Surroundings:
    """Return the outside pressures of a flight path at every boundary of an airplane's network."""
    return Surroundings.from_samples(
        path.truth.time_s,
        boundary_names(airplane),
        pressures(airplane, path.truth),
        path.truth,
        kinks_s=path.kinks_s,
        title=path.title,
    )
