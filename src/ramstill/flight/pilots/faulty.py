"""The faults while the flight is being flown, and what the pilot does about them."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.faults import Fault
from ramstill.faults.unfolding import (
    ALTERNATE,
    EVERY_S,
    Unfolded,
    alternates,
    follows_the_path,
    held_on,
    unfold,
    with_heat_on,
)
from ramstill.flight.pilots.onward import ROW_STATE
from ramstill.flight.point_mass import IMPACT, SPEED, STATIC, TEMPERATURE

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import PointerEdit
    from ramstill.pneumatics import Network

Array = NDArray[np.float64]


class Faulty:
    """The airplane with its faults, and with what the pilot does about them, as far as is flown."""

    def __init__(self, plane: Airplane, healthy: Network, faults: tuple[Fault, ...], source: str) -> None:
        self.plane, self.healthy, self.source = plane, healthy, source
        self.faults = faults
        self._unfolded = Unfolded(healthy)
        self._next_s = 0.0 if follows_the_path(faults) else np.inf

    @property
    def edits(self) -> tuple[PointerEdit, ...]:
        """Those of the instruments' own parts."""
        return self._unfolded.edits

    def network(self, time_s: Array, rows: Array) -> Network:
        """The network with everything in it; rows (k, ROW) of the flight so far on time_s (k,)."""
        now = float(time_s[-1])
        step = max(round(1.0 / float(time_s[1] - time_s[0])), 1) if len(time_s) > 1 else 1
        picked = np.append(np.arange(0, len(time_s) - 1, step), len(time_s) - 1)
        met = {
            "tas_m_s": rows[picked, ROW_STATE + SPEED],
            "outside_temperature_k": rows[picked, TEMPERATURE],
            "static_pressure_pa": rows[picked, STATIC],
            "impact_pressure_pa": rows[picked, IMPACT],
        }
        so_far = held_on(time_s[picked], met, now + 2.0 * EVERY_S)
        self._unfolded = unfold(self.plane, self.healthy, self.faults, so_far, self.source)
        if self._next_s < np.inf:
            self._next_s = now + EVERY_S
        return self._unfolded.network

    def due(self, at_s: float) -> bool:
        """Whether the network is to be worked out again at a time."""
        return at_s >= self._next_s - 1e-9

    def outside(self, at_s: float, row: Array, outside_pa: Array) -> None:
        """Put what the faults change of the pressures outside (b,) [Pa] into them."""
        self._unfolded.outside(float(at_s), row[STATIC], row[IMPACT], outside_pa)

    def heat_on(self, at_s: float) -> bool:
        """Switch heat that was left off on; False where it was on."""
        before, self.faults = self.faults, with_heat_on(self.faults, at_s)
        return self.faults is not before

    def alternate_open(self, at_s: float) -> bool:
        """Open the alternate static source; False where there is none, or it is open."""
        there = alternates(self.plane)
        if not there or any(fault.name == ALTERNATE for fault in self.faults):
            return False
        self.faults = (*self.faults, *(Fault(ALTERNATE, where=name, onset_s=at_s) for name in there))
        return True
