"""What runs of one airplane in the same surroundings share, worked out once, and what each adds to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from ramstill.errors import InputError
from ramstill.run.record import FloatArray

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Applied, Fault
    from ramstill.instruments import PointerEdit
    from ramstill.pneumatics import Inside, Network, Schedule, Surroundings, Truth
    from ramstill.pneumatics.network import Heat

STEADY_M_S = 0.05  # a slower climb than this at the start is none (10 ft/min)


@dataclass(frozen=True, slots=True)
class Prepared:
    """One airplane without faults in its surroundings, and what every case of it reads.

    healthy: its network; time_s (t,): output times [s]; truth: on `time_s`; start: the air inside at the
    start; pressure_pa (t, n) and pointers (SI, (t,) each): what it does; outside_pa (t, b): pressures at the
    boundaries of `surroundings`, empty (0, b) where no instrument asks for them.
    """

    airplane: Airplane
    surroundings: Surroundings
    tolerance_pa: float
    healthy: Network
    time_s: FloatArray
    truth: Truth
    outside_pa: FloatArray
    start: Inside
    pressure_pa: FloatArray
    pointers: dict[str, FloatArray]


@dataclass(frozen=True, slots=True)
class Worked:
    """One case worked out: as in `Prepared`, with its faults in it."""

    applied: Applied
    pressure_pa: FloatArray
    outside_pa: FloatArray
    pointers: dict[str, FloatArray]


def prepare(
    plane: Airplane | str | Path,
    surroundings: Surroundings,
    output_hz: float,
    tolerance_pa: float,
    outside: bool = True,
    heat: Heat = "walls",
) -> Prepared:
    """Work out the airplane without faults: see `simulate`.

    outside: whether `outside_pa` is wanted in any case. Raises InputError for plumbing too quick to follow.
    """
    from ramstill import airplane as airplanes
    from ramstill.pneumatics import SolverError, compile_network

    if isinstance(plane, str | Path):
        plane = airplanes.load(plane)
    healthy = compile_network(plane, heat=heat, outside_temperature_k=mean_outside_k(surroundings.truth))
    time_s = sample_times(surroundings.start_s, surroundings.end_s, output_hz)
    truth = surroundings.truth.at(time_s)
    asked = outside or any(getattr(one, "instantaneous", None) for one in plane.instruments)
    beyond = surroundings.at(time_s) if asked else np.empty((0, len(surroundings.boundary_names)))
    try:
        start = _start(healthy, surroundings, healthy, tolerance_pa)
        pressure = pressures(healthy, surroundings, time_s, tolerance_pa, start)
    except SolverError as error:
        raise _too_quick(plane, error) from None
    pointers = _pointers(plane, time_s, truth, healthy, surroundings, pressure, beyond, ())
    return Prepared(
        plane, surroundings, tolerance_pa, healthy, time_s, truth, beyond, start, pressure, pointers
    )


def work_out(prepared: Prepared, faults: Iterable[Fault], source: str = "") -> Worked:
    """Work out one case; it does not depend on what was worked out before it, nor on what runs beside it.

    source: what an InputError of a fault names in front of it ("case 7").
    """
    from ramstill.faults import apply
    from ramstill.pneumatics import SolverError

    plane, healthy, around = prepared.airplane, prepared.healthy, prepared.surroundings
    try:
        applied = apply(faults, plane, healthy, around)
    except InputError as error:
        raise _named(source, error) from None
    network, faulty = applied.network, applied.surroundings
    beyond = prepared.outside_pa
    if faulty is not around and len(beyond):
        beyond = faulty.at(prepared.time_s)
    if faulty is around and _same_air(network, healthy):
        pressure = prepared.pressure_pa
        if not applied.pointer_edits:
            return Worked(applied, pressure, beyond, prepared.pointers)
    else:
        try:
            settled = begins_alike(network, faulty, healthy, around)
            start = prepared.start if settled else _start(network, faulty, healthy, prepared.tolerance_pa)
            pressure = pressures(network, faulty, prepared.time_s, prepared.tolerance_pa, start)
        except SolverError as error:
            raise _named(source, _too_quick(plane, error)) from None
    pointers = _pointers(
        plane,
        prepared.time_s,
        prepared.truth,
        network,
        faulty,
        pressure,
        beyond,
        applied.pointer_edits,
    )
    return Worked(applied, pressure, beyond, pointers)


def mean_outside_k(truth: Truth) -> float:
    """Temperature of the air outside, averaged over the time that is flown [K]."""
    time, warmth = truth.time_s, truth.outside_temperature_k
    span = float(time[-1] - time[0])
    return float(np.trapezoid(warmth, time) / span) if span > 0.0 else float(warmth[0])


def sample_times(start_s: float, end_s: float, output_hz: float) -> FloatArray:
    """Times [s] from start to end, `output_hz` a second, the end among them. ValueError for a silly rate."""
    if not 0.0 < output_hz <= 1000.0:
        raise ValueError("output_hz must lie between 0 and 1000 Hz")
    count = int(np.floor((end_s - start_s) * output_hz + 1e-9))
    times = start_s + np.arange(count + 1) / output_hz
    return times if end_s - times[-1] < 1e-6 else np.append(times, end_s)


def pressures(
    network: Network, around: Surroundings, time_s: FloatArray, tolerance_pa: float, start: Inside
) -> FloatArray:
    """Pressure at each tapping [Pa], (t, n), from the air inside at the start."""
    from ramstill.pneumatics.integrate import integrate

    return np.asarray(integrate(network, around, time_s, tolerance_pa, initial_pa=start))


def begins_alike(network: Network, faulty: Surroundings, healthy: Network, around: Surroundings) -> bool:
    """Whether faults change nothing up to the start, so that the healthy airplane's start is theirs too."""
    if not _same_parts(network, healthy, extra=True):
        return False
    known = len(healthy.openness)
    shares = [*zip(network.openness, healthy.openness, strict=False)]
    shares += [(schedule, _SHUT) for schedule in network.openness[known:]]
    if faulty is not around:
        first = faulty.pressure_pa[0], faulty.slope_right_pa_s[0], faulty.at([faulty.start_s])
        before = around.pressure_pa[0], around.slope_right_pa_s[0], around.at([around.start_s])
        if faulty.start_s != around.start_s or set(faulty.openness) != set(around.openness):
            return False
        if not all(np.array_equal(a, b) for a, b in zip(first, before, strict=True)):
            return False
        shares += [(faulty.openness[name], around.openness[name]) for name in faulty.openness]
    return all(_alike_until(a, b, around.start_s) for a, b in shares)


_SHUT = "shut"  # what a link that the healthy airplane does not have counts as


def _alike_until(one: Schedule | None, other: Schedule | str | None, until_s: float) -> bool:
    """Whether two open shares are one and the same steady value up to a time, or the same thing."""
    if one is other:
        return True
    values = {_steady_until(one, until_s)}
    values.add(0.0 if isinstance(other, str) else _steady_until(other, until_s))
    return len(values) == 1 and None not in values


def _steady_until(schedule: Schedule | None, until_s: float) -> float | None:
    """The value up to just before a time; None where it changes before that."""
    if schedule is None:
        return 1.0
    values = schedule.values
    passed = sum(t < until_s for t in schedule.times_s)
    # held before the first knot; between two knots where the time lies between them
    reached = values[: passed + 1] if passed else values[:1]
    return values[0] if all(value == values[0] for value in reached) else None


def _same_parts(network: Network, healthy: Network, extra: bool) -> bool:
    """Whether a network has the healthy one's volumes and links as they are, and (`extra`) more links."""
    if network is healthy:
        return True
    count = len(healthy.link_names)
    if not extra and len(network.link_names) != count:
        return False
    for field in fields(healthy):
        if field.name == "openness":
            continue
        a, b = getattr(network, field.name), getattr(healthy, field.name)
        if field.name.startswith("link_"):
            a = a[:count]
        if a is not b and not np.array_equal(a, b):
            return False
    return True


def _same_air(network: Network, healthy: Network) -> bool:
    shares = zip(network.openness, healthy.openness, strict=False)
    return _same_parts(network, healthy, extra=False) and all(a is b for a, b in shares)


def _start(network: Network, around: Surroundings, healthy: Network, tolerance_pa: float) -> Inside:
    """The air inside at the start, settled, and lags established where the airplane is climbing."""
    from ramstill.pneumatics.integrate import spun_up

    climbing = abs(float(around.truth.climb_m_s[0])) > STEADY_M_S
    return spun_up(network, around, settled_as=healthy, carried_on=climbing, tolerance_pa=tolerance_pa)


def _pointers(
    plane: Airplane,
    time_s: FloatArray,
    truth: Truth,
    network: Network,
    around: Surroundings,
    pressure: FloatArray,
    outside: FloatArray,
    edits: tuple[PointerEdit, ...],
) -> dict[str, FloatArray]:
    from ramstill.instruments import read

    beyond = dict(zip(around.boundary_names, outside.T, strict=True)) if len(outside) else {}
    shown: dict[str, FloatArray] = read(
        plane,
        time_s,
        {name: pressure[:, i] for i, name in enumerate(network.node_names)},
        truth.altimeter_setting_pa,
        edits,
        truth=truth,
        network=network,
        outside_pa=beyond,
    )
    return shown


def _too_quick(plane: Airplane, error: Exception) -> InputError:
    return InputError(plane.name, "plumbing", str(error), "volumes, bores and lengths of a real system")


def _named(source: str, error: InputError) -> InputError:
    if not source:
        return error
    return InputError(f"{source}: {error.source}", error.field, error.read, error.allowed)
