"""How finely a record is written, and which readings cannot be right."""

import numpy as np
import pytest

from ramstill.flight.steps import garbled, step_of

CURVE = 3000.0 + 400.0 * np.sin(np.arange(900) / 90.0)


@pytest.mark.parametrize("step", [0.1, 0.5, 1.0, 5.0, 10.0, 20.0, 25.0, 100.0])
def test_round_steps_are_found(step: float) -> None:
    assert step_of(np.round(CURVE / step) * step, usual=1.0) == pytest.approx(step)


def test_feet_written_in_metres_are_found() -> None:
    metres = np.round(np.round(CURVE / 25.0) * 25.0 * 0.3048, 1)
    # 7.62 m, of which one decimal is written
    assert step_of(metres, usual=3.0) == pytest.approx(7.62, abs=0.1)


def test_what_cannot_tell_is_taken_as_usual() -> None:
    assert step_of(np.full(100, 5000.0), usual=10.0) == 10.0
    assert step_of(np.array([np.nan, 100.0, 110.0]), usual=1.0) == 1.0
    assert step_of(CURVE + np.random.default_rng(0).normal(size=900), usual=10.0) == 1.0  # a tenth, no finer


def test_a_few_readings_off_the_steps_do_not_count() -> None:
    readings = np.round(CURVE / 25.0) * 25.0
    readings[400] += 3.0
    assert step_of(readings, usual=10.0) == 25.0


def test_a_spike_is_garbled_and_a_change_is_not() -> None:
    time = np.arange(60.0)
    airspeed = np.where(time < 30, 100.0, 130.0)
    assert not garbled(time, airspeed, 1.0, fastest=15.0, jump=20.0).any()
    airspeed[45] = 12.0
    airspeed[10] = np.nan
    assert np.flatnonzero(garbled(time, airspeed, 1.0, fastest=15.0, jump=20.0)).tolist() == [45]
