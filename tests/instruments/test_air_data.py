"""The air-data computer: samples, filters, steps, limits."""

import numpy as np
import pytest

from ramstill import air, airplane, instruments
from ramstill.air.constants import P0
from ramstill.air.units import FPM, FT, KT
from ramstill.instruments import air_data
from ramstill.instruments.edits import Edited
from ramstill.pneumatics import Schedule

TIME = np.arange(0.0, 60.0, 0.02)


@pytest.fixture(scope="module")
def computer():
    return airplane.load("glass-trainer").instrument("air-data")


def shown(computer, height_m, cas_m_s, setting_pa=P0, edited=None):
    static = np.asarray(air.static_pressure(np.broadcast_to(height_m, TIME.shape)))
    pitot = static + np.asarray(air.impact_pressure(cas_m_s))
    return air_data.shown(computer, TIME, pitot, static, setting_pa, edited or Edited())


def test_steady_flight_in_whole_steps(computer):
    reading = shown(computer, 3004.0 * FT, 100.3 * KT)
    assert set(reading) == {"air-data.airspeed", "air-data.altitude", "air-data.vertical-speed"}
    np.testing.assert_allclose(reading["air-data.airspeed"] / KT, 100.0)
    np.testing.assert_allclose(reading["air-data.altitude"] / FT, 3000.0)
    np.testing.assert_allclose(reading["air-data.vertical-speed"], 0.0)


def test_below_its_lowest_and_above_its_highest_airspeed_it_shows_nothing(computer):
    for speed in (0.0, 19.0, 301.0):
        assert np.isnan(shown(computer, 0.0, speed * KT)["air-data.airspeed"]).all()
    for speed in (20.0, 299.0):
        assert not np.isnan(shown(computer, 0.0, speed * KT)["air-data.airspeed"]).any()
    suction = air_data.shown(
        computer, TIME, np.full_like(TIME, P0 - 500.0), np.full_like(TIME, P0), P0, Edited()
    )
    assert np.isnan(suction["air-data.airspeed"]).all()


def test_above_its_highest_altitude_and_rate_it_shows_nothing(computer):
    assert np.isnan(shown(computer, 35_100.0 * FT, 100.0 * KT)["air-data.altitude"]).all()
    diving = shown(computer, 20_000.0 * FT - 12_000.0 * FPM * TIME, 100.0 * KT)
    assert np.isnan(diving["air-data.vertical-speed"][-1])
    assert not np.isnan(diving["air-data.altitude"][-1])


def test_a_setting_moves_its_altitude_and_never_its_vertical_speed(computer):
    setting = np.where(TIME < 30.0, P0, P0 + 1000.0)
    reading = shown(computer, 1000.0 * FT, 90.0 * KT, setting)
    assert 250.0 < (reading["air-data.altitude"][-1] - reading["air-data.altitude"][0]) / FT < 290.0
    assert (reading["air-data.vertical-speed"] == 0.0).all()
    wrong = Edited(setting_offset_pa=Schedule.constant(1000.0).at(TIME))
    assert shown(computer, 1000.0 * FT, 90.0 * KT, P0, wrong)["air-data.altitude"][0] > 1200.0 * FT


def test_it_keeps_a_sample_until_the_next_and_follows_a_climb_by_a_filtered_slope(computer):
    climbing = 1000.0 * FPM * np.clip(TIME - 10.0, 0.0, None)
    reading = shown(computer, 2000.0 * FT + climbing, 90.0 * KT)
    height, rate = reading["air-data.altitude"], reading["air-data.vertical-speed"] / FPM
    changed = TIME[1:][np.diff(height) != 0.0]
    steps = np.round(changed / computer.sample_interval)
    np.testing.assert_allclose(changed, steps * computer.sample_interval, atol=1e-9)
    tau = computer.vertical_speed_filter
    one = int(np.searchsorted(TIME, 10.0 + tau + computer.sample_interval))
    # one step of the digits: 1 - 1/e after one time constant, all of it after seven
    assert rate[one] == pytest.approx(1000.0 * (1.0 - np.exp(-1.0)), abs=60.0)
    assert rate[-1] == pytest.approx(1000.0, abs=50.0)
    # late by its filter and half a sample, and rounded to a step
    late = (2000.0 * FT + climbing - height)[-1]
    assert late == pytest.approx(1000.0 * FPM * computer.filter_time, abs=10.0 * FT)


def test_the_names_and_truths_of_its_readings():
    plane = airplane.load("glass-trainer")
    pointers = {p.name: p for p in instruments.pointers_of(plane)}
    assert list(pointers)[:3] == ["air-data.airspeed", "air-data.altitude", "air-data.vertical-speed"]
    assert pointers["air-data.vertical-speed"].title == "air-data computer: vertical speed"
    from ramstill.pneumatics import Truth

    truth = Truth.steady(TIME, cas_m_s=50.0, geometric_altitude_m=1000.0, climb_m_s=3.0)
    right = [float(instruments.truth_for(pointers[n], truth)[0]) for n in list(pointers)[:3]]
    assert right == [50.0, 1000.0, 3.0]
