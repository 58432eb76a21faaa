"""Smooth courses: they arrive where they were sent, and nothing jumps on the way."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.flight.track import Track, run_to

FAR = st.floats(0.1, 5000.0) | st.floats(-5000.0, -0.1)


@given(FAR, st.floats(0.1, 50.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.5, 5.0))
def test_a_rate_covers_the_distance_and_ends_as_asked(
    distance: float, rate: float, now: float, end: float, onset: float
) -> None:
    sign = np.sign(distance)
    first, last = sign * now * rate, sign * end * rate
    pieces = run_to(distance, first, rate, last, onset)
    track = Track(first)
    over = track.lay(0.0, *pieces)
    # 1e-9 relative: sums of products in double precision
    assert track.integral(np.array([over]))[0] == pytest.approx(distance, rel=1e-9)
    assert track.at(np.array([over]))[0] == pytest.approx(last, abs=1e-9 * rate)
    time = np.linspace(0.0, over, 2001)
    assert (sign * track.at(time) >= -1e-9 * rate).all()  # never turns back
    assert np.abs(track.at(time)).max() <= rate * (1.0 + 1e-9)


@given(st.lists(st.tuples(st.floats(0.1, 10.0), st.floats(-5.0, 5.0)), min_size=1, max_size=6))
def test_the_integral_is_the_integral(steps: list[tuple[float, float]]) -> None:
    track = Track(0.5)
    for length, to in steps:
        track.blend(track.end_s, to, length)
    time = np.linspace(0.0, track.end_s + 1.0, 20001)
    value = track.at(time)
    summed = np.concatenate([[0.0], np.cumsum(0.5 * (value[1:] + value[:-1]) * np.diff(time))])
    # trapezium rule on 20,000 points of curves whose second derivative stays below 6 * 10 / 0.1^2
    assert np.abs(track.integral(time) - summed).max() < 2e-3


def test_what_is_not_laid_is_held() -> None:
    track = Track(3.0)
    assert track.at(np.array([0.0, 9.0])).tolist() == [3.0, 3.0]
    track.blend(5.0, 1.0, 2.0)
    assert track.at(np.array([0.0, 5.0, 6.0, 7.0, 90.0])).tolist() == [3.0, 3.0, 2.0, 1.0, 1.0]
