"""Open shares in pieces of time are those of the schedules, on either side of every cut."""

import numpy as np

from ramstill.pneumatics import Schedule
from ramstill.pneumatics.openness import over_pieces

SCHEDULES = (
    None,
    Schedule.constant(0.25),
    Schedule.step(3.0, 1.0, 0.0),
    Schedule((1.0, 2.0, 4.0, 4.0), (0.0, 0.5, 0.75, 0.1)),
    Schedule((-5.0, 20.0), (0.2, 0.9)),
    Schedule((30.0, 40.0), (0.3, 1.0)),
)


def test_pieces_begin_and_end_with_what_the_schedules_say() -> None:
    begin = np.array([0.0, 1.0, 1.5, 2.0, 3.0, 4.0, 4.5, 10.0])
    openness, rate = over_pieces(begin, SCHEDULES)
    assert openness.shape == rate.shape == (7, 6)
    assert (openness[:, 0] == 1.0).all()
    for i, schedule in enumerate(SCHEDULES[1:], 1):
        assert schedule is not None
        assert np.array_equal(openness[:, i], schedule.at(begin[:-1]))
        # the rounding of a product
        ends = openness[:, i] + rate[:, i] * np.diff(begin)
        np.testing.assert_allclose(ends, schedule.at_left(begin[1:]), rtol=0.0, atol=1e-15)


def test_one_time_is_looked_up_as_many_are() -> None:
    for schedule in SCHEDULES[1:]:
        assert schedule is not None
        for at in (-6.0, 0.0, 1.0, 1.7, 3.0, 4.0, 19.9, 20.0, 35.0, 41):
            assert schedule.at(at) == schedule.at([at])[0]
            assert schedule.at_left(at) == schedule.at_left([at])[0]
