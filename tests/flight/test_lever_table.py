"""The [levers] table: what is read, that what is written reads back the same, and what is refused."""

import tomllib
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.air.units import FT, INHG, KT
from ramstill.errors import InputError
from ramstill.flight.hand import STEP_S
from ramstill.flight.lever_plan import LeverPlan, Levers, Start
from ramstill.flight.lever_table import parse_levers, written

TABLE = """
field_elevation = "420 ft"
altimeter_setting = "29.80 inHg"
start_altitude = "3000 ft"
start_speed = "95 kt"
duration = "5 min"
[[move]]
at = "10 s"
speed = "80 kt"
climb = "-500 ft/min"
altitude = "2000 ft"
[[move]]
at = "1 min"
flap = "40%"
gear = "down"
power = 0.3
altimeter_setting = "1010 hPa"
[[move]]
at = "70 s"
power = "fits"
gear = "up"
speed = "0 kt"
"""


def test_a_table_is_read() -> None:
    plan = parse_levers(tomllib.loads(TABLE), "a.toml")
    assert plan.start == Start(3000 * FT, 95 * KT, 420 * FT, 29.80 * INHG, on_ground=False)
    assert plan.duration_s == 300.0
    assert plan.moves == (
        (10.0, Levers(speed_m_s=80 * KT, climb_m_s=-500 * FT / 60, altitude_m=2000 * FT)),
        (60.0, Levers(flap=0.4, gear=1.0, power=0.3, setting_pa=101000.0)),
        (70.0, Levers(power="fits", gear=0.0, speed_m_s=0.0)),
    )


def test_without_an_altitude_it_stands_on_the_field() -> None:
    plan = parse_levers({"duration": "90 s", "field_elevation": "100 m"}, "a.toml")
    assert plan == LeverPlan(Start(field_elevation_m=100.0, on_ground=True), (), 90.0)


def test_what_is_written_is_plain_where_it_can_be() -> None:
    tables = written(parse_levers(tomllib.loads(TABLE), "a.toml"))
    assert tables["start_altitude"] == "3000 ft"
    assert tables["altimeter_setting"] == "29.8 inHg"
    assert tables["duration"] == "300 s"
    assert tables["move"][0] == {
        "at": "10 s",
        "speed": "80 kt",
        "climb": "-500 ft/min",
        "altitude": "2000 ft",
    }
    assert tables["move"][1]["altimeter_setting"] == "1010 hPa"
    assert tables["move"][2] == {"at": "70 s", "speed": "0 kt", "gear": "up", "power": "fits"}


SHARES = st.floats(0.0, 1.0)
MOVES = st.builds(
    Levers,
    speed_m_s=st.floats(0.0, 300.0) | st.integers(0, 300).map(lambda kt: kt * KT) | st.none(),
    climb_m_s=st.floats(-50.0, 50.0) | st.none(),
    altitude_m=st.floats(-100.0, 15000.0) | st.none(),
    flap=SHARES,
    gear=st.sampled_from([0.0, 1.0, None]),
    power=SHARES | st.just("fits") | st.none(),
    setting_pa=st.floats(80000.0, 110000.0) | st.none(),
)
STARTS = st.builds(
    Start,
    altitude_m=st.floats(1.0, 15000.0),
    speed_m_s=st.floats(1.0, 300.0) | st.none(),
    field_elevation_m=st.floats(-400.0, 4000.0),
    setting_pa=st.floats(80000.0, 110000.0) | st.none(),
) | st.builds(Start, field_elevation_m=st.floats(-400.0, 4000.0), on_ground=st.just(True))


@given(
    start=STARTS, moves=st.lists(st.tuples(st.integers(0, 2_000_000), MOVES)), last=st.integers(1, 2_000_000)
)
def test_what_is_written_reads_back_to_the_last_bit(
    start: Start, moves: list[tuple[int, Levers]], last: int
) -> None:
    """Times are those of steps, and read back within less than a step is long."""
    plan = LeverPlan(start, tuple((tick * STEP_S, levers) for tick, levers in moves), last * STEP_S)
    back = parse_levers(written(plan), "back.toml")
    assert back.start == plan.start
    assert [levers for _, levers in back.moves] == [levers for _, levers in plan.moves]
    times = [at for at, _ in plan.moves]
    assert [at for at, _ in back.moves] == pytest.approx(times, abs=1e-6)
    assert back.duration_s == pytest.approx(plan.duration_s, abs=1e-6)


BAD: dict[str, tuple[dict[str, Any], str, str]] = {
    "no duration": ({}, "levers.duration", "needed"),
    "a speed on the field": ({"duration": "9 s", "start_speed": "90 kt"}, "levers.start_speed", "field"),
    "an unknown lever": (
        {"duration": "9 s", "move": [{"at": "1 s", "rudder": 1}]},
        "levers.move[1].rudder",
        "altitude, ",
    ),
    "a move of nothing": (
        {"duration": "9 s", "move": [{"at": "1 s"}]},
        "levers.move[1]",
        "one lever or more",
    ),
    "no time": ({"duration": "9 s", "move": [{"flap": 1.0}]}, "levers.move[1].at", "needed"),
    "no unit": ({"duration": "9 s", "move": [{"at": "1 s", "speed": 90}]}, "levers.move[1].speed", "kt"),
    "too much power": (
        {"duration": "9 s", "move": [{"at": "1 s", "power": 2}]},
        "levers.move[1].power",
        '"fits"',
    ),
    "another gear": (
        {"duration": "9 s", "move": [{"at": "1 s", "gear": "half"}]},
        "levers.move[1].gear",
        "up or down",
    ),
}


@pytest.mark.parametrize(("table", "field", "words"), BAD.values(), ids=BAD)
def test_bad_tables_are_one_line(table: dict[str, Any], field: str, words: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_levers(table, "a.toml")
    assert caught.value.field == field
    assert words in caught.value.line()
