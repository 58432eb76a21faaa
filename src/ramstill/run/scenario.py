"""A scenario file: one airplane, one day, how it is flown, pumped or recorded, and faults."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from importlib import resources
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BeforeValidator, Field

from ramstill import toml_file
from ramstill.air import Day
from ramstill.airplane import Airplane, spelt
from ramstill.airplane.reading import hangar
from ramstill.airplane.reading import load as load_airplane
from ramstill.bench import Programme
from ramstill.errors import InputError
from ramstill.faults import Fault, check
from ramstill.flight import FlightPlan, parse_day, parse_flight
from ramstill.flight.lever_table import LeversTable, parse_levers
from ramstill.flight.pilots import PilotPlan, parse_pilot
from ramstill.flight.planned import DayTable
from ramstill.flight.tables import Share, Strict, Time, parse_table, reader
from ramstill.run.record import TOLERANCE_PA
from ramstill.run.simulating import OUTPUT_HZ, simulate

if TYPE_CHECKING:
    from ramstill.flight.pilots import Flown
    from ramstill.pneumatics import Surroundings
    from ramstill.run.record import Run

DESCRIBED = "docs/scenario-files.md"
KINDS = ("flight", "levers", "pilot", "bench", "recording")
_FLOWN = (
    "The airplane flies as a point of mass with the figures of [performance] in its file, wings level. Pitch "
    "attitude, power and GPS ground speed are true, and the wind is known."
)
_BY_LEVERS = (
    "The airplane does what its levers ask, wings level, in still air: nothing weighs thrust against drag."
)
MOST_SAMPLES = 1_000_000  # a whole day at ten a second; more fills the memory

Rate = Annotated[
    float,
    BeforeValidator(reader("frequency", low=0.1, high=1000.0, words="a rate from 0.1 Hz to 1000 Hz")),
]
When = Annotated[float, BeforeValidator(reader("time"))]


class RecordingTable(Strict):
    """[recording]: a flight recorded as CSV; `columns` says what other headers stand for ours."""

    file: str = Field(min_length=1)
    columns: dict[str, str] = Field(default_factory=dict)


class FaultTable(Strict):
    """[[fault]]: a fault of the catalogue, where, how bad, and when; a time before the start is allowed."""

    name: str
    where: str | None = None
    severity: Share = 1.0
    size: str | None = None
    onset: When = 0.0
    end: When | None = None
    gradual: Time = 0.0


class ScenarioFile(Strict):
    """A whole scenario file. Exactly one of KINDS."""

    format: Literal[1]
    title: str = Field(min_length=1)
    note: str = ""
    airplane: str = Field(min_length=1)
    output_rate: Rate = OUTPUT_HZ
    day: DayTable | None = None
    flight: FlightPlan | None = None
    levers: LeversTable | None = None
    pilot: PilotPlan | None = None
    bench: Programme | None = None
    recording: RecordingTable | None = None
    fault: tuple[FaultTable, ...] = ()


class _Head(Strict):
    """What stands above the first table."""

    format: Literal[1]
    title: str = Field(min_length=1)
    note: str = ""
    airplane: str = Field(min_length=1)
    output_rate: Rate = OUTPUT_HZ


@dataclass(frozen=True, slots=True)
class Scenario:
    """A scenario, checked: what `simulate` needs. source: the file, as error lines name it.

    faults: those of the file, and what a pilot did about them; flown: of a scenario with a pilot.
    """

    source: str
    title: str
    note: str
    airplane: Airplane
    kind: Literal["flight", "levers", "pilot", "bench", "recording"]
    surroundings: Surroundings
    faults: tuple[Fault, ...] = ()
    output_hz: float = OUTPUT_HZ
    notes: tuple[str, ...] = ()
    flown: Flown | None = None

    def run(self, tolerance_pa: float = TOLERANCE_PA) -> Run:
        """Work it out. Raises InputError for what only shows once it is tried."""
        done = simulate(
            self.airplane,
            self.surroundings,
            self.faults,
            output_hz=self.output_hz,
            tolerance_pa=tolerance_pa,
            title=self.title,
            note=self.note,
            notes=self.notes,
        )
        return replace(done, flown=self.flown)


def bundled() -> dict[str, Path]:
    """The scenarios that come with the program, by name."""
    folder = Path(str(resources.files("ramstill") / "scenarios"))
    return {path.stem: path for path in sorted(folder.glob("*.toml"))}


def load_scenario(path: str | Path) -> Scenario:
    """Read and check a scenario file, or a bundled scenario by its name. InputError, and nothing else."""
    return from_tables(*read_tables(path))


def read_tables(path: str | Path) -> tuple[dict[str, Any], str, Path]:
    """The tables of a scenario file or of a bundled scenario, unchecked; its path; its folder. InputError."""
    given = Path(path)
    if given.suffix == "" and not given.exists() and len(given.parts) == 1:
        known = bundled()
        if given.name not in known:
            allowed = f"a scenario file, or one that comes with the program: {spelt(given.name, known)}"
            raise InputError(str(path), "", "no such scenario", allowed)
        given = known[given.name]
    return toml_file.read(given, "a scenario file", DESCRIBED), str(given), given.parent


def from_tables(tables: Mapping[str, Any], source: str, folder: Path) -> Scenario:
    """The scenario of a file's tables; relative paths in it start at `folder`. Raises InputError."""
    for key in tables:
        if key not in ScenarioFile.model_fields:
            raise InputError(source, key, f"{key}, which is not known", spelt(key, ScenarioFile.model_fields))
    head = _head(tables, source)
    given = [kind for kind in KINDS if kind in tables]
    if len(given) != 1:
        read = " and ".join(f"[{kind}]" for kind in given) or "none of them"
        raise InputError(source, "", read, f"exactly one of {', '.join(f'[{kind}]' for kind in KINDS)}")
    plane = _airplane(head.airplane, source, folder)
    faults = faults_of(tables, plane, source)
    flown = _flown(tables, plane, faults, source) if given[0] == "pilot" else None
    if flown is None:
        surroundings, notes = _surroundings(given[0], tables, plane, source, folder)
    else:
        surroundings, notes, faults = flown.surroundings, (_FLOWN,), flown.faults
    samples = (surroundings.end_s - surroundings.start_s) * head.output_rate
    if samples > MOST_SAMPLES:
        allowed = f"{MOST_SAMPLES:,} samples at most: a lower rate, or a shorter run"
        raise InputError(source, "output_rate", f"a rate that makes {samples:,.0f} samples", allowed)
    return Scenario(
        source=source,
        title=head.title,
        note=" ".join(head.note.split()),
        airplane=plane,
        kind=given[0],  # type: ignore[arg-type]
        surroundings=surroundings,
        faults=faults,
        output_hz=head.output_rate,
        notes=notes,
        flown=flown,
    )


def _head(tables: Mapping[str, Any], source: str) -> _Head:
    try:
        return parse_table(_Head, {k: v for k, v in tables.items() if k in _Head.model_fields}, source, "")
    except InputError as error:
        raise InputError(source, error.field.lstrip("."), error.read, error.allowed) from None


def _airplane(text: str, source: str, folder: Path) -> Airplane:
    if text in hangar():
        return load_airplane(text)
    if not text.endswith(".toml"):
        allowed = f"a path ending in .toml, or a hangar name: {spelt(text, hangar())}"
        raise InputError(source, "airplane", f'"{text}"', allowed)
    return load_airplane(folder / text)


def faults_of(scenario: Mapping[str, Any], plane: Airplane, source: str) -> tuple[Fault, ...]:
    """The faults of a scenario's tables. Raises InputError."""
    tables = scenario.get("fault", ())
    if not isinstance(tables, list | tuple):
        raise InputError(source, "fault", repr(tables), "tables written [[fault]]")
    faults = []
    for number, table in enumerate(tables, 1):
        where = f"fault[{number}]"
        read = parse_table(FaultTable, table, source, where)
        try:
            fault = Fault(read.name, read.where, read.severity, read.onset, read.end, read.gradual, read.size)
        except InputError as error:
            raise InputError(source, f"{where}.{error.field}", error.read, error.allowed) from None
        check(fault, plane, f"{source}: {where}")
        faults.append(fault)
    return tuple(faults)


def _flown(tables: Mapping[str, Any], plane: Airplane, faults: tuple[Fault, ...], source: str) -> Flown:
    plan = parse_pilot(tables["pilot"], source)
    day = parse_day(tables.get("day", {}), source)
    from ramstill.flight import pilots

    return pilots.fly(plane, plan, day, faults, source)


def _surroundings(
    kind: str, tables: Mapping[str, Any], plane: Airplane, source: str, folder: Path
) -> tuple[Surroundings, tuple[str, ...]]:
    if kind == "recording":
        return _recorded(tables, plane, source, folder)
    day: Day = parse_day(tables.get("day", {}), source)
    if kind == "bench":
        from ramstill import bench

        programme = bench.parse_bench(tables["bench"], source)
        return bench.surroundings(plane, programme, day=day, source=source), ()
    if kind == "levers":
        from ramstill.flight import levers

        plan = parse_levers(tables["levers"], source)
        return levers.surroundings(plane, plan, day, source), (_BY_LEVERS,)
    from ramstill.flight import path as flight_path
    from ramstill.flight import surroundings

    path = flight_path.plan(parse_flight(tables["flight"], source), plane, day, source)
    return surroundings(plane, path), ()


def _recorded(
    tables: Mapping[str, Any], plane: Airplane, source: str, folder: Path
) -> tuple[Surroundings, tuple[str, ...]]:
    if "day" in tables:
        raise InputError(
            source, "day", "[day] beside [recording]", "no [day]: the recording says what it was like"
        )
    from ramstill.flight import reconstruction, recording

    table = parse_table(RecordingTable, tables["recording"], source, "recording")
    read = recording.read(folder / table.file, columns=table.columns or None)
    ignored = (f"Not read from the record: {', '.join(read.ignored)}.",) if read.ignored else ()
    found = reconstruction(plane, read)
    return found.surroundings, (*found.notes, *ignored)
