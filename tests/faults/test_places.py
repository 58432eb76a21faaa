"""What the catalogue offers on the hangar's airplanes, and what it refuses."""

import pytest

from ramstill import airplane
from ramstill.errors import InputError
from ramstill.faults import Fault, catalogue, check
from ramstill.faults import places as where


@pytest.fixture(scope="module")
def mast():
    return airplane.load("low-wing-mast")


def refusal(fault, plane):
    with pytest.raises(InputError) as raised:
        check(fault, plane)
    return raised.value.line()


def test_names_of_faults_are_trade_words_with_hyphens_and_sentences_end():
    for name, entry in catalogue().items():
        assert entry.name == name
        assert name == name.lower()
        assert " " not in name
        assert entry.sentence.endswith(".")
        assert entry.severity_meaning
        assert entry.title[0].isupper()


@pytest.mark.parametrize("name", airplane.hangar())
def test_every_fault_has_a_usual_place_or_none_on_every_airplane(name):
    plane = airplane.load(name)
    parts = {
        *(o.name for o in plane.openings),
        *(f.name for f in plane.fittings),
        *(line.name for line in plane.lines),
        *(v.name for v in plane.valves),
        *(i.name for i in plane.instruments),
        "all",
        "mast",
        "cabin",
    }
    for entry in catalogue().values():
        offered = entry.places(plane)
        assert set(offered) <= parts
        assert len(set(offered)) == len(offered)
        assert entry.default_place(plane) == (offered[0] if offered else None)


def test_trunks_of_the_mast_airplane(mast):
    assert [line.name for line in where.trunks(mast, "pitot")] == ["pitot-wing", "pitot-cabin"]
    assert [line.name for line in where.trunks(mast, "static")] == [
        "static-wing",
        "static-root-to-sump",
        "static-riser",
    ]


def test_a_cover_over_a_mast_takes_the_static_openings_with_it(mast):
    covered = {opening.name for opening in where.of_mast(mast, mast.opening("mast-inlet"))}
    assert covered == {"mast-inlet", "mast-static-inner", "mast-static-outer"}


def test_air_around(mast):
    assert where.air_around(mast, "vertical-speed.case") == "cabin"
    assert where.air_around(mast, "mast-ram") == "wing-bay"
    assert where.air_around(mast, "pitot-root") == "cabin"  # the line on the cabin's side can be reached


def test_unknown_fault_suggests_the_likeliest(mast):
    line = refusal(Fault("static-port-blocked"), mast)
    assert line.startswith("fault: name: read static-port-blocked; allowed: perhaps ")
    assert "static-ports-blocked" in line.split(";")[1]


def test_unknown_place_lists_the_places(mast):
    assert refusal(Fault("lines-crossed", where="tail"), mast) == (
        "fault lines-crossed: where: read tail; allowed: "
        "place where pitot and static lines are fitted side by side: mast, all, airspeed"
    )


@pytest.mark.parametrize("name", ["pitot-drain-blocked", "pitot-and-drain-blocked", "alternate-static-open"])
def test_a_part_that_the_airplane_lacks_is_refused_with_what_it_can_have(mast, name):
    line = refusal(Fault(name), mast)
    assert line.startswith(f"fault {name}: name: read {name} on low-wing-mast, which has no ")
    assert "pitot-inlet-blocked" in line
    assert name not in line.partition("allowed:")[2]


def test_a_whole_fault_has_no_shades(mast):
    assert "severity: read 0.5" in refusal(Fault("lines-crossed", severity=0.5), mast)
    assert "gradual: read 3.0" in refusal(Fault("static-line-off", gradual_s=3.0), mast)


@pytest.mark.parametrize("size", ["12", "5 kg", "-1 mm", "0 ft/min", "wide"])
def test_a_size_that_is_none_is_refused_with_an_example(mast, size):
    line = refusal(Fault("static-line-leak", size=size), mast)
    assert f"size: read '{size}'; allowed: " in line
    assert "such as '2 mm'" in line


def test_a_size_where_none_belongs_is_refused(mast):
    assert "size: read 2 mm; allowed: no size" in refusal(Fault("static-ports-blocked", size="2 mm"), mast)


@pytest.mark.parametrize(
    ("size", "dimension", "value"),
    [
        ("1.5 mm", "length", 1.5e-3),
        ("500 ft/min", "vertical speed", 500 * 0.00508),
        ("10 kt/min", "acceleration", 10 * 1852 / 3600 / 60),
    ],
)
def test_a_leak_is_sized_by_its_bore_or_by_a_leak_test(mast, size, dimension, value):
    read = check(Fault("pitot-line-leak", size=size), mast)[2]
    assert read[0] == dimension
    assert read[1] == pytest.approx(value, rel=1e-12)
