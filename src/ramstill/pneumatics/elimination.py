"""Solving with the sparse matrix of a network: planned once, in an order that fills in nothing on a tree.

Plumbing is a tree or nearly one. Leaves go first (smallest degree first), so the work grows with the number
of volumes and not with its cube; of these the ones that wait for the fewest others, so that the last is in
the middle and no chain of them is long: each link of a chain waits for the one before. Without pivoting:
every matrix solved is diagonally dominant by columns, as what leaves one volume arrives in another.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import lean_jit

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Rows of `steps`: the volume eliminated; where its edges and its updates begin, (n + 1,) of both.
PIVOT, FIRST_EDGE, FIRST_UPDATE = range(3)
# Rows of `edges`: the volume eliminated; one it is joined to by then; entries (it, other) and (other, it).
EARLY, LATE, UPPER, LOWER = range(4)
# Rows of `updates`, entries of target -= left * right.
TARGET, LEFT, RIGHT = range(3)


class Plan(NamedTuple):
    """Where each matrix entry sits in one flat array, and what to do in which order.

    Entries: the n diagonals, then pairs off the diagonal, last a spare for what is not in the matrix.
    steps (3, n + 1), edges (4, pairs), updates (3, m): rows as named above, in the order of elimination.
    """

    steps: IntArray
    edges: IntArray
    updates: IntArray


def plan(count: int, pairs: list[tuple[int, int]]) -> tuple[Plan, dict[tuple[int, int], int]]:
    """Plan for `count` volumes joined in `pairs`; also where entry (row, column) sits."""
    neighbours: list[set[int]] = [set() for _ in range(count)]
    for a, b in pairs:
        neighbours[a].add(b)
        neighbours[b].add(a)
    slots: dict[tuple[int, int], int] = {(i, i): i for i in range(count)}

    def slot(row: int, column: int) -> int:
        return slots.setdefault((row, column), len(slots))

    steps: list[tuple[int, int, int]] = []
    edges: list[tuple[int, int, int, int]] = []
    updates: list[tuple[int, int, int]] = []
    left, waits = set(range(count)), [0] * count
    while left:
        pivot = min(left, key=lambda i: (len(neighbours[i]), waits[i], i))
        left.remove(pivot)
        steps.append((pivot, len(edges), len(updates)))
        around = sorted(neighbours[pivot])
        for i in around:
            waits[i] = max(waits[i], waits[pivot] + 1)
            edges.append((pivot, i, slot(pivot, i), slot(i, pivot)))
            neighbours[i].discard(pivot)
            neighbours[i].update(j for j in around if j != i)
        updates.extend((slot(i, j), slot(i, pivot), slot(pivot, j)) for i in around for j in around)
    steps.append((-1, len(edges), len(updates)))

    def rows(values: list[tuple[int, ...]], count: int) -> IntArray:
        return np.array(values, dtype=np.int64).reshape(-1, count).T.copy()

    return Plan(rows([*steps], 3), rows([*edges], 4), rows([*updates], 3)), slots


@lean_jit
def factor(plan: Plan, entries: FloatArray) -> None:
    """Turn a matrix into its factors, in place."""
    steps, edges, updates = plan.steps, plan.edges, plan.updates
    for step in range(steps.shape[1] - 1):
        pivot = 1.0 / entries[steps[PIVOT, step]]
        for at in range(steps[FIRST_EDGE, step], steps[FIRST_EDGE, step + 1]):
            entries[edges[LOWER, at]] *= pivot
        for at in range(steps[FIRST_UPDATE, step], steps[FIRST_UPDATE, step + 1]):
            entries[updates[TARGET, at]] -= entries[updates[LEFT, at]] * entries[updates[RIGHT, at]]
        for at in range(steps[FIRST_EDGE, step], steps[FIRST_EDGE, step + 1]):
            entries[edges[UPPER, at]] *= pivot


@lean_jit
def solve(plan: Plan, factors: FloatArray, x: FloatArray) -> None:
    """Replace a right-hand side by the solution, in place."""
    edges = plan.edges
    for at in range(edges.shape[1]):
        x[edges[LATE, at]] -= factors[edges[LOWER, at]] * x[edges[EARLY, at]]
    for m in range(plan.steps.shape[1] - 1):
        x[m] /= factors[m]
    for at in range(edges.shape[1] - 1, -1, -1):
        x[edges[EARLY, at]] -= factors[edges[UPPER, at]] * x[edges[LATE, at]]
