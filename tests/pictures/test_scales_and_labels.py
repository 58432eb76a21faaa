"""Ticks, clocks, and labels that keep apart."""

import math
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.pictures.labels import beside, spread
from ramstill.pictures.scales import around, clock, nice_step, spoken, thinned, ticks, time_ticks
from ramstill.pictures.strip import simplified

LEVELS = st.floats(-1e6, 1e6, allow_nan=False)


@pytest.mark.parametrize(
    ("seconds", "said"), [(0, "0:00"), (59.6, "1:00"), (125, "2:05"), (3725, "1:02:05"), (-65, "−1:05")]
)
def test_a_clock(seconds: float, said: str) -> None:
    assert clock(seconds) == said


@pytest.mark.parametrize(
    ("value", "decimals", "said"),
    [(1234.4, 0, "1,234"), (-1234.4, 0, "−1,234"), (-0.3, 0, "0"), (-0.04, 1, "0.0"), (math.nan, 0, "–")],
)
def test_a_number_as_it_is_read(value: float, decimals: int, said: str) -> None:
    assert spoken(value, decimals) == said


@given(low=LEVELS, span=st.floats(1e-3, 1e6), wanted=st.integers(2, 12))
def test_ticks_are_round_inside_and_even(low: float, span: float, wanted: int) -> None:
    marks = ticks(low, low + span, wanted)
    step = nice_step((low + span) - low, wanted)  # as much of the span as the two ends still hold
    assert len(marks) <= wanted + 2
    for mark in marks:
        # a tick may lie past an end by the billionth of a step that rounding leaves, and by float spacing
        assert low - 1e-6 * step - 1e-9 <= mark <= low + span + 1e-6 * step + 1e-9
    spacing = 4 * math.ulp(abs(low) + span)
    assert all(b - a == pytest.approx(step, abs=spacing) for a, b in pairwise(marks))


@given(low=LEVELS, span=st.floats(0, 1e6), least=st.floats(0, 1e4))
def test_limits_hold_what_they_are_for(low: float, span: float, least: float) -> None:
    bottom, top = around(low, low + span, 5, least)
    assert bottom <= low <= low + span <= top
    assert top > bottom


def test_time_ticks_are_steps_of_a_clock() -> None:
    assert time_ticks(0, 600, 10) == [60.0 * i for i in range(11)]
    assert time_ticks(-5, 20, 8) == [-5.0, 0.0, 5.0, 10.0, 15.0, 20.0]


@given(size=st.integers(1, 5000), most=st.integers(2, 100))
def test_thinning_keeps_both_ends(size: int, most: int) -> None:
    kept = thinned(size, most)
    assert kept[0] == 0
    assert kept[-1] == size - 1
    assert len(kept) <= most
    assert all(a < b for a, b in pairwise(kept))


@given(wanted=st.lists(st.floats(-50, 450), max_size=15))
def test_labels_keep_their_order_and_distance(wanted: list[float]) -> None:
    places = spread(wanted, 20.0, 0.0, 400.0)
    assert len(places) == len(wanted)
    order = sorted(range(len(wanted)), key=lambda i: (wanted[i], i))
    for a, b in pairwise(order):
        assert places[b] - places[a] >= 20.0 - 1e-6  # rounding
    assert all(-1e-6 <= place <= 400.0 + 1e-6 for place in places)


def test_too_many_labels_share_the_room() -> None:
    assert spread([5.0] * 5, 20.0, 0.0, 40.0) == [0.0, 10.0, 20.0, 30.0, 40.0]


def test_a_label_goes_where_there_is_room() -> None:
    right = (10.0, -5.0, 30.0, 5.0)
    box = beside(0.0, 0.0, 15.0, 10.0, 10.0, [right])
    assert box[2] <= 10.0 or box[3] <= -5.0 or box[1] >= 5.0


@given(st.integers(0, 1000))
def test_a_thinned_line_stays_within_its_tolerance(seed: int) -> None:
    x = np.arange(200.0)
    y = np.cumsum(np.random.default_rng(seed).normal(size=200))
    kept = simplified(x, y, 0.35)
    drawn = np.interp(x, x[kept], y[kept])
    # The tolerance is across the line; straight up and down it may be as much larger as the line is steep.
    slope = np.abs(np.diff(y[kept]) / np.diff(x[kept]))
    piece = np.clip(np.searchsorted(x[kept], x, side="right") - 1, 0, len(slope) - 1)
    assert np.all(np.abs(drawn - y) <= 0.35 * np.hypot(1.0, slope[piece]) + 1e-9)
