"""The day's column about the airplane: against `air.Day`, whose column it is."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from ramstill import air
from ramstill.air.units import FT
from ramstill.pneumatics import Truth
from ramstill.run import Scenario
from ramstill.run.column import Column

HEIGHTS_M = np.array([300.0, 1500.0, 4000.0, 10_500.0])
FIELD_M = 300.0


def on(day: air.Day) -> Truth:
    """An airplane at some geometric heights over a field on a day."""
    up = np.asarray(air.geopotential_from_geometric(HEIGHTS_M))
    pressure = np.asarray(day.pressure(up))
    return Truth.steady(
        np.arange(float(len(HEIGHTS_M))),
        static_pressure_pa=pressure,
        pressure_altitude_m=air.pressure_altitude(pressure),
        geometric_altitude_m=HEIGHTS_M,
        outside_temperature_k=day.temperature(up),
        height_over_ground_m=HEIGHTS_M - FIELD_M,
        cas_m_s=50.0,
    )


@pytest.mark.parametrize("day", [air.Day(), air.Day(99_000.0, -30.0), air.Day(103_000.0, 20.0)])
def test_the_ground_and_the_right_setting_are_the_day_s(day: air.Day) -> None:
    column = Column.of(on(day))
    ground = float(day.pressure(air.geopotential_from_geometric(FIELD_M)))
    assert column.ground_pressure_altitude_m == pytest.approx(float(air.pressure_altitude(ground)), abs=1e-5)
    right = float(air.altimeter_setting(ground, FIELD_M))
    assert column.right_setting_m == pytest.approx(float(air.pressure_altitude(right)), abs=1e-5)


@pytest.mark.parametrize("day", [air.Day(), air.Day(99_000.0, -30.0)])
def test_an_altimeter_that_knows_the_day_shows_real_heights_at_any_pressure(day: air.Day) -> None:
    """Also where it feels not the true pressure but that of another height."""
    column = Column.of(on(day))
    felt_up = np.array([500.0, 1000.0, 5000.0, 9000.0])
    felt = np.asarray(air.pressure_altitude(day.pressure(air.geopotential_from_geometric(felt_up))))
    plain = felt - column.right_setting_m
    assert plain + column.added(felt, False, False) == pytest.approx(felt_up, abs=1e-4)


def test_a_standard_day_leaves_gravity_only() -> None:
    column = Column.of(on(air.Day()))
    assert not column.warmer_k.any()
    altitude = column.pressure_altitude_m
    assert column.added(altitude, False, True) == pytest.approx(np.zeros(4), abs=1e-6)
    # 5 ft at 10,000 ft: h^2 / earth radius
    more = column.added(altitude, True, False)
    assert more == pytest.approx(HEIGHTS_M**2 / 6.356766e6, rel=0.05, abs=0.05)


def test_without_a_height_over_ground_the_ground_is_the_sea() -> None:
    truth = replace(on(air.Day()), height_over_ground_m=np.zeros(4))
    assert not Column.of(truth).ground_m.any()


def test_what_a_planned_flight_sets_is_right(flight: Callable[..., Scenario]) -> None:
    truth = flight().surroundings.truth
    column = Column.of(truth)
    there = np.asarray(air.pressure_altitude(truth.altimeter_setting_pa))
    assert column.right_setting_m == pytest.approx(there, abs=0.01 * FT)
