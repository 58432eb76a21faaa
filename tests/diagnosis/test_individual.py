"""What airplanes of a type differ by: which parts are touched, and that it reaches the pointers."""

import numpy as np
import pytest

from ramstill import airplane
from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.individual import BORE, FRICTION, LAG, VOLUME, kinds
from ramstill.diagnosis.setting_up import set_up
from ramstill.flight.recording import Recording


@pytest.mark.parametrize("name", ["high-wing-tube", "business-jet", "sailplane"])
def test_each_kind_changes_what_it_says_and_nothing_else(name: str) -> None:
    plane = airplane.load(name)
    rubs, lags, roomy, narrow = kinds(plane)
    for made, field, share in (
        (rubs, "friction", FRICTION),
        (lags, "lag", LAG),
        (roomy, "case_volume", VOLUME),
    ):
        touched = 0
        for before, after in zip(plane.instruments, made.instruments, strict=True):
            if getattr(before, field, None):
                assert float(getattr(after, field)) == pytest.approx(
                    (1.0 + share) * float(getattr(before, field)), rel=1e-12
                )
                touched += 1
        assert touched, field
        assert made.lines == plane.lines
        assert made.openings == plane.openings
    assert narrow.instruments == plane.instruments
    for before, after in zip(plane.lines, narrow.lines, strict=True):
        assert float(after.bore) == pytest.approx((1.0 - BORE) * float(before.bore), rel=1e-12)


def test_what_they_make_of_it_stands_in_the_reference(sound_record: Recording) -> None:
    bench = set_up(airplane.load("high-wing-tube"), sound_record, None)[0]
    different = bench.model.reference[:, c.DIFFERENT :]
    assert different.shape[1] == 3 * c.KINDS
    assert np.isfinite(different).all()
    assert np.abs(different).max() > 0.0
    # a little of itself: nothing of this is a fault (a pointer a hundred feet or ten knots off would be)
    assert np.abs(different[:, 0::3]).max() < 30.0
    assert np.abs(different[:, 1::3]).max() < 5.0
