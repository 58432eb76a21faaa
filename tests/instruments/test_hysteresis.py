"""Hysteresis of an altimeter's capsules: right on the way up, high on the way down."""

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.air.units import FT
from ramstill.instruments.hysteresis import with_hysteresis


def loop(height, share=0.004, start=0.0):
    up = np.linspace(start, start + height, 400)
    there_and_back = np.concatenate([up, up[::-1][1:]])
    off = with_hysteresis(there_and_back, share) - there_and_back
    return off[:400], off[399:][::-1]


@pytest.mark.parametrize("height", [500.0 * FT, 3000.0 * FT, 20_000.0 * FT, 40_000.0 * FT])
@pytest.mark.parametrize("start", [0.0, 1500.0])
def test_the_gap_in_the_middle_is_the_stated_share_of_the_span(height, start):
    up, down = loop(height, start=start)
    # rounding of sums of thousands of metres
    assert np.abs(up).max() < 1e-9
    assert (down >= -1e-9).all()
    # 5 %: the plays are as wide as powers of two
    assert down[200] == pytest.approx(0.004 * height, rel=0.05)
    assert down.max() < 0.004 * height * 1.1
    assert abs(down[-1]) < 1e-9  # at the top they meet


def test_a_descent_first_reads_low_on_the_way_back_up():
    _, back = loop(-2000.0)
    assert back[200] == pytest.approx(-0.004 * 2000.0, rel=0.05)


def test_none_is_none():
    flown = np.array([0.0, 500.0, 100.0])
    assert with_hysteresis(flown, 0.0) is flown


@given(st.lists(st.floats(-2000.0, 15_000.0), min_size=2, max_size=30), st.floats(0.0, 0.02))
def test_never_off_by_more_than_its_share_of_all_that_was_covered(heights, share):
    flown = np.array(heights)
    # a third more than the share: the middle of a loop from the middle of a wider one
    assert np.abs(with_hysteresis(flown, share) - flown).max() <= 1.34 * share * np.ptp(flown) + 1e-6


@given(st.lists(st.floats(0.0, 10_000.0), min_size=2, max_size=20))
def test_how_fast_it_is_flown_makes_no_difference(heights):
    slowly = np.concatenate([np.linspace(a, b, 7) for a, b in pairwise(heights)])
    quick, slow = with_hysteresis(np.array(heights), 0.01), with_hysteresis(slowly, 0.01)
    assert quick[-1] == pytest.approx(slow[-1], abs=1e-6)
