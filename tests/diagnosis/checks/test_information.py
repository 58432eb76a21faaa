"""Information and outcomes: what must hold of any of them."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.diagnosis.checks.information import Beliefs, entropy, information, told
from ramstill.diagnosis.checks.laboratory import Laboratory
from ramstill.diagnosis.checks.ranking import trials
from ramstill.diagnosis.checks.telling import take_outcome
from ramstill.diagnosis.checks.ways import ways
from ramstill.diagnosis.checks.witness import error, following, jump, loss
from ramstill.faults import Fault

SHARES = st.lists(st.floats(0.0, 1.0), min_size=2, max_size=6).filter(lambda x: sum(x) > 1e-3)


@given(SHARES, st.integers(1, 5), st.randoms(use_true_random=False))
def test_entropy_never_rises_in_expectation(shares, outcomes, random):
    prior = np.array(shares) / sum(shares)
    likelihood = np.array([[random.random() + 1e-6 for _ in range(outcomes)] for _ in prior])
    likelihood /= likelihood.sum(axis=1, keepdims=True)
    together = prior[:, None] * likelihood
    likely = together.sum(axis=0)
    after = sum(p * entropy(together[:, i] / p) for i, p in enumerate(likely) if p > 0.0)
    assert after <= entropy(prior) + 1e-9  # rounding
    assert information(together) == pytest.approx(entropy(prior) - after, abs=1e-9)


WITNESSES = (
    jump("altimeter", "length", ("ft", 0.3048), (15.0, 150.0), 8.0, True),
    error("airspeed", "speed", ("kt", 0.5144), 10.0, 4.0, False),
    following("vertical speed", "vertical speed", 2.5, 0.1, False),
    loss("altimeter", "length", ("ft", 0.3048), 100.0, 15.0),
)


@given(st.floats(-1e4, 1e4) | st.just(float("nan")), st.sampled_from(WITNESSES))
def test_the_bins_of_a_witness_are_all_there_is(figure, witness):
    chances = witness.chances(np.array([figure]))
    assert chances.min() > 0.0  # nothing told is impossible
    assert chances.sum() == pytest.approx(1.0)
    assert len(witness.bins) == chances.shape[-1] == len(witness.edges) + 1 + witness.blank


def test_outcomes_sum_to_one_under_each_way(still_side):
    found = ways(still_side, 1.0, 50)
    beliefs = Beliefs.of(still_side, found)
    for trial in trials(Laboratory(still_side, found)):
        what = told(trial, beliefs)
        # 1e-9: rounding over some thousand products
        np.testing.assert_allclose(what.likelihood.sum(axis=1), 1.0, atol=1e-9)
        assert what.bits >= information(beliefs.by_finding(what.likelihood)) - 1e-9


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("alternate-open: altimeter jumps up", "look-openings: still openings clear and smooth"),
        ("panel: all is as it should be", "pitch-power: airspeed too low"),
    ],
)
def test_two_outcomes_say_the_same_in_either_order(still_side, one, other):
    first = take_outcome(take_outcome(still_side, one), other)
    second = take_outcome(take_outcome(still_side, other), one)
    likely = [{f.names: f.probability for f in d.ranking} for d in (first, second)]
    assert likely[0] == pytest.approx(likely[1], abs=1e-12)
    assert first.none_fits == pytest.approx(second.none_fits, abs=1e-12)


def test_what_is_left_out_is_taken_for_its_like(made):
    faults = [
        Fault("static-line-leak", "static-floor"),
        Fault("static-line-leak", "static-floor", 0.5),
        Fault("static-line-leak", "static-tail"),
        Fault("pitot-line-leak"),
    ]
    found = ways(made("high-wing-tube", faults, [4.0, 3.0, 2.0, 1.0]), 1.0, 2)
    assert [way[0].name for way in found.faults if way] == ["static-line-leak"]
    assert found.of.tolist() == [1, 1, 1, -1]
    whole = ways(made("high-wing-tube", faults, [4.0, 3.0, 2.0, 1.0]), 1.0, 9)
    assert whole.of.tolist() == [1, 2, 3, 4]
