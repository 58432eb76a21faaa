"""Curves through knots, compiled: looked up at many times, and splines laid through samples."""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import jit

FloatArray = NDArray[np.float64]


def plain(values: FloatArray) -> FloatArray:
    """The same as the loops here take it, copied if need be: for any other they would be compiled anew."""
    kept = np.ascontiguousarray(values, dtype=np.float64)
    return kept if kept.flags.writeable else kept.copy()


@jit
def knot_after(knots: FloatArray, at: float, left: bool, hint: int) -> int:
    """How many knots lie at or before a time (before it, where `left`); `hint` is a first guess."""
    for count in range(hint, min(hint + 3, len(knots) + 1)):
        reached = count == 0 or (knots[count - 1] < at if left else knots[count - 1] <= at)
        if not reached:
            break
        if count == len(knots) or not (knots[count] < at if left else knots[count] <= at):
            return count
    low, high = 0, len(knots)
    while low < high:
        middle = (low + high) // 2
        if knots[middle] < at if left else knots[middle] <= at:
            low = middle + 1
        else:
            high = middle
    return low


@jit
def cubic_at(
    knots: FloatArray,
    pressure: FloatArray,
    slope_left: FloatArray,
    slope_right: FloatArray,
    when: FloatArray,
    left: bool,
    value: FloatArray,
    slope: FloatArray,
) -> None:
    """Fill in `value` (t, b) of cubic Hermite pieces, `slope` (t, b) unless it is empty; ends are held."""
    last, place = len(knots) - 1, 0
    for i in range(len(when)):
        place = knot_after(knots, when[i], left, place)
        a, b = max(place - 1, 0), min(place, last)
        span = knots[b] - knots[a]
        x = (when[i] - knots[a]) / span if span > 0.0 else 0.0
        for j in range(pressure.shape[1]):
            ma, mb = slope_right[a, j] * span, slope_left[b, j] * span
            rise = pressure[b, j] - pressure[a, j]
            c2, c3 = 3.0 * rise - 2.0 * ma - mb, ma + mb - 2.0 * rise
            value[i, j] = pressure[a, j] + x * (ma + x * (c2 + x * c3))
            if len(slope):
                slope[i, j] = (ma + x * (2.0 * c2 + x * 3.0 * c3)) / span if span > 0.0 else 0.0


@jit
def straight_at(knots: FloatArray, rows: FloatArray, when: FloatArray, left: bool, found: FloatArray) -> None:
    """Fill in `found` (q, t), straight between knots, from `rows` (q, k); the ends are held."""
    last, place = len(knots) - 1, 0
    for i in range(len(when)):
        place = knot_after(knots, when[i], left, place)
        a, b = max(place - 1, 0), min(place, last)
        span = knots[b] - knots[a]
        share = (when[i] - knots[a]) / span if span > 0.0 else 0.0
        for q in range(len(rows)):
            found[q, i] = rows[q, a] + share * (rows[q, b] - rows[q, a])


@jit
def spline_slopes(
    when: FloatArray, value: FloatArray, first: int, last: int, left: FloatArray, right: FloatArray
) -> None:
    """Fill in the slopes (k, b) either side of the samples first to last of a cubic spline through these.

    Not-a-knot at both ends, a parabola through three samples and a straight line through two. The two end
    rows of the system (C. de Boor, A Practical Guide to Splines, 1978, chapter IV) are put into those beside
    them, which leaves a tridiagonal one whose diagonal rules.
    """
    count = last - first + 1
    pivot, slope, step, rise = np.zeros(count), np.zeros(count), np.zeros(count), np.zeros(count)
    for i in range(count - 1):
        step[i] = when[first + i + 1] - when[first + i]
    for j in range(value.shape[1]):
        for i in range(count - 1):
            rise[i] = (value[first + i + 1, j] - value[first + i, j]) / step[i]
        if count == 2:
            slope[0] = slope[1] = rise[0]
        elif count == 3:
            bend = (rise[1] - rise[0]) / (step[0] + step[1])
            slope[0], slope[2] = rise[0] - bend * step[0], rise[1] + bend * step[1]
            slope[1] = rise[0] + bend * step[0]
        else:
            h, r, m = step, rise, count - 1
            both = h[0] + h[1]
            begins = ((h[0] + 2.0 * both) * h[1] * r[0] + h[0] * h[0] * r[1]) / both
            pair = h[m - 1] + h[m - 2]
            ends = (h[m - 1] * h[m - 1] * r[m - 2] + (2.0 * pair + h[m - 1]) * h[m - 2] * r[m - 1]) / pair
            for i in range(1, m):
                side = 3.0 * (h[i] * r[i - 1] + h[i - 1] * r[i])
                diagonal = 2.0 * (h[i - 1] + h[i])
                if i == 1:
                    side -= begins
                    diagonal -= both
                else:
                    ratio = h[i] / pivot[i - 1]
                    side -= ratio * slope[i - 1]
                    diagonal -= ratio * h[i - 2]
                if i == m - 1:
                    side -= ends
                    diagonal -= pair
                pivot[i], slope[i] = diagonal, side
            slope[m - 1] /= pivot[m - 1]
            for i in range(m - 2, 0, -1):
                slope[i] = (slope[i] - h[i - 1] * slope[i + 1]) / pivot[i]
            slope[0] = (begins - both * slope[1]) / h[1]
            slope[m] = (ends - pair * slope[m - 1]) / h[m - 2]
        for i in range(count - 1):
            right[first + i, j] = slope[i]
            left[first + i + 1, j] = slope[i + 1]
