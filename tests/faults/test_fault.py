"""A fault's figures and its course over time."""

import numpy as np
import pytest

from ramstill.errors import InputError
from ramstill.faults import Fault


def severity(fault, *times):
    return np.asarray(fault.schedule().at(np.array(times, dtype=float))).tolist()


def test_sudden_for_good():
    assert severity(Fault("x", onset_s=10.0, severity=0.5), 0.0, 9.999, 10.0, 500.0) == [0.0, 0.0, 0.5, 0.5]


def test_sudden_with_an_end():
    fault = Fault("x", onset_s=10.0, end_s=20.0)
    assert severity(fault, 9.0, 10.0, 19.999, 20.0, 30.0) == [0.0, 1.0, 1.0, 0.0, 0.0]


def test_gradual_grows_evenly_and_goes_at_once():
    fault = Fault("x", onset_s=10.0, gradual_s=20.0, end_s=60.0, severity=0.8)
    assert severity(fault, 10.0, 20.0, 30.0, 59.0, 60.0) == pytest.approx([0.0, 0.4, 0.8, 0.8, 0.0])


def test_gone_before_it_was_fully_grown():
    fault = Fault("x", onset_s=0.0, gradual_s=20.0, end_s=10.0)
    assert severity(fault, 5.0, 9.9999999, 10.0) == pytest.approx([0.25, 0.5, 0.0], abs=1e-6)


@pytest.mark.parametrize(
    ("figures", "line"),
    [
        ({"severity": 1.5}, "fault x: severity: read 1.5; allowed: a number from 0 to 1"),
        ({"severity": float("nan")}, "fault x: severity: read nan; allowed: a number from 0 to 1"),
        ({"onset_s": float("inf")}, "fault x: onset: read inf; allowed: a time in seconds"),
        ({"gradual_s": -1.0}, "fault x: gradual: read -1.0; allowed: a time of 0 seconds or more"),
        ({"onset_s": 5.0, "end_s": 5.0}, "fault x: end: read 5.0; allowed: a time after its onset at 5 s"),
    ],
)
def test_figures_out_of_range_are_one_line(figures, line):
    with pytest.raises(InputError) as raised:
        Fault("x", **figures)
    assert raised.value.line() == line
