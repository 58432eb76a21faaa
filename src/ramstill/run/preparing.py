"""What runs of one airplane in the same surroundings share, worked out once, and what each adds to it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.errors import InputError
from ramstill.run.record import FloatArray

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Applied, Fault
    from ramstill.instruments.panel import Felt, Kept
    from ramstill.pneumatics import Inside, Network, Stem, Surroundings, Truth
    from ramstill.pneumatics.network import Heat, IntArray


@dataclass(frozen=True, slots=True)
class Prepared:
    """One airplane without faults in its surroundings, and what every case of it reads.

    healthy: its network; time_s (t,): output times [s]; truth: on `time_s`; start: the air inside at the
    start; stem: its run, which cases branch off; pointers (SI, (t,) each): what it shows;
    needles: those of them that go on from any time; outside_pa (t, b): pressures at the boundaries of
    `surroundings`, empty (0, b) where no instrument asks for them; watched: names of the instruments that
    are read, None for all; part: what alone they depend on, where that is not the whole.
    """

    airplane: Airplane
    surroundings: Surroundings
    tolerance_pa: float
    healthy: Network
    time_s: FloatArray
    truth: Truth
    outside_pa: FloatArray
    start: Inside
    stem: Stem
    pointers: dict[str, FloatArray]
    needles: dict[str, Kept]
    watched: frozenset[str] | None = None
    part: Part | None = None

    @property
    def pressure_pa(self) -> FloatArray:
        """Pressures without faults [Pa], (t, n)."""
        pressure: FloatArray = self.stem.pressure_pa
        return pressure


@dataclass(frozen=True, slots=True)
class Tappings:
    """Those whose pressures are worked out: names (c), columns (c,) in the network (None: all of them), and
    healthy_pa (t, c), what is there without faults [Pa].
    """

    names: tuple[str, ...]
    columns: IntArray | None
    healthy_pa: FloatArray


@dataclass(frozen=True, slots=True)
class Part:
    """Volumes that share no air with the others, among them all that is read, without faults.

    names: of the volumes; inside: the tappings that are worked out.
    """

    names: frozenset[str]
    network: Network
    surroundings: Surroundings
    stem: Stem
    inside: Tappings


@dataclass(frozen=True, slots=True)
class Worked:
    """One case worked out: as in `Prepared`, with its faults in it; pressures of some tappings, (t, c).

    rows: how many at the beginning are those of the healthy airplane.
    """

    applied: Applied
    pressure_pa: FloatArray
    outside_pa: FloatArray
    pointers: dict[str, FloatArray]
    rows: int


def prepare(
    plane: Airplane | str | Path,
    surroundings: Surroundings,
    output_hz: float,
    tolerance_pa: float,
    outside: bool = True,
    heat: Heat = "walls",
    watched: frozenset[str] | None = None,
) -> Prepared:
    """Work out the airplane without faults: see `simulate`.

    outside: whether `outside_pa` is wanted in any case; watched: see `Prepared`. Raises InputError for
    plumbing too quick to follow.
    """
    from ramstill import airplane as airplanes

    if isinstance(plane, str | Path):
        plane = airplanes.load(plane)
    healthy = healthy_network(plane, surroundings.truth, heat, surroundings.walls_k)
    time_s = sample_times(surroundings.start_s, surroundings.end_s, output_hz)
    truth = surroundings.truth.at(time_s)
    asked = outside or any(getattr(one, "instantaneous", None) for one in plane.instruments)
    beyond = surroundings.at(time_s) if asked else np.empty((0, len(surroundings.boundary_names)))
    start, stem = _grown(plane, healthy, surroundings, time_s, tolerance_pa)
    felt = _felt(time_s, truth, healthy, surroundings, every_tapping(stem), stem.pressure_pa, beyond)
    needles, pointers = _sound(plane, felt, watched)
    return Prepared(
        plane,
        surroundings,
        tolerance_pa,
        healthy,
        time_s,
        truth,
        beyond,
        start,
        stem,
        pointers,
        needles,
        watched,
    )


def work_out(
    prepared: Prepared, faults: Iterable[Fault], inside: Tappings | None = None, source: str = ""
) -> Worked:
    """Put the faults of one case in and work it out.

    inside: the tappings that are worked out, by default all. source: what an InputError names in front of it
    ("case 7").
    """
    from ramstill.faults import apply

    try:
        applied = apply(faults, prepared.airplane, prepared.healthy, prepared.surroundings)
        return go_on(prepared, applied, inside)
    except InputError as error:
        raise _named(source, error) from None


def every_tapping(stem: Stem) -> Tappings:
    """All of them."""
    return Tappings(stem.network.node_names, None, stem.pressure_pa)


def tappings(prepared: Prepared, wanted: Iterable[str]) -> Tappings:
    """Those that the instruments read, and the wanted ones: enough for `go_on`."""
    from ramstill.instruments.pointers import tappings_of

    names, instruments = prepared.healthy.node_names, _read(prepared.airplane, prepared.watched)
    read = {name for instrument in instruments for name in tappings_of(instrument)} | set(wanted)
    if any(getattr(one, "instantaneous", None) for one in instruments):
        read = set(names)  # how a pumped case empties depends on what is beside it
    columns = np.array([i for i, name in enumerate(names) if name in read], dtype=np.int64)
    healthy = np.ascontiguousarray(prepared.stem.pressure_pa[:, columns])
    return Tappings(tuple(names[i] for i in columns), columns, healthy)


def with_part(prepared: Prepared, inside: Tappings) -> Prepared:
    """The same with the part of the plumbing that what is read depends on, where that is not the whole.

    Two systems that share no air do nothing to each other, so that faults of the other one need no run.
    """
    from ramstill.pneumatics.part import around_part, joined, part_of

    names = joined(prepared.healthy, inside.names)
    if len(names) == len(prepared.healthy.node_names):
        return prepared
    network = part_of(prepared.healthy, names)
    around = around_part(network, prepared.surroundings)
    plane, time_s = prepared.airplane, prepared.time_s
    _, stem = _grown(plane, network, around, time_s, prepared.tolerance_pa)
    columns = np.array([network.node_names.index(name) for name in inside.names], dtype=np.int64)
    own = Tappings(inside.names, columns, np.ascontiguousarray(stem.pressure_pa[:, columns]))
    felt = _felt(time_s, prepared.truth, network, around, own, own.healthy_pa, prepared.outside_pa)
    needles, pointers = _sound(plane, felt, prepared.watched)
    part = Part(names, network, around, stem, own)
    return replace(prepared, pointers=pointers, needles=needles, part=part)


def _grown(
    plane: Airplane, network: Network, surroundings: Surroundings, time_s: FloatArray, tolerance_pa: float
) -> tuple[Inside, Stem]:
    """The air inside at the start, and its run, which cases branch off. InputError where it is too quick."""
    from ramstill.pneumatics import SolverError, grow, too_quick

    try:
        start = start_inside(network, surroundings, network, tolerance_pa)
        return start, grow(network, surroundings, time_s, tolerance_pa, start)
    except SolverError as error:
        raise too_quick(plane.name, error) from None


def _sound(
    plane: Airplane, felt: Felt, watched: frozenset[str] | None
) -> tuple[dict[str, Kept], dict[str, FloatArray]]:
    """What the instruments that are read keep and show without faults."""
    from ramstill.instruments.panel import kept, read_on

    needles = kept(plane.model_copy(update={"instruments": tuple(_read(plane, watched))}), felt)
    return needles, read_on(plane, felt, (), needles, len(felt.time_s), watched)


def _read(plane: Airplane, watched: frozenset[str] | None) -> list[Any]:
    """The instruments that are read: all of them where none are named."""
    return [one for one in plane.instruments if watched is None or one.name in watched]


def _split(
    prepared: Prepared, applied: Applied, inside: Tappings | None
) -> tuple[Stem, Tappings, Network, Surroundings, Network]:
    """What a case is worked out with: stem, tappings, its network and surroundings, and the healthy network:
    those of the part that is read where the case leaves it to itself."""
    from ramstill.pneumatics.part import around_part, joined, part_of, same_air

    part, network, faulty = prepared.part, applied.network, applied.surroundings
    if part is None or joined(network, part.inside.names) != part.names:
        stem = prepared.stem
        return stem, inside or every_tapping(stem), network, faulty, prepared.healthy
    own, around = part_of(network, part.names), part.surroundings
    if faulty is not prepared.surroundings:
        felt = around_part(own, faulty)
        around = around if same_air(own, felt, around) else felt
    return part.stem, part.inside, own, around, part.network


def go_on(prepared: Prepared, applied: Applied, inside: Tappings | None = None) -> Worked:
    """Work out one case from the last output time at which it is as the healthy airplane is.

    It does not depend on what was worked out before it, nor on what runs beside it.
    """
    from ramstill.instruments.panel import read_on
    from ramstill.pneumatics import SolverError, too_quick

    stem, inside, network, faulty, healthy = _split(prepared, applied, inside)
    edits, beyond = applied.pointer_edits, prepared.outside_pa
    if applied.surroundings is not prepared.surroundings and len(beyond):
        beyond = applied.surroundings.at(prepared.time_s)
    rows, own = stem.rows_alike(network, faulty), None
    pressure = inside.healthy_pa
    if rows < len(prepared.time_s):
        pressure = np.empty_like(pressure)
        pressure[:rows] = inside.healthy_pa[:rows]
        try:
            if not rows:
                own = start_inside(network, faulty, healthy, prepared.tolerance_pa)
            stem.carry_on(network, faulty, rows, pressure[rows:], inside.columns, own)
        except SolverError as error:
            raise too_quick(prepared.airplane.name, error) from None
    elif not edits:
        return Worked(applied, pressure, beyond, prepared.pointers, rows)
    felt = _felt(prepared.time_s, prepared.truth, network, faulty, inside, pressure, beyond)
    pointers = read_on(prepared.airplane, felt, edits, prepared.needles, rows, prepared.watched)
    return Worked(applied, pressure, beyond, pointers, 0 if edits else rows)


def healthy_network(plane: Airplane, truth: Truth, heat: Heat, walls_k: float | None = None) -> Network:
    """The airplane's network without faults; outside the cabin its walls are as cold as it is on average, or
    as is said [K].
    """
    from ramstill.pneumatics import compile_network

    walls = mean_warmth(truth) if walls_k is None else walls_k
    return compile_network(plane, heat=heat, outside_temperature_k=walls)


def mean_warmth(truth: Truth) -> float:
    """How warm it is outside on average [K]."""
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


def start_inside(network: Network, around: Surroundings, healthy: Network, tolerance_pa: float) -> Inside:
    """The air inside at the start, settled, and lags established where the airplane is climbing."""
    from ramstill.pneumatics import STEADY_M_S, spun_up

    climbing = abs(float(around.truth.climb_m_s[0])) > STEADY_M_S
    return spun_up(network, around, settled_as=healthy, carried_on=climbing, tolerance_pa=tolerance_pa)


def _felt(
    time_s: FloatArray,
    truth: Truth,
    network: Network,
    around: Surroundings,
    inside: Tappings,
    pressure: FloatArray,
    outside: FloatArray,
) -> Felt:
    from ramstill.instruments.panel import Felt

    beyond = dict(zip(around.boundary_names, outside.T, strict=True)) if len(outside) else {}
    there = {name: pressure[:, i] for i, name in enumerate(inside.names)}
    return Felt(time_s, there, truth.altimeter_setting_pa, truth, network, beyond)


def _named(source: str, error: InputError) -> InputError:
    if not source:
        return error
    return InputError(f"{source}: {error.source}", error.field, error.read, error.allowed)
