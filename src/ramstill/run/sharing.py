"""Sharing a sum fairly among parts that act together: Shapley's value.

A part's share is what it adds, averaged over every order in which the parts can be put in: L. S. Shapley, A
value for n-person games, in Contributions to the Theory of Games II (1953). The shares add up to the whole; a
part that adds nothing anywhere gets nothing; two that add the same everywhere get the same.
"""

from __future__ import annotations

from collections.abc import Callable
from math import factorial

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]
Value = Callable[[int], FloatArray]  # of the parts whose bits are set, (k,)

SEED = 20  # the same orders each time


def exact(value: Value, count: int) -> FloatArray:
    """Shares (count, k) of what `value` gives for all parts less what it gives for none; 2^count values."""
    values = [value(mask) for mask in range(1 << count)]
    shares = np.zeros((count, *values[0].shape))
    whole = factorial(count) if count else 1
    for mask, worth in enumerate(values):
        size = mask.bit_count()
        if size == count:
            continue
        weight = factorial(size) * factorial(count - size - 1) / whole
        for part in range(count):
            if not mask >> part & 1:
                shares[part] += weight * (values[mask | 1 << part] - worth)
    return shares


def sampled(value: Value, count: int, orders: int, seed: int = SEED) -> tuple[FloatArray, FloatArray]:
    """As `exact`, from some orders drawn at random, each also taken backwards, and the standard error of each
    share, (count, k) each.

    orders: how many, two or more pairs. The shares of each order add up, so their means do.
    """
    random = np.random.default_rng(seed)
    pairs = max(orders // 2, 2)
    known: dict[int, FloatArray] = {}

    def worth(mask: int) -> FloatArray:
        if mask not in known:
            known[mask] = value(mask)
        return known[mask]

    means = np.zeros((pairs, count, *worth(0).shape))
    for pair in range(pairs):
        order = random.permutation(count)
        for way in (order, order[::-1]):
            mask = 0
            for part in way:
                after = mask | 1 << int(part)
                means[pair, part] += 0.5 * (worth(after) - worth(mask))
                mask = after
    return means.mean(axis=0), means.std(axis=0, ddof=1) / np.sqrt(pairs)
