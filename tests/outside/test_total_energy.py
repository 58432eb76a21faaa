"""A total-energy probe feels height and speed together.

Source: O. W. Nicks, A Simple Total Energy Sensor, NASA TM X-73928 (1976; abstract seen): a sensor at static
pressure less half rho V squared. The figures here follow from the hydrostatic equation and that pressure:
where V^2 / 2 + g h is constant, -dp = rho g dh + d(rho V^2) / 2 is zero but for the change of density with
height, V^2 / 2 d(rho), which is V^2 / (2 R T) of the uncompensated rate, 0.6 % at 90 kt. A probe of
coefficient -(1 - e) leaves e of the uncompensated reading, in its direction.
"""

from functools import cache

import numpy as np
import pytest

from ramstill import air, airplane, simulate
from ramstill.air.constants import G0
from ramstill.air.units import KM_H
from ramstill.flight.outside import boundary_names, pressures
from ramstill.instruments import vertical_speed_shown
from ramstill.pneumatics import Surroundings, Truth

START_S, PULL_S = 10.0, 14.0
FAST, SLOW = 150.0 * KM_H, 95.0 * KM_H


def pull_up():
    """Level at 150 km/h and 1,000 m, then up to 95 km/h by 14 s later, and level; drag left out."""
    time = np.arange(0.0, 45.0, 0.1)
    x = np.clip((time - START_S) / PULL_S, 0.0, 1.0)
    speed = FAST + (SLOW - FAST) * x**3 * (10.0 - 15.0 * x + 6.0 * x * x)
    height = 1000.0 + (FAST**2 - speed**2) / (2.0 * G0)
    static = np.asarray(air.static_pressure(height))
    warm = np.asarray(air.standard_temperature(height))
    mach = speed / np.asarray(air.speed_of_sound(warm))
    impact = static * ((1.0 + 0.2 * mach**2) ** 3.5 - 1.0)
    return Truth.steady(
        time,
        pressure_altitude_m=height,
        geometric_altitude_m=height,
        static_pressure_pa=static,
        impact_pressure_pa=impact,
        cas_m_s=air.calibrated_airspeed(impact),
        tas_m_s=speed,
        climb_m_s=np.gradient(height, time),
        outside_temperature_k=warm,
    )


@cache
def flown(coefficient):
    """The sailplane of the hangar with that coefficient at its total-energy probe."""
    table = airplane.table("sailplane")
    for opening in table["opening"]:
        if opening["kind"] == "total-energy-probe":
            opening["pressure_coefficient"] = {"base": coefficient}
    plane, truth = airplane.from_dict(table), pull_up()
    around = Surroundings.from_samples(
        truth.time_s, boundary_names(plane), pressures(plane, truth), truth, kinks_s=(START_S,)
    )
    return simulate(plane, around)


def shown(run):
    """What the variometer's law says, without stops, friction and the pointer's own lag."""
    vario = run.instrument("variometer")
    felt = run.pressure_pa["variometer.probe"] - run.pressure_pa["variometer.flask"]
    return vertical_speed_shown(felt, vario.full_scale, vario.leak.full_scale_difference, vario.leak.law)


def test_the_uncompensated_one_shows_the_climb():
    """It is the reference of the others, so it is checked first: late by its lag, otherwise the climb."""
    climb = flown(0.0).truth.climb_m_s
    assert 5.0 < climb.max() < 8.0
    # a lag of 1.7 s in a bump of some 8 s takes an eighth off its top
    assert 0.8 * climb.max() < shown(flown(0.0)).max() < 1.02 * climb.max()


def test_in_a_constant_energy_pull_up_it_stays_within_5_percent_of_the_uncompensated_reading(residual):
    left = np.abs(shown(flown(-1.0))).max() / shown(flown(0.0)).max()
    residual("left of the uncompensated reading, probe at -1", left, 0.05)


@pytest.mark.parametrize(("coefficient", "error"), [(-0.9, 0.1), (-1.1, -0.1), (-0.8, 0.2)])
def test_a_probe_off_its_coefficient_shows_that_share_with_its_sign(residual, coefficient, error):
    plain = shown(flown(0.0))
    at = int(np.argmax(plain))
    share = shown(flown(coefficient))[at] / plain[at]
    # 1 %: the change of density with height, which no coefficient takes away
    residual(f"share left at {coefficient:g}, less {error:g}", abs(share - error), 0.01)


def test_the_truth_of_a_compensated_variometer_is_the_rate_of_energy_height():
    run = flown(-1.0)
    assert run.pointer("variometer").compensated
    # 0.02 m/s: differences over 0.1 s of a curve that is sampled so
    assert np.abs(run.true("variometer")).max() < 0.02
    # friction of 0.05 m/s and what compensation leaves
    assert np.abs(run.error("variometer")).max() < 0.2
