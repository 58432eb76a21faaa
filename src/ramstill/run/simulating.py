"""Airplane + surroundings + faults -> Run."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ramstill.errors import InputError
from ramstill.run.record import TOLERANCE_PA, FloatArray, Run

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.pneumatics import Network, Surroundings

OUTPUT_HZ = 10.0
STEADY_M_S = 0.05  # a slower climb than this at the start is none (10 ft/min)


def simulate(
    plane: Airplane | str | Path,
    surroundings: Surroundings,
    faults: Iterable[Fault] = (),
    output_hz: float = OUTPUT_HZ,
    tolerance_pa: float = TOLERANCE_PA,
    title: str = "",
    note: str = "",
    notes: tuple[str, ...] = (),
) -> Run:
    """Work out pressures and pointers of one airplane over the whole of its surroundings.

    plane: an airplane, or a hangar name or path; output_hz: samples a second [Hz]; tolerance_pa: error
    control of the integrator [Pa]. The air starts out settled: what went on before the first knot is 60 s of
    the same climb or descent at the same speed, or of rest where there is none. A fault whose onset lies
    before the start has been there since then. Raises InputError for a fault that does not fit
    the airplane, and for plumbing too quick to follow.
    """
    from ramstill import airplane as airplanes
    from ramstill.faults import apply
    from ramstill.instruments import read
    from ramstill.pneumatics import SolverError, compile_network

    if isinstance(plane, str | Path):
        plane = airplanes.load(plane)
    faults = tuple(faults)
    healthy = compile_network(plane)
    applied = apply(faults, plane, healthy, surroundings)
    time_s = sample_times(surroundings.start_s, surroundings.end_s, output_hz)
    truth = surroundings.truth.at(time_s)

    def pointers(network: Network, around: Surroundings) -> tuple[FloatArray, dict[str, FloatArray]]:
        pressure = pressures(network, around, healthy, time_s, tolerance_pa)
        by_name = {name: pressure[:, i] for i, name in enumerate(network.node_names)}
        edits = applied.pointer_edits if network is applied.network else ()
        beyond = dict(zip(around.boundary_names, around.at(time_s).T, strict=True))
        shown = read(
            plane,
            time_s,
            by_name,
            truth.altimeter_setting_pa,
            edits,
            truth=truth,
            network=network,
            outside_pa=beyond,
        )
        return pressure, shown

    try:
        pressure, shown = pointers(applied.network, applied.surroundings)
        without = pointers(healthy, surroundings)[1] if faults else shown
    except SolverError as error:
        allowed = "volumes, bores and lengths of a real system"
        raise InputError(plane.name, "plumbing", str(error), allowed) from None
    outside = applied.surroundings.at(time_s)
    return Run(
        airplane=plane,
        surroundings=surroundings,
        faults=faults,
        applied=applied,
        time_s=time_s,
        pressure_pa={name: pressure[:, i] for i, name in enumerate(applied.network.node_names)},
        outside_pa={name: outside[:, i] for i, name in enumerate(applied.surroundings.boundary_names)},
        pointers=shown,
        healthy_pointers=without,
        truth=truth,
        title=title or surroundings.title,
        note=note,
        notes=notes,
        tolerance_pa=tolerance_pa,
    )


def sample_times(start_s: float, end_s: float, output_hz: float) -> FloatArray:
    """Times [s] from start to end, `output_hz` a second, the end among them. ValueError for a silly rate."""
    if not 0.0 < output_hz <= 1000.0:
        raise ValueError("output_hz must lie between 0 and 1000 Hz")
    count = int(np.floor((end_s - start_s) * output_hz + 1e-9))
    times = start_s + np.arange(count + 1) / output_hz
    return times if end_s - times[-1] < 1e-6 else np.append(times, end_s)


def pressures(
    network: Network, around: Surroundings, healthy: Network, time_s: FloatArray, tolerance_pa: float
) -> FloatArray:
    """Pressure at each tapping [Pa], (t, n), from a settled start: see `simulate`."""
    from ramstill.pneumatics.integrate import integrate, spin_up

    climbing = abs(float(around.truth.climb_m_s[0])) > STEADY_M_S
    start = spin_up(network, around, settled_as=healthy, carried_on=climbing, tolerance_pa=tolerance_pa)
    return np.asarray(integrate(network, around, time_s, tolerance_pa, initial_pa=start))


def at_boundaries(around: Surroundings, at_s: float) -> dict[str, float]:
    """The pressure outside at each boundary at a time [Pa]."""
    return dict(zip(around.boundary_names, around.at([at_s])[0].tolist(), strict=True))
