"""The general solvers that a user would reach for, each over the same compiled equations.

SciPy's and the `scikit-sundae` binding take Python callables only: SciPy's ODEPACK module has no place for an
address of compiled code, and neither has the binding's. They are given the cheapest one there is: a compiled
function that fills an array made beforehand. CVODE with compiled callbacks is in engine_native.py.
"""

import warnings
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise, product

import engine_equations as equations
import numpy as np
from engine_block import FloatArray, IntArray, Problem
from scipy.integrate import ODEintWarning, odeint, solve_ivp

MOST_STEPS = 1000  # from one output to the next; a solver that needs more has lost its way
RTOL = 1e-13  # all pressures being alike, one absolute weight says it all


@dataclass(frozen=True, slots=True)
class Setting:
    """How a solver is tuned. weight_pa: its error weight, the same for every pressure [Pa].

    longest_s: longest step, 0 for none; order: highest; restarts: at every known kink; solver: of the linear
    systems; patience: how far CVODE's nonlinear iteration is taken (its own figure is 0.1).
    """

    weight_pa: float
    longest_s: float = 0.0
    order: int = 5
    restarts: bool = True
    solver: str = "dense"
    patience: float = 0.1

    def __str__(self) -> str:
        parts = [f"weight {self.weight_pa:g} Pa"]
        parts += [f"steps to {self.longest_s:g} s"] if self.longest_s else []
        parts += [f"order to {self.order}"] if self.order != 5 else []
        parts += [] if self.restarts else ["no restarts"]
        parts += [self.solver] if self.solver != "dense" else []
        parts += [f"patience {self.patience:g}"] if self.patience != 0.1 else []
        return ", ".join(parts)


Solve = Callable[[Problem, FloatArray, FloatArray, IntArray, Setting], FloatArray]


@dataclass(frozen=True, slots=True)
class Contestant:
    """A solver and what of it can be tuned: `orders`, `solvers`, `patiences` are tried about the best.

    thorough: quick enough to try every order and patience with every step and restart.
    """

    name: str
    solve: Solve
    orders: tuple[int, ...] = ()
    solvers: tuple[str, ...] = ()
    patiences: tuple[float, ...] = ()
    thorough: bool = False

    def grid(self, longest: tuple[float, ...]) -> Iterator[Setting]:
        """Restarts and longest steps, to be gone through at each weight."""
        orders = (5, *self.orders) if self.thorough else (5,)
        patiences = (0.1, *self.patiences) if self.thorough else (0.1,)
        for restarts, step, order, patience in product((True, False), longest, orders, patiences):
            yield Setting(1.0, step, order, restarts, patience=patience)

    def about(self, best: Setting) -> Iterator[Setting]:
        """Settings beside the best so far."""
        yield from (replace(best, order=order) for order in self.orders)
        yield from (replace(best, solver=solver) for solver in self.solvers)
        yield from (replace(best, patience=patience) for patience in self.patiences)


def stretches(
    problem: Problem, output_s: FloatArray, stops: IntArray
) -> Iterator[tuple[float, float, slice, FloatArray]]:
    """Of each stretch between restarts: start, end [s], which outputs lie in it, and they with its end."""
    for first, last in pairwise(stops):
        start, end = float(problem.begin[first]), float(problem.begin[last])
        inside = slice(*np.searchsorted(output_s, [start, end], side="right"))
        times = output_s[inside]
        problem.only(int(first), int(last) - 1)
        problem.in_time()
        yield start, end, inside, times if len(times) and times[-1] == end else np.append(times, end)


def _by_stretches(
    problem: Problem,
    start_pa: FloatArray,
    output_s: FloatArray,
    stops: IntArray,
    run: Callable[[FloatArray, float, float, FloatArray], FloatArray],
) -> FloatArray:
    output = np.empty((len(output_s), problem.n))
    y = problem.start(start_pa)
    output[: np.searchsorted(output_s, problem.begin[0], side="right")] = y
    for start, end, inside, times in stretches(problem, output_s, stops):
        found = run(y, start, end, times)
        output[inside] = found[: inside.stop - inside.start]
        y = found[-1].copy()
    return problem.unpermuted(output)


def with_odeint(
    problem: Problem, start_pa: FloatArray, output_s: FloatArray, stops: IntArray, setting: Setting
) -> FloatArray:
    """SciPy's LSODA with its loop over outputs in C: `odeint`."""
    block, rate, full = problem.block, np.zeros(problem.n), np.zeros(problem.n**2)
    square, slope, jacobian, n = full.reshape(problem.n, problem.n), *_compiled(), problem.n

    def by_y(t: float, y: FloatArray) -> FloatArray:
        jacobian(t, y, block, full, 0, n)
        return square

    def f(t: float, y: FloatArray) -> FloatArray:
        slope(t, y, block, rate)
        return rate

    def run(y: FloatArray, start: float, end: float, times: FloatArray) -> FloatArray:
        with warnings.catch_warnings():
            warnings.simplefilter("error", ODEintWarning)
            try:
                return odeint(
                    f,
                    y,
                    np.concatenate([[start], times]),
                    Dfun=by_y,
                    col_deriv=True,
                    tfirst=True,
                    rtol=RTOL,
                    atol=setting.weight_pa,
                    tcrit=[end],
                    hmax=setting.longest_s,
                    mxords=setting.order,
                    mxstep=MOST_STEPS,
                )[1:]
            except ODEintWarning as lost:
                raise ArithmeticError(str(lost)) from None

    return _by_stretches(problem, start_pa, output_s, stops, run)


def with_solve_ivp(method: str, rtol: float = RTOL) -> Solve:
    """One of SciPy's solvers written in Python (LSODA: stepped from Python)."""

    def solve(
        problem: Problem, start_pa: FloatArray, output_s: FloatArray, stops: IntArray, setting: Setting
    ) -> FloatArray:
        block, n = problem.block, problem.n
        slope, jacobian = _compiled()

        def f(t: float, y: FloatArray) -> FloatArray:
            problem.in_time()
            rate = np.empty(n)
            slope(t, y, block, rate)
            return rate

        def by_y(t: float, y: FloatArray) -> FloatArray:
            full = np.empty(n * n)
            jacobian(t, y, block, full, 0, n)
            return full.reshape(n, n).T

        def run(y: FloatArray, start: float, end: float, times: FloatArray) -> FloatArray:
            found = solve_ivp(
                f,
                (start, end),
                y,
                method=method,
                t_eval=times,
                jac=by_y,
                rtol=rtol,
                atol=setting.weight_pa,
                max_step=setting.longest_s or np.inf,
            )
            if not found.success:
                raise ArithmeticError(found.message)
            return np.ascontiguousarray(found.y.T)

        return _by_stretches(problem, start_pa, output_s, stops, run)

    return solve


def with_binding(
    problem: Problem, start_pa: FloatArray, output_s: FloatArray, stops: IntArray, setting: Setting
) -> FloatArray:
    """SUNDIALS CVODE through `scikit-sundae`, which calls Python for every evaluation."""
    from sksundae.cvode import CVODE

    block, full, n = problem.block, np.zeros(problem.n**2), problem.n
    square = full.reshape(n, n).T
    slope, jacobian = _compiled()

    def by_y(t: float, y: FloatArray, rate: FloatArray, out: FloatArray) -> None:
        jacobian(t, y, block, full, 0, n)
        out[:] = square

    def f(t: float, y: FloatArray, rate: FloatArray) -> None:
        slope(t, y, block, rate)

    def run(y: FloatArray, start: float, end: float, times: FloatArray) -> FloatArray:
        solver = CVODE(
            f,
            jacfn=by_y,
            rtol=RTOL,
            atol=setting.weight_pa,
            max_step=setting.longest_s,
            max_order=setting.order,
            max_num_steps=MOST_STEPS,
        )
        found = solver.solve(np.concatenate([[start], times]), y)
        if not found.success:
            raise ArithmeticError(found.message)
        return found.y[1:]

    return _by_stretches(problem, start_pa, output_s, stops, run)


def _compiled() -> tuple[Callable[..., None], Callable[..., None]]:
    return equations.slope, equations.jacobian


def contestants(native: bool = True) -> tuple[Contestant, ...]:
    """All of them, the quickest first; the native one only where the wheel's libraries can be called."""
    found = [
        Contestant("CVODE, scikit-sundae", with_binding, (4, 3), thorough=True),
        Contestant("LSODA, SciPy odeint", with_odeint, (4, 3), thorough=True),
        Contestant("LSODA, solve_ivp", with_solve_ivp("LSODA")),
        Contestant("BDF, solve_ivp", with_solve_ivp("BDF")),
        Contestant("Radau, solve_ivp", with_solve_ivp("Radau")),
    ]
    if native:
        import engine_native

        one = Contestant("CVODE, C callbacks", engine_native.solve, (4, 3, 2), ("band",), (0.01, 0.3, 1.0))
        found.insert(0, one)
    return tuple(found)
