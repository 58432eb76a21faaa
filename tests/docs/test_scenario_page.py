"""docs/scenario-files.md against the program: its example runs; it names every key and no other."""

import re
import tomllib
from pathlib import Path

from ramstill.bench import Programme
from ramstill.bench.programme import Apply
from ramstill.flight import FlightPlan
from ramstill.flight.lever_table import LeversTable, MoveTable
from ramstill.flight.pilots import PilotPlan
from ramstill.flight.pilots.table import Task
from ramstill.flight.planned import DayTable, Leg
from ramstill.run.scenario import FaultTable, RecordingTable, ScenarioFile, from_tables

PAGE = (Path(__file__).parents[2] / "docs" / "scenario-files.md").read_text(encoding="utf-8")


def section(title: str) -> str:
    """The text under a heading, up to the next one."""
    return PAGE.split(f"## {title}\n", 1)[1].split("\n## ", 1)[0]


def named(text: str) -> set[str]:
    """The keys in code quotes."""
    return set(re.findall(r"`([a-z_]+)(?: = [^`]*)?`", text))


def keys(model: type) -> set[str]:
    return {field.alias or name for name, field in model.model_fields.items()}  # type: ignore[attr-defined]


def test_the_example_is_a_scenario(tmp_path: Path) -> None:
    text = PAGE.split("```toml\n", 1)[1].split("```", 1)[0]
    scenario = from_tables(tomllib.loads(text), "docs", tmp_path)
    assert scenario.faults
    assert scenario.run().time_s[-1] > 180.0


def test_every_key_is_named() -> None:
    tables = {"day", "flight", "levers", "pilot", "bench", "recording", "fault"}
    assert named(section("At the top")) >= keys(ScenarioFile) - tables
    assert named(section("[day]")) >= keys(DayTable)
    assert named(section("[flight]")) >= keys(FlightPlan) - {"leg"}
    assert named(section("[levers]")) >= (keys(LeversTable) | keys(MoveTable)) - {"move"}
    assert named(section("[pilot]")) >= keys(PilotPlan) - {"task"}
    assert named(section("[recording]")) >= keys(RecordingTable)
    assert named(section("[[fault]]")) >= keys(FaultTable)
    assert named(section("[bench]")) >= keys(Programme) - {"apply"}


def test_legs_and_steps_name_their_own_keys_and_no_other() -> None:
    for title, choices, common in (
        ("[flight]", FlightPlan.choices(), keys(Leg)),
        ("[pilot]", PilotPlan.choices(), keys(Task)),
        ("[bench]", Programme.choices(), keys(Apply)),
    ):
        rows = [row.split("|")[1:3] for row in section(title).splitlines() if row.startswith("| `")]
        told = {kind: named(own) for kinds, own in rows for kind in re.findall(r"`([a-z-]+)`", kinds)}
        for kind, model in choices.items():
            own = keys(model) - common - {"kind", "what"}
            repeated = {"flap"} & told[str(kind)]  # an approach says its own usual flap
            assert told[str(kind)] - repeated == own - repeated, kind
