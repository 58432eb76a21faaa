"""docs/airplane-files.md: its example loads, and every key of every table is on the page."""

import re
import tomllib

import pytest

from ramstill import airplane
from ramstill.airplane import flying
from ramstill.errors import InputError

MODELS = (
    airplane.Airplane,
    airplane.Outline,
    airplane.Wing,
    airplane.Speeds,
    airplane.Performance,
    airplane.Propeller,
    airplane.Jet,
    flying.Stall,
    flying.Climbs,
    flying.Cruises,
    flying.Glides,
    flying.Approaches,
    airplane.Inside,
    airplane.Pressurisation,
    airplane.Opening,
    airplane.PressureCoefficient,
    airplane.CoefficientTable,
    airplane.Fitting,
    airplane.Line,
    airplane.Valve,
    airplane.AirspeedIndicator,
    airplane.Altimeter,
    airplane.VerticalSpeedIndicator,
    airplane.CalibratedLeak,
    airplane.AccelerationPump,
    airplane.Encoder,
    airplane.Variometer,
    airplane.AirDataComputer,
)


@pytest.fixture
def page(request):
    return (request.config.rootpath / "docs" / "airplane-files.md").read_text("utf-8")


def test_the_example_loads(page):
    (example,) = re.findall(r"```toml\n(format = 1.*?)```", page, re.DOTALL)
    plane = airplane.from_dict(tomllib.loads(example), "the example")
    assert plane.tappings == ("inlet-chamber", "port-chamber", "airspeed.pitot", "airspeed.static")
    assert plane.line("static").length.known() == "measured 2026-03-01 (tape along the line)"
    assert plane.line("pitot").bore.basis == "common practice"
    assert plane.line("pitot").length_m == pytest.approx(0.4 + 2.6 + (0.2**2 + 0.3**2) ** 0.5)


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_key_is_on_the_page(model, page):
    written = set(re.findall(r"[a-z_]+", " ".join(re.findall(r"`[^`\n]+`", page))))
    keys = {field.alias or name for name, field in model.model_fields.items()}
    assert keys - written == set()
    described = {name for name, field in model.model_fields.items() if not field.description}
    assert described == set(), "these have no description in the JSON Schema"


@pytest.mark.parametrize(
    ("group", "key", "value"), [(("line", 0), "bore", "-4 mm"), (("speeds",), "never_exceed", "100 kt")]
)
def test_the_lines_of_refusal_are_real(group, key, value, page):
    table = airplane.table("low-wing-mast")
    inside = table
    for step in group:
        inside = inside[step]
    inside[key] = value
    with pytest.raises(InputError) as caught:
        airplane.from_dict(table, "mine.toml")
    assert str(caught.value) in page
