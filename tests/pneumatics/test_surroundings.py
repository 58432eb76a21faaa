import numpy as np
import pytest

from ramstill.pneumatics import Schedule, Surroundings, Truth

TIME = np.linspace(0.0, 10.0, 21)


def smooth(**more):
    pressure = np.stack([1e5 + 50.0 * np.sin(TIME), 9e4 - 10.0 * TIME], axis=1)
    truth = Truth.steady(TIME, cas_m_s=TIME)
    return Surroundings.from_samples(TIME, ["ram", "still"], pressure, truth, **more)


def test_a_smooth_piece_is_followed_to_fourth_order():
    when = np.linspace(0.0, 10.0, 333)
    # not-a-knot cubic, spacing 0.5: 5/384 h^4 max|f''''| = 0.04 Pa inside, some times that at the ends
    assert np.abs(smooth().at(when)[:, 0] - 1e5 - 50.0 * np.sin(when)).max() < 0.3
    assert np.abs(smooth().at(when)[:, 1] - 9e4 + 10.0 * when).max() < 1e-9


def test_the_ends_hold():
    s = smooth()
    assert (s.at([-5.0]) == s.pressure_pa[0]).all()
    assert (s.at([99.0]) == s.pressure_pa[-1]).all()


def test_a_repeated_time_is_a_jump_and_a_kink():
    when = np.array([0.0, 1.0, 1.0, 2.0])
    s = Surroundings.from_samples(when, ["ram"], [[1e5], [1e5], [2e5], [2e5]], Truth.steady(when))
    assert s.kinks_s == (1.0,)
    assert s.at([0.99, 1.0, 1.5]).ravel().tolist() == [1e5, 2e5, 2e5]
    assert s.at_left([1.0]).ravel().tolist() == [1e5]


def test_slopes_differ_across_a_kink():
    pressure = np.where(TIME < 5.0, 1e5, 1e5 + 100.0 * (TIME - 5.0))
    s = Surroundings.from_samples(TIME, ["ram"], pressure, Truth.steady(TIME), kinks_s=[5.0])
    assert s.slope_left_pa_s[10, 0] == pytest.approx(0.0, abs=1e-9)
    assert s.slope_right_pa_s[10, 0] == pytest.approx(100.0)
    assert (
        np.abs(s.at(TIME + 0.01)[:-1, 0] - np.where(TIME < 5, 1e5, 1e5 + 100.0 * (TIME - 4.99))[:-1]).max()
        < 1e-6
    )


def test_a_kink_between_samples_is_refused():
    with pytest.raises(ValueError, match=r"kink at 5\.1"):
        smooth(kinks_s=[5.1])


def test_a_schedule_added_to_one_boundary_jumps_and_leaves_the_rest():
    before, change = smooth(), Schedule((2.2, 2.2, 4.0), (0.0, 30.0, -10.0))
    after = before.with_pressure_change("ram", change)
    when = np.linspace(0.0, 10.0, 401)
    assert np.abs(after.at(when)[:, 0] - before.at(when)[:, 0] - change.at(when)).max() < 1e-9
    assert np.abs(after.at(when)[:, 1] - before.at(when)[:, 1]).max() < 1e-9
    assert np.abs(after.at_left([2.2])[0] - before.at([2.2])[0]).max() < 1e-9
    assert {2.2, 4.0} <= set(after.kinks_s)
    assert np.abs(after.truth.at(when).cas_m_s - when).max() < 1e-9


def test_an_array_added_at_the_knots_follows_its_own_spline():
    before = smooth()
    after = before.with_pressure_change("still", 20.0 * TIME)
    assert np.abs(after.at([3.3])[0, 1] - before.at([3.3])[0, 1] - 66.0) < 1e-9


def test_openness_from_outside_multiplies():
    s = smooth(openness={"ram": Schedule.constant(0.5)}).with_openness("ram", Schedule.step(3.0, 1.0, 0.0))
    assert s.openness["ram"].at([2.0, 4.0]).tolist() == [0.5, 0.0]


def test_shapes_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="not above zero"):
        Surroundings.steady(0.0, 1.0, {"ram": -1.0})
    with pytest.raises(ValueError, match="no boundary"):
        smooth().column("nowhere")
    with pytest.raises(ValueError, match="truth has no colour"):
        Truth.steady(TIME, colour=1.0)
