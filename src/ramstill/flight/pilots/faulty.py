"""The faults while the flight is being flown: what they do next follows from the path so far."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import P0
from ramstill.faults import Fault, catalogue, check
from ramstill.faults.state import State
from ramstill.flight.pilots.onward import ROW_STATE
from ramstill.flight.point_mass import IMPACT, SPEED, STATIC, TEMPERATURE
from ramstill.pneumatics import Surroundings, Truth

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import PointerEdit
    from ramstill.pneumatics import Network, Schedule

Array = NDArray[np.float64]
BY_THE_PATH = ("pitot-icing", "static-icing")  # what these shut follows from the air flown through
EVERY_S = 5.0  # how often ice is looked at again [s]; until then it goes on as in the same flight
ALTERNATE, HEAT_OFF = "alternate-static-open", "heat-left-off"


@dataclass(frozen=True, slots=True)
class Noting(State):
    """The faults' state, but changes of the pressures outside are noted and not worked out."""

    changes: tuple[tuple[str, Callable[[Any], Any], Schedule], ...] = ()

    def pressure(self, boundary: str, change: Callable[[Any], Any], share: Schedule) -> Noting:
        """Note a change of the pressure at a boundary."""
        return replace(self, changes=(*self.changes, (boundary, change, share)))


class Faulty:
    """The airplane with its faults, and with what the pilot does about them, as far as is flown."""

    def __init__(self, plane: Airplane, healthy: Network, faults: tuple[Fault, ...], source: str) -> None:
        self.plane, self.healthy, self.source = plane, healthy, source
        self.faults = faults
        self.edits: tuple[PointerEdit, ...] = ()
        self._changes: list[tuple[int, Callable[[Any], Any], Schedule]] = []
        self._next_s = np.inf
        if any(fault.name in BY_THE_PATH for fault in faults):
            self._next_s = 0.0

    def network(self, time_s: Array, rows: Array) -> Network:
        """The network with everything in it; rows (k, ROW) of the flight so far on time_s (k,)."""
        now = float(time_s[-1])
        step = max(round(1.0 / float(time_s[1] - time_s[0])), 1) if len(time_s) > 1 else 1
        last = len(time_s) - 1
        picked = np.append(np.arange(0, last, step), [last, last])  # it goes on as it is
        times, held = np.append(time_s[picked[:-1]], now + 2.0 * EVERY_S), rows[picked]
        truth = Truth.steady(
            times,
            tas_m_s=held[:, ROW_STATE + SPEED],
            outside_temperature_k=held[:, TEMPERATURE],
            static_pressure_pa=held[:, STATIC],
            impact_pressure_pa=held[:, IMPACT],
            load_factor=1.0,
        )
        names = self.healthy.boundary_names
        same = np.full((len(times), len(names)), P0)  # what faults change of it is noted only
        around = Surroundings(times, names, same, np.zeros_like(same), np.zeros_like(same), truth)
        state: Any = Noting(self.plane, replace(self.healthy), around)
        checked = [(fault, *check(fault, self.plane, self.source)) for fault in self.faults]
        for fault, entry, place, size in sorted(checked, key=lambda one: not one[1].first):
            state = entry.build(state, place, fault.schedule(), size)
        self.edits = state.pointer_edits
        self._changes = [(names.index(name), change, share) for name, change, share in state.changes]
        if self._next_s < np.inf:
            self._next_s = now + EVERY_S
        network: Network = state.network
        return network

    def due(self, at_s: float) -> bool:
        """Whether the network is to be worked out again at a time."""
        return at_s >= self._next_s - 1e-9

    def outside(self, at_s: float, row: Array, outside_pa: Array) -> None:
        """Put what the faults change of the pressures outside (b,) [Pa] into them."""
        if self._changes:
            met = SimpleNamespace(static_pressure_pa=row[STATIC], impact_pressure_pa=row[IMPACT])
            for column, change, share in self._changes:
                outside_pa[column] += float(change(met)) * share.at(float(at_s))

    def heat_on(self, at_s: float) -> bool:
        """Switch heat that was left off on; False where it was on."""
        off = [fault.name == HEAT_OFF and fault.end_s is None for fault in self.faults]
        self.faults = tuple(
            replace(fault, end_s=max(at_s, fault.onset_s + 1e-3)) if cold else fault
            for fault, cold in zip(self.faults, off, strict=True)
        )
        return any(off)

    def alternate_open(self, at_s: float) -> bool:
        """Open the alternate static source; False where there is none, or it is open."""
        there = catalogue()[ALTERNATE].places(self.plane)
        if not there or any(fault.name == ALTERNATE for fault in self.faults):
            return False
        self.faults = (*self.faults, *(Fault(ALTERNATE, where=name, onset_s=at_s) for name in there))
        return True
