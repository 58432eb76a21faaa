"""The smoothest curve that stays within a band around readings.

Readings come in steps: a true value lies within half a step of what was written down. Among all curves inside
that band the one with the least integral of a squared derivative is taken, which a ripple of the steps is not
part of. It is a convex problem with bounds and a banded matrix; a primal-dual interior-point method
(Mehrotra's predictor and corrector: S. Mehrotra, SIAM J. Optimization 2, 1992, from memory) solves it in some
20 banded factorisations.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
_ITERATIONS = 80
_TOLERANCE = 1e-9  # of complementarity, in squared half widths of the band per row
_BACK = 0.995  # share of the way to the nearest bound that a step may go


def smoothest(
    time_s: Array,
    middle: Array,
    half_width: Array,
    order: int = 2,
    pull_s: float = 30.0,
    give_s: Array | float = 0.0,
) -> Array:
    """Return the smoothest curve within `middle` +- `half_width`, at `time_s`; all (k,).

    time_s [s] rising, not necessarily even; `half_width` above zero, in the unit of `middle`, or infinite
    where there is no band. Minimised is the integral of the squared derivative of `order` (2 or 3)
    plus a weak pull towards `middle`, which decides where the band alone leaves the curve free: over
    stretches longer than `pull_s` [s] it leads back to the middle. `give_s` above zero (one, or (k,)) lets
    the curve leave the band where it would have to turn quicker than within that time [s] to keep inside:
    leaving it costs its square over give_s^(2 order).
    """
    from scipy.linalg import cho_solve_banded, cholesky_banded

    k = len(time_s)
    if k <= order:
        return np.array(middle, dtype=np.float64)
    pace = float(np.median(np.diff(time_s)))
    held = np.isfinite(half_width)
    unit = float(np.median(half_width[held])) if held.any() else 1.0
    shift = np.interp(time_s, [time_s[0], time_s[-1]], [middle[0], middle[-1]])
    aim = (middle - shift) / unit  # the straight line costs nothing and only eats digits
    pull = (pace / pull_s) ** (2 * order)
    give = (give_s / pace) ** (2 * order)
    rows, weights = _differences(time_s / pace, order)
    band = _gram(rows, weights, k, order)
    band[-1] += pull

    if not held.any():
        factor = cholesky_banded(band, check_finite=False)
        return np.asarray(cho_solve_banded((factor, False), pull * aim) + shift)

    # a row without a band has no multipliers: zero, and nothing ever moves them
    wide = np.where(held, half_width / unit, 1.0)
    count = 2 * int(held.sum())
    x = aim.copy()
    z_low = np.where(held, 1e-3, 0.0)
    z_high = z_low.copy()
    below, above = wide + give * z_low, wide + give * z_high
    for _ in range(_ITERATIONS):
        gradient = _product(rows, weights, x) + pull * (x - aim)
        slack = float((below @ z_low + above @ z_high) / count)
        residual = gradient - z_low + z_high
        if slack < _TOLERANCE and np.abs(residual).max() < 1e-8:
            break
        stiff_low, stiff_high = below + give * z_low, above + give * z_high
        system = band.copy()
        system[-1] += z_low / stiff_low + z_high / stiff_high
        factor = cholesky_banded(system, overwrite_ab=True, check_finite=False)

        def solve(target_low: Array, target_high: Array) -> tuple[Array, Array, Array]:
            miss_low = held * target_low - z_low * below  # noqa: B023
            miss_high = held * target_high - z_high * above  # noqa: B023
            right = -residual + miss_low / stiff_low - miss_high / stiff_high  # noqa: B023
            dx = cho_solve_banded((factor, False), right, check_finite=False)  # noqa: B023
            dl = (miss_low - z_low * dx) / stiff_low  # noqa: B023
            dh = (miss_high + z_high * dx) / stiff_high  # noqa: B023
            return dx, dl, dh

        zero = np.zeros(k)
        dx, dl, dh = solve(zero, zero)
        db, da = held * (dx + give * dl), held * (give * dh - dx)
        step = min(_longest(below, db), _longest(above, da), _longest(z_low, dl), _longest(z_high, dh), 1.0)
        ahead = float((below + step * db) @ (z_low + step * dl) + (above + step * da) @ (z_high + step * dh))
        aimed = slack * (ahead / count / slack) ** 3
        dx, dl, dh = solve(aimed - db * dl, aimed - da * dh)
        db, da = held * (dx + give * dl), held * (give * dh - dx)
        room = min(_longest(below, db), _longest(above, da), _longest(z_low, dl), _longest(z_high, dh))
        step = min(1.0, _BACK * room)
        x = x + step * dx
        z_low, z_high = z_low + step * dl, z_high + step * dh
        below, above = below + step * db, above + step * da
    return np.asarray(x * unit + shift)


def _longest(value: Array, change: Array) -> float:
    """Longest step for which `value`, above zero, stays at or above zero; at most 1e10."""
    falling = change < 0.0
    return float(np.min(-value[falling] / change[falling], initial=1e10))


def _differences(time: Array, order: int) -> tuple[Array, Array]:
    """Derivative of `order` by divided differences: coefficients (k - order, order + 1), spans as weights."""
    n = len(time) - order
    windows = np.stack([time[i : i + n] for i in range(order + 1)], axis=1)
    gaps = windows[:, :, None] - windows[:, None, :]
    gaps[:, np.arange(order + 1), np.arange(order + 1)] = 1.0
    factorial = float(np.prod(np.arange(1, order + 1)))
    return factorial / gaps.prod(axis=2), (windows[:, -1] - windows[:, 0]) / order


def _product(rows: Array, weights: Array, x: Array) -> Array:
    """Q x without forming Q: by way of the differences, which keeps the digits of a nearly straight x."""
    n, width = rows.shape
    derivative = sum(rows[:, i] * x[i : i + n] for i in range(width)) * weights
    out = np.zeros_like(x)
    for i in range(width):
        out[i : i + n] += rows[:, i] * derivative
    return out


def _gram(rows: Array, weights: Array, k: int, order: int) -> Array:
    """Upper banded form (order + 1, k) of D' W D."""
    band = np.zeros((order + 1, k))
    n = len(rows)
    for i in range(order + 1):
        for j in range(i, order + 1):
            band[order - (j - i), j : j + n] += rows[:, i] * rows[:, j] * weights
    return band
