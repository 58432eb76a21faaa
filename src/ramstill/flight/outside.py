"""What each opening meets: outside pressures from the state of flight."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill import air
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


def coefficients(airplane: Airplane, truth: Truth) -> Array:
    """Pressure coefficients [-], (k, b), at every boundary in the order of `boundary_names`."""
    state, inside = state_of(truth), airplane.inside
    cabin, bay = inside.cabin_pressure_coefficient, inside.wing_bay_pressure_coefficient
    of_air: dict[str, Any] = {"cabin": float(cabin), "wing-bay": float(bay), "outside": 0.0}
    columns = [
        of_air[opening.sees] if opening.sees in of_air else opening.pressure_coefficient.at(state)
        for opening in airplane.openings
    ]
    columns += [of_air[name] for name in INSIDE]
    return np.stack([np.broadcast_to(c, truth.time_s.shape) for c in columns], axis=1).astype(float)


def pressures(airplane: Airplane, truth: Truth) -> Array:
    """Outside pressure [Pa], (k, b): static pressure plus coefficient times impact pressure.

    The coefficient is that of the boundary at the state of flight; the cabin and the wing bay have one figure
    each (vents, heater and windows as they are left).
    """
    static, impact = truth.static_pressure_pa[:, None], truth.impact_pressure_pa[:, None]
    return np.asarray(static + coefficients(airplane, truth) * impact)


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
