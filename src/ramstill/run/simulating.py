"""Airplane + surroundings + faults -> Run."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from ramstill.run.preparing import prepare, work_out
from ramstill.run.record import TOLERANCE_PA, Run

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.pneumatics import Surroundings
    from ramstill.pneumatics.network import Heat

OUTPUT_HZ = 10.0


def simulate(
    plane: Airplane | str | Path,
    surroundings: Surroundings,
    faults: Iterable[Fault] = (),
    output_hz: float = OUTPUT_HZ,
    tolerance_pa: float = TOLERANCE_PA,
    title: str = "",
    note: str = "",
    notes: tuple[str, ...] = (),
    heat: Heat = "walls",
) -> Run:
    """Work out pressures and pointers of one airplane over the whole of its surroundings.

    plane: an airplane, or a hangar name or path; output_hz: samples a second [Hz]; tolerance_pa: error
    control of the integrator [Pa]; heat: whether the walls pass heat to the air inside ("walls"), keep it at
    their temperature ("isothermal") or do nothing ("adiabatic"); lines outside the cabin are as cold as it is
    outside on average. The air starts out settled: what went on before the first knot is 60 s of
    the same climb or descent at the same speed, or of rest where there is none. A fault whose onset lies
    before the start has been there since then. Raises InputError for a fault that does not fit
    the airplane, and for plumbing too quick to follow.
    """
    faults = tuple(faults)
    prepared = prepare(plane, surroundings, output_hz, tolerance_pa, heat=heat)
    worked = work_out(prepared, faults)
    pressure, outside = worked.pressure_pa, worked.outside_pa
    applied = worked.applied
    return Run(
        airplane=prepared.airplane,
        surroundings=surroundings,
        faults=faults,
        applied=applied,
        time_s=prepared.time_s,
        pressure_pa={name: pressure[:, i] for i, name in enumerate(applied.network.node_names)},
        outside_pa={name: outside[:, i] for i, name in enumerate(applied.surroundings.boundary_names)},
        pointers=worked.pointers,
        healthy_pointers=prepared.pointers,
        truth=prepared.truth,
        title=title or surroundings.title,
        note=note,
        notes=notes,
        tolerance_pa=tolerance_pa,
    )


def at_boundaries(around: Surroundings, at_s: float) -> dict[str, float]:
    """The pressure outside at each boundary at a time [Pa]."""
    return dict(zip(around.boundary_names, around.at([at_s])[0].tolist(), strict=True))
