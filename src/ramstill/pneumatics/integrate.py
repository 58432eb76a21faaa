"""The pressures in a network over time."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.constants import R_AIR
from ramstill.errors import InputError
from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces, state_of
from ramstill.pneumatics.equilibrium import settle
from ramstill.pneumatics.network import FloatArray, IntArray, Network
from ramstill.pneumatics.output import rows_into
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.plumbing import Plumbing
from ramstill.pneumatics.step import Pieces, work_for
from ramstill.pneumatics.stepper import AFRESH, DONE, OUT_OF_STEPS, run
from ramstill.pneumatics.surroundings import Surroundings
from ramstill.pneumatics.truth import Truth

TOLERANCE_PA = 0.05
STEADY_M_S = 0.05  # a slower climb than this at the start of a flight is none (10 ft/min)
SPIN_UP_S = 60.0  # nine time constants and more of an ordinary vertical speed indicator
_STEPS, _STEPS_A_PIECE = 100_000, 100


class SolverError(Exception):
    """The engine gave up, and says in which volume and when; the network is then absurdly fast somewhere."""


def too_quick(airplane: str, error: SolverError) -> InputError:
    """What to say of an airplane whose plumbing the engine gave up at."""
    return InputError(airplane, "plumbing", str(error), "volumes, bores and lengths of a real system")


@dataclass(frozen=True, slots=True)
class Inside:
    """The air in every volume at one instant: pressure_pa [Pa], temperature_k [K], (n,) each."""

    pressure_pa: FloatArray
    temperature_k: FloatArray


@dataclass(frozen=True, slots=True)
class Solution:
    """Pressures (len(output_s), n) [Pa] and the air at the last of those times; temperatures [K], shaped as
    the pressures, where they were asked for; steps kept, rejected, and evaluations of the flow they took.
    """

    pressure_pa: FloatArray
    end: Inside
    steps: int
    rejected: int
    evaluations: int
    temperature_k: FloatArray | None = None


def solve(
    network: Network,
    surroundings: Surroundings,
    output_s: ArrayLike,
    tolerance_pa: float = TOLERANCE_PA,
    initial_pa: ArrayLike | Inside | None = None,
    start_s: float | None = None,
    most_steps: int | None = None,
    with_temperature: bool = False,
) -> Solution:
    """Work out the pressures at `output_s` [s], rising; see `integrate`. Raises SolverError, ValueError.

    with_temperature: the temperatures as well.
    """
    times = asked_for(output_s, tolerance_pa)
    start = min(surroundings.start_s, float(times[0])) if start_s is None else float(start_s)
    if start > times[0]:
        raise ValueError("an output time lies before the start")
    if initial_pa is None:
        initial_pa = spun_up(network, surroundings, start)
    n = len(network.node_names)
    plumbing, touched = assemble(network)
    state = state_from(network, plumbing, initial_pa)
    output = np.empty((len(times), len(state) if with_temperature else n))
    end = max(float(times[-1]), start)
    counts = np.zeros(5, dtype=np.int64)
    if end == start:
        output[:] = state[: output.shape[1]]
    else:
        outside = outside_arrays(surroundings, touched, start, end)
        cut = pieces(network, surroundings, outside, start, end)
        counts = advance(network, plumbing, outside, cut, state, times, tolerance_pa, output, most_steps)
    return Solution(
        pressure_pa=output[:, :n],
        end=Inside(state[:n].copy(), temperatures(plumbing, state[None])[0]),
        steps=int(counts[0]),
        rejected=int(counts[1]),
        evaluations=int(counts[2]),
        temperature_k=temperatures(plumbing, output) if with_temperature else None,
    )


def asked_for(output_s: ArrayLike, tolerance_pa: float) -> FloatArray:
    """The output times (t,) [s]; ValueError for what no run can be asked for."""
    times = np.atleast_1d(np.array(output_s, dtype=np.float64))
    if not len(times) or not np.isfinite(times).all() or (np.diff(times) < 0.0).any():
        raise ValueError("output times are finite and never fall, and there is at least one")
    if not tolerance_pa > 0.0:
        raise ValueError("the tolerance is a pressure above zero")
    return times


def state_from(network: Network, plumbing: Plumbing, initial_pa: ArrayLike | Inside) -> FloatArray:
    """The kernel's state (2 n + s,) with this air inside; as warm as the walls where it is pressures only.

    ValueError where they do not fit.
    """
    given = initial_pa if isinstance(initial_pa, Inside) else None
    initial = np.array(initial_pa if given is None else given.pressure_pa, dtype=np.float64)
    warm = np.array(network.temperature_k if given is None else given.temperature_k, dtype=np.float64)
    for values, what in ((initial, "pressures"), (warm, "temperatures")):
        if values.shape != (len(network.node_names),) or not (np.isfinite(values) & (values > 0.0)).all():
            raise ValueError(f"the initial {what} are one for each volume, and above zero")
    return state_of(plumbing, initial, warm)


def advance(
    network: Network,
    plumbing: Plumbing,
    outside: Outside,
    cut: Pieces,
    state: FloatArray,
    times: FloatArray,
    tolerance_pa: float,
    output: NDArray[Any],
    most_steps: int | None = None,
    columns: IntArray | None = None,
) -> IntArray:
    """Bring `state` from the beginning of the pieces to their end, and fill `output` (t, c), float64 or 32.

    columns (c,): which parts of the state, by default the first c. Returns the counts of `stepper.run`.
    Raises SolverError naming the volume.
    """
    budget = _STEPS + _STEPS_A_PIECE * (len(cut.begin) - 1) if most_steps is None else most_steps
    counts, reached = np.zeros(5, dtype=np.int64), np.zeros(1)
    rows = rows_into(output, times, columns)
    work = work_for(plumbing, outside.pressure.shape[1])
    run(plumbing, outside, cut, state, AFRESH, 0.0, rows, float(tolerance_pa), budget, counts, reached, work)
    if counts[3] != DONE:
        raise SolverError(gave_up(network, counts, budget, float(reached[0])))
    return counts


def gave_up(network: Network, counts: IntArray, budget: int, reached_s: float) -> str:
    """Why the kernel gave up, and where, from its counts."""
    name = network.node_names[int(counts[4])]
    why = f"more than {budget} steps" if counts[3] == OUT_OF_STEPS else "steps too small to count"
    return f"volume {name!r} is too small for the holes at it: {why} to get past {reached_s:.6g} s"


def temperatures(plumbing: Plumbing, states: FloatArray) -> FloatArray:
    """Temperatures (t, n) [K] from states (t, 2 n + s)."""
    n = len(plumbing.volume)
    volume = np.tile(plumbing.volume, (len(states), 1))
    for s, (a, b) in enumerate(zip(plumbing.swell_a, plumbing.swell_b, strict=True)):
        volume[:, a] += states[:, 2 * n + s]
        if b >= 0:
            volume[:, b] -= states[:, 2 * n + s]
    return np.asarray(states[:, :n] * volume / (R_AIR * states[:, n : 2 * n]))


def integrate(
    network: Network,
    surroundings: Surroundings,
    output_s: ArrayLike,
    tolerance_pa: float = TOLERANCE_PA,
    initial_pa: ArrayLike | Inside | None = None,
    start_s: float | None = None,
    most_steps: int | None = None,
) -> FloatArray:
    """Pressures of every volume [Pa] at `output_s` [s], (len(output_s), n).

    Starts with `initial_pa` (n,), as warm as the walls, or with the air of an `Inside`, at `start_s`
    (default: where the surroundings start), or with `spun_up` where none is given. tolerance_pa: error of
    one step in any volume [Pa]. Quasi-steady flow: see docs/physics.md. Raises SolverError naming the
    volume when the step budget runs out, ValueError for input that does not fit together.
    """
    return solve(network, surroundings, output_s, tolerance_pa, initial_pa, start_s, most_steps).pressure_pa


def spun_up(
    network: Network,
    surroundings: Surroundings,
    start_s: float | None = None,
    seconds: float = SPIN_UP_S,
    *,
    settled_as: Network | None = None,
    carried_on: bool = True,
    tolerance_pa: float = TOLERANCE_PA,
) -> Inside:
    """The air inside at the start, lags established: what went on before is `seconds` of the same slopes, or
    of rest where they are not `carried_on`.

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
    return solve(network, before, [start], tolerance_pa, settled, float(times[0])).end
