"""Pictures of every airplane in the hangar and of real runs."""

from collections.abc import Iterator
from xml.etree import ElementTree

import numpy as np
import pytest

from ramstill import air, airplane, pictures
from ramstill.air.units import FT
from ramstill.faults import Fault, where_on_airplane
from ramstill.instruments import pointers_of
from ramstill.pictures import columns, of_airplane, of_run, of_walls
from ramstill.run import Run, load_scenario

HANGAR = airplane.hangar()


def ids(root: ElementTree.Element) -> Iterator[str]:
    return (found for e in root.iter() if (found := e.get("id")))


def sound(text: str) -> ElementTree.Element:
    """A drawing that can be read: well formed, titled, described, no id twice, no missing number."""
    root = ElementTree.fromstring(text)
    assert root.get("role") == "img"
    first, second = list(root)[:2]
    assert first.tag.endswith("title")
    assert second.tag.endswith("desc")
    assert first.text
    assert second.text
    found = list(ids(root))
    assert len(found) == len(set(found))
    assert "nan" not in text.replace("nance", "")
    assert "style=" not in text
    return root


@pytest.mark.parametrize("compact", [False, True])
@pytest.mark.parametrize("name", HANGAR)
def test_every_airplane_has_a_line_map_with_all_its_parts(name: str, compact: bool) -> None:
    plane = airplane.load(name)
    root = sound(pictures.line_map(plane, [Fault("pitot-inlet-blocked")], compact=compact))
    words = " ".join("".join(t.itertext()) for t in root.iter() if t.tag.endswith("text"))
    for part in (*plane.openings, *plane.fittings, *plane.valves, *plane.instruments):
        for word in of_airplane.plain(part.name).split():
            assert word in words
    assert "pitot inlet blocked" in words


@pytest.mark.parametrize("compact", [False, True])
def test_a_fault_at_several_places_is_marked_at_each_and_named_once(compact: bool) -> None:
    plane = airplane.load("twin-two-ports")
    fault = Fault("static-ports-blocked")
    assert len(where_on_airplane(fault, plane)) == 2
    text = pictures.line_map(plane, [fault], compact=compact)
    assert text.count('class="fault-disc"') == 2
    words = " ".join("".join(t.itertext()) for t in sound(text).iter() if t.tag.endswith("text"))
    assert words.count("static ports blocked") == 1


@pytest.mark.parametrize("name", HANGAR)
def test_a_panel_shows_every_instrument(name: str) -> None:
    plane = airplane.load(name)
    shown = pointers_of(plane)
    text = pictures.panel(plane, {p.name: 30.0 for p in shown}, 101325.0, columns=2)
    root = sound(text)
    assert sum(1 for e in root.iter() if e.get("class") == "picture dial") == len(shown)


@pytest.mark.parametrize("name", HANGAR)
def test_letters_on_map_and_wall_are_the_same_and_distinct(name: str) -> None:
    plane = airplane.load(name)
    tags = of_airplane.letters(plane)
    assert len(set(tags.values())) == len(plane.fittings)
    marks = [s.tag for s in of_airplane.plumbing_of(plane).spots]
    assert len(set(marks)) == len(marks)


@pytest.fixture(scope="module")
def run() -> Run:
    return load_scenario("spring-afternoon").run()


def test_the_wall_of_a_run_holds_every_tapping(run: Run) -> None:
    (bank,) = of_walls.walls_of(run)
    names = {c.name for c in bank.columns}
    assert set(run.airplane.tappings) <= names
    assert columns.letters(bank) == of_airplane.letters(run.airplane)
    heights = of_walls.heights_over_time(run, [c.name for c in bank.columns])
    assert all(bank.low_pa <= h.min() and h.max() <= bank.high_pa for h in heights.values())
    for compact in (False, True):
        sound(of_walls.pressure_wall(run, 200.0, compact=compact))


def test_trapped_columns_are_those_behind_the_blocked_inlet(run: Run) -> None:
    """The inlet of this airplane has no drain: what lies behind it is shut in, and nothing else."""
    (bank,) = of_walls.walls_of(run)
    end = float(run.time_s[-1])
    shut = {c.name for c in bank.columns if columns.trapped_at(c, end)}
    assert "airspeed.pitot" in shut
    assert all(c.air == "ram" for c in bank.columns if c.name in shut)
    assert not any(columns.trapped_at(c, run.faults[0].onset_s - 1.0) for c in bank.columns)


def test_charts_carry_pointer_and_truth(run: Run) -> None:
    charts = of_run.charts_of(run)
    assert [c.title for c in charts] == ["Airspeed", "Altimeter", "Vertical speed", "Encoder"]
    assert np.max(np.abs(charts[0].shown - charts[0].true)) > 50  # the fault of this run shows in knots
    for compact in (False, True):
        root = sound(pictures.strips(run, compact=compact))
        assert "1 pitot inlet blocked" in {t.text for t in root.iter()}


def test_a_picture_in_a_file_of_its_own_brings_its_style(run: Run) -> None:
    text = pictures.standalone(pictures.line_map(run.airplane))
    root = ElementTree.fromstring(text)
    assert any(e.tag.endswith("style") for e in root)
    assert "http" not in text.replace("http://www.w3.org/2000/svg", "")


def test_drawing_is_repeatable(run: Run) -> None:
    assert of_walls.pressure_wall(run, 300.0) == of_walls.pressure_wall(run, 300.0)


TWO_SYSTEMS = [name for name in HANGAR if name in ("pressurised-turboprop", "business-jet")]


@pytest.mark.parametrize("name", TWO_SYSTEMS)
def test_each_system_has_a_wall_of_its_own(name: str) -> None:
    plane = airplane.load(name)
    found = of_airplane.systems(plane)
    assert len(found) == 2
    assert not found[0].parts & found[1].parts
    ports = {port for instrument in plane.instruments for port in instrument.ports}
    assert found[0].parts | found[1].parts == ports | {f.name for f in plane.fittings}
    tags = list(of_airplane.letters(plane).values())
    assert len(tags) == len(set(tags))


def test_a_probe_without_an_inlet_belongs_to_the_first_system() -> None:
    for name in HANGAR:
        if name not in TWO_SYSTEMS:
            assert len(of_airplane.systems(airplane.load(name))) == 1


def test_the_scale_of_heights_says_how_far_down_air_is_as_dense(run: Run) -> None:
    """Air trapped at an altitude stands at the mark of the height climbed since."""
    (bank,) = of_walls.walls_of(run)
    assert bank.feet
    static = np.array([air.static_pressure(6000.0 * FT)])
    for feet, pa in of_walls.worth_of_feet(static, bank.feet).items():
        lower = float(air.static_pressure((6000.0 - feet) * FT))
        assert float(static[0] + pa[0]) == pytest.approx(lower, abs=1e-6)
