"""The smoothest curve in a band: against a general solver, and what it must never do."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import lsq_linear

from ramstill.flight.smoothing import smoothest

PULL_S = 8.0


def reference(
    time: np.ndarray, middle: np.ndarray, half: np.ndarray, order: int, give_s: float
) -> np.ndarray:
    """The same problem as bounded least squares in dense matrices, by SciPy.

    The curve is z + s: z stays in the band, s is what it gives. Derivatives by divided differences, each with
    its span as weight; time in units of the median spacing, height in units of the half width.
    """
    k, pace, unit = len(time), np.median(np.diff(time)), np.median(half)
    t, aim, wide = time / pace, (middle - middle[0]) / unit, half / unit
    rows = []
    for i in range(k - order):
        at = t[i : i + order + 1]
        row = np.zeros(k)
        for j in range(order + 1):
            row[i + j] = 1.0 / np.prod(at[j] - np.delete(at, j))
        rows.append(row * np.prod(np.arange(1, order + 1)) * np.sqrt((at[-1] - at[0]) / order))
    pull = (pace / PULL_S) ** order
    both = np.vstack([np.array(rows), pull * np.eye(k)])
    right = np.concatenate([np.zeros(k - order), pull * aim])
    low, high = aim - wide, aim + wide
    if give_s:
        give = (pace / give_s) ** order * np.eye(k)
        both = np.block([[both, both], [np.zeros((k, k)), give]])
        right = np.concatenate([right, np.zeros(k)])
        low, high = np.concatenate([low, np.full(k, -np.inf)]), np.concatenate([high, np.full(k, np.inf)])
    found = lsq_linear(both, right, (low, high), method="bvls", tol=1e-14, max_iter=2000).x
    return (found[:k] + (found[k:] if give_s else 0.0)) * unit + middle[0]


@pytest.mark.parametrize("order", [2, 3])
@pytest.mark.parametrize("give_s", [0.0, 1.5])
@pytest.mark.parametrize("even", [True, False])
def test_agrees_with_a_general_solver(order: int, give_s: float, even: bool) -> None:
    rng = np.random.default_rng(7)
    time = np.arange(40.0) if even else np.cumsum(rng.uniform(0.3, 2.5, 40))
    middle = np.round((900.0 + 40.0 * np.sin(time / 6.0) + rng.normal(0.0, 6.0, 40)) / 25.0) * 25.0
    half = np.full(40, 12.5)
    found = smoothest(time, middle, half, order=order, pull_s=PULL_S, give_s=give_s)
    # both solvers stop at about 1e-9 of the objective; its curvature leaves a thousandth of the band
    assert found == pytest.approx(reference(time, middle, half, order, give_s), abs=0.0125)


@given(st.integers(0, 10_000), st.sampled_from([0.2, 1.0, 4.0]), st.sampled_from([1.0, 25.0, 100.0]))
def test_never_leaves_the_band(seed: int, spacing: float, step: float) -> None:
    rng = np.random.default_rng(seed)
    time = np.arange(200) * spacing
    readings = np.round(np.cumsum(rng.normal(0.0, 0.4 * step, 200)) / step) * step
    found = smoothest(time, readings, np.full(200, 0.5 * step))
    assert np.abs(found - readings).max() <= 0.5 * step * (1.0 + 1e-9)


def test_a_straight_flight_becomes_a_straight_line() -> None:
    time = np.arange(600.0)
    true = 3000.0 + 7.3 * time
    found = smoothest(time, np.round(true / 25.0) * 25.0, np.full(600, 12.5))
    rate = np.diff(found)
    # the readings themselves jump between 0 and 25 a second
    assert np.abs(rate - 7.3).max() < 0.1


def test_without_a_band_it_is_a_smoothing_spline() -> None:
    time = np.arange(100.0)
    wave = np.sin(time / 15.0)
    ripple = 0.1 * (-1.0) ** np.arange(100)
    calm = smoothest(time, wave + ripple, np.full(100, np.inf), pull_s=1.5)
    # gain 1 / (1 + (w pull)^4): 1e-4 lost at w = 1/15, 1/500 left at w = pi (differences see 16 instead of
    # pi^4)
    assert np.abs(calm - wave)[15:-15].max() < 3e-3
