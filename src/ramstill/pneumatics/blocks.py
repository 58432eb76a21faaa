"""Solving with two unknowns in each volume: the elimination of elimination.py with blocks of two by two.

A block is a row of four: (row 1, column 1), (1, 2), (2, 1), (2, 2). Without pivoting, as there.
"""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.elimination import Plan

FloatArray = NDArray[np.float64]


@jit
def factor_blocks(plan: Plan, entries: FloatArray) -> None:
    """Turn a matrix (entries, 4) into its factors, in place; the pivots into their inverses."""
    for step in range(len(plan.order)):
        row = plan.order[step]
        a, b, c, d = entries[row, 0], entries[row, 1], entries[row, 2], entries[row, 3]
        per = 1.0 / (a * d - b * c)
        p, q, r, s = d * per, -b * per, -c * per, a * per
        entries[row, 0], entries[row, 1], entries[row, 2], entries[row, 3] = p, q, r, s
        for at in range(plan.start[step], plan.start[step + 1]):
            low = plan.lower[at]
            a, b, c, d = entries[low, 0], entries[low, 1], entries[low, 2], entries[low, 3]
            entries[low, 0], entries[low, 1] = a * p + b * r, a * q + b * s
            entries[low, 2], entries[low, 3] = c * p + d * r, c * q + d * s
        for at in range(plan.update_start[step], plan.update_start[step + 1]):
            to, low, up = plan.update[at, 0], plan.update[at, 1], plan.update[at, 2]
            a, b, c, d = entries[low, 0], entries[low, 1], entries[low, 2], entries[low, 3]
            p, q, r, s = entries[up, 0], entries[up, 1], entries[up, 2], entries[up, 3]
            entries[to, 0] -= a * p + b * r
            entries[to, 1] -= a * q + b * s
            entries[to, 2] -= c * p + d * r
            entries[to, 3] -= c * q + d * s


@jit
def solve_blocks(plan: Plan, factors: FloatArray, x: FloatArray) -> None:
    """Replace a right-hand side (n, 2) by the solution, in place."""
    for step in range(len(plan.order)):
        row = plan.order[step]
        first, second = x[row, 0], x[row, 1]
        for at in range(plan.start[step], plan.start[step + 1]):
            low, other = plan.lower[at], plan.later[at]
            x[other, 0] -= factors[low, 0] * first + factors[low, 1] * second
            x[other, 1] -= factors[low, 2] * first + factors[low, 3] * second
    for step in range(len(plan.order) - 1, -1, -1):
        row = plan.order[step]
        first, second = x[row, 0], x[row, 1]
        for at in range(plan.start[step], plan.start[step + 1]):
            up, other = plan.upper[at], plan.later[at]
            first -= factors[up, 0] * x[other, 0] + factors[up, 1] * x[other, 1]
            second -= factors[up, 2] * x[other, 0] + factors[up, 3] * x[other, 1]
        x[row, 0] = factors[row, 0] * first + factors[row, 1] * second
        x[row, 1] = factors[row, 2] * first + factors[row, 3] * second
