"""Faults while the flight is not over: what they do next follows from what was met so far.

`apply` puts faults into surroundings that are known to their end. Where the next second is not known, the
network is worked out from what was met, and again when something has changed.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import P0
from ramstill.faults.applying import check
from ramstill.faults.fault import Fault
from ramstill.faults.listing import catalogue
from ramstill.faults.state import State

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import PointerEdit
    from ramstill.pneumatics import Network, Schedule, Truth

Array = NDArray[np.float64]
BY_THE_PATH = ("pitot-icing", "static-icing")  # what these shut follows from the air flown through
EVERY_S = 5.0  # how often ice is looked at again [s]; until then it goes on as in the same flight
ALTERNATE, HEAT_OFF = "alternate-static-open", "heat-left-off"
BY_HAND = (ALTERNATE, HEAT_OFF)  # what is switched in the cockpit, and is no defect


@dataclass(frozen=True, slots=True)
class Noting(State):
    """The faults' state, but changes of the pressures outside are noted and not worked out."""

    changes: tuple[tuple[str, Callable[[Any], Any], Schedule], ...] = ()

    def pressure(self, boundary: str, change: Callable[[Any], Any], share: Schedule) -> Noting:
        """Note a change of the pressure at a boundary."""
        return replace(self, changes=(*self.changes, (boundary, change, share)))


@dataclass(frozen=True, slots=True)
class Unfolded:
    """An airplane's air with its faults, as far as they can be known.

    network: with everything in it; edits: of the instruments' own parts; changes: for each boundary that sees
    another pressure its column, what makes the change [Pa] of an object with `static_pressure_pa` and
    `impact_pressure_pa`, and its share over time.
    """

    network: Network
    edits: tuple[PointerEdit, ...] = ()
    changes: tuple[tuple[int, Callable[[Any], Any], Schedule], ...] = ()

    def outside(
        self, at_s: float, static_pa: float, impact_pa: float, outside_pa: Array, before: bool = False
    ) -> None:
        """Put what the faults change of the pressures outside (b,) [Pa] into them, at a time [s].

        before: as it is just before that time, where a fault comes or goes at once.
        """
        if not self.changes:
            return
        met = SimpleNamespace(static_pressure_pa=static_pa, impact_pressure_pa=impact_pa)
        for column, change, share in self.changes:
            at = float(share.at_left(at_s)) if before else share.at(at_s)
            outside_pa[column] += float(change(met)) * at

    def jumps(self, at_s: float) -> bool:
        """Whether a change of the pressures outside comes or goes at once at a time [s]."""
        return any(float(share.at_left(at_s)) != share.at(at_s) for _, _, share in self.changes)


def unfold(
    plane: Airplane, healthy: Network, faults: Iterable[Fault], met: Truth, source: str = ""
) -> Unfolded:
    """Put `faults` into the network of an airplane.

    met: what was met so far, and after that what is taken to come: only ice asks for it. Raises InputError as
    `check` does.
    """
    from ramstill.pneumatics import Surroundings

    names = healthy.boundary_names
    same = np.full((len(met.time_s), len(names)), P0)  # what faults change of it is noted only
    around = Surroundings(met.time_s, names, same, np.zeros_like(same), np.zeros_like(same), met)
    state: Any = Noting(plane, replace(healthy), around)
    checked = [(fault, *check(fault, plane, source)) for fault in faults]
    for fault, entry, place, size in sorted(checked, key=lambda one: not one[1].first):
        state = entry.build(state, place, fault.schedule(), size)
    changes = tuple((names.index(name), change, share) for name, change, share in state.changes)
    return Unfolded(state.network, state.pointer_edits, changes)


def follows_the_path(faults: Iterable[Fault]) -> bool:
    """Whether what any of the faults does depends on the air flown through, as ice does."""
    return any(fault.name in BY_THE_PATH for fault in faults)


def held_on(times: Array, values: Mapping[str, Array], until_s: float) -> Truth:
    """What was met at times (k,) [s], going on as it is at the last of them until a later time [s].

    values: quantities of a `Truth`, (k,) each.
    """
    from ramstill.pneumatics import Truth

    longer = {name: np.append(value, value[-1]) for name, value in values.items()}
    return Truth.steady(np.append(times, until_s), load_factor=1.0, **longer)


def with_heat_on(faults: tuple[Fault, ...], at_s: float) -> tuple[Fault, ...]:
    """The faults once heat that was left off is switched on; the same ones where it was on."""
    off = [fault.name == HEAT_OFF and fault.end_s is None for fault in faults]
    if not any(off):
        return faults
    return tuple(
        replace(fault, end_s=max(at_s, fault.onset_s + 1e-3)) if cold else fault
        for fault, cold in zip(faults, off, strict=True)
    )


def alternates(plane: Airplane) -> tuple[str, ...]:
    """The alternate static sources that can be opened, by name."""
    return tuple(catalogue()[ALTERNATE].places(plane))
