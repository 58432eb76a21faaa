"""What cases share: the start of the healthy airplane, where a case begins as it does."""

from dataclasses import replace

import numpy as np
import pytest

import ramstill as rs
from ramstill.faults import Fault, apply
from ramstill.pneumatics.integrate import spun_up
from ramstill.run import Run
from ramstill.run.preparing import prepare


@pytest.mark.parametrize(
    ("fault", "alike"),
    [
        (Fault("static-ports-blocked", onset_s=0.0), True),
        (Fault("static-ports-blocked", onset_s=30.0, gradual_s=20.0), True),
        (Fault("static-ports-blocked", onset_s=-5.0), False),
        (Fault("static-ports-blocked", onset_s=-5.0, gradual_s=50.0), False),
        (Fault("static-ports-blocked", onset_s=-9.0, end_s=-3.0), False),
        (Fault("static-line-leak", onset_s=0.0), True),
        (Fault("static-line-leak", onset_s=-1.0), False),
        (Fault("mast-bent", onset_s=30.0), True),
        (Fault("mast-bent", onset_s=-30.0), False),
        (Fault("altimeter-sticking", onset_s=-30.0), True),
    ],
)
def test_a_case_begins_alike_when_its_faults_come_later(healthy: Run, fault: Fault, alike: bool) -> None:
    prepared = prepare(healthy.airplane, healthy.surroundings, 1.0, 0.05)
    assert prepared.time_s[0] == 0.0
    applied = apply([fault], healthy.airplane, prepared.healthy, healthy.surroundings)
    rows = prepared.stem.rows_alike(applied.network, applied.surroundings)
    assert (rows > 0) == alike
    if alike:
        assert rows == (len(prepared.time_s) if applied.pointer_edits else fault.onset_s + 1)
        own = spun_up(applied.network, applied.surroundings, settled_as=prepared.healthy, carried_on=False)
        # links that are shut change the order of a sum: rounding of 100,000 Pa
        assert np.abs(own.pressure_pa - prepared.start.pressure_pa).max() < 1e-6


def test_a_run_is_the_healthy_one_before_its_first_fault(healthy: Run) -> None:
    run = rs.simulate(healthy.airplane, healthy.surroundings, [Fault("static-line-leak", onset_s=33.33)])
    before = healthy.time_s < 33.33
    for name, pressure in run.pressure_pa.items():
        assert np.array_equal(pressure[before], healthy.pressure_pa[name][before])
    assert not np.array_equal(run.pressure_pa["altimeter.static"], healthy.pressure_pa["altimeter.static"])


def test_lines_outside_are_as_cold_as_the_surroundings_say(healthy: Run) -> None:
    said = replace(healthy.surroundings, walls_k=250.0)
    network = prepare(healthy.airplane, said, 1.0, 0.05).healthy
    assert network.temperature_k.min() == 250.0
    assert prepare(healthy.airplane, healthy.surroundings, 1.0, 0.05).healthy.temperature_k.min() > 250.0
