import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.pneumatics import Network
from ramstill.pneumatics.flow import (
    NEAR,
    R_CHOKED,
    V_CHOKED,
    compensation,
    expansion,
    expansion_far,
    expansion_slope,
    link_flow,
    residual,
    residual_slopes,
)
from ramstill.pneumatics.friction import turbulence
from ramstill.pneumatics.laws import coefficients, friction
from ramstill.pneumatics.network import HOLE, LEAK_LAMINAR, LEAK_ORIFICE, TUBE

KINDS = {
    "tube": (TUBE, (2.0, 4.6e-3, 1.0)),
    "wide tube": (TUBE, (2.0, 10e-3, 1.0)),
    "short tube": (TUBE, (0.0, 4.6e-3, 1.0)),
    "hole": (HOLE, (1e-3, 2e-3, 1.0)),
    "pinhole": (HOLE, (1e-3, 5e-5, 1.0)),
    "leak": (LEAK_LAMINAR, (4.0, 2e-4)),
    "capillary and orifice": (LEAK_ORIFICE, (4.0, 2e-4, 490.0)),
}
pressures = st.floats(1e3, 2e5)
kinds = st.sampled_from(sorted(KINDS))


def law(kind):
    """What the law takes of one link between two volumes."""
    network = Network(("a", "b"), np.full(2, 1e-4), np.full(2, 288.15), ())
    network = network.with_link("link", KINDS[kind][0], "a", "b", KINDS[kind][1])
    (g, e, c), (reynolds, straight) = coefficients(network), friction(network)
    return float(g[0]), float(e[0]), bool(c[0]), 0.0, 0.0, float(reynolds[0]), float(straight[0])


@settings(max_examples=60, deadline=None, derandomize=True)
@given(pressures, pressures, st.floats(0.0, 1.0), kinds)
def test_flow_is_antisymmetric_and_goes_downhill(pa, pb, o, kind):
    w = link_flow(pa, pb, o, *law(kind))
    assert w == -link_flow(pb, pa, o, *law(kind))
    assert w * (pa - pb) >= 0.0
    assert np.isfinite(w)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(pressures, pressures, st.floats(0.01, 1.0), kinds)
def test_flow_solves_the_law_it_stands_for(pa, pb, o, kind):
    w = link_flow(pa, pb, o, *law(kind))
    # E k w^2 may be 1e4 times w, and what it is balanced with carries rounding of 1e-16
    assert abs(residual(pa, pb, w, o, *law(kind))) <= 1e-11 * max(
        abs(w), law(kind)[0] * o * o * abs(pa**2 - pb**2)
    )


@settings(max_examples=80, deadline=None, derandomize=True)
@given(pressures, st.floats(0.05, 0.999), st.floats(0.05, 1.0), st.booleans(), kinds)
def test_slopes_are_those_of_the_law(high, r, o, swapped, kind):
    if abs(r - R_CHOKED) < 1e-4:
        return  # the second slope jumps there, and finite differences see it
    pa, pb = (high * r, high) if swapped else (high, high * r)
    w = link_flow(pa, pb, o, *law(kind))
    _, by_a, by_b, by_o, by_w = residual_slopes(pa, pb, w, o, *law(kind))
    d = 1e-6
    expected = (
        (link_flow(pa * (1 + d), pb, o, *law(kind)) - link_flow(pa * (1 - d), pb, o, *law(kind)))
        / (2 * d * pa),
        (link_flow(pa, pb * (1 + d), o, *law(kind)) - link_flow(pa, pb * (1 - d), o, *law(kind)))
        / (2 * d * pb),
        (link_flow(pa, pb, o * (1 + d), *law(kind)) - link_flow(pa, pb, o * (1 - d), *law(kind)))
        / (2 * d * o),
    )
    # central differences at 1e-6: rounding 1e-10 of the flow over 1e-6 of the difference at r = 0.999
    scale = max(abs(w) / min(pa, pb), 1e-300)
    assert by_a / by_w == pytest.approx(expected[0], rel=1e-4, abs=1e-5 * scale)
    assert by_b / by_w == pytest.approx(expected[1], rel=1e-4, abs=1e-5 * scale)
    assert by_o / by_w == pytest.approx(expected[2], rel=1e-4)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_small_differences_flow_in_proportion(kind):
    g, e, c = law(kind)[:3]
    slope = 2.0 * 1e5 * g * (compensation(1e5)[0] if c else 1.0)
    for d in (1e-9, -1e-9):  # far inside the viscous limit of the widest of them
        assert link_flow(1e5 + d, 1e5, 1.0, g, e, c) == pytest.approx(slope * ((1e5 + d) - 1e5), rel=1e-3)
    assert link_flow(1e5, 1e5, 1.0, g, e, c) == 0.0


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_shut_means_nothing_at_all(kind):
    assert link_flow(1e5, 5e4, 0.0, *law(kind)) == 0.0
    assert residual_slopes(1e5, 5e4, 0.0, 0.0, *law(kind)) == (0.0, 0.0, 0.0, 0.0, 1.0)


def test_expansion_is_smooth_where_it_chokes_and_one_where_it_does_not_expand():
    assert expansion(0.0) == 1.0
    below, above = expansion_slope(V_CHOKED * (1 + 1e-9)), expansion_slope(V_CHOKED * (1 - 1e-9))
    assert below[0] == pytest.approx(above[0], rel=1e-8)
    assert below[1] == pytest.approx(above[1], rel=1e-7)


def test_expansion_near_one_is_the_closed_form():
    # the closed form has thirteen terms and a power, each good to 1e-16; its slope is of the order of one
    for v in np.linspace(1e-6, NEAR, 300):
        k, slope = expansion_far(v)
        assert expansion(v) == pytest.approx(k, abs=2e-15)
        assert expansion_slope(v) == pytest.approx((k, slope), abs=1e-13)


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.floats(0.0, 0.99999))
def test_expansion_is_that_of_an_isentropic_nozzle(r):
    x = max(r, R_CHOKED)
    nozzle = 7.0 * (x ** (2 / 1.4) - x ** (2.4 / 1.4))
    # the textbook form loses five digits to cancellation near r = 1
    assert expansion((1.0 - r) / (1.0 + r)) == pytest.approx((1.0 - r * r) / nozzle, rel=1e-9)


def test_trial_pressures_below_zero_do_no_harm():
    g, e, c = law("hole")[:3]
    assert np.isfinite(residual(-5.0, 1e5, 1e-4, 1.0, g, e, c))
    assert np.isfinite(residual_slopes(-5.0, -7.0, 1e-4, 1.0, g, e, c)).all()
    assert np.isfinite(residual(-5.0, -7.0, 1e-4, 1.0, *law("leak")))


def test_laminar_flow_goes_with_the_square_of_openness_and_wide_open_flow_with_openness():
    tube, short = law("tube"), law("short tube")
    assert link_flow(1e5 + 1e-3, 1e5, 0.5, *tube) == pytest.approx(
        0.25 * link_flow(1e5 + 1e-3, 1e5, 1.0, *tube), rel=1e-3
    )
    assert link_flow(1.2e5, 1e5, 0.5, *short) == pytest.approx(
        0.5 * link_flow(1.2e5, 1e5, 1.0, *short), rel=0.01
    )


def test_friction_turns_turbulent_smoothly_and_only_along_the_tube():
    assert turbulence(900.0, 1.0) == (1.0, 0.0)
    assert turbulence(1001.0, 1.0)[0] == pytest.approx(1.0, abs=1e-12)
    for reynolds in (1500.0, 2100.0, 2500.0, 4000.0, 3e4, 1e6):
        d = 1e-5 * reynolds
        slope = (turbulence(reynolds + d, 0.8)[0] - turbulence(reynolds - d, 0.8)[0]) / (2.0 * d) * reynolds
        assert turbulence(reynolds, 0.8)[1] == pytest.approx(slope, rel=1e-5, abs=1e-7)
        more = turbulence(reynolds, 1.0)[0] - 1.0
        assert turbulence(reynolds, 0.25)[0] == pytest.approx(1.0 + 0.25 * more)
        assert turbulence(reynolds, 0.0) == (1.0, 0.0)
    assert np.isfinite(turbulence(1e30, 1.0)).all()


def test_more_difference_is_more_flow_also_through_transition():
    flows = [link_flow(1e5 + d, 1e5, 1.0, *law("tube")) for d in np.geomspace(1.0, 5e4, 2000)]
    assert (np.diff(flows) > 0.0).all()
