"""The law of each instrument by itself."""

import numpy as np
import pytest

from ramstill import air, instruments
from ramstill.air.units import FPM, FT, INHG, KT


def test_airspeed_law_is_the_definition_of_calibrated_airspeed_and_mirrored_below_zero():
    speeds = np.array([0.0, 40.0, 150.0, 300.0]) * KT
    difference = air.impact_pressure(speeds)
    np.testing.assert_allclose(instruments.airspeed_from_difference(difference), speeds, rtol=1e-12)
    np.testing.assert_allclose(instruments.airspeed_from_difference(-difference), -speeds, rtol=1e-12)


def test_altimeter_shows_zero_when_the_case_is_at_the_setting():
    settings_pa = np.array([28.5, 29.92, 30.6]) * INHG
    assert np.abs(instruments.altitude_shown(settings_pa, settings_pa)).max() == 0.0


def test_one_inch_too_much_in_the_window_is_about_nine_hundred_feet_too_high():
    # 913 to 938 ft for an inch near sea level, worked from the standard day; a wider band stands here
    case = air.static_pressure(1000.0 * FT)
    high = instruments.altitude_shown(case, 30.92 * INHG) - instruments.altitude_shown(case, 29.92 * INHG)
    assert 900.0 * FT < float(high) < 950.0 * FT


def test_thinner_than_the_top_of_the_standard_day_is_held_and_no_error():
    assert float(instruments.altitude_shown(1.0, air.constants.P0)) == pytest.approx(47_000.0, abs=1.0)


def test_capsule_below_case_is_a_climb_and_the_scale_is_straight():
    shown = instruments.vertical_speed_shown(np.array([-200.0, -100.0, 0.0, 50.0]), 2000.0 * FPM, 200.0)
    np.testing.assert_allclose(shown / FPM, [2000.0, 1000.0, 0.0, -500.0], rtol=1e-12)


@pytest.mark.parametrize("step_ft", [100.0, 25.0])
def test_encoder_gives_the_nearest_step(step_ft):
    altitude_ft = np.linspace(-900.0, 45_000.0, 4001)
    coded = instruments.encoded_altitude(altitude_ft * FT, step_ft * FT) / FT
    assert np.abs(coded - altitude_ft).max() <= step_ft / 2 + 1e-6  # rounding of ft -> m -> ft
    np.testing.assert_allclose(coded / step_ft, np.round(coded / step_ft), atol=1e-9)


def test_encoder_codes_end_where_the_standard_ends():
    coded = instruments.encoded_altitude(np.array([-3000.0, 150_000.0]) * FT, 100.0 * FT) / FT
    np.testing.assert_allclose(coded, [-1000.0, 126_700.0])


def test_an_edit_of_an_unknown_kind_is_one_line():
    from ramstill.errors import InputError
    from ramstill.pneumatics import Schedule

    with pytest.raises(InputError, match="pointer edit: what: read wobble; allowed: setting offset"):
        instruments.PointerEdit("altimeter", "wobble", Schedule.constant(1.0))
