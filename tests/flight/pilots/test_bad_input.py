"""What cannot be flown is refused in one line that names the field."""

from pathlib import Path
from typing import Any

import pytest

from ramstill import air, airplane
from ramstill.errors import InputError
from ramstill.flight.pilots import fly, parse_pilot
from ramstill.run import load_scenario

CLIMB = {"kind": "climb", "to": "4000 ft"}


def plan(**changes: Any) -> dict[str, Any]:
    return {"style": "by-airspeed", "start_altitude": "2500 ft", "task": [CLIMB]} | changes


def refused(table: dict[str, Any], name: str = "low-wing-mast", **parts: Any) -> InputError:
    plane = airplane.load(name)
    if parts:
        plane = plane.model_copy(update=parts)
    with pytest.raises(InputError) as told:
        fly(plane, parse_pilot(table, "my.toml"), air.Day(), (), "my.toml")
    assert "\n" not in str(told.value)
    assert told.value.source == "my.toml"
    return told.value


def test_an_airplane_without_a_flight_model() -> None:
    told = refused(plan(), performance=None)
    assert told.field == "airplane"
    assert "[performance]" in told.read
    assert "plan or a recording" in told.allowed


def test_an_engine_too_weak_is_told_from_no_flight_model() -> None:
    table = airplane.table("low-wing-mast")
    table["performance"]["engine"]["shaft_power"] = "60 kW"
    with pytest.raises(InputError) as told:
        fly(airplane.from_dict(table), parse_pilot(plan(), "my.toml"), source="my.toml")
    assert (told.value.source, told.value.field) == ("low-wing-mast", "performance.engine.shaft_power")


def test_no_instrument_to_follow() -> None:
    plane = airplane.load("low-wing-mast")
    without = tuple(one for one in plane.instruments if one.kind != "airspeed-indicator")
    assert refused(plan(), instruments=without).field == "pilot.style"
    blind = tuple(one for one in plane.instruments if one.kind not in ("altimeter", "encoder"))
    assert "altimeter" in refused(plan(), instruments=blind).allowed


def test_a_named_instrument_that_is_missing_or_of_the_wrong_kind() -> None:
    told = refused(plan(airspeed_indicator="speedometer"))
    assert (told.field, told.read) == ("pilot.airspeed_indicator", '"speedometer"')
    assert "airspeed" in told.allowed
    told = refused(plan(altimeter="airspeed"))
    assert told.field == "pilot.altimeter"
    assert "airspeed-indicator" in told.read
    assert told.allowed.endswith("altimeter")
    assert refused(plan(altimeter="encoder")).field == "pilot.altimeter"


def test_a_target_out_of_reach() -> None:
    told = refused(plan(task=[CLIMB | {"to": "19000 ft"}]))
    assert told.field == "pilot.task[1].to"
    assert "within reach" in told.allowed
    told = refused(plan(task=[CLIMB | {"within": "60 s"}]))
    assert told.field == "pilot.task[1].within"
    told = refused(plan(task=[{"kind": "descent", "to": "1000 ft", "power": 0.9, "speed": "70 kt"}]))
    assert told.field == "pilot.task[1].to"


def test_a_target_that_is_never_reached_because_of_how_it_is_flown() -> None:
    # enough time for a straight climb at the speed asked for, not for one that starts far from it
    slow = {"kind": "climb", "to": "2600 ft", "speed": "75 kt", "within": "12 s"}
    told = refused(plan(start_speed="60 kt", task=[slow]))
    assert told.field.startswith("pilot.task[1]")


@pytest.mark.parametrize(
    ("task", "field"),
    [
        (CLIMB | {"to": "2000 ft"}, "pilot.task[1].to"),
        (CLIMB | {"speed": "40 kt"}, "pilot.task[1].speed"),
        ({"kind": "level", "duration": "60 s", "speed": "140 kt"}, "pilot.task[1].speed"),
        ({"kind": "descent", "to": "1000 ft", "rate": "4000 ft/min"}, "pilot.task[1]"),
        ({"kind": "level", "duration": "25 h"}, "pilot.task"),
        ({"kind": "level", "duration": "0.1 s"}, "pilot.task"),
    ],
)
def test_a_task_that_cannot_be_flown(task: dict[str, Any], field: str) -> None:
    assert refused(plan(task=[task])).field == field


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"style": "by-feel"}, "pilot.style"),
        ({"scan": "0 s"}, "pilot.scan"),
        ({"gain": 0}, "pilot.gain"),
        ({"seed": 1.5}, "pilot.seed"),
        ({"task": []}, "pilot.task"),
        ({"task": [{"kind": "loop"}]}, "pilot.task[1].kind"),
        ({"task": [{"kind": "climb"}]}, "pilot.task[1]"),
        ({"task": [CLIMB | {"rate": "500 ft/min", "power": 0.5}]}, "pilot.task[1]"),
        ({"colour": "red"}, "pilot.colour"),
    ],
)
def test_a_table_that_does_not_hold(changes: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as told:
        parse_pilot(plan(**changes), "my.toml")
    assert told.value.field == field


@pytest.mark.parametrize(
    ("changes", "field"),
    [
        ({"start_altitude": "300 ft", "field_elevation": "400 ft"}, "pilot.start_altitude"),
        ({"start_speed": "40 kt"}, "pilot.start_speed"),
        ({"start_speed": "140 kt"}, "pilot.start_speed"),
        ({"start_altitude": "200000 ft"}, "pilot.start_speed"),
        ({"altimeter_setting": "1 hPa"}, "pilot.altimeter_setting"),
        ({"field_elevation": "200000 ft", "start_altitude": "210000 ft"}, "pilot.field_elevation"),
    ],
)
def test_a_start_that_cannot_be(changes: dict[str, Any], field: str) -> None:
    assert refused(plan(**changes)).field == field


def test_a_scenario_says_which_file(tmp_path: Path) -> None:
    file = tmp_path / "mine.toml"
    file.write_text(
        'format = 1\ntitle = "x"\nairplane = "low-wing-mast"\n[pilot]\nstyle = "by-airspeed"\n'
        'start_altitude = "2500 ft"\n[[pilot.task]]\nkind = "climb"\nto = "19000 ft"\n',
        encoding="utf-8",
    )
    with pytest.raises(InputError, match="within reach") as told:
        load_scenario(file)
    assert told.value.source == str(file)
    assert told.value.field == "pilot.task[1].to"
