"""Readings on knots: means, scatter, and columns that are late."""

import numpy as np
import pytest

from ramstill.diagnosis.observed import MOST_KNOTS, SHORTEST_S, observe, shifted
from ramstill.flight.recording import Recording


def recording(seconds: int = 600, every_s: float = 1.0, **values: object) -> Recording:
    """A recording of these quantities, each (t,) or a function of time [s]."""
    time = np.arange(0.0, seconds, every_s)
    given = {
        name.replace("_", " "): np.asarray(v(time) if callable(v) else v, dtype=float) + 0.0 * time
        for name, v in values.items()
    }
    return Recording("made up", time, given, dict.fromkeys(given, 0.1), dict.fromkeys(given, 0))


def test_a_straight_climb_keeps_its_means() -> None:
    seen = observe(recording(altitude=lambda t: 1000.0 + 3.0 * t))
    # slopes are taken of means that lie up to half a second off; at the ends of one side alone
    assert np.allclose(seen.value["altitude"][1:-1], 1000.0 + 3.0 * seen.knots_s[1:-1], atol=0.5)


@pytest.mark.parametrize("seconds", [60, 600, 3600])
def test_there_are_never_too_many_knots(seconds: int) -> None:
    seen = observe(recording(seconds, ias=50.0))
    assert len(seen.knots_s) <= MOST_KNOTS + 1
    assert seen.step_s >= SHORTEST_S
    assert np.allclose(np.diff(seen.knots_s), seen.step_s)


def test_what_is_missing_stays_missing() -> None:
    def gap(t: np.ndarray) -> np.ndarray:
        return np.where((t > 200.0) & (t < 300.0), np.nan, 80.0)

    seen = observe(recording(ias=gap))
    inside = (seen.knots_s > 210.0) & (seen.knots_s < 290.0)
    assert np.isnan(seen.value["ias"][inside]).all()
    outside = (seen.knots_s < 200.0) | (seen.knots_s > 305.0)
    assert np.isfinite(seen.value["ias"][outside]).all()


def test_scatter_of_single_readings_is_found() -> None:
    rng = np.random.default_rng(7)
    calm = observe(recording(ias=lambda t: 60.0 + 5.0 * np.sin(t / 60.0)))
    rough = observe(recording(ias=lambda t: 60.0 + 5.0 * np.sin(t / 60.0) + rng.normal(0.0, 2.0, len(t))))
    # of two to three readings a mean scatters by 2 / sqrt(2.7), less what is there in any case
    found = np.median(np.sqrt(rough.sd["ias"] ** 2 - calm.sd["ias"] ** 2))
    assert 0.8 < found < 1.8


def test_ground_speed_is_taken_apart_along_and_across_the_heading() -> None:
    north, east = 50.0, 5.0
    seen = observe(
        recording(
            ground_speed=np.hypot(north, east), track=np.arctan2(east, north), heading=0.0, altitude=500.0
        )
    )
    assert seen.directed
    assert np.allclose(seen.value["along"], north)
    assert np.allclose(seen.value["across"], east)
    assert np.allclose(seen.north, 1.0)


def test_a_track_through_north_does_not_jump() -> None:
    seen = observe(
        recording(ground_speed=50.0, track=lambda t: np.mod(np.radians(350.0 + t / 30.0), 2.0 * np.pi))
    )
    assert np.abs(np.diff(seen.east)).max() < 0.02


def test_a_column_taken_as_late_moves_back() -> None:
    seen = observe(recording(altitude=lambda t: 2.0 * t, ias=50.0))
    moved = shifted(seen, {"altitude": 10.0})
    inner = slice(2, -10)
    assert np.allclose(
        (moved.value["altitude"] - seen.value["altitude"])[inner], 20.0, atol=0.5
    )  # of two means, as above
    assert np.isnan(moved.value["altitude"][-1])  # nothing was read beyond the end
    assert moved.value["ias"] is seen.value["ias"]
