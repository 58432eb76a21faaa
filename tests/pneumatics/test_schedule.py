import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.pneumatics import Schedule


def schedules():
    point = st.tuples(st.integers(0, 8), st.floats(0.0, 2.0))
    return st.lists(point, min_size=1, max_size=6).map(
        lambda points: Schedule(
            tuple(float(t) for t, _ in sorted(points, key=lambda p: p[0])), tuple(v for _, v in points)
        )
    )


def test_is_held_at_the_ends_and_straight_between():
    s = Schedule((1.0, 3.0), (2.0, 4.0))
    assert s.at([0.0, 1.0, 2.0, 3.0, 9.0]).tolist() == [2.0, 2.0, 3.0, 4.0, 4.0]
    assert s.at(2.0) == 3.0


def test_the_right_value_holds_from_a_jump_on():
    s = Schedule.step(5.0, before=1.0, after=0.0)
    assert s.at([4.9, 5.0, 5.1]).tolist() == [1.0, 0.0, 0.0]
    assert s.at_left([5.0]).tolist() == [1.0]
    assert s.knots == (5.0,)
    assert Schedule.constant(1.0).knots == ()


@pytest.mark.parametrize(
    ("times", "values"), [((), ()), ((0.0,), ()), ((1.0, 0.0), (1.0, 1.0)), ((0.0,), (float("nan"),))]
)
def test_what_does_not_fit_together_is_refused(times, values):
    with pytest.raises(ValueError, match="schedule"):
        Schedule(times, values)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(schedules(), schedules())
def test_product_and_sum_are_those_of_the_values(a, b):
    when = np.linspace(-1.0, 9.0, 201)
    # 16 pieces: the error of a chord of a parabola is at most rise * rise / (4 * 16^2); both rise by 2.
    assert np.abs(a.times(b).at(when) - a.at(when) * b.at(when)).max() <= 4.0 / 1024.0 + 1e-12
    assert np.abs(a.plus(b).at(when) - a.at(when) - b.at(when)).max() <= 1e-12
    knots = np.array(sorted({*a.times_s, *b.times_s}))
    assert np.abs(a.times(b).at_left(knots) - a.at_left(knots) * b.at_left(knots)).max() <= 1e-12
