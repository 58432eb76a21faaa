"""A slug of water in a low point: thresholds by hand, and a flow law that an implicit step can use."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.air.constants import P0, T0
from ramstill.pneumatics import slug_flow, threshold_pa
from ramstill.pneumatics.laws import laminar_tube_flow
from ramstill.pneumatics.water import (
    head_per_volume,
    hole_threshold_pa,
    largest_plug_bore,
    left_in_line,
    rim_threshold_pa,
    slug_conductance,
    slug_length,
    slug_speed,
    static_threshold_pa,
)
from ramstill.pneumatics.wet import water_viscosity

FEW = settings(deadline=None, derandomize=True, max_examples=100)
BORE = 4.6e-3
PRESSURES = st.floats(2e4, 1.2e5), st.floats(-3e3, 3e3)
LAW = st.floats(0.0, 800.0), st.floats(0.0, 800.0), st.floats(1e-14, 1e-9), st.floats(0.1, 50.0)


def test_ten_centimetres_upright_hold_a_kilopascal():
    """999.1 kg/m3 x 9.80665 m/s2 x 0.1 m at 15 degC = 980 Pa, which is 270 ft at sea level."""
    assert static_threshold_pa(0.1, np.pi / 2.0) == pytest.approx(979.8, abs=0.1)
    assert static_threshold_pa(0.1, np.radians(30.0)) == pytest.approx(489.9, abs=0.1)
    assert static_threshold_pa(0.1, 0.0) == 0.0


def test_rims_by_hand():
    """sigma 0.0735 N/m at 15 degC: 4 x 0.0735 x (cos 40 - cos 75) / 4.6 mm."""
    assert rim_threshold_pa(BORE) == pytest.approx(4.0 * 0.0735 * (0.7660 - 0.2588) / BORE, rel=2e-3)
    assert rim_threshold_pa(BORE, advancing_rad=1.0, receding_rad=1.0) == 0.0
    assert rim_threshold_pa(BORE / 2.0) == pytest.approx(2.0 * rim_threshold_pa(BORE))


@FEW
@given(st.floats(1e-4, 1e-2), st.floats(0.0, 1.0), st.floats(0.0, np.pi / 2.0), st.floats(274.0, 320.0))
def test_threshold_is_both_together_and_grows(bore, length, slope, t):
    both = threshold_pa(bore, length, slope, t)
    if length == 0.0:
        assert both == 0.0
        return
    assert both == pytest.approx(static_threshold_pa(length, slope, t) + rim_threshold_pa(bore, t))
    assert threshold_pa(bore, length * 1.1, slope, t) >= both
    assert threshold_pa(bore * 0.9, length, slope, t) > both


def test_plugs_stand_in_lines_of_quarter_inch_tube_only_just():
    assert largest_plug_bore() == pytest.approx(5.0e-3, abs=0.1e-3)


def test_a_drain_hole_of_a_millimetre_holds_thirty_millimetres_of_water():
    assert hole_threshold_pa(1e-3) == pytest.approx(static_threshold_pa(0.030, np.pi / 2.0), rel=0.01)


def test_a_shifted_slug_builds_head_until_it_stands_in_one_leg():
    """Shifted by its own length out of an even U it stands in one leg by half of that."""
    length = 0.1
    area = np.pi / 4.0 * BORE**2
    upright = np.pi / 2.0
    half = head_per_volume(BORE, upright, upright) * area * length / 2.0
    assert half == pytest.approx(static_threshold_pa(length, upright))


@FEW
@given(*PRESSURES, *LAW)
def test_dead_band_direction_and_bounds(pb, difference, forward, backward, k, smooth):
    pa = pb + difference
    flow = slug_flow(pa, pb, forward, backward, k, smooth)[0]
    band = forward if pa >= pb else backward
    beyond = abs(pa - pb) - band
    if beyond <= 0.0:
        assert flow == 0.0
        return
    sharp = k * 0.5 * (pa + pb) * beyond
    assert flow * np.sign(pa - pb) >= 0.0
    assert 0.0 <= abs(flow) <= sharp
    assert sharp - abs(flow) <= k * 0.5 * (pa + pb) * smooth / 2.0 * (1.0 + 1e-9)


@FEW
@given(*PRESSURES, *LAW)
def test_the_same_seen_from_the_other_end(pb, difference, forward, backward, k, smooth):
    here = slug_flow(pb + difference, pb, forward, backward, k, smooth)
    there = slug_flow(pb, pb + difference, backward, forward, k, smooth)
    assert here.flow == -there.flow
    assert here.by_pa == pytest.approx(-there.by_pb)


@FEW
@given(*PRESSURES, *LAW)
def test_slopes_are_those_of_the_flow_and_never_the_wrong_way(pb, difference, forward, backward, k, smooth):
    pa, step = pb + difference, 1e-3
    found = slug_flow(pa, pb, forward, backward, k, smooth)
    by_a = (
        slug_flow(pa + step, pb, forward, backward, k, smooth)[0]
        - slug_flow(pa - step, pb, forward, backward, k, smooth)[0]
    ) / (2.0 * step)
    by_b = (
        slug_flow(pa, pb + step, forward, backward, k, smooth)[0]
        - slug_flow(pa, pb - step, forward, backward, k, smooth)[0]
    ) / (2.0 * step)
    # the slope itself bends within one step: by at most step / smooth of the full slope
    close = k * pb * (2.0 * step / smooth + 1e-6)
    assert found.by_pa == pytest.approx(by_a, abs=close)
    assert found.by_pb == pytest.approx(by_b, abs=close)
    assert found.by_pa >= 0.0
    # more pressure before it holds it back, but for the denser air it pushes: a part in a hundred
    assert found.by_pb <= 0.02 * k * pb


def test_continuous_across_the_edges():
    smooth, forward = 5.0, 100.0
    edges = np.array([0.0, forward, forward + smooth])
    for side in (1.0, -1.0):
        below = slug_flow(P0 + side * (edges - 1e-9), P0, forward, forward, 1e-12, smooth)
        above = slug_flow(P0 + side * (edges + 1e-9), P0, forward, forward, 1e-12, smooth)
        for one, other in zip(below, above, strict=True):
            assert np.abs(one - other).max() < 1e-9 * 1e-12 * P0 * 100.0


def test_speed_is_poiseuilles():
    length, push = 0.05, 40.0
    k = slug_conductance(BORE, length)
    flow = slug_flow(P0 + push, P0, 0.0, 0.0, k, 1e-6)[0]
    speed = slug_speed(flow, P0 + push / 2.0, BORE)
    assert speed == pytest.approx(push * BORE**2 / (32.0 * water_viscosity(T0) * length), rel=1e-6)
    # the same as air through the tube, slowed by how much thicker water is
    air_flow = laminar_tube_flow(P0 + push, P0, length, BORE, T0)
    assert flow / air_flow == pytest.approx(1.789e-5 / water_viscosity(T0), rel=1e-3)


def test_a_sump_takes_what_it_has_room_for():
    assert left_in_line([1e-6, 5e-6], 2e-6).tolist() == pytest.approx([0.0, 3e-6])
    assert slug_length(np.pi / 4.0 * BORE**2 * 0.07, BORE) == pytest.approx(0.07)


@pytest.mark.parametrize(
    "call",
    [
        lambda: threshold_pa(0.0, 0.1, 0.5),
        lambda: threshold_pa(BORE, -0.1, 0.5),
        lambda: threshold_pa(BORE, 0.1, -0.5),
        lambda: threshold_pa(BORE, 0.1, 2.0),
        lambda: rim_threshold_pa(BORE, advancing_rad=0.5, receding_rad=0.6),
        lambda: slug_flow(P0, P0, -1.0, 0.0, 1e-12),
        lambda: slug_flow(P0, P0, 1.0, 0.0, 1e-12, 0.0),
        lambda: slug_conductance(BORE, 0.0),
    ],
)
def test_bad_input(call):
    with pytest.raises(ValueError, match="must be"):
        call()
