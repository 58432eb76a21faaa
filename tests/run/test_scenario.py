"""Scenario files: what is read, and what is refused in one line."""

import json
import tomllib
from pathlib import Path

import jsonschema
import pytest

from ramstill.air.units import KT
from ramstill.errors import InputError
from ramstill.run import bundled, json_schema, load_scenario

HEAD = 'format = 1\ntitle = "A test"\nairplane = "low-wing-mast"\n'
LEVEL = """
[flight]
start_altitude = "3000 ft"
start_speed = "90 kt"
[[flight.leg]]
kind = "level"
duration = "40 s"
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "scenario.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_a_flight_is_read(tmp_path: Path) -> None:
    fault = '[[fault]]\nname = "static-ports-blocked"\nonset = "0.5 min"\nseverity = "80%"\ngradual = "5 s"\n'
    scenario = load_scenario(write(tmp_path, HEAD + 'output_rate = "4 Hz"\n' + LEVEL + fault))
    assert scenario.kind == "flight"
    assert scenario.airplane.name == "low-wing-mast"
    assert scenario.surroundings.end_s == pytest.approx(40.0)
    assert scenario.output_hz == 4.0
    (one,) = scenario.faults
    assert (one.onset_s, one.severity, one.gradual_s, one.end_s) == (30.0, 0.8, 5.0, None)
    assert scenario.surroundings.truth.cas_m_s[0] == pytest.approx(90 * KT)


def test_paths_start_at_the_scenario_file(tmp_path: Path) -> None:
    from importlib import resources

    text = (resources.files("ramstill.airplane") / "hangar" / "low-wing-mast.toml").read_text(
        encoding="utf-8"
    )
    (tmp_path / "planes").mkdir()
    (tmp_path / "planes" / "mine.toml").write_text(text, encoding="utf-8")
    scenario = load_scenario(write(tmp_path, HEAD.replace('"low-wing-mast"', '"planes/mine.toml"') + LEVEL))
    assert scenario.airplane.name == "low-wing-mast"


@pytest.mark.parametrize("name", bundled())
def test_every_bundled_scenario_is_read_and_fits_the_schema(name: str) -> None:
    scenario = load_scenario(name)
    assert scenario.airplane.invented
    assert scenario.title
    assert scenario.note
    tables = tomllib.loads(bundled()[name].read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator(json_schema()).validate(tables)


def test_the_schema_is_sound_and_refuses_what_the_program_refuses() -> None:
    schema = json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    json.dumps(schema, allow_nan=False)
    check = jsonschema.Draft202012Validator(schema)
    good = tomllib.loads(HEAD + LEVEL)
    assert check.is_valid(good)
    assert not check.is_valid(good | {"recording": {"file": "a.csv"}})
    assert not check.is_valid({key: value for key, value in good.items() if key != "flight"})
    assert not check.is_valid(good | {"colour": "blue"})
    assert not check.is_valid(good | {"format": 2})


BAD = {
    "not TOML": (HEAD + "[flight\n", "line 4", "bad TOML"),
    "an unknown key": (HEAD + "fligt = 1\n" + LEVEL, "fligt", "flight"),
    "two sources": (HEAD + LEVEL + '[recording]\nfile = "a.csv"\n', "", "[flight] and [recording]"),
    "no source": (HEAD, "", "none of them"),
    "no title": ('format = 1\nairplane = "low-wing-mast"\n' + LEVEL, "title", "nothing"),
    "another format": (HEAD.replace("1", "7", 1) + LEVEL, "format", "7"),
    "an unknown airplane": (
        HEAD.replace("low-wing-mast", "low-wing-mist") + LEVEL,
        "airplane",
        "low-wing-mast",
    ),
    "a file that is not there": (
        HEAD.replace("low-wing-mast", "gone.toml") + LEVEL,
        "gone.toml",
        "can be read",
    ),
    "a wrong unit": (HEAD + LEVEL.replace("90 kt", "90 ft"), "flight.start_speed", "90 ft"),
    "no unit": (HEAD + LEVEL.replace('"90 kt"', "90"), "flight.start_speed", "90"),
    "an unknown leg": (HEAD + LEVEL.replace('"level"', '"loop"'), "flight.leg[1]", "loop"),
    "an unknown fault": (HEAD + LEVEL + '[[fault]]\nname = "gremlins"\n', "fault[1]", "gremlins"),
    "a fault elsewhere": (
        HEAD + LEVEL + '[[fault]]\nname = "pitot-inlet-blocked"\nwhere = "nose"\n',
        "fault[1]",
        "mast-inlet",
    ),
    "a severity of two": (
        HEAD + LEVEL + '[[fault]]\nname = "static-ports-blocked"\nseverity = 2\n',
        "fault[1].severity",
        "2",
    ),
    "an end before the onset": (
        HEAD + LEVEL + '[[fault]]\nname = "static-ports-blocked"\nonset = "9 s"\nend = "5 s"\n',
        "fault[1].end",
        "after",
    ),
    "a fault that is no list": (
        HEAD + LEVEL + '[fault]\nname = "static-ports-blocked"\n',
        "fault",
        "[[fault]]",
    ),
    "an unreadable recording": (HEAD + '[recording]\nfile = "gone.csv"\n', "", "gone.csv"),
    "a day beside a recording": (HEAD + '[day]\n[recording]\nfile = "gone.csv"\n', "day", "no [day]"),
    "more samples than memory": (
        HEAD + 'output_rate = "1000 Hz"\n' + LEVEL.replace("40 s", "2 h"),
        "output_rate",
        "7,200,000 samples",
    ),
    "an unknown opening": (
        HEAD + '[bench]\n[[bench.apply]]\nwhat = "finger"\nopening = "ear"\nfrom = "1 s"\nfor = "5 s"\n',
        "bench.apply[1]",
        "ear",
    ),
}


@pytest.mark.parametrize(("text", "field", "words"), BAD.values(), ids=BAD)
def test_bad_scenarios_are_one_line_with_file_field_and_what_is_allowed(
    tmp_path: Path, text: str, field: str, words: str
) -> None:
    path = write(tmp_path, text)
    with pytest.raises(InputError) as caught:
        load_scenario(path)
    line = caught.value.line()
    assert "\n" not in line
    assert str(tmp_path) in line
    assert field in line
    assert words in line
    assert "allowed: " in line


@pytest.mark.parametrize("path", ["", ".", "gone.toml", "no-such-scenario", "a\0b.toml"])
def test_what_is_no_file_is_refused(path: str) -> None:
    with pytest.raises(InputError, match="allowed: "):
        load_scenario(path)
