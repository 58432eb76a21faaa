"""Shapley's value against hand, and against what it has to be."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.run.sharing import exact, sampled

COUNT = 4
WORTHS = st.lists(st.floats(-1e3, 1e3), min_size=1 << COUNT, max_size=1 << COUNT)
CLOSE = 1e-9  # sums of sixteen values up to 1,000, in float64


def of(worths: list[float]):
    return lambda mask: np.array([worths[mask]])


def test_two_parts_that_act_together_by_hand() -> None:
    """A leak makes 4 alone and 10 with the cabin's suction, which makes nothing alone: 7 and 3."""
    found = exact(of([0.0, 4.0, 0.0, 10.0]), 2)
    assert found[:, 0].tolist() == [7.0, 3.0]


def test_three_parts_by_hand() -> None:
    """Only all three together make 6: two each. With one that makes 1 always beside them: 1 more."""
    worths = [0.0, 1.0, 0.0, 1.0, 0.0, 1.0, 0.0, 7.0]
    assert exact(of(worths), 3)[:, 0] == pytest.approx([3.0, 2.0, 2.0], abs=1e-15)


def test_no_parts_at_all() -> None:
    assert exact(of([5.0]), 0).shape == (0, 1)


@given(WORTHS)
def test_shares_add_up(worths: list[float]) -> None:
    assert exact(of(worths), COUNT).sum() == pytest.approx(worths[-1] - worths[0], abs=CLOSE)


@given(WORTHS, st.integers(0, COUNT - 1))
def test_a_part_that_adds_nothing_gets_exactly_nothing(worths: list[float], idle: int) -> None:
    without = [worths[mask & ~(1 << idle)] for mask in range(1 << COUNT)]
    assert exact(of(without), COUNT)[idle, 0] == 0.0
    value, error = sampled(of(without), COUNT, 8)
    assert value[idle, 0] == error[idle, 0] == 0.0


@given(WORTHS)
def test_two_that_do_the_same_get_the_same(worths: list[float]) -> None:
    def twin(mask: int) -> int:
        first, second = mask & 1, mask >> 1 & 1
        return mask & ~3 | (3 if first and second else first | second)

    alike = [worths[twin(mask)] for mask in range(1 << COUNT)]
    found = exact(of(alike), COUNT)
    assert found[0, 0] == pytest.approx(found[1, 0], abs=CLOSE)


@given(WORTHS, st.permutations(range(COUNT)))
def test_the_order_of_the_parts_does_not_matter(worths: list[float], order: list[int]) -> None:
    def turned(mask: int) -> int:
        return sum(1 << order[i] for i in range(COUNT) if mask >> i & 1)

    other = [worths[turned(mask)] for mask in range(1 << COUNT)]
    assert exact(of(other), COUNT) == pytest.approx(exact(of(worths), COUNT)[order], abs=CLOSE)


@given(WORTHS)
def test_drawn_orders_add_up_and_know_how_far_off_they_are(worths: list[float]) -> None:
    right = exact(of(worths), COUNT)
    value, error = sampled(of(worths), COUNT, 200)
    assert value.sum() == pytest.approx(worths[-1] - worths[0], abs=CLOSE)
    # four standard errors of a hundred pairs: one part in twenty thousand would be further off
    assert (np.abs(value - right) <= 4.0 * error + CLOSE).all()


def test_the_same_orders_are_drawn_each_time() -> None:
    worths = np.random.default_rng(1).normal(size=1 << COUNT).tolist()
    first, second = (sampled(of(worths), COUNT, 8) for _ in range(2))
    assert np.array_equal(first[0], second[0])
