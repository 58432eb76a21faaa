"""Splines and look-ups against SciPy's and NumPy's, which do the same the slow way."""

import numpy as np
import pytest
from scipy.interpolate import CubicHermiteSpline, CubicSpline

from ramstill.pneumatics.curves import cubic_at, knot_after, plain, spline_slopes, straight_at


@pytest.mark.parametrize("count", [2, 3, 4, 5, 40])
def test_slopes_are_those_of_the_usual_not_a_knot_spline(count: int) -> None:
    chance = np.random.default_rng(count)
    for _ in range(20):
        when = np.cumsum(10.0 ** chance.uniform(-2.0, 1.0, count + 4))  # steps a thousand times apart
        value = chance.normal(size=(count + 4, 3)).cumsum(axis=0)
        left, right = np.full_like(value, np.nan), np.full_like(value, np.nan)
        spline_slopes(when, value, 2, count + 1, left, right)
        inner = slice(2, count + 2)
        usual = CubicSpline(when[inner], value[inner])(when[inner], 1)
        # both solve the same equations; theirs with pivoting
        np.testing.assert_allclose(right[inner][:-1], usual[:-1], rtol=0.0, atol=1e-11 * abs(usual).max())
        np.testing.assert_allclose(left[inner][1:], usual[1:], rtol=0.0, atol=1e-11 * abs(usual).max())
        assert np.isnan(right[count + 1 :]).all()
        assert np.isnan(left[:3]).all()


def test_curves_are_looked_up_whatever_the_order_of_the_times() -> None:
    chance = np.random.default_rng(1)
    knots = np.sort(chance.uniform(0.0, 10.0, 30))
    value, slope = chance.normal(size=(2, 30, 2))
    when = np.concatenate([chance.uniform(-1.0, 11.0, 200), knots, np.linspace(0.0, 10.0, 500)])
    inside = np.clip(when, knots[0], knots[-1])
    found, rate = np.empty((len(when), 2)), np.empty((len(when), 2))
    cubic_at(knots, value, slope, slope, when, False, found, rate)
    usual = CubicHermiteSpline(knots, value, slope)
    np.testing.assert_allclose(found, usual(inside), rtol=1e-9, atol=1e-9)  # rounding of short spans
    straight = np.empty((2, len(when)))
    straight_at(knots, np.ascontiguousarray(value.T), when, True, straight)
    for j in range(2):
        np.testing.assert_allclose(straight[j], np.interp(when, knots, value[:, j]), rtol=1e-9, atol=1e-12)


@pytest.mark.parametrize("left", [False, True])
def test_the_knot_after_a_time_is_found_from_any_guess(left: bool) -> None:
    knots = np.array([0.0, 1.0, 1.0, 2.0, 5.0])
    for at in (-1.0, 0.0, 0.5, 1.0, 1.5, 2.0, 4.0, 5.0, 6.0):
        right = int(np.searchsorted(knots, at, side="left" if left else "right"))
        assert {knot_after(knots, at, left, hint) for hint in range(6)} == {right}


def test_only_what_the_loops_do_not_take_is_copied() -> None:
    good = np.zeros((3, 2))
    assert plain(good) is good
    for other in (np.broadcast_to(1.0, (3,)), np.zeros((2, 3)).T, np.zeros(3, dtype=int)):
        kept = plain(other)
        assert kept.flags.c_contiguous
        assert kept.flags.writeable
        assert kept.dtype == np.float64
        assert np.array_equal(kept, other)
