"""The airplanes that come with the program: each figure has a basis, they are as their names say."""

import json
from math import dist, pi

import jsonschema
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air, airplane
from ramstill.air.units import FT, KT
from ramstill.airplane.figure import BASES
from ramstill.airplane.reading import HANGAR
from ramstill.errors import InputError
from ramstill.pneumatics import compile_network, settle

NAMES = [
    "business-jet",
    "glass-trainer",
    "high-wing-tube",
    "low-wing-mast",
    "pressurised-turboprop",
    "sailplane",
    "twin-two-ports",
]
ONE_POINTER_EACH = ["high-wing-tube", "low-wing-mast", "twin-two-ports"]


@pytest.fixture(params=NAMES)
def plane(request):
    return airplane.load(request.param)


@pytest.fixture(params=ONE_POINTER_EACH)
def usual(request):
    return airplane.load(request.param)


def test_the_hangar():
    assert airplane.hangar() == NAMES
    assert sorted(path.stem for path in HANGAR.glob("*.toml")) == NAMES
    assert [airplane.load(name).name for name in NAMES] == NAMES


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


def test_tappings_of_the_usual_instruments(usual):
    fittings = [fitting.name for fitting in usual.fittings]
    ports = [
        "airspeed.pitot",
        "airspeed.static",
        "altimeter.static",
        "vertical-speed.static",
        "vertical-speed.case",
        "encoder.static",
    ]
    assert list(usual.tappings) == fittings + ports


def test_tappings(plane):
    assert set(plane.volumes) == set(plane.neighbours) == set(plane.tappings)
    assert len(set(plane.tappings)) == len(plane.tappings)
    for instrument in plane.instruments:
        assert set(instrument.ports) <= set(instrument.volumes) <= set(plane.tappings)


def test_readings(plane):
    named = [(name, what) for one in plane.instruments for name, what in one.readings.items()]
    assert len({name for name, _ in named}) == len(named)
    assert {"airspeed", "altitude"} <= {what for _, what in named}
    for one in plane.instruments:
        several = one.kind == "air-data-computer"
        wanted = [f"{one.name}.{what}" for what in one.shows] if several else [one.name]
        assert list(one.readings) == wanted


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
    for kind in ("vertical-speed-indicator", "variometer"):
        for one in plane.instruments_of(kind):
            before, behind = one.leak_ends
            assert plane.neighbours[behind] == ((f"{one.name}.leak", before),)


def test_the_engine_takes_them(plane):
    network = compile_network(plane)
    assert network.node_names == plane.tappings
    assert set(network.boundary_names) == {*(o.name for o in plane.openings), "cabin", "wing-bay", "outside"}
    resting = settle(network, np.full(len(network.boundary_names), 90_000.0))
    np.testing.assert_allclose(resting, 90_000.0, rtol=1e-9)  # air of one pressure all around stays so


def test_finding_by_name(usual):
    plane = usual
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
    for one in plane.instruments_of("vertical-speed-indicator"):
        assert 6.0 <= 3.0 * one.leak.time_constant <= 9.0  # within a twentieth after three time constants


def test_two_systems_share_nothing():
    for name in ("pressurised-turboprop", "business-jet"):
        plane = airplane.load(name)
        systems = []
        for instrument in plane.instruments:
            for port in instrument.ports:
                mouths = frozenset(outside_of(plane, port))
                systems.append((instrument.name.endswith("left"), port.endswith("pitot"), mouths))
        for pitot in (True, False):
            left = {mouths for on_left, of_pitot, mouths in systems if on_left and of_pitot == pitot}
            right = {mouths for on_left, of_pitot, mouths in systems if not on_left and of_pitot == pitot}
            assert len(left) == len(right) == 1
            assert not set(*left) & set(*right)
        ports = [plane.opening(name) for name in set(*left) | set(*right) if name != "alternate-static"]
        assert {opening.kind for opening in ports} == {"static-port"}
        # one on either side for each system
        assert sorted(np.sign(o.at[1]) for o in ports) == [-1, -1, 1, 1]
        assert sum(np.sign(plane.opening(o).at[1]) for o in set(*right)) == 0


def outside_of(plane, start):
    """Openings that air can come through to a place, by lines and any valve."""
    seen, todo = {start}, [start]
    while todo:
        for link, other in plane.neighbours[todo.pop()]:
            if other not in seen and not link.endswith(".leak"):
                seen.add(other)
                todo.append(other)
    return {opening.name for opening in plane.openings if opening.into in seen}


def test_what_the_later_four_promise():
    turboprop, jet, sailplane, glass = (
        airplane.load(n) for n in ("pressurised-turboprop", "business-jet", "sailplane", "glass-trainer")
    )
    leaks = {i.leak.law for i in turboprop.instruments_of("vertical-speed-indicator")}
    assert leaks == {"capillary-and-orifice", "compensated-laminar"}
    (pump,) = [i for i in turboprop.instruments_of("vertical-speed-indicator") if i.instantaneous]
    assert pump.made_up_share == pytest.approx(1.0, abs=0.05)
    assert [i.name for i in jet.instruments_of("air-data-computer")] == ["air-data-left", "air-data-right"]
    assert not jet.instruments_of("vertical-speed-indicator")
    # holds the recorded climb of tests/outside/data: 158 to 290 kt, 1,300 to 33,000 ft
    assert jet.speeds.never_exceed > 290 * KT
    assert jet.instrument("airspeed-standby").top_mark > 290 * KT
    assert jet.instrument("altimeter-standby").top_mark > 45_000 * FT
    (probe,) = [o for o in sailplane.openings if o.sees == "total-energy"]
    assert outside_of(sailplane, "variometer.probe") == {probe.name}
    assert probe.pressure_coefficient.base == -1.0
    assert not any(opening.heated for opening in sailplane.openings)
    assert outside_of(glass, "air-data.static") == outside_of(glass, "altimeter.static")
    for plane in (turboprop, jet):
        # an alternate source in a pressurised cabin would not be one
        assert not [o.name for o in plane.openings if o.sees == "cabin"]
    for plane in (turboprop, jet, glass):
        heated = [o for o in plane.openings if o.heated]
        assert heated
        assert all(o.heater_power for o in heated)


@pytest.mark.parametrize(
    ("name", "altitude_ft", "lowest_ft", "highest_ft"),
    [
        ("pressurised-turboprop", 14_000, 0, 1000),
        ("pressurised-turboprop", 31_000, 8000, 10_000),
        ("business-jet", 22_000, 0, 1000),
        ("business-jet", 45_000, 7500, 8000),
    ],
)
def test_cabins(name, altitude_ft, lowest_ft, highest_ft):
    """Usual cabins, below 10,000 ft: common practice, no source."""
    inside = airplane.load(name).inside
    static = air.static_pressure(altitude_ft * FT)
    cabin_ft = air.pressure_altitude(inside.cabin_pressure(static, 5000.0)) / FT
    assert lowest_ft <= cabin_ft <= highest_ft


@given(static=st.floats(5000.0, 105_000.0), impact=st.floats(0.0, 30_000.0))
@settings(deadline=None, derandomize=True, max_examples=50)
def test_a_cabin_stays_within_its_valves(static, impact):
    for name in ("pressurised-turboprop", "business-jet"):
        inside = airplane.load(name).inside
        above = float(inside.cabin_pressure(static, impact)) - static
        assert 0.0 <= above <= inside.pressurisation.maximum_differential * (1 + 1e-9)
        lost = float(inside.cabin_pressure(static, impact, pressurised=False))
        assert lost == pytest.approx(static + inside.cabin_pressure_coefficient * impact, rel=1e-12)


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
