"""How instruments follow the air outside, found by trying."""

import numpy as np
import pytest

from ramstill import airplane
from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.manners import Manners, manners
from ramstill.diagnosis.panel import panel_of
from ramstill.faults import Fault


@pytest.fixture(scope="module")
def found() -> dict[str, Manners]:
    """Of some faults on one airplane at 90 kt and 1,500 m."""
    plane = airplane.load("high-wing-tube")
    names = ("static-ports-blocked", "pitot-inlet-blocked", "vsi-glass-broken", "static-line-off")
    cases = [(Fault(name),) for name in names]
    cases.append((Fault("pointer-stuck", "altimeter", severity=0.75),))
    listed = manners(plane, panel_of(plane), 1500.0, 46.0, cases)
    return dict(zip(("sound", *names, "stuck"), listed, strict=True))


def test_a_sound_airplane_follows_all_of_it(found: dict[str, Manners]) -> None:
    sound = found["sound"].following
    # but for a few hundredths of impact pressure, its ports' own error
    assert sound[c.A_STATIC] == pytest.approx(1.0, abs=0.02)
    assert sound[c.P_STATIC] == pytest.approx(1.0, abs=0.02)
    assert sound[c.P_IMPACT] == pytest.approx(1.0, abs=0.02)
    assert abs(sound[c.A_IMPACT]) < 0.06
    assert sound[c.R_SHARE] == pytest.approx(1.0, abs=0.1)


def test_trapped_air_follows_nothing_and_stays(found: dict[str, Manners]) -> None:
    shut = found["static-ports-blocked"]
    assert shut.following[c.A_STATIC] == 0.0
    assert shut.after(2.5)[c.A_LEFT] == 1.0
    assert shut.following[c.P_IMPACT] == pytest.approx(1.0, abs=0.02)


def test_an_inlet_shut_before_its_drain_leaves_the_pitot_line_to_the_air_outside(
    found: dict[str, Manners],
) -> None:
    shut = found["pitot-inlet-blocked"].following
    assert shut[c.P_STATIC] == pytest.approx(1.0, abs=0.05)
    assert abs(shut[c.P_IMPACT]) < 0.2


def test_what_is_open_to_the_cabin_follows_it(found: dict[str, Manners]) -> None:
    assert found["static-line-off"].following[c.A_CABIN] > 0.5
    assert abs(found["sound"].following[c.A_CABIN]) < 0.01
    # the glass open to the cabin: its case is at cabin pressure, the capsule is not
    assert abs(found["vsi-glass-broken"].following[c.R_CABIN]) > 0.005


def test_a_pointer_that_makes_a_quarter_of_each_movement(found: dict[str, Manners]) -> None:
    assert found["stuck"].altitude_share == pytest.approx(0.25, abs=0.03)
    assert np.allclose(
        found["stuck"].following[: c.R_SHARE], found["sound"].following[: c.R_SHARE], atol=1e-3
    )
