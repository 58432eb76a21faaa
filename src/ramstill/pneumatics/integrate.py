"""The pressures in a network over time."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces
from ramstill.pneumatics.equilibrium import settle
from ramstill.pneumatics.network import FloatArray, Network
from ramstill.pneumatics.stepper import DONE, OUT_OF_STEPS, run
from ramstill.pneumatics.surroundings import Surroundings
from ramstill.pneumatics.truth import Truth

TOLERANCE_PA = 0.05
SPIN_UP_S = 60.0  # nine time constants and more of an ordinary vertical speed indicator
_STEPS, _STEPS_A_PIECE = 100_000, 100


class SolverError(Exception):
    """The engine gave up, and says in which volume and when; the network is then absurdly fast somewhere."""


@dataclass(frozen=True, slots=True)
class Solution:
    """Pressures (len(output_s), n) [Pa]; steps kept, rejected, and evaluations of the flow they took."""

    pressure_pa: FloatArray
    steps: int
    rejected: int
    evaluations: int


def solve(
    network: Network,
    surroundings: Surroundings,
    output_s: ArrayLike,
    tolerance_pa: float = TOLERANCE_PA,
    initial_pa: ArrayLike | None = None,
    start_s: float | None = None,
    most_steps: int | None = None,
) -> Solution:
    """Work out the pressures at `output_s` [s], rising; see `integrate`. Raises SolverError, ValueError."""
    times = np.atleast_1d(np.asarray(output_s, dtype=np.float64))
    if not len(times) or not np.isfinite(times).all() or (np.diff(times) < 0.0).any():
        raise ValueError("output times are finite and never fall, and there is at least one")
    if not tolerance_pa > 0.0:
        raise ValueError("the tolerance is a pressure above zero")
    start = min(surroundings.start_s, float(times[0])) if start_s is None else float(start_s)
    if start > times[0]:
        raise ValueError("an output time lies before the start")
    if initial_pa is None:
        initial = spin_up(network, surroundings, start)
    else:
        initial = np.array(initial_pa, dtype=np.float64)
    n = len(network.node_names)
    if initial.shape != (n,) or not (np.isfinite(initial) & (initial > 0.0)).all():
        raise ValueError("the initial pressures are one for each volume, and above zero")
    end = max(float(times[-1]), start)
    output = np.empty((len(times), n))
    if end == start:
        output[:] = initial
        return Solution(output, 0, 0, 0)

    plumbing, touched = assemble(network)
    outside = outside_arrays(surroundings, touched, start, end)
    cut = pieces(network, surroundings, outside, start, end)
    budget = _STEPS + _STEPS_A_PIECE * (len(cut.begin) - 1) if most_steps is None else most_steps
    counts = np.zeros(5, dtype=np.int64)
    reached = np.zeros(1)
    run(plumbing, outside, cut, initial, times, float(tolerance_pa), budget, output, counts, reached)
    if counts[3] != DONE:
        name = network.node_names[int(counts[4])]
        why = f"more than {budget} steps" if counts[3] == OUT_OF_STEPS else "steps too small to count"
        raise SolverError(
            f"volume {name!r} is too small for the holes at it: {why} to get past {reached[0]:.6g} s"
        )
    return Solution(output, int(counts[0]), int(counts[1]), int(counts[2]))


def integrate(
    network: Network,
    surroundings: Surroundings,
    output_s: ArrayLike,
    tolerance_pa: float = TOLERANCE_PA,
    initial_pa: ArrayLike | None = None,
    start_s: float | None = None,
    most_steps: int | None = None,
) -> FloatArray:
    """Pressures of every volume [Pa] at `output_s` [s], (len(output_s), n).

    Starts with `initial_pa` (n,) at `start_s` (default: where the surroundings start), or with `spin_up`
    where none is given. tolerance_pa: error of one step in any volume [Pa]. Isothermal, quasi-steady flow:
    see docs/physics.md. Raises SolverError naming the volume when the step budget runs out, ValueError for
    input that does not fit together.
    """
    return solve(network, surroundings, output_s, tolerance_pa, initial_pa, start_s, most_steps).pressure_pa


def spin_up(
    network: Network,
    surroundings: Surroundings,
    start_s: float | None = None,
    seconds: float = SPIN_UP_S,
    *,
    settled_as: Network | None = None,
    carried_on: bool = True,
    tolerance_pa: float = TOLERANCE_PA,
) -> FloatArray:
    """Pressures (n,) [Pa] at the start, lags established: what went on before is `seconds` of the same
    slopes, or of rest where they are not `carried_on`.

    The pressures outside are carried back in straight lines (never below half of what they start with), the
    network settles with them as they were then and is run up to the start. What opens and shuts does so by
    its own schedule, also before the start. settled_as: the same volumes as they were joined when they
    settled (`network` itself where it is not given): what is shut later then holds air of that time.
    """
    start = surroundings.start_s if start_s is None else float(start_s)
    first = surroundings.at([start])[0]
    ahead = surroundings.at([start + 1e-3])[0] - first if start > surroundings.start_s else None
    slope = surroundings.slope_right_pa_s[0] if ahead is None else ahead / 1e-3
    earlier = np.maximum(first - seconds * slope, 0.5 * first) if carried_on else first
    times = np.array([start - seconds, start])
    before = Surroundings.from_samples(
        times,
        surroundings.boundary_names,
        np.stack([earlier, first]),
        Truth.steady(times),
        openness=surroundings.openness,
    )
    columns = [before.column(name) for name in network.boundary_names]
    shares = before.openness
    then = network if settled_as is None else settled_as
    for name, schedule in shares.items():
        then = then.with_openness(name, schedule)
    settled = settle(then, earlier[columns], at_s=float(times[0]))
    found = solve(network, before, [start], tolerance_pa, settled, float(times[0]))
    return np.asarray(found.pressure_pa[-1])
