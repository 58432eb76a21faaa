import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.pneumatics.blocks import factor_blocks, solve_blocks
from ramstill.pneumatics.elimination import factor, plan, solve


def matrices(seed, extra):
    """A random column-dominant matrix on a tree with some loops, dense and flat."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(1, 15))
    pairs = [(i, int(rng.integers(0, i))) for i in range(1, n)]
    pairs += [tuple(rng.integers(0, n, 2).tolist()) for _ in range(extra)]
    pairs = [(a, b) for a, b in pairs if a != b]
    made, slots = plan(n, pairs)
    dense, flat = np.zeros((n, n)), np.zeros(len(slots) + 1)
    for a, b in {*pairs, *((b, a) for a, b in pairs)}:
        dense[a, b] = -rng.uniform(0.1, 1.0) * 10.0 ** rng.uniform(-6, 6)
        flat[slots[a, b]] = dense[a, b]
    for i in range(n):
        dense[i, i] = flat[i] = -dense[:, i].sum() + rng.uniform(0.0, 1.0)
    return n, made, dense, flat, pairs


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.integers(0, 4))
def test_solves_what_a_dense_solver_solves(seed, extra):
    n, made, dense, flat, _ = matrices(seed, extra)
    right = np.random.default_rng(seed).normal(size=n)
    factors, x = flat.copy(), right.copy()
    factor(made, factors)
    solve(made, factors, x)
    # backward error: conditions run to 1e12, so the solutions themselves need not agree to many digits
    assert np.abs(dense @ x - right).max() <= 1e-13 * (np.abs(dense) @ np.abs(x) + np.abs(right)).max()


def test_a_tree_fills_in_nothing():
    n, made, _, flat, pairs = matrices(5, 0)
    assert len(flat) == n + 2 * len(pairs) + 1
    assert made.updates.shape[1] == len(pairs)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(st.integers(0, 10_000), st.integers(0, 4))
def test_solves_blocks_of_two_by_two(seed, extra):
    n, made, dense, flat, _ = matrices(seed, extra)
    rng = np.random.default_rng(seed + 1)
    # scaled rows of (1, x; -x, 1): dominant by blocks, as what the engine solves is
    turned = np.zeros((len(flat), 4))
    whole = np.zeros((2 * n, 2 * n))
    slot = {}
    for i in range(n):
        slot[i, i] = i
    for row, column in zip(*np.nonzero(dense), strict=True):
        if row != column:
            slot[int(row), int(column)] = int(np.flatnonzero(flat == dense[row, column])[0])
    scale = 10.0 ** rng.uniform(-3, 3, (n, 2))
    for (row, column), at in slot.items():
        x = rng.uniform(0.0, 0.1) if row == column else 0.0
        block = dense[row, column] * np.array([[1.0, x], [-x, 1.0]]) * scale[row][:, None]
        turned[at] = block.ravel()
        whole[2 * row : 2 * row + 2, 2 * column : 2 * column + 2] = block
    right = rng.normal(size=(n, 2)) * scale
    x = right.copy()
    factor_blocks(made, turned)
    solve_blocks(made, turned, x)
    back = np.abs(whole @ x.ravel() - right.ravel())
    assert (back <= 1e-12 * (np.abs(whole) @ np.abs(x.ravel()) + np.abs(right.ravel()))).all()
