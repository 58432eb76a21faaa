"""A run that others branch off: worked out once, and carried on by each of them from where it differs."""

from dataclasses import dataclass, field
from math import inf
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.pneumatics.alike import alike_until
from ramstill.pneumatics.assembly import assemble, outside_arrays, pieces
from ramstill.pneumatics.integrate import Inside, advance, asked_for, state_from
from ramstill.pneumatics.network import FloatArray, IntArray, Network
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.surroundings import Surroundings


@dataclass(frozen=True, slots=True, eq=False)
class Stem:
    """One network in its surroundings, from which cases branch off.

    time_s (t,): output times [s], the first where the run starts; states (t, 2 n + s): the kernel's at these;
    pressure_pa (t, n) [Pa].
    """

    network: Network
    surroundings: Surroundings
    time_s: FloatArray
    tolerance_pa: float
    states: FloatArray
    pressure_pa: FloatArray
    _outsides: dict[tuple[str, ...], Outside] = field(default_factory=dict)

    def rows_alike(self, network: Network, surroundings: Surroundings) -> int:
        """At how many output times a case is still as the stem is: 0 where it starts otherwise, t for all."""
        since = alike_until(network, surroundings, self.network, self.surroundings)
        if since == -inf or since < self.time_s[0]:
            return 0
        return int(np.searchsorted(self.time_s, since, "right"))

    def carry_on(
        self,
        network: Network,
        surroundings: Surroundings,
        row: int,
        out: NDArray[Any],
        columns: IntArray | None = None,
        initial: ArrayLike | Inside | None = None,
    ) -> None:
        """Work out a case from the last of its `row` rows that are alike, and fill `out` (t - row, c).

        columns (c,): which volumes, all of them where they are not given. initial: the air at the first
        output time for a case that has none alike. Raises SolverError, ValueError.
        """
        plumbing, touched = assemble(network)
        if row:
            state, since = self.states[row - 1].copy(), float(self.time_s[row - 1])
        elif initial is None:
            raise ValueError("a case that starts otherwise needs its own air")
        else:
            state, since = state_from(network, plumbing, initial), float(self.time_s[0])
        outside = self._outside(surroundings, touched)
        cut = pieces(network, surroundings, outside, since, float(self.time_s[-1]))
        times, tolerance = self.time_s[row:], self.tolerance_pa
        advance(network, plumbing, outside, cut, state, times, tolerance, out, columns=columns)

    def _outside(self, surroundings: Surroundings, touched: tuple[str, ...]) -> Outside:
        start, end = float(self.time_s[0]), float(self.time_s[-1])
        if surroundings is not self.surroundings:
            return outside_arrays(surroundings, touched, start, end)
        if touched not in self._outsides:
            self._outsides[touched] = outside_arrays(surroundings, touched, start, end)
        return self._outsides[touched]


def grow(
    network: Network,
    surroundings: Surroundings,
    output_s: ArrayLike,
    tolerance_pa: float,
    initial: ArrayLike | Inside,
) -> Stem:
    """Work out what cases branch off, from the air inside at the first output time. Raises SolverError,
    ValueError."""
    times = asked_for(output_s, tolerance_pa)
    plumbing, touched = assemble(network)
    state = state_from(network, plumbing, initial)
    outside = outside_arrays(surroundings, touched, times[0], times[-1])
    cut = pieces(network, surroundings, outside, float(times[0]), float(times[-1]))
    states = np.empty((len(times), len(state)))
    advance(network, plumbing, outside, cut, state, times, tolerance_pa, states)
    pressure = states[:, : len(network.node_names)].copy()
    return Stem(network, surroundings, times, tolerance_pa, states, pressure, {touched: outside})
