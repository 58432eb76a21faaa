import numpy as np
import pytest

from ramstill.pneumatics import Network, Schedule, Surroundings, Truth, integrate, lag_time_constants, spun_up
from ramstill.pneumatics.network import LEAK_LAMINAR


def system():
    network = Network(("tee", "case", "behind"), np.array([2e-5, 3e-4, 2e-4]), np.full(3, 288.15), ("port",))
    network = network.with_tube("line", "tee", "port", 6.0, 4e-3).with_tube("short", "tee", "case", 0.5, 4e-3)
    return network.with_link("leak", LEAK_LAMINAR, "tee", "behind", (4.0, 2e-4))


def test_lag_is_what_a_slow_steady_change_leaves_behind():
    lags = lag_time_constants(system(), 95_000.0, 288.15)
    t, rate = np.array([0.0, 60.0]), -5.0
    around = Surroundings.from_samples(t, ("port",), 95_000.0 - rate * 30.0 + rate * t, Truth.steady(t))
    late = integrate(system(), around, [30.0], 1e-5, spun_up(system(), around))[0] - 95_000.0
    # inertial losses, and pressure that falls while it is late: a thousandth
    assert late / -rate == pytest.approx(list(lags.values()), rel=2e-3)


def test_a_leak_is_late_by_its_time_constant_beyond_what_feeds_it():
    lags = lag_time_constants(system(), 101_325.0, 288.15)
    assert lags["behind"] - lags["tee"] == pytest.approx(4.0, rel=1e-4)


def test_what_no_boundary_reaches_is_late_for_ever():
    shut = system().with_openness("line", Schedule.constant(0.0))
    assert set(lag_time_constants(shut, 1e5, 288.15).values()) == {np.inf}


def test_narrower_is_later():
    half = system().with_openness("line", Schedule.constant(0.5))
    wide, tight = (lag_time_constants(n, 1e5, 288.15) for n in (system(), half))
    assert all(tight[name] > wide[name] for name in wide)


def test_pressures_and_temperatures_below_zero_are_refused():
    with pytest.raises(ValueError, match="above zero"):
        lag_time_constants(system(), -1.0, 288.15)
