"""From an airplane, its surroundings and faults to a Run."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

import ramstill as rs
from ramstill.air.units import FPM, FT, KT
from ramstill.errors import InputError
from ramstill.run import Run, Scenario
from ramstill.run.preparing import sample_times

Fly = Callable[..., Scenario]


def test_a_healthy_airplane_shows_the_truth_within_its_own_errors(healthy: Run) -> None:
    # 3 kt and 60 ft: position error and mechanism of the bundled airplane; 8 %: leak and mechanism of its
    # vertical speed indicator once five time constants have passed
    assert np.abs(healthy.error("airspeed")).max() < 3 * KT
    assert np.abs(healthy.error("altimeter")).max() < 60 * FT
    climbing = (healthy.time_s > 170) & (healthy.time_s < 235)
    rate = healthy.pointers["vertical-speed"][climbing] / healthy.truth.climb_m_s[climbing]
    assert np.abs(rate - 1.0).max() < 0.08
    for name, values in healthy.healthy_pointers.items():
        assert values is healthy.pointers[name]


def test_the_start_is_settled(healthy: Run) -> None:
    first = slice(0, 50)
    for tapping, pressure in healthy.pressure_pa.items():
        assert np.ptp(pressure[first]) < 0.5, tapping  # Pa; level and steady, ten tolerances
    assert np.abs(healthy.pointers["vertical-speed"][first]).max() < 30 * FPM


def test_a_run_that_starts_in_a_climb_shows_the_climb_from_the_start(flight: Fly) -> None:
    climb = {"kind": "climb", "duration": "120 s", "rate": "600 ft/min"}
    run = flight(climb).run()
    late = rs.simulate(run.airplane, _from(run.surroundings, 60.0))
    # the friction of its movement is 20 ft/min and more, and comes from the other side
    assert late.pointers["vertical-speed"][0] == pytest.approx(
        run.pointers["vertical-speed"][run.index(60.0)], abs=40 * FPM
    )


def _from(around: rs.pneumatics.Surroundings, start_s: float) -> rs.pneumatics.Surroundings:
    times = np.arange(start_s, around.end_s, 1.0)
    return rs.pneumatics.Surroundings.from_samples(
        times, around.boundary_names, around.at(times), around.truth.at(times)
    )


def test_a_fault_before_the_start_has_been_there_since(taped: Run) -> None:
    held = taped.pressure_pa["altimeter.static"]
    assert np.ptp(held) < 0.01  # Pa; sealed, isothermal, rigid
    assert taped.pointers["altimeter"] == pytest.approx(taped.pointers["altimeter"][0], abs=1 * FT)
    assert taped.change("altimeter")[-1] < -1000 * FT


def test_a_shut_inlet_without_a_drain_keeps_its_air(nest: Run) -> None:
    shut = nest.time_s >= 30.0
    assert np.ptp(nest.pressure_pa["airspeed.pitot"][shut]) < 0.01
    assert nest.change("airspeed")[nest.index(29.0)] == pytest.approx(0.0, abs=1e-6)
    assert nest.change("airspeed")[-1] > 20 * KT  # it followed the climb as an altimeter would


def test_the_rate_of_output_changes_no_pressure(flight: Fly) -> None:
    scenario = flight(
        {"kind": "level", "duration": "20.25 s"}, faults=({"name": "static-line-leak", "onset": "5 s"},)
    )
    fast, slow = (
        rs.simulate(scenario.airplane, scenario.surroundings, scenario.faults, output_hz=hz)
        for hz in (20.0, 2.0)
    )
    assert slow.time_s[-1] == fast.time_s[-1] == pytest.approx(20.25)
    at = np.searchsorted(fast.time_s, slow.time_s[:-1] - 1e-9)
    for tapping, pressure in slow.pressure_pa.items():
        assert pressure[:-1] == pytest.approx(fast.pressure_pa[tapping][at], abs=0.2), tapping


def test_sample_times() -> None:
    assert sample_times(0.0, 1.0, 4.0).tolist() == [0.0, 0.25, 0.5, 0.75, 1.0]
    assert sample_times(2.0, 2.6, 2.0).tolist() == [2.0, 2.5, 2.6]
    for silly in (0.0, -1.0, float("nan"), 1e9):
        with pytest.raises(ValueError, match="output_hz"):
            sample_times(0.0, 1.0, silly)


def test_an_airplane_by_name_and_an_unknown_one(healthy: Run) -> None:
    run = rs.simulate("low-wing-mast", healthy.surroundings, output_hz=1.0)
    assert run.airplane == healthy.airplane
    with pytest.raises(InputError):
        rs.simulate("no-such-airplane", healthy.surroundings)


def test_everything_in_a_table_and_a_file(nest: Run, tmp_path: Path) -> None:
    frame = nest.to_frame()
    assert frame.height == len(nest.time_s)
    for column in (
        "time_s",
        "airspeed_kt",
        "altimeter_ft",
        "vertical_speed_fpm",
        "encoder_ft",
        "true_airspeed_kt",
    ):
        assert column in frame.columns
    for tapping in nest.pressure_pa:
        assert f"p_{tapping}_pa" in frame.columns
    for boundary in nest.outside_pa:
        assert f"outside_{boundary}_pa" in frame.columns
    assert frame["airspeed_kt"].to_numpy() == pytest.approx(nest.pointers["airspeed"] / KT, abs=6e-4)
    rs.run.write_csv(nest, tmp_path / "run.csv")
    lines = (tmp_path / "run.csv").read_text(encoding="utf-8").splitlines()
    assert len(lines) == frame.height + 1
    assert lines[0].split(",") == frame.columns
