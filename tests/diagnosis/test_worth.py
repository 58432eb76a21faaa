"""What readings are worth: nothing below the doubt, less than all beyond."""

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from ramstill.diagnosis.worth import DOUBT, TRUST, worth

gains = st.floats(-1e4, 1e4)


@given(gains, gains)
def test_more_is_never_worth_less(a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert worth(low) <= worth(high)


def test_small_gains_say_nothing_and_losses_count() -> None:
    assert worth(0.0) == worth(DOUBT) == 0.0
    assert worth(DOUBT + 10.0) == 10.0 * TRUST
    assert worth(-10.0) == -10.0 * TRUST
    assert np.isneginf(worth(-np.inf))
