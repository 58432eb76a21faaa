"""The off-standard day and the altimeter on it."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air
from ramstill.air.constants import G0, P0, R_AIR
from ramstill.air.units import FT, HPA

few = settings(deadline=None, derandomize=True, max_examples=60)
days = st.builds(air.Day, st.floats(87000.0, 108500.0), st.floats(-60.0, 40.0))


@few
@given(days, st.floats(150.0, 120000.0))
def test_height_and_back(day, p):
    assert day.pressure(day.height(p)) == pytest.approx(p, rel=1e-9)


@few
@given(days, st.floats(-1000.0, 30000.0))
def test_pressure_and_back(day, h):
    assert day.height(day.pressure(h)) == pytest.approx(h, rel=1e-9, abs=1e-9)


@few
@given(st.floats(-1900.0, 46900.0))
def test_zero_offset_is_the_standard_day(h):
    day = air.Day()
    assert day.pressure(h) == pytest.approx(air.static_pressure(h), rel=1e-12)
    assert day.temperature(h) == pytest.approx(air.standard_temperature(h), rel=1e-12)
    assert day.pressure_altitude(h) == pytest.approx(h, rel=1e-12, abs=1e-9)


@few
@given(days, st.floats(-500.0, 25000.0))
def test_hydrostatic_balance(day, h):
    d = 1.0
    slope = (day.pressure(h + d) - day.pressure(h - d)) / (2 * d)
    # central difference over 2 m: curvature error 1e-8, a change of layer inside it 1e-6
    assert slope == pytest.approx(-day.pressure(h) * G0 / (R_AIR * day.temperature(h)), rel=1e-5)


@few
@given(days, st.floats(-500.0, 25000.0), st.floats(1e-3, 5000.0))
def test_pressure_falls(day, h, up):
    assert day.pressure(h + up) < day.pressure(h)


@few
@given(days)
def test_sea_level_is_where_the_pressure_says(day):
    assert day.pressure(0.0) == pytest.approx(day.sea_level_pressure_pa, rel=1e-12)
    level = air.pressure_altitude(day.sea_level_pressure_pa)
    standard = 288.15 - 0.0065 * level
    assert day.temperature(0.0) == pytest.approx(standard + day.temperature_offset_k, abs=1e-6)


@few
@given(st.floats(-60.0, 40.0), st.floats(0.0, 12000.0), st.floats(95000.0, 105000.0))
def test_from_temperature(offset, h, p):
    temperature = air.Day(p, offset).temperature(h)
    assert air.Day.from_temperature(temperature, h, p).temperature_offset_k == pytest.approx(offset, abs=1e-8)


def test_cold_air_is_lower_than_the_altimeter_says():
    # "From hot to cold, look out below": common practice, no source
    cold = air.Day(P0, -30.0)
    true_height = cold.height(air.static_pressure(5000.0 * FT)) / FT
    # ICAO Doc 8168's rule of thumb is 4 % of height per 10 degC below standard (from memory); exact: 11 %
    assert 4400.0 < true_height < 4500.0


def test_setting_at_a_station():
    day = air.Day(99500.0, 12.0)
    assert air.altimeter_setting(day.pressure(0.0), 0.0) == pytest.approx(99500.0, rel=1e-12)
    station = day.pressure(700.0)
    setting = air.altimeter_setting(station, 700.0)
    assert air.indicated_altitude(station, setting) == pytest.approx(700.0, abs=1e-9)
    assert setting != pytest.approx(
        99500.0, rel=1e-4
    )  # a warm day's setting up a hill is not its sea-level pressure


@few
@given(st.floats(95000.0, 105000.0), st.floats(20000.0, 110000.0))
def test_standard_setting_shows_pressure_altitude(setting, p):
    assert air.indicated_altitude(p, P0) == pytest.approx(air.pressure_altitude(p), rel=1e-12, abs=1e-9)
    assert air.indicated_altitude(setting, setting) == 0.0


def test_shapes():
    day = air.Day(1003 * HPA, 10.0)
    for law in (day.height, day.pressure, day.temperature, day.pressure_altitude):
        assert type(law(20000.0)) is float
        assert law(np.full((2, 3), 20000.0)).shape == (2, 3)


@pytest.mark.parametrize(
    ("p", "offset"), [(0.0, 0.0), (-1.0, 0.0), (np.inf, 0.0), (np.nan, 0.0), (P0, 101.0), (P0, np.nan)]
)
def test_no_such_day(p, offset):
    with pytest.raises(ValueError, match="must"):
        air.Day(p, offset)


def test_too_high():
    with pytest.raises(ValueError, match="47000 m"):
        air.Day(P0, -20.0).pressure(48000.0)
    with pytest.raises(ValueError, match="100 K"):
        air.Day.from_temperature(400.0, 0.0)
