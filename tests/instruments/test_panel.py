"""The instruments of the hangar's airplanes read together."""

import numpy as np
import pytest

from ramstill import air, airplane, instruments, simulate
from ramstill.air.units import FPM, FT, KT
from ramstill.errors import InputError
from ramstill.pneumatics import Schedule, Surroundings, Truth

HANGAR = airplane.hangar()
WITH_VSI = [name for name in HANGAR if "vertical-speed" in [i.name for i in airplane.load(name).instruments]]
TIME = np.arange(0.0, 60.0, 0.1)


def steady(plane, altitude_m=0.0, cas_m_s=0.0):
    """Pressures at every tapping in steady flight without position error."""
    static = float(air.static_pressure(altitude_m))
    ram = static + float(air.impact_pressure(cas_m_s))
    return {
        tapping: np.full_like(TIME, ram if tapping.endswith(".pitot") else static)
        for instrument in plane.instruments
        for tapping in instruments.tappings_of(instrument)
    }


def read(plane, pressure, *edits, setting_pa=air.constants.P0):
    return instruments.read(plane, TIME, pressure, setting_pa, edits)


@pytest.mark.parametrize("name", HANGAR)
def test_in_steady_flight_everything_is_right_to_its_scale_error(name):
    plane = airplane.load(name)
    pointers = read(plane, steady(plane, 3000.0 * FT, 100.0 * KT))
    worst = {"airspeed": 2.0 * KT, "altitude": 50.0 * FT, "vertical-speed": 1e-9}
    right = {"airspeed": 100.0 * KT, "altitude": 3000.0 * FT, "vertical-speed": 0.0}
    shown = instruments.pointers_of(plane)
    assert list(pointers) == [pointer.name for pointer in shown]
    for pointer in shown:
        error = np.abs(pointers[pointer.name] - right[pointer.shows])
        assert error.max() <= worst[pointer.shows] + 1e-6
        assert pointers[pointer.name].shape == TIME.shape


@pytest.mark.parametrize("name", HANGAR)
def test_static_above_pitot_pins_or_goes_below_as_the_file_says(name):
    plane = airplane.load(name)
    for indicator in plane.instruments_of("airspeed-indicator"):
        pressure, static = steady(plane), f"{indicator.name}.static"
        pressure[static] = pressure[static] + 1500.0
        lowest = read(plane, pressure)[indicator.name].min()
        if indicator.below_zero == "pins":
            assert lowest == 0.0
        else:
            assert lowest == -indicator.below_zero_stop
            pressure[static] = pressure[f"{indicator.name}.pitot"] + 30.0  # about 14 kt: not at the stop
            lowest = read(plane, pressure)[indicator.name].min()
            assert lowest == pytest.approx(-float(air.calibrated_airspeed(30.0)), abs=2.0 * KT)


def test_stops_hold_the_pointers():
    plane = airplane.load("low-wing-mast")
    pressure = steady(plane, 0.0, 300.0 * KT)
    pressure["altimeter.static"] = np.full_like(TIME, float(air.static_pressure(40_000.0 * FT)))
    pressure["vertical-speed.case"] = pressure["vertical-speed.case"] + 5000.0
    pointers = read(plane, pressure)
    assert pointers["airspeed"].max() == plane.instrument("airspeed").top_mark
    assert pointers["altimeter"].max() == plane.instrument("altimeter").top_mark
    assert pointers["vertical-speed"].max() == plane.instrument("vertical-speed").full_scale


def test_the_setting_moves_the_altimeter_and_never_the_encoder():
    plane = airplane.load("low-wing-mast")
    pressure = steady(plane, 3000.0 * FT)
    low, high = (read(plane, pressure, setting_pa=p) for p in (100_000.0, 102_000.0))
    assert 500.0 < (high["altimeter"][0] - low["altimeter"][0]) / FT < 600.0
    assert np.array_equal(high["encoder"], low["encoder"])


def test_the_knob_stops_at_the_ends_of_the_window():
    plane = airplane.load("low-wing-mast")
    pressure = steady(plane)
    ends = [read(plane, pressure, setting_pa=p)["altimeter"][0] for p in (120_000.0, 150_000.0)]
    assert ends[0] == ends[1]


def test_edits_shift_stick_and_offset():
    plane = airplane.load("low-wing-mast")
    pressure = steady(plane, 3000.0 * FT)
    plain = read(plane, pressure)
    at_30 = {"setting": 1000.0, "offset": 300.0 * FT}
    edits = [
        instruments.PointerEdit("altimeter", "setting offset", Schedule.step(30.0, 0.0, at_30["setting"])),
        instruments.PointerEdit("encoder", "pointer offset", Schedule.step(30.0, 0.0, at_30["offset"])),
    ]
    edited = read(plane, pressure, *edits)
    assert np.array_equal(edited["altimeter"][:300], plain["altimeter"][:300])
    assert 250.0 < (edited["altimeter"][-1] - plain["altimeter"][-1]) / FT < 290.0
    assert (edited["encoder"][-1] - plain["encoder"][-1]) / FT == pytest.approx(300.0)
    pressure["altimeter.static"] = np.linspace(95_000.0, 90_000.0, len(TIME))
    stuck = read(
        plane, pressure, instruments.PointerEdit("altimeter", "stuck", Schedule.step(30.0, 0.0, 1.0))
    )
    assert np.ptp(stuck["altimeter"][320:]) < 2.0 * FT  # the lag has run out by then
    assert np.ptp(read(plane, pressure)["altimeter"][320:]) > 500.0 * FT


def test_an_edit_of_an_instrument_that_is_not_there():
    plane = airplane.load("low-wing-mast")
    with pytest.raises(InputError, match="read clock; allowed: airspeed, altimeter, vertical-speed, encoder"):
        read(plane, steady(plane), instruments.PointerEdit("clock", "stuck", Schedule.constant(1.0)))


def test_truth_of_each_instrument():
    truth = Truth.steady(
        TIME, cas_m_s=50.0, geometric_altitude_m=1000.0, climb_m_s=3.0, pressure_altitude_m=1100.0
    )
    plane = airplane.load("low-wing-mast")
    right = [float(instruments.truth_for(i, truth)[0]) for i in plane.instruments]
    assert right == [50.0, 1000.0, 3.0, 1100.0]


@pytest.mark.parametrize("rate_fpm", [1000.0, -1000.0, 1800.0])
@pytest.mark.parametrize("name", WITH_VSI)
def test_vertical_speed_is_within_5_percent_from_sea_level_to_25000_ft(name, rate_fpm):
    """After five time constants of the calibrated leak at the height of the start, where thin air makes it
    slower; the law by itself within 5 %, the pointer within its friction of that.
    """
    plane = airplane.load(name)
    duration = 25_000.0 / abs(rate_fpm) * 60.0
    time = np.linspace(0.0, duration, int(duration / 2.0) + 1)
    start = 0.0 if rate_fpm > 0.0 else 25_000.0
    height = start * FT + rate_fpm * FPM * time
    static = np.asarray(air.static_pressure(height))
    names = (*(opening.name for opening in plane.openings), "cabin", "wing-bay", "outside")
    truth = Truth.steady(time, pressure_altitude_m=height, static_pressure_pa=static)
    around = Surroundings.from_samples(time, names, np.tile(static[:, None], (1, len(names))), truth)
    run = simulate(plane, around, output_hz=1.0)
    vsi = plane.instrument("vertical-speed")
    shown = instruments.vertical_speed_shown(
        run.pressure_pa["vertical-speed.static"] - run.pressure_pa["vertical-speed.case"],
        vsi.full_scale,
        vsi.leak.full_scale_difference,
        vsi.leak.law,
    )
    settled = run.time_s > 5.0 * vsi.leak.time_constant * air.constants.P0 / static[0]
    assert np.abs(shown[settled] / (rate_fpm * FPM) - 1.0).max() < 0.05
    pointer = run.pointers["vertical-speed"][settled] / FPM
    assert np.abs(pointer - rate_fpm).max() < 0.05 * abs(rate_fpm) + vsi.friction / FPM
