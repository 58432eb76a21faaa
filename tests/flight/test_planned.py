"""The [flight] and [day] tables: what may be written, and one line for what may not."""

from typing import Any

import pytest

from ramstill import flight
from ramstill.air import units
from ramstill.errors import InputError

CLIMB = {"kind": "climb", "to": "5000 ft"}


def test_units_are_read() -> None:
    plan = flight.parse_flight({"field_elevation": "500 ft", "leg": [{**CLIMB, "rate": "700 fpm"}]}, "a.toml")
    assert plan.field_elevation == pytest.approx(500 * units.FT)
    assert plan.leg[0].rate == pytest.approx(700 * units.FPM)  # type: ignore[union-attr]
    day = flight.parse_day({"sea_level_pressure": "29.80 inHg", "temperature_offset": "-10 K"}, "a.toml")
    assert day.sea_level_pressure_pa == pytest.approx(29.80 * units.INHG)
    assert day.temperature_offset_k == -10.0


@pytest.mark.parametrize(
    ("table", "field", "allowed"),
    [
        (3, "flight", "a table"),
        ({}, "flight.leg", "needed"),
        ({"leg": []}, "flight.leg", "at least one"),
        ({"leg": "climb"}, "flight.leg", "tables [[flight.leg]]"),
        ({"leg": [3]}, "flight.leg[1]", "a table"),
        ({"leg": [{"to": "3 ft"}]}, "flight.leg[1]", "climb"),
        ({"leg": [{"kind": "loop"}]}, "flight.leg[1].kind", "climb"),
        ({"leg": [CLIMB], "legs": 1}, "flight.legs", "field_elevation"),
        ({"leg": [CLIMB, {**CLIMB, "too": "1 ft"}]}, "flight.leg[2].too", "duration"),
        ({"leg": [{"kind": "climb"}]}, "flight.leg[1]", "exactly one of to and duration"),
        ({"leg": [{**CLIMB, "duration": "3 min"}]}, "flight.leg[1]", "exactly one of to and duration"),
        (
            {"leg": [CLIMB], "field_elevation": "-90000 ft"},
            "flight.field_elevation",
            "from -1999 m to 47000 m",
        ),
        ({"leg": [{"kind": "climb", "to": "5000"}]}, "flight.leg[1].to", "ft"),
        ({"leg": [{"kind": "climb", "to": "50 kt"}]}, "flight.leg[1].to", "length"),
        ({"leg": [{**CLIMB, "rate": "-700 fpm"}]}, "flight.leg[1].rate", "above zero"),
        ({"leg": [{**CLIMB, "speed": "-70 kt"}]}, "flight.leg[1].speed", "above zero"),
        ({"leg": [{**CLIMB, "speed": "nan kt"}]}, "flight.leg[1].speed", "kt"),
        ({"leg": [{**CLIMB, "flap": 2}]}, "flight.leg[1].flap", "0 to 1"),
        ({"leg": [{**CLIMB, "gear": "off"}]}, "flight.leg[1].gear", "up or down"),
        ({"leg": [{**CLIMB, "bank": "80 deg"}]}, "flight.leg[1].bank", "75 deg"),
        ({"leg": [{"kind": "turn", "degrees": "0 deg"}]}, "flight.leg[1].degrees", "above zero"),
        ({"leg": [{"kind": "turn", "bank": "0 deg", "degrees": "9 deg"}]}, "flight.leg[1]", "above 0 deg"),
        ({"leg": [{"kind": "level"}]}, "flight.leg[1]", "exactly one of duration and until"),
    ],
)
def test_one_line_for_what_may_not_be_written(table: Any, field: str, allowed: str) -> None:
    with pytest.raises(InputError) as caught:
        flight.parse_flight(table, "a.toml")
    assert caught.value.source == "a.toml"
    assert caught.value.field == field
    assert allowed in caught.value.allowed
    assert "\n" not in caught.value.line()


@pytest.mark.parametrize(
    "table", [{"sea_level_pressure": "-3 hPa"}, {"temperature_offset": "300 K"}, {"pressure": "1 bar"}, 3]
)
def test_one_line_for_a_day_that_is_none(table: Any) -> None:
    with pytest.raises(InputError, match=r"^a.toml: day"):
        flight.parse_day(table, "a.toml")
