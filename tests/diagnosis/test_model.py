"""The filter: what it holds unlikely, and that nothing in it goes wrong."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import airplane
from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.model import Model, shown_by, tell
from ramstill.diagnosis.setting_up import set_up
from ramstill.diagnosis.trials import Bench
from ramstill.flight.recording import Recording


@pytest.fixture(scope="module")
def bench(sound_record: Recording) -> Bench:
    """A sound recording made ready."""
    return set_up(airplane.load("high-wing-tube"), sound_record, None)[0]


def following(bench: Bench) -> np.ndarray:
    """How the sound airplane follows."""
    return bench.sound_manners.after(bench.model.step_s)


def test_going_on_from_a_knot_is_going_through_all(bench: Bench) -> None:
    whole = tell(bench.model, bench.sound_shown, following(bench))
    for knot in (1, 17, len(bench.model) - 1):
        on = tell(bench.model, bench.sound_shown, following(bench), bench.sound, knot)
        assert on.total == pytest.approx(whole.total, abs=1e-9)


def test_an_altimeter_that_is_shown_to_freeze_is_less_likely(bench: Bench) -> None:
    frozen = bench.sound_shown.copy()
    frozen[60:, c.SHOWN_ALTITUDE] = frozen[60, c.SHOWN_ALTITUDE]
    told = tell(bench.model, frozen, following(bench))
    assert told.total < bench.sound.total - 100.0
    # before it froze nothing is otherwise
    assert np.array_equal(told.each[:60], bench.sound.each[:60])


def test_an_altimeter_that_is_off_by_a_fixed_amount_is_taken_for_the_gps_or_the_setting(
    bench: Bench,
) -> None:
    off = bench.sound_shown.copy()
    off[:, c.SHOWN_ALTITUDE] += 60.0  # less than half a standard deviation of what GPS may be off by
    assert tell(bench.model, off, following(bench)).total == pytest.approx(bench.sound.total, abs=3.0)


def test_spreads_stay_such(bench: Bench) -> None:
    for spread in bench.sound.spreads[:: len(bench.model) // 7]:
        assert np.allclose(spread, spread.T, rtol=1e-6, atol=1e-9)
        scale = np.sqrt(np.maximum(np.diag(spread), 1e-12))
        assert np.linalg.eigvalsh(spread / np.outer(scale, scale)).min() > -1e-6


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**31 - 1), st.floats(0.0, 1.0))
def test_whatever_is_shown_has_a_likelihood(bench: Bench, seed: int, blank: float) -> None:
    rng = np.random.default_rng(seed)
    shown = bench.sound_shown.copy()
    shown[:, :3] += rng.normal(0.0, 10.0 ** rng.uniform(-2, 4), shown[:, :3].shape)
    shown[rng.random(len(shown)) < blank, :3] = np.nan
    seen = bench.model.seen.copy()
    seen[rng.random(len(seen)) < 0.3] = np.nan
    model = Model(
        bench.model.step_s,
        bench.model.reference,
        seen,
        bench.model.present,
        bench.model.noise,
        bench.model.x,
        bench.model.p,
        bench.model.trapped_m,
    )
    assert np.isfinite(tell(model, shown, following(bench)).each).all()


def test_no_airspeed_below_zero_is_taken_to_be_written(bench: Bench) -> None:
    columns = {name: np.full(len(bench.model), -4.0) for name in bench.panel.pointers}
    shown = shown_by(bench.panel, columns, bench.ref, bench.sound_manners)
    assert (shown[:, c.SHOWN_AIRSPEED] == 0.0).all()
    assert (shown[:, c.AIRSPEED_PER_PA] == 0.0).all()
