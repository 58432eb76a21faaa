"""Scale error, play, sticking, lag and stops, each against what it is defined to do."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.instruments import mechanics

QUICK = settings(deadline=None, derandomize=True, max_examples=40)
movements = st.lists(st.floats(-500.0, 500.0), min_size=2, max_size=40).map(np.array)


def test_a_card_without_rows_changes_nothing():
    reading = np.array([1.0, 2.0])
    assert mechanics.with_scale_error(reading, ()) is reading


def test_scale_error_is_straight_between_rows_and_held_beyond():
    card = ((100.0, 4.0), (50.0, 2.0))  # rows in any order
    shown = mechanics.with_scale_error(np.array([0.0, 50.0, 75.0, 100.0, 300.0]), card)
    assert shown.tolist() == [2.0, 52.0, 78.0, 104.0, 304.0]


def test_play_hangs_back_by_the_band_both_ways():
    up_and_down = np.array([0.0, 5.0, 10.0, 20.0, 15.0, 5.0, 0.0, -20.0])
    shown = mechanics.play(up_and_down, 10.0)
    assert shown.tolist() == [0.0, 0.0, 0.0, 10.0, 10.0, 10.0, 10.0, -10.0]


@QUICK
@given(movements, st.floats(0.0, 50.0))
def test_play_never_hangs_back_by_more_than_the_band(movement, band):
    shown = mechanics.play(movement, band)
    # 1e-9 covers the rounding of one subtraction of numbers below 1e3
    assert np.all(np.abs(shown - movement) <= band + 1e-9)


@QUICK
@given(movements)
def test_no_friction_is_no_effect(movement):
    assert np.array_equal(mechanics.play(movement, 0.0), movement)
    assert np.array_equal(mechanics.held_back(movement, 0.0), movement)


def test_tapping_frees_a_pointer_that_hung_back():
    mechanism = np.array([0.0, 10.0, 10.0, 10.0])
    assert mechanics.play(mechanism, np.array([50.0, 50.0, 0.0, 0.0])).tolist() == [0.0, 0.0, 10.0, 10.0]
    assert mechanics.held_back(mechanism, np.array([1.0, 1.0, 0.0, 0.0])).tolist() == [0.0, 0.0, 10.0, 10.0]


def test_a_half_stuck_pointer_makes_half_of_each_movement():
    mechanism = np.array([10.0, 20.0, 0.0])
    assert mechanics.held_back(mechanism, 0.5).tolist() == [10.0, 15.0, 5.0]


def test_lag_of_a_ramp_is_the_exact_answer_at_uneven_times():
    time = np.array([0.0, 0.1, 0.15, 2.0, 2.5, 20.0])
    lag, slope = 0.7, 3.0
    shown = mechanics.first_order_lag(time, slope * time, lag)
    exact = slope * (time - lag * (1.0 - np.exp(-time / lag)))
    np.testing.assert_allclose(shown, exact, rtol=1e-12, atol=1e-12)  # rounding only


def test_lag_of_a_step_given_by_a_repeated_time():
    time = np.array([0.0, 1.0, 1.0, 2.0, 3.0])
    step = np.array([0.0, 0.0, 8.0, 8.0, 8.0])
    shown = mechanics.first_order_lag(time, step, 1.0)
    exact = [0.0, 0.0, 0.0, 8.0 * (1 - np.exp(-1.0)), 8.0 * (1 - np.exp(-2.0))]
    np.testing.assert_allclose(shown, exact, rtol=1e-12)


@QUICK
@given(st.floats(0.05, 5.0), st.lists(st.floats(0.01, 3.0), min_size=3, max_size=30))
def test_lag_is_the_same_however_a_straight_piece_is_sampled(lag, steps):
    fine = np.concatenate([[0.0], np.cumsum(steps)])
    coarse = np.array([0.0, fine[-1]])
    ends = [
        mechanics.first_order_lag(t, 40.0 - 7.0 * t, lag)[-1] for t in (fine, coarse)
    ]  # one straight line
    assert ends[0] == pytest.approx(ends[1], rel=1e-9, abs=1e-9)


def test_no_lag_is_no_effect():
    reading = np.array([1.0, 5.0, 2.0])
    assert mechanics.first_order_lag(np.arange(3.0), reading, 0.0) is reading


def test_stops_hold():
    assert mechanics.between_stops(np.array([-5.0, 3.0, 9.0]), 0.0, 8.0).tolist() == [0.0, 3.0, 8.0]
