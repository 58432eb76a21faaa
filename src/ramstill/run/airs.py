"""The air inside without some of the parts of an error: which runs of the engine an account needs, each once.

A case says which parts are there. Two cases in which all that has a way to a tapping is the same have the
same pressure there, whatever else differs, so that is worked out once.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ramstill.errors import InputError
from ramstill.run.outside_without import Outside, ever_open, reach
from ramstill.run.parts import sorted_faults
from ramstill.run.record import FloatArray, Run

if TYPE_CHECKING:
    from ramstill.faults import Applied
    from ramstill.pneumatics import Network, Stem, Surroundings

MOST_SETTLED = 120  # rows that are settled each
BACK_S = 0.05  # over so long the rate of a settled pressure is taken [s]


class Case(NamedTuple):
    """Which parts are there: what the ram and the still openings are given, the cabin's own pressure, and
    which faults (places among `sorted_faults`).
    """

    ram: bool
    still: bool
    cabin: bool
    faults: frozenset[int]


@dataclass(frozen=True, eq=False)
class Air:
    """One case worked out: its network in its surroundings, and every pressure inside [Pa], (t, n)."""

    network: Network
    around: Surroundings
    time_s: FloatArray
    pressure_pa: FloatArray
    lift_pa: FloatArray

    def column(self, tapping: str) -> FloatArray:
        """The pressure at a tapping [Pa], (t,)."""
        return np.asarray(self.pressure_pa[:, self.network.node_names.index(tapping)])

    @cached_property
    def _opened(self) -> Network:
        from ramstill.pneumatics.assembly import open_shares

        return replace(self.network, openness=open_shares(self.network, self.around))

    @cached_property
    def _settled(self) -> dict[tuple[int, float], FloatArray]:
        return {}

    def settled(self, rows: Sequence[int]) -> FloatArray:
        """All pressures once nothing is late any more [Pa], (k, n): the outside held as it is at each row.

        What is shut off keeps the air that it has. Of many rows only some are settled (`some`); between them
        what is late is taken in straight lines.
        """
        some = self.some(rows)
        settled = self.settled_each(some)
        if len(some) == len(rows):
            return settled
        late, times = settled - self.pressure_pa[some], self.time_s
        between = (np.interp(times[list(rows)], times[some], column) for column in late.T)
        return np.asarray(self.pressure_pa[list(rows)] + np.stack(list(between), axis=1))

    def settled_each(self, rows: Sequence[int], back_s: float = 0.0) -> FloatArray:
        """The same at every row; back_s: with the outside as it was so much earlier [s]."""
        wanted = [row for row in rows if (row, back_s) not in self._settled]
        if wanted:
            from ramstill.pneumatics.equilibrium import settle_each

            times = self.time_s[wanted] - back_s
            columns = [self.around.column(name) for name in self.network.boundary_names]
            held = self.around.at(times)[:, columns] + self.lift_pa[wanted, None]
            found = settle_each(self._opened, held, self.pressure_pa[wanted], times)
            for row, there in zip(wanted, found, strict=True):
                self._settled[row, back_s] = there
        return np.stack([self._settled[row, back_s] for row in rows])

    def some(self, rows: Sequence[int]) -> list[int]:
        """Rows that are settled: all of a few; of many some, with those beside what opens and shuts."""
        if len(rows) <= MOST_SETTLED:
            return list(rows)
        even = np.asarray(rows)[np.linspace(0, len(rows) - 1, MOST_SETTLED).astype(int)]
        knots = [t for share in self._opened.openness if share is not None for t in share.knots]
        after = np.searchsorted(self.time_s[list(rows)], sorted(set(knots)))
        beside = {int(i) for i in (*after, *(after - 1)) if 0 <= i < len(rows)}
        return sorted({*even.tolist(), *(rows[i] for i in beside)})


class Airs:
    """The air of each case of a run, up to a row of its time; worked out when it is asked for."""

    def __init__(self, run: Run, last: int) -> None:
        self.run = run
        self.faults = sorted_faults(run)
        self.time_s = run.time_s[: last + 1]
        self.outside = Outside(run)
        self.complete = Case(True, True, True, frozenset(range(len(self.faults))))
        self.lift_pa = self.outside.lift(self.time_s)
        self._applied: dict[Case, Applied] = {}
        self._stems: dict[tuple[bool, bool, bool], Stem] = {}
        self._airs: dict[Case, Air] = {self.complete: self._complete()}
        self._keys: dict[tuple[Case, str], object] = {}
        self._known: dict[object, Case] = {}

    def applied(self, case: Case) -> Applied:
        """The airplane's air, surroundings and pointers in a case."""
        if case == self.complete:
            return self.run.applied
        if case not in self._applied:
            from ramstill.faults import apply

            faults = [fault for i, fault in enumerate(self.faults) if i in case.faults]
            base = self.outside.variant(case.ram, case.still)
            made = apply(faults, self.run.airplane, self.outside.healthy, base)
            if not case.cabin:
                made = replace(made, surroundings=self.outside.without_cabin(made.surroundings))
            self._applied[case] = made
        return self._applied[case]

    def key(self, case: Case, tapping: str) -> object:
        """Something that is the same for two cases if all that has a way to a tapping is."""
        if (case, tapping) not in self._keys:
            made = self.applied(case)
            end = float(self.time_s[-1])
            content = reach(made.network, made.surroundings, tapping, end)
            self._keys[case, tapping] = content
            if case == self.complete:
                self._known.setdefault(content, case)
        return self._keys[case, tapping]

    def air(self, case: Case, tapping: str) -> Air:
        """The air in which the pressure at a tapping is that of a case; the same object for the same air."""
        self.key(self.complete, tapping)
        content = self.key(case, tapping)
        if content not in self._known:
            self._known[content] = case
        stands_for = self._known[content]
        if stands_for not in self._airs:
            self._airs[stands_for] = self._worked(stands_for)
            for known, other in list(self._keys):
                if known == stands_for:  # what else was asked about it is worked out now, too
                    self._known.setdefault(self._keys[known, other], stands_for)
        return self._airs[stands_for]

    def reaches_inside(self, tappings: Iterable[str]) -> bool:
        """Whether cabin or wing bay ever have a way to one of some tappings, whatever faults are there."""
        names = set(self.outside.inside)
        whole = self.complete
        some = [whole, whole._replace(faults=frozenset())]
        some += [whole._replace(faults=frozenset([i])) for i in whole.faults]
        end = float(self.time_s[-1])
        for case in some:
            made = self.applied(case)
            for tapping in tappings:
                if names & ever_open(made.network, made.surroundings, tapping, end).boundaries:
                    return True
        return False

    def _complete(self) -> Air:
        run, rows = self.run, len(self.time_s)
        there = [run.pressure_pa[name][:rows] for name in run.applied.network.node_names]
        made = run.applied
        return Air(made.network, made.surroundings, self.time_s, np.stack(there, axis=1), self.lift_pa)

    def _worked(self, case: Case) -> Air:
        from ramstill.pneumatics import SolverError
        from ramstill.run.preparing import start_inside

        made, tolerance = self.applied(case), self.run.tolerance_pa
        stem = self._stem(case)
        network, around = made.network, made.surroundings
        rows = stem.rows_alike(network, around)
        pressure = stem.pressure_pa
        if rows < len(self.time_s):
            pressure = pressure.copy()
            try:
                own = None if rows else start_inside(network, around, self.outside.healthy, tolerance)
                stem.carry_on(network, around, rows, pressure[rows:], None, own)
            except SolverError as error:  # pragma: no cover - it went with more parts in it
                raise InputError(self.run.airplane.name, "account", str(error), "a real system") from None
        return Air(network, around, self.time_s, pressure, self.lift_pa)

    def _stem(self, case: Case) -> Stem:
        """The healthy airplane given what it is given in a case; cases with faults branch off it."""
        name = (case.ram, case.still, case.cabin)
        if name not in self._stems:
            from ramstill.pneumatics import grow
            from ramstill.run.preparing import start_inside

            tolerance: Any = self.run.tolerance_pa
            around = self.outside.variant(case.ram, case.still)
            if not case.cabin:
                around = self.outside.without_cabin(around)
            healthy = self.outside.healthy
            start = start_inside(healthy, around, healthy, tolerance)
            self._stems[name] = grow(healthy, around, self.time_s, tolerance, start)
        return self._stems[name]
