"""The coefficients as a method: order, embedded order, dense output, damping. Plain NumPy, no engine."""

import numpy as np
import pytest

from ramstill.pneumatics.rodas5p import DENSE, GAMMA, NODES, RATES, STAGES, A, B


def step(f, jac, rate, t, y, h):
    """One step for y' = f(t, y): new y, error estimate, and the curve within."""
    u = np.zeros((STAGES, len(y)))
    matrix = np.eye(len(y)) / (GAMMA * h) - jac(t, y)
    for i in range(STAGES):
        side = f(t + NODES[i] * h, y + A[i] @ u) + B[i] @ u / h + h * RATES[i] * rate(t, y)
        u[i] = np.linalg.solve(matrix, side)
    new = y + A[7] @ u + u[7]
    k = DENSE @ u

    def curve(x):
        return (1 - x) * y + x * (new + (1 - x) * (k[0] + x * (k[1] + x * k[2])))

    return new, u[7], curve


def f(t, y):
    return np.array([y[1] * y[0] - np.sin(t) * y[0] ** 2, np.cos(t) - y[1] ** 2 + y[0]])


def jac(t, y):
    return np.array([[y[1] - 2 * np.sin(t) * y[0], y[0]], [1.0, -2 * y[1]]])


def rate(t, y):
    return np.array([-np.cos(t) * y[0] ** 2, -np.sin(t)])


def reference(until):
    from scipy.integrate import solve_ivp

    return solve_ivp(f, (0.2, until), [1.0, 0.3], rtol=1e-13, atol=1e-13, method="DOP853").y[:, -1]


def slope(hs, errors):
    return np.polyfit(np.log(hs), np.log(errors), 1)[0]


def test_rows_of_nodes_fit_the_published_ones():
    # nodes are the row sums of alpha = A (I / gamma - B)^-1, rates those of the method's gamma_ij
    inverse = np.eye(STAGES) / GAMMA - B
    gamma = np.linalg.inv(inverse)
    assert gamma.sum(axis=1) == pytest.approx(RATES, abs=1e-10)
    assert (A @ gamma).sum(axis=1) == pytest.approx(NODES, abs=1e-10)


def test_order_is_five_and_that_of_the_estimate_four():
    # one step from the same point: the local error goes with h^6, the estimate with h^5
    hs = np.array([0.2, 0.1, 0.05])
    errors, estimates = [], []
    for h in hs:
        new, estimate, _ = step(f, jac, rate, 0.2, np.array([1.0, 0.3]), h)
        errors.append(np.abs(new - reference(0.2 + h)).max())
        estimates.append(np.abs(estimate).max())
    assert slope(hs, errors) > 5.6
    assert slope(hs, estimates) > 4.6
    assert (np.array(errors) < estimates).all()


def test_the_curve_within_a_step_is_of_order_four():
    hs = np.array([0.2, 0.1, 0.05])
    worst = []
    for h in hs:
        _, _, curve = step(f, jac, rate, 0.2, np.array([1.0, 0.3]), h)
        worst.append(max(np.abs(curve(x) - reference(0.2 + x * h)).max() for x in (0.25, 0.5, 0.75)))
    assert slope(hs, worst) > 4.6


def test_it_forgets_what_is_infinitely_fast():
    for z in (-1e6, -1e12):
        new, _, _ = step(
            lambda t, y, z=z: z * y,
            lambda t, y, z=z: np.array([[z]]),
            lambda t, y: np.zeros(1),
            0.0,
            np.ones(1),
            1.0,
        )
        # L-stable: goes with 1/z
        assert abs(new[0]) < 50.0 / abs(z) + 1e-9


def test_it_is_stable_on_the_left_half_plane():
    for angle in np.linspace(0.5 * np.pi, np.pi, 9):
        for size in 10.0 ** np.linspace(-2, 4, 25):
            z = size * np.exp(1j * angle)
            m = np.array([[z.real, -z.imag], [z.imag, z.real]])
            new, _, _ = step(
                lambda t, y, m=m: m @ y,
                lambda t, y, m=m: m,
                lambda t, y: np.zeros(2),
                0.0,
                np.array([1.0, 0.0]),
                1.0,
            )
            # the published coefficients carry sixteen digits and large numbers
            assert np.hypot(*new) <= 1.0 + 1e-9
