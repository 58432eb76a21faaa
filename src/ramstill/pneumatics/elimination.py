"""Solving with the sparse matrix of a network: planned once, in an order that fills in nothing on a tree.

Plumbing is a tree or nearly one. Leaves go first (smallest degree first), so the work grows with the number
of volumes and not with its cube. Without pivoting: every matrix solved is diagonally dominant by columns, as
what leaves one volume arrives in another.
"""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import jit

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]


class Plan(NamedTuple):
    """Where each matrix entry sits in one flat array, and what to do in which order.

    Entries: the n diagonals, then pairs off the diagonal, last a spare for what is not in the matrix.
    order (n,): volumes as they are eliminated; start (n+1,): which of `later`, `upper`, `lower` belong to
    each; later: volumes it is joined to by then; upper, lower: entries (it, later) and (later, it);
    update_start (n+1,) and update (m, 3): entries target, lower, upper of target -= lower * upper.
    """

    order: IntArray
    start: IntArray
    later: IntArray
    upper: IntArray
    lower: IntArray
    update_start: IntArray
    update: IntArray


def plan(count: int, pairs: list[tuple[int, int]]) -> tuple[Plan, dict[tuple[int, int], int]]:
    """Plan for `count` volumes joined in `pairs`; also where entry (row, column) sits."""
    neighbours: list[set[int]] = [set() for _ in range(count)]
    for a, b in pairs:
        neighbours[a].add(b)
        neighbours[b].add(a)
    slots: dict[tuple[int, int], int] = {(i, i): i for i in range(count)}

    def slot(row: int, column: int) -> int:
        return slots.setdefault((row, column), len(slots))

    order: list[int] = []
    start, update_start = [0], [0]
    later: list[int] = []
    upper: list[int] = []
    lower: list[int] = []
    update: list[tuple[int, int, int]] = []
    left = set(range(count))
    while left:
        pivot = min(left, key=lambda i: (len(neighbours[i]), i))
        left.remove(pivot)
        order.append(pivot)
        around = sorted(neighbours[pivot])
        for i in around:
            later.append(i)
            upper.append(slot(pivot, i))
            lower.append(slot(i, pivot))
            neighbours[i].discard(pivot)
            neighbours[i].update(j for j in around if j != i)
        update.extend((slot(i, j), slot(i, pivot), slot(pivot, j)) for i in around for j in around)
        start.append(len(later))
        update_start.append(len(update))

    def ints(values: list[int]) -> IntArray:
        return np.array(values, dtype=np.int64)

    made = Plan(
        order=ints(order),
        start=ints(start),
        later=ints(later),
        upper=ints(upper),
        lower=ints(lower),
        update_start=ints(update_start),
        update=np.array(update, dtype=np.int64).reshape(-1, 3),
    )
    return made, slots


@jit
def factor(plan: Plan, entries: FloatArray) -> None:
    """Turn a matrix into its factors, in place."""
    for step in range(len(plan.order)):
        pivot = 1.0 / entries[plan.order[step]]
        for at in range(plan.start[step], plan.start[step + 1]):
            entries[plan.lower[at]] *= pivot
        for at in range(plan.update_start[step], plan.update_start[step + 1]):
            entries[plan.update[at, 0]] -= entries[plan.update[at, 1]] * entries[plan.update[at, 2]]


@jit
def solve(plan: Plan, factors: FloatArray, x: FloatArray) -> None:
    """Replace a right-hand side by the solution, in place."""
    for step in range(len(plan.order)):
        known = x[plan.order[step]]
        for at in range(plan.start[step], plan.start[step + 1]):
            x[plan.later[at]] -= factors[plan.lower[at]] * known
    for step in range(len(plan.order) - 1, -1, -1):
        row = plan.order[step]
        value = x[row]
        for at in range(plan.start[step], plan.start[step + 1]):
            value -= factors[plan.upper[at]] * x[plan.later[at]]
        x[row] = value / factors[row]
