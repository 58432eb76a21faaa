"""`ramstill hangar`: what it lists, what it says of one airplane, and what it refuses."""

import json
import xml.etree.ElementTree as ET

import pytest

from ramstill import airplane
from ramstill.airplane.reading import HANGAR
from ramstill.cli.hangar import hangar
from ramstill.cli.plumbing_tree import trees
from ramstill.errors import InputError

NAMES = airplane.hangar()


def test_the_list(capsys):
    hangar()
    printed = capsys.readouterr().out
    assert all(name in printed for name in NAMES)
    assert "invented" in printed
    hangar(as_json=True)
    listed = json.loads(capsys.readouterr().out)["airplanes"]
    assert [one["name"] for one in listed] == NAMES
    limits = {one["name"]: one["good_up_to_hz"] for one in listed}
    assert all(0.3 < side["static"] < 1.5 < side["pitot"] < 8.0 for side in limits.values())
    assert "pitot 3, static 0.64" in printed


@pytest.mark.parametrize("name", NAMES)
def test_one_airplane_whole(name, capsys):
    hangar(name)
    printed = capsys.readouterr().out
    plane = airplane.load(name)
    parts = (*plane.openings, *plane.fittings, *plane.lines, *plane.valves, *plane.instruments)
    assert [part.name for part in parts if part.name not in printed] == []
    assert [tapping for tapping in plane.tappings if tapping not in printed] == []
    assert "invented example" in printed
    assert "ft behind" in printed
    assert "Hz on the static side" in " ".join(printed.split())
    assert "common practice" in printed
    assert "not for use in flight" in printed
    assert "Book figures, and what the flight model gives" in printed
    assert "more than 3" not in printed


def test_book_figures(capsys, tmp_path):
    hangar("low-wing-mast", as_json=True)
    book = json.loads(capsys.readouterr().out)["book"]
    assert {one["kind"] for one in book} == {"stall", "climb", "level", "approach"}
    assert all(one["agrees"] and abs(one["off_percent"]) < 3.0 for one in book)
    text = (HANGAR / "low-wing-mast.toml").read_text("utf-8")
    off = tmp_path / "off.toml"
    off.write_text(text.replace('rate = "510 ft/min"', 'rate = "400 ft/min"'), "utf-8")
    hangar(str(off))
    (line,) = [line for line in capsys.readouterr().out.splitlines() if "climb at 6,000 ft" in line]
    assert line.rstrip().endswith("more than 3")


def test_without_a_flight_model(capsys, tmp_path):
    before, _, rest = (HANGAR / "low-wing-mast.toml").read_text("utf-8").partition("[performance]")
    plan_only = tmp_path / "plan-only.toml"
    plan_only.write_text(before + rest[rest.index("[inside]") :], "utf-8")
    hangar(str(plan_only))
    assert "No flight model: flown from a plan only." in capsys.readouterr().out
    hangar(str(plan_only), as_json=True)
    assert json.loads(capsys.readouterr().out)["book"] is None


@pytest.mark.parametrize("name", NAMES)
def test_the_tree_names_each_line_and_fitting_once(name):
    plane = airplane.load(name)

    def labels(tree):
        yield str(tree.label)
        for child in tree.children:
            yield from labels(child)

    found = [label for tree in trees(plane) for label in labels(tree)]
    for line in plane.lines:
        assert sum(f"line {line.name}:" in label for label in found) == 1
    for tapping in plane.tappings:
        assert sum(label == tapping or label.startswith(f"{tapping}, open to") for label in found) == 1


@pytest.mark.parametrize("name", NAMES)
def test_lag(name, capsys):
    def lag(climb):
        hangar(name, as_json=True, climb=climb)
        return json.loads(capsys.readouterr().out)["lag"]

    once, twice = lag("1000 ft/min"), lag("10.16 m/s")
    assert once["climb_fpm"] == pytest.approx(1000)
    assert twice["climb_fpm"] == pytest.approx(2000)
    for slow, fast in zip(once["instruments"], twice["instruments"], strict=True):
        assert slow["lag_s"] == fast["lag_s"] > 0
        if slow["kind"] == "air-data-computer":
            assert slow["behind_ft"] == pytest.approx((slow["static_s"] + slow["pointer_s"]) * 1000 / 60)
            assert 3.0 < slow["settles_s"] < 4.0
        if slow["kind"] in ("altimeter", "encoder"):
            # late by a time constant: so many seconds of climb
            assert slow["behind_ft"] == pytest.approx(slow["lag_s"] * 1000 / 60, rel=1e-12)
        elif slow["kind"] in ("airspeed-indicator", "air-data-computer"):
            # the case is later than the capsule, so its pressure is too high and airspeed too low
            assert slow["static_s"] > slow["pitot_s"]
            assert slow["off_kt"] < 0
            # linear but for the square root in airspeed
            assert fast["off_kt"] == pytest.approx(2 * slow["off_kt"], rel=0.02)
        else:
            assert 5.0 < slow["settles_s"] < 10.0


def test_what_the_later_parts_say(capsys):
    hangar("business-jet")
    printed = capsys.readouterr().out
    assert "Cabin, pressurised to 621 hPa above the outside at most" in printed  # 9 psi
    assert "250 W" in printed
    hangar("business-jet", as_json=True)
    data = json.loads(capsys.readouterr().out)
    assert data["pressurisation"]["airplane_altitude_m"][-1] == pytest.approx(45_000 * 0.3048)
    assert data["openings"][0]["heater_power_w"] == 250.0
    assert data["instruments"][0]["readings"]["air-data-left.vertical-speed"] == "vertical-speed"
    hangar("sailplane", as_json=True)
    assert json.loads(capsys.readouterr().out)["pressurisation"] is None


def test_json_alone_and_complete(capsys):
    hangar("twin-two-ports", as_json=True)
    data = json.loads(capsys.readouterr().out)
    plane = airplane.load("twin-two-ports")
    assert data["invented_example"] is True
    assert data["volumes_m3"] == plane.volumes
    assert [line["length_m"] for line in data["lines"]] == [line.length_m for line in plane.lines]
    assert sum(sum(part.values()) for part in data["basis"].values()) == len(list(plane.figures()))


def test_the_map(tmp_path, capsys):
    path = tmp_path / "map.svg"
    hangar("low-wing-mast", svg=path)
    assert capsys.readouterr().out.splitlines()[-1] == str(path)
    assert ET.parse(path).getroot().tag == "{http://www.w3.org/2000/svg}svg"
    assert [one.name for one in tmp_path.iterdir()] == ["map.svg"]


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ({"name": "nonsense"}, "nonsense: airplane: read"),
        (
            {"name": "low-wing-mast", "climb": "fast"},
            'hangar: --climb: read "fast"; allowed: a number and a unit',
        ),
        (
            {"name": "low-wing-mast", "climb": "-500 ft/min"},
            "hangar: --climb: read -500 ft/min; allowed: a climb",
        ),
        ({"name": "low-wing-mast", "altitude": "90 km"}, "hangar: --altitude: read 90 km; allowed: 0 to"),
        ({"svg": "x.svg"}, "hangar: --map: read x.svg; allowed: a file only together with"),
    ],
)
def test_refused(arguments, expected, capsys):
    with pytest.raises(InputError) as caught:
        hangar(**arguments)
    assert str(caught.value).startswith(expected)
    assert capsys.readouterr().out == ""


def test_a_map_that_cannot_be_written(tmp_path):
    with pytest.raises(InputError, match=r"--map: read .*; allowed: a file that can be written"):
        hangar("low-wing-mast", svg=tmp_path / "none" / "map.svg")
    with pytest.raises(InputError, match="--map"):
        hangar("low-wing-mast", svg=tmp_path)
    assert list(tmp_path.iterdir()) == []
