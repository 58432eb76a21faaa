"""The airplanes that come with the program: each figure has a basis, they are as their names say."""

import json
from math import dist, pi

import jsonschema
import numpy as np
import pytest

from ramstill import airplane
from ramstill.airplane.figure import BASES
from ramstill.errors import InputError

NAMES = ["high-wing-tube", "low-wing-mast", "twin-two-ports"]


@pytest.fixture(params=NAMES)
def plane(request):
    return airplane.load(request.param)


def test_the_hangar():
    assert airplane.hangar() == NAMES


def test_each_figure_has_a_basis(plane):
    figures = list(plane.figures())
    assert len(figures) > 200
    assert {figure.basis for _, figure in figures} <= set(BASES)
    assert not [where for where, figure in figures if figure.basis == "measured"], "an invented airplane"
    assert plane.invented
    assert any(where.endswith(": bore") and figure.basis == "common practice" for where, figure in figures)
    assert 'line "' in next(where for where, _ in figures if where.startswith("line"))


def test_it_survives_being_written_and_read(plane):
    written = json.loads(plane.model_dump_json())
    again = airplane.from_dict(written)
    assert again == plane
    assert [(where, f.known()) for where, f in again.figures()] == [
        (where, f.known()) for where, f in plane.figures()
    ]


def test_tappings(plane):
    fittings = [fitting.name for fitting in plane.fittings]
    ports = [
        "airspeed.pitot",
        "airspeed.static",
        "altimeter.static",
        "vertical-speed.static",
        "vertical-speed.case",
        "encoder.static",
    ]
    assert list(plane.tappings) == fittings + ports
    assert set(plane.volumes) == set(plane.neighbours) == set(plane.tappings)


def test_volumes_add_up(plane):
    lines = sum(pi / 4 * line.bore**2 * line.length_m for line in plane.lines)
    own = sum(fitting.volume for fitting in plane.fittings)
    own += sum(sum(instrument.volumes.values()) for instrument in plane.instruments)
    assert sum(plane.volumes.values()) == pytest.approx(lines + own, rel=1e-12)  # a sum of floats
    assert sum(line.volume_m3 for line in plane.lines) == pytest.approx(lines, rel=1e-12)


def test_ways(plane):
    for line in plane.lines:
        assert line.way[0] == plane.position_of(line.start)
        assert line.way[-1] == plane.position_of(line.end)
        assert line.length_m >= dist(line.way[0], line.way[-1]) > 0
        assert line.low_point[2] == min(point[2] for point in line.way)
        (x0, y0, z0), (x1, y1, z1) = line.way[0], line.way[-1]
        assert line.slope * np.hypot(x1 - x0, y1 - y0) == pytest.approx(z1 - z0)
    for name in (*plane.tappings, *(v.name for v in plane.valves), *(o.name for o in plane.openings)):
        assert len(plane.position_of(name)) == 3


def test_neighbours_go_both_ways(plane):
    for name, others in plane.neighbours.items():
        for link, other in others:
            assert (link, name) in plane.neighbours[other]
    assert ("vertical-speed.leak", "vertical-speed.static") in plane.neighbours["vertical-speed.case"]


def test_finding_by_name(plane):
    assert plane.opening(plane.openings[0].name) is plane.openings[0]
    assert plane.fitting(plane.fittings[0].name) is plane.fittings[0]
    assert plane.line(plane.lines[0].name) is plane.lines[0]
    assert plane.valve(plane.valves[0].name) is plane.valves[0]
    assert plane.instrument("airspeed").kind == "airspeed-indicator"
    assert [one.name for one in plane.instruments_of("encoder")] == ["encoder"]
    with pytest.raises(InputError, match='instrument: read "altimetre"; allowed: did you mean altimeter'):
        plane.instrument("altimetre")
    with pytest.raises(InputError, match='place: read "nowhere"'):
        plane.position_of("nowhere")


def test_the_plumbing_that_the_names_promise():
    mast, tube, twin = (airplane.load(name) for name in ("low-wing-mast", "high-wing-tube", "twin-two-ports"))
    kinds = {p.name: [o.kind for o in p.openings] for p in (mast, tube, twin)}
    assert "pitot-drain" not in kinds["low-wing-mast"]
    assert "alternate-source" not in kinds["low-wing-mast"]
    assert kinds["high-wing-tube"].count("static-port") == 1
    assert {"pitot-drain", "alternate-source"} <= set(kinds["high-wing-tube"])
    assert kinds["twin-two-ports"].count("static-port") == 2
    assert twin.valve("alternate-static-valve").opposite == "static-main-valve"
    steps_ft = [p.instrument("encoder").step / 0.3048 for p in (mast, tube, twin)]
    assert steps_ft == pytest.approx([100, 100, 25])


def test_settles_in_six_to_nine_seconds(plane):
    """A reading is settled after 6 to 9 seconds: pilots' handbooks, from memory."""
    leak = plane.instrument("vertical-speed").leak
    assert 6.0 <= 3.0 * leak.time_constant <= 9.0  # within a twentieth after three time constants


def test_an_opening_feels_angle_and_slip():
    twin = airplane.load("twin-two-ports")
    left, right = (twin.opening(name).pressure_coefficient for name in ("left-port", "right-port"))
    slip = {"sideslip": np.radians([-10.0, 0.0, 10.0])}
    assert np.all(np.diff(right.at(slip)) > 0), "wind from the right blows on the right port"
    np.testing.assert_allclose(left.at(slip), right.at(slip)[::-1])
    ram = twin.opening("nose-inlet").pressure_coefficient
    angles = ram.at({"angle-of-attack": np.radians([0.0, 10.0, 15.0, 25.0, 40.0])})
    np.testing.assert_allclose(angles, [1.0, 1.0, 0.992, 0.90, 0.90])
    assert float(ram.at({})) == 1.0


def test_the_published_schema_is_the_format(request):
    published = json.loads((request.config.rootpath / "docs" / "airplane.schema.json").read_text("utf-8"))
    assert published == airplane.json_schema(), (
        'write it again: ramstill.airplane.write_json_schema("docs/airplane.schema.json")'
    )


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_takes_the_files(name):
    schema = airplane.json_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    table = json.loads(json.dumps(airplane.table(name), default=str))
    jsonschema.validate(table, schema)
    jsonschema.validate(json.loads(airplane.load(name).model_dump_json(exclude_none=True)), schema)


@pytest.mark.parametrize(
    ("group", "key", "value"),
    [
        ("line", "bore", "-4 mm"),
        ("line", "bore", 4.6),
        ("line", "bor", "4 mm"),
        ("line", "length", "4"),
        ("instrument", "kind", "clock"),
        ("opening", "at", "3 m"),
        ("opening", "at", ["1 m", "2 m"]),
        ("valve", "normally", "shut"),
        ("fitting", "name", "A tee"),
    ],
)
def test_the_schema_refuses(group, key, value):
    table = airplane.table("low-wing-mast")
    table[group][0][key] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(table, airplane.json_schema())
