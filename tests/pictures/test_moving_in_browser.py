"""What the module in the pages makes of a reading, against what the drawings do in Python."""

import json
from typing import Any

import numpy as np
import pytest

from ramstill import air, airplane, pictures
from ramstill.instruments import pointers_of
from ramstill.pictures.hand_laws import figure, hand_laws
from ramstill.pictures.panels import angles

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def moving(browser: Any) -> Any:
    """Call a function of the module in a browser."""
    context = browser.new_context()
    tab = context.new_page()
    tab.evaluate(
        """async (text) => {
          const url = URL.createObjectURL(new Blob([text], { type: 'text/javascript' }));
          window.moving = await import(url);
        }""",
        pictures.moving(),
    )

    def call(name: str, many: list[list[Any]]) -> list[Any]:
        found = tab.evaluate("([name, many]) => many.map((given) => moving[name](...given))", [name, many])
        return list(found)

    yield call
    context.close()


@pytest.mark.parametrize("name", airplane.hangar())
def test_hands_stand_where_the_drawing_puts_them(moving: Any, name: str) -> None:
    plane = airplane.load(name)
    far = {"airspeed": 400.0, "altitude": 16_000.0, "vertical-speed": 60.0}
    for pointer in pointers_of(plane):
        readings = np.linspace(-far[pointer.shows] / 8, far[pointer.shows], 60)
        for law in hand_laws(pointer, plane):
            data = json.loads(json.dumps(law.as_data()))
            turned = moving("angleOf", [[data, float(np.float32(r))] for r in readings])
            drawn = [angles(pointer, float(r), plane)[law.hand] for r in readings]
            assert turned == pytest.approx(drawn, abs=0.05)  # what the eye cannot tell


@pytest.mark.parametrize("name", airplane.hangar())
def test_readings_are_rounded_as_in_words(moving: Any, name: str) -> None:
    for pointer in pointers_of(airplane.load(name)):
        told = figure(pointer)
        # not at the middle between two steps, where the two languages round differently
        readings = [(k + 0.3) * told.step * told.one for k in range(-40, 41, 7)]
        found = moving("figureOf", [[told.as_data(), r] for r in readings])
        said = [told.words(r).split(" ")[0].replace("−", "-").replace(",", "") for r in readings]
        assert found == pytest.approx([float(words) for words in said], abs=1e-9)


def test_the_marks_of_height_follow_the_standard_atmosphere(moving: Any) -> None:
    """Against `ramstill.air`, which is checked against ISO 2533 elsewhere. To 0.5 Pa and 0.5 m: the page has
    the constants of the atmosphere to six figures.
    """
    heights = np.linspace(-300.0, 18_000.0, 60)
    pressures = np.asarray(air.static_pressure(heights))
    assert moving("stillAirAt", [[float(h)] for h in heights]) == pytest.approx(pressures, abs=0.5)
    assert moving("altitudeOf", [[float(p)] for p in pressures]) == pytest.approx(heights, abs=0.5)
