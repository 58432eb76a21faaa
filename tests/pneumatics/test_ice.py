"""Ice on a probe: signs, limits, and a heater that keeps it clear."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.air.constants import CP_AIR, P0
from ramstill.air.units import CELSIUS_ZERO, KT
from ramstill.pneumatics import growth_rate, ice_thickness, open_share
from ramstill.pneumatics.ice import (
    collision_efficiency,
    heat_transfer,
    ice_density,
    surface_temperature,
    surplus_cold,
)
from ramstill.pneumatics.wet import FUSION

FEW = settings(deadline=None, derandomize=True, max_examples=60)
BORE, PROBE = 5e-3, 12e-3
CLOUD = {"liquid_water_kg_m3": 0.5e-3, "droplet_m": 20e-6, "probe_diameter_m": PROBE}
AIRSPEED = 100.0 * KT
FEWER = st.floats(20.0, 150.0), st.floats(225.0, 290.0), st.floats(0.0, 3e-3), st.floats(5e-6, 60e-6)


def at(celsius):
    return CELSIUS_ZERO + celsius


def test_an_unheated_inlet_closes_in_minutes_and_a_heated_one_stays_clear():
    time = np.arange(0.0, 1201.0)
    cold = open_share(time, AIRSPEED, at(-10.0), 0.5e-3, 20e-6, 0.0, BORE, PROBE)
    assert cold[0] == 1.0
    assert (np.diff(cold) <= 0.0).all()
    assert 60.0 < time[np.argmax(cold == 0.0)] < 600.0
    heated = open_share(time, AIRSPEED, at(-10.0), 0.5e-3, 20e-6, 100.0, BORE, PROBE)
    assert (heated == 1.0).all()


def test_a_heater_that_fails_and_comes_back():
    """Clear, then closing, then melting free again; closed for a while, and never out of 0 to 1."""
    time = np.arange(0.0, 1801.0)
    power = np.where((time > 300.0) & (time < 600.0), 0.0, 100.0)
    share = open_share(time, AIRSPEED, at(-10.0), 0.5e-3, 20e-6, power, BORE, PROBE)
    assert (share[time <= 300.0] == 1.0).all()
    assert share[time == 600.0] == 0.0
    assert share[-1] == 1.0
    assert ((share >= 0.0) & (share <= 1.0)).all()


def test_leaving_the_cloud_keeps_the_ice_and_warm_air_melts_it():
    time = np.arange(0.0, 1201.0)
    water = np.where(time < 100.0, 0.5e-3, 0.0)
    air_k = np.where(time < 600.0, at(-10.0), at(10.0))
    share = open_share(time, AIRSPEED, air_k, water, 20e-6, 0.0, BORE, PROBE)
    between = share[(time > 110.0) & (time < 590.0)]
    assert np.ptp(between) < 1e-12
    assert 0.0 < between[0] < 1.0
    assert share[-1] == 1.0


@FEW
@given(*FEWER)
def test_no_ice_without_water_nor_in_warm_air(v, t, water, droplet):
    assert growth_rate(v, t, 0.0, droplet, PROBE) <= 0.0
    assert growth_rate(v, max(t, CELSIUS_ZERO), water, droplet, PROBE) <= 0.0
    # evaporation lets ice grow somewhat above a total temperature of 0 degC, never far
    total = t + v**2 / (2.0 * CP_AIR)
    if total > CELSIUS_ZERO + 1.0 + 0.6 * v**2 / (2.0 * CP_AIR):
        assert growth_rate(v, t, water, droplet, PROBE) <= 0.0


@FEW
@given(*FEWER, st.floats(0.0, 300.0))
def test_monotone(v, t, water, droplet, power):
    """More heat, or warmer air, never grows more ice; no more ever grows than water meets the probe."""
    rate = growth_rate(v, t, water, droplet, PROBE, power)
    assert rate <= water * v + 1e-15
    assert growth_rate(v, t, water, droplet, PROBE, power + 10.0) <= rate
    # where all freezes that hits, warmer air lets a few millionths more of it hit
    assert growth_rate(v, t + 0.5, water, droplet, PROBE, power) <= rate + 1e-4 * abs(rate) + 1e-12


@FEW
@given(*FEWER)
def test_heat_balances_at_the_front(v, t, water, droplet):
    catch, h = water * v, heat_transfer(v, PROBE, t)
    front = surface_temperature(catch, v, t, h)
    left = surplus_cold(catch, v, t, h, surface_k=front) - catch * FUSION
    # either at 0 degC with water left over, or dry and all its heat balanced
    assert front == pytest.approx(CELSIUS_ZERO, abs=1e-9) or abs(left) < 1e-6 * (1.0 + h * 50.0)


def test_droplets_hit_small_things_fast():
    share = collision_efficiency(50.0, [5e-6, 10e-6, 20e-6, 50e-6], PROBE)
    assert (np.diff(share) > 0.0).all()
    assert collision_efficiency(50.0, 20e-6, 1.0) == 0.0
    assert collision_efficiency(0.0, 20e-6, PROBE) == 0.0
    assert collision_efficiency(200.0, 1e-3, 1e-3) <= 1.0


def test_density_from_rime_to_ice():
    assert ice_density(50.0, 20e-6, at(-5.0)) == 917.0
    rime = ice_density(5.0, 10e-6, [at(-5.0), at(-20.0)])
    assert 100.0 <= rime[1] < rime[0] < 917.0


def test_thickness_stops_at_nothing_and_grows_again_from_there():
    assert ice_thickness([0.0, 1.0, 2.0, 3.0], [0.0, 0.0, 0.0, 0.0]).tolist() == [0.0] * 4
    found = ice_thickness([0.0, 2.0, 2.0, 6.0, 6.0, 7.0], [1.0, 1.0, -1.0, -1.0, 1.0, 1.0], 1.0)
    assert found.tolist() == [0.0, 2.0, 2.0, 0.0, 0.0, 1.0]


def test_thinner_air_cools_less():
    assert heat_transfer(50.0, PROBE, at(-10.0), P0 / 2.0) < heat_transfer(50.0, PROBE, at(-10.0), P0)


def test_a_flush_port_catches_less():
    front = growth_rate(AIRSPEED, at(-15.0), **CLOUD)
    assert 0.0 < growth_rate(AIRSPEED, at(-15.0), **CLOUD, catch_share=0.05) < 0.1 * front


@pytest.mark.parametrize(
    "bad",
    [
        {"true_airspeed_m_s": -1.0},
        {"temperature_k": 0.0},
        {"liquid_water_kg_m3": -1e-3},
        {"droplet_m": 0.0},
        {"heater_power_w": float("nan")},
        {"probe_diameter_m": 0.0},
        {"bore_m": 0.0},
        {"start_m": -1.0},
        {"time_s": [1.0, 0.0]},
    ],
)
def test_bad_input(bad):
    good = {
        "time_s": [0.0, 1.0],
        "true_airspeed_m_s": 50.0,
        "temperature_k": 260.0,
        "liquid_water_kg_m3": 5e-4,
        "droplet_m": 2e-5,
        "heater_power_w": 0.0,
        "bore_m": BORE,
        "probe_diameter_m": PROBE,
    }
    with pytest.raises(ValueError, match="must be"):
        open_share(**(good | bad))
