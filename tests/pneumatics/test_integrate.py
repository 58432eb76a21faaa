import numpy as np
import pytest

from ramstill.pneumatics import Network, Schedule, SolverError, Surroundings, Truth, integrate, solve, spun_up


def case(bore=1e-3, schedule=None):
    network = Network(("case",), np.array([2e-4]), np.array([288.15]), ("port", "cabin"))
    return network.with_hole("port", "case", "port", bore, 1e-3, schedule)


def ramp(slope, start=95_000.0, until=20.0):
    t = np.linspace(0.0, until, 21)
    pressure = np.stack([start + slope * t, np.full(21, start)], axis=1)
    return Surroundings.from_samples(t, ("port", "cabin"), pressure, Truth.steady(t))


def test_output_is_one_row_for_each_time_and_repeated_times_repeat():
    found = integrate(case(), ramp(-60.0), [0.0, 5.0, 5.0, 20.0], initial_pa=[95_000.0])
    assert found.shape == (4, 1)
    assert found[1, 0] == found[2, 0]
    assert found[0, 0] == 95_000.0


def test_what_is_asked_for_does_not_change_the_answer():
    few = integrate(case(1e-4), ramp(-60.0), [7.0, 20.0], initial_pa=[95_000.0])
    many = integrate(case(1e-4), ramp(-60.0), np.arange(0.0, 20.001, 0.1), initial_pa=[95_000.0])
    # the steps to the last time are the same ones
    assert many[70, 0] == few[0, 0]
    assert many[200, 0] == few[1, 0]


def test_the_same_run_twice_is_the_same_to_the_last_bit():
    times = np.arange(0.0, 20.001, 0.1)
    assert (integrate(case(), ramp(-60.0), times) == integrate(case(), ramp(-60.0), times)).all()


def test_a_run_that_begins_in_a_climb_begins_late():
    start = spun_up(case(2e-4), ramp(-60.0)).pressure_pa
    later = integrate(case(2e-4), ramp(-60.0), [10.0])
    outside = ramp(-60.0).at([0.0, 10.0])[:, 0]
    # the lag grows as pressure falls: 0.6 % in ten seconds here
    assert start[0] - outside[0] == pytest.approx(later[0, 0] - outside[1], rel=0.02)
    assert start[0] - outside[0] > 10.0


def test_a_port_shut_at_the_very_start_was_open_before_and_holds_after():
    network = case(1e-3, Schedule.step(0.0, 1.0, 0.0)).with_heat("isothermal")
    start = spun_up(network, ramp(-60.0)).pressure_pa
    assert start[0] == pytest.approx(95_000.0, abs=5.0)
    assert (integrate(network, ramp(-60.0), [1.0, 20.0])[:, 0] == start[0]).all()


@pytest.mark.parametrize("opens_s", [1e-308, 1e-20, 1e-17])
def test_what_opens_a_moment_after_the_start_opens_at_the_start(opens_s):
    sooner, later = (case(1e-3, Schedule.step(at, 0.0, 1.0)) for at in (0.0, opens_s))
    found = [
        integrate(one, ramp(-60.0, 97_000.0), [1.0, 20.0], initial_pa=[95_000.0]) for one in (sooner, later)
    ]
    # a tolerance: no air flows in such a time, but the steps after it need not be the same ones
    assert np.abs(found[1] - found[0]).max() < 0.05
    assert found[0][0, 0] > 96_000.0


def test_a_finger_on_the_port_holds_the_air():
    around = ramp(-60.0).with_openness("port", Schedule((4.0, 4.0, 12.0, 12.0), (1.0, 0.0, 0.0, 1.0)))
    found = integrate(case().with_heat("isothermal"), around, [4.0, 11.9, 13.0])
    assert found[0, 0] == found[1, 0]
    # cooled by the climb, it grows warm again behind the finger
    warmed = integrate(case(), around, [4.0, 11.9])[:, 0]
    assert 20.0 < warmed[1] - warmed[0] < 100.0
    assert found[2, 0] == pytest.approx(95_000.0 - 60.0 * 13.0, abs=2.0)


def test_outside_the_surroundings_the_ends_hold():
    found = integrate(case(), ramp(-60.0), [1e4])
    assert found[0, 0] == pytest.approx(95_000.0 - 1200.0, abs=0.05)


def test_what_happens_between_the_knots_of_one_long_step_is_not_overlooked():
    t = np.linspace(0.0, 1000.0, 1001)
    pulse = 95_000.0 + 500.0 * np.exp(-((t - 612.0) ** 2) / 4.0)
    around = Surroundings.from_samples(t, ("port", "cabin"), np.stack([pulse, pulse], 1), Truth.steady(t))
    found = integrate(case(2e-3), around, t, initial_pa=[95_000.0])
    assert np.abs(found[:, 0] - pulse).max() < 1.0
    assert found[612, 0] > 95_495.0


def test_the_step_budget_names_the_volume():
    with pytest.raises(SolverError, match=r"volume 'case' .* more than 3 steps"):
        solve(case(), ramp(-60.0), [20.0], initial_pa=[60_000.0], most_steps=3)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: integrate(case(), ramp(0.0), []), "at least one"),
        (lambda: integrate(case(), ramp(0.0), [2.0, 1.0]), "never fall"),
        (lambda: integrate(case(), ramp(0.0), [2.0], tolerance_pa=0.0), "above zero"),
        (lambda: integrate(case(), ramp(0.0), [2.0], initial_pa=[1.0, 2.0]), "one for each volume"),
        (lambda: integrate(case(), ramp(0.0), [2.0], initial_pa=[-1.0]), "above zero"),
        (lambda: integrate(case(), ramp(0.0), [2.0], start_s=3.0), "before the start"),
        (
            lambda: integrate(case(), Surroundings.steady(0.0, 1.0, {"cabin": 1e5}), [1.0], initial_pa=[1e5]),
            "no boundary 'port'",
        ),
    ],
)
def test_what_does_not_fit_is_refused(call, words):
    with pytest.raises(ValueError, match=words):
        call()


def test_a_network_without_any_link_holds_still():
    network = Network(("a", "b"), np.array([1e-4, 1e-4]), np.full(2, 288.15), ("port",))
    around = Surroundings.steady(0.0, 1.0, {"port": 1e5})
    assert integrate(network, around, [0.0, 100.0], initial_pa=[9e4, 8e4])[-1].tolist() == [9e4, 8e4]
