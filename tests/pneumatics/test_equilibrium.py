import numpy as np
import pytest

from ramstill.pneumatics import Network, Schedule, settle
from ramstill.pneumatics.equilibrium import settle_each
from ramstill.pneumatics.flow import link_flow
from ramstill.pneumatics.laws import coefficients


def between():
    """A volume with one hole to ram air and two to still air."""
    network = Network(("mast", "case", "shut"), np.full(3, 1e-5), np.full(3, 288.15), ("ram", "still"))
    network = network.with_hole("inlet", "mast", "ram", 3e-3, 1e-3)
    network = network.with_link("drains", 1, "mast", "still", (1e-3, 1e-3, 2.0))
    return network.with_tube("line", "mast", "case", 2.0, 4e-3)


def test_what_flows_in_flows_out():
    found = settle(between(), {"ram": 103_000.0, "still": 100_000.0}, [1e5, 1e5, 77_777.0])
    g, e, _ = coefficients(between())
    into = link_flow(103_000.0, found[0], 1.0, g[0], e[0], False)
    out = link_flow(found[0], 100_000.0, 1.0, g[1], e[1], False)
    assert into == pytest.approx(out, rel=1e-6)
    assert found[1] == pytest.approx(found[0], abs=1e-6)
    assert found[2] == 77_777.0


def test_one_boundary_is_taken_over_everywhere():
    network = between().with_openness("inlet", Schedule.constant(0.0))
    found = settle(network, [103_000.0, 100_000.0])
    assert found[:2] == pytest.approx([100_000.0, 100_000.0], abs=1e-6)


def test_what_is_shut_off_evens_out_and_keeps_its_mass():
    network = between()
    for name in ("inlet", "drains"):
        network = network.with_openness(name, Schedule.constant(0.0))
    network = network.with_volume("case", 3e-5)
    found = settle(network, [103_000.0, 100_000.0], [90_000.0, 98_000.0, 50_000.0])
    assert found == pytest.approx([96_000.0, 96_000.0, 50_000.0])


def test_schedules_are_read_when_asked():
    network = between().with_openness("inlet", Schedule.step(5.0, 1.0, 0.0))
    before = settle(network, [103_000.0, 100_000.0], at_s=0.0)
    after = settle(network, [103_000.0, 100_000.0], at_s=5.0)
    assert before[0] > 102_000.0
    assert after[0] == pytest.approx(100_000.0)


def test_shapes_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match="each boundary"):
        settle(between(), [1e5])
    with pytest.raises(ValueError, match="each volume"):
        settle(between(), [1e5, 1e5], [1e5])


def test_many_at_once_are_as_each_alone():
    network = between().with_openness("inlet", Schedule.step(5.0, 1.0, 0.0))
    network = network.with_openness("drains", Schedule.step(8.0, 1.0, 0.0))
    rng = np.random.default_rng(3)
    held, start = 9e4 + 2e3 * rng.random((4, 2)), 9e4 + 1e3 * rng.random((4, 3))
    times = np.array([0.0, 4.0, 5.0, 9.0])
    found = settle_each(network, held, start, times)
    for row, when in enumerate(times):
        assert np.array_equal(found[row], settle(network, held[row], start[row], at_s=float(when)))
