"""A run that others branch off: worked out once, and carried on by each of them from where it differs."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import inf
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.pneumatics.alike import alike_until
from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces
from ramstill.pneumatics.equations import Plumbing
from ramstill.pneumatics.integrate import Inside, advance, state_from
from ramstill.pneumatics.network import FloatArray, IntArray, Network
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.step import Pieces
from ramstill.pneumatics.surroundings import Surroundings


@dataclass(frozen=True, slots=True, eq=False)
class Stem:
    """One network in its surroundings, from which cases branch off.

    time_s (t,): output times [s], the first where the run starts; start: the kernel's state there;
    pressure_pa (t, n) [Pa].
    """

    network: Network
    surroundings: Surroundings
    time_s: FloatArray
    tolerance_pa: float
    start: FloatArray
    pressure_pa: FloatArray
    plumbing: Plumbing
    outside: Outside
    pieces: Pieces
    _outsides: dict[tuple[str, ...], Outside] = field(default_factory=dict)

    @property
    def end_s(self) -> float:
        """When the run ends [s]."""
        return float(self.time_s[-1])

    def differs_from(self, network: Network, surroundings: Surroundings) -> float:
        """When a case begins to differ [s]: minus inf where it starts otherwise, inf where it never does."""
        since = alike_until(network, surroundings, self.network, self.surroundings)
        if since < self.time_s[0]:
            return -inf
        return since if since < self.end_s else inf

    def states_at(self, times_s: Sequence[float]) -> FloatArray:
        """The kernel's states (m, 2 n + s) at some times [s], in their order; that at the start for infinity.

        What the run's own steps say between their ends, so that a state depends on its time alone and not on
        what else is asked for; the run is gone through again as far as the last time asks.
        """
        when = np.asarray(times_s, dtype=np.float64)
        found = np.empty((len(when), len(self.start)))
        found[:] = self.start
        finite = np.isfinite(when)
        if not finite.any():
            return found
        rising, place = np.unique(when[finite], return_inverse=True)
        count = max(1, int(np.searchsorted(self.pieces.begin, rising[-1], "left")))
        whole = self.pieces
        part = Pieces(
            begin=whole.begin[: count + 1],
            first_knot=whole.first_knot[:count],
            last_knot=whole.last_knot[:count],
            openness=whole.openness[:count],
            opening_rate=whole.opening_rate[:count],
        )
        states = np.empty((len(rising), len(self.start)))
        state = self.start.copy()
        advance(self.network, self.plumbing, self.outside, part, state, rising, self.tolerance_pa, states)
        found[finite] = states[place]
        return found

    def state_from(self, initial: ArrayLike | Inside, network: Network) -> FloatArray:
        """The kernel's state of a case with this air inside. ValueError where it does not fit."""
        return state_from(network, assemble(network)[0], initial)

    def carry_on(
        self,
        network: Network,
        surroundings: Surroundings,
        since_s: float,
        state: FloatArray,
        out: NDArray[Any],
        columns: IntArray | None = None,
    ) -> None:
        """Work out a case from a state at a time on, and fill `out` (r, c) with the last r output times.

        columns (c,): which volumes, all of them where they are not given. Raises SolverError.
        """
        plumbing, touched = assemble(network)
        outside = self._outside(surroundings, touched)
        cut = pieces(network, surroundings, outside, since_s, self.end_s)
        times = self.time_s[len(self.time_s) - len(out) :]
        whole = columns is None and out.dtype == np.float64
        found = out if whole else np.empty((len(out), len(network.node_names)))
        advance(network, plumbing, outside, cut, state.copy(), times, self.tolerance_pa, found)
        if not whole:
            out[:] = found if columns is None else found[:, columns]

    def rows_before(self, since_s: float) -> int:
        """How many output times lie before a time."""
        return int(np.searchsorted(self.time_s, since_s, "left"))

    def _outside(self, surroundings: Surroundings, touched: tuple[str, ...]) -> Outside:
        if surroundings is not self.surroundings:
            return outside_arrays(surroundings, touched, self.time_s[0], self.end_s)
        if touched not in self._outsides:
            self._outsides[touched] = outside_arrays(surroundings, touched, self.time_s[0], self.end_s)
        return self._outsides[touched]


def grow(
    network: Network,
    surroundings: Surroundings,
    output_s: ArrayLike,
    tolerance_pa: float,
    initial: ArrayLike | Inside,
) -> Stem:
    """Work out what cases branch off, from the air inside at the first output time. Raises SolverError."""
    times = np.array(output_s, dtype=np.float64)
    plumbing, touched = assemble(network)
    start = state_from(network, plumbing, initial)
    outside = outside_arrays(surroundings, touched, times[0], times[-1])
    cut = pieces(network, surroundings, outside, float(times[0]), float(times[-1]))
    pressure = np.empty((len(times), len(network.node_names)))
    advance(network, plumbing, outside, cut, start.copy(), times, tolerance_pa, pressure)
    outsides = {touched: outside}
    return Stem(network, surroundings, times, tolerance_pa, start, pressure, plumbing, outside, cut, outsides)
