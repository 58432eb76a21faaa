"""The [bench] table: what may be written, and one line for what may not."""

from typing import Any

import pytest

from ramstill import bench
from ramstill.air import units
from ramstill.errors import InputError

INLET = {"opening": "pitot-inlet", "from": "5 s"}


def test_units_and_words_are_read() -> None:
    step = {**INLET, "what": "test-set", "to_airspeed": "100 kt", "rate": "60 kt/min", "return": True}
    programme = bench.parse_bench({"elevation": "500 ft", "apply": [step]}, "b.toml")
    read = programme.apply[0]
    assert read.begin == 5.0
    assert read.opening == ("pitot-inlet",)
    assert read.what == "test-set"
    assert read.speed_of_change == pytest.approx(units.KT)
    assert read.back


@pytest.mark.parametrize(
    ("step", "field", "allowed"),
    [
        (3, "bench.apply[1]", "a table"),
        ({"what": "suck", **INLET}, "bench.apply[1].what", "breath"),
        (INLET, "bench.apply[1]", "breath"),
        ({"what": "breath", "from": "1 s"}, "bench.apply[1].opening", "needed"),
        ({"what": "breath", "opening": 3, "from": "1 s"}, "bench.apply[1].opening", "a list of names"),
        ({"what": "breath", "opening": [], "from": "1 s"}, "bench.apply[1].opening", "a list of names"),
        ({"what": "breath", "opening": "x", "from": "-1 s"}, "bench.apply[1].from", "0 s or more"),
        ({"what": "breath", **INLET, "pressure": "5 kt"}, "bench.apply[1].pressure", "pressure"),
        ({"what": "breath", **INLET, "pressure": "9 bar"}, "bench.apply[1].pressure", "either way"),
        ({"what": "breath", **INLET, "power": 1}, "bench.apply[1].power", "release"),
        ({"what": "pressure", **INLET, "pressure": "1 hPa"}, "bench.apply[1]", "one of for and until"),
        ({"what": "pressure", **INLET, "for": "9 s"}, "bench.apply[1]", "one of pressure and points"),
        ({"what": "pressure", **INLET, "for": "0.5 s", "pressure": "1 hPa"}, "bench.apply[1]", "onset"),
        ({"what": "finger", **INLET, "until": "4 s"}, "bench.apply[1]", "later than from"),
        (
            {"what": "pressure", **INLET, "points": [["1 s", "1 hPa"], ["1 s", "2 hPa"]]},
            "bench.apply[1]",
            "rising",
        ),
        ({"what": "hand-pump", **INLET, "pressure": "1 hPa", "strokes": 0}, "bench.apply[1].strokes", "1"),
        ({"what": "test-set", **INLET}, "bench.apply[1]", "one of to_altitude and to_airspeed"),
        (
            {"what": "test-set", **INLET, "to_airspeed": "90 kt", "rate": "500 fpm"},
            "bench.apply[1].rate",
            "kt",
        ),
        ({"what": "test-set", **INLET, "to_altitude": "60 km"}, "bench.apply[1].to_altitude", "47000 m"),
    ],
)
def test_one_line_for_what_may_not_be_written(step: Any, field: str, allowed: str) -> None:
    with pytest.raises(InputError) as caught:
        bench.parse_bench({"apply": [step]}, "b.toml")
    assert caught.value.source == "b.toml"
    assert caught.value.field == field
    assert allowed in caught.value.allowed
    assert "\n" not in caught.value.line()


@pytest.mark.parametrize("table", [3, {}, {"apply": []}, {"apply": [], "elevations": 1}])
def test_a_table_that_is_none(table: Any) -> None:
    with pytest.raises(InputError, match=r"^b.toml: bench"):
        bench.parse_bench(table, "b.toml")
