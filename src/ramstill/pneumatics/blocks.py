"""Solving with two unknowns in each volume: the elimination of elimination.py with blocks of two by two.

A block is a row of four: (row 1, column 1), (1, 2), (2, 1), (2, 2). Without pivoting, as there.
"""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import lean_jit
from ramstill.pneumatics.elimination import (
    EARLY,
    FIRST_EDGE,
    FIRST_UPDATE,
    LATE,
    LEFT,
    LOWER,
    PIVOT,
    RIGHT,
    TARGET,
    UPPER,
    Plan,
)

FloatArray = NDArray[np.float64]


@lean_jit
def factor_blocks(plan: Plan, entries: FloatArray) -> None:
    """Turn a matrix (entries, 4) into its factors, in place; the pivots into their inverses."""
    steps, edges, updates = plan.steps, plan.edges, plan.updates
    for step in range(steps.shape[1] - 1):
        row = steps[PIVOT, step]
        a, b, c, d = entries[row, 0], entries[row, 1], entries[row, 2], entries[row, 3]
        per = 1.0 / (a * d - b * c)
        p, q, r, s = d * per, -b * per, -c * per, a * per
        entries[row, 0], entries[row, 1], entries[row, 2], entries[row, 3] = p, q, r, s
        first_edge, next_edge = steps[FIRST_EDGE, step], steps[FIRST_EDGE, step + 1]
        for at in range(first_edge, next_edge):
            low = edges[LOWER, at]
            a, b, c, d = entries[low, 0], entries[low, 1], entries[low, 2], entries[low, 3]
            entries[low, 0], entries[low, 1] = a * p + b * r, a * q + b * s
            entries[low, 2], entries[low, 3] = c * p + d * r, c * q + d * s
        for at in range(steps[FIRST_UPDATE, step], steps[FIRST_UPDATE, step + 1]):
            to, low, up = updates[TARGET, at], updates[LEFT, at], updates[RIGHT, at]
            a, b, c, d = entries[low, 0], entries[low, 1], entries[low, 2], entries[low, 3]
            e, f, g, h = entries[up, 0], entries[up, 1], entries[up, 2], entries[up, 3]
            entries[to, 0] -= a * e + b * g
            entries[to, 1] -= a * f + b * h
            entries[to, 2] -= c * e + d * g
            entries[to, 3] -= c * f + d * h
        for at in range(first_edge, next_edge):
            up = edges[UPPER, at]
            e, f, g, h = entries[up, 0], entries[up, 1], entries[up, 2], entries[up, 3]
            entries[up, 0], entries[up, 1] = p * e + q * g, p * f + q * h
            entries[up, 2], entries[up, 3] = r * e + s * g, r * f + s * h


@lean_jit
def solve_blocks(plan: Plan, factors: FloatArray, x: FloatArray) -> None:
    """Replace the first n rows of a right-hand side (n or more, 2) by the solution, in place."""
    edges = plan.edges
    for at in range(edges.shape[1]):
        low, to = edges[LOWER, at], edges[LATE, at]
        first, second = x[edges[EARLY, at], 0], x[edges[EARLY, at], 1]
        x[to, 0] -= factors[low, 0] * first + factors[low, 1] * second
        x[to, 1] -= factors[low, 2] * first + factors[low, 3] * second
    for m in range(plan.steps.shape[1] - 1):
        first, second = x[m, 0], x[m, 1]
        x[m, 0] = factors[m, 0] * first + factors[m, 1] * second
        x[m, 1] = factors[m, 2] * first + factors[m, 3] * second
    for at in range(edges.shape[1] - 1, -1, -1):
        up, to = edges[UPPER, at], edges[EARLY, at]
        first, second = x[edges[LATE, at], 0], x[edges[LATE, at], 1]
        x[to, 0] -= factors[up, 0] * first + factors[up, 1] * second
        x[to, 1] -= factors[up, 2] * first + factors[up, 3] * second
