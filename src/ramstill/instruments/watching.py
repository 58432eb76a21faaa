"""What the pointers show, a little at a time: for a pilot who acts on it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

import numpy as np

from ramstill.instruments.panel import read
from ramstill.instruments.pointers import pointers_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments.edits import PointerEdit
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics import Network


class Watching:
    """The panel of one airplane, looked at again and again."""

    def __init__(
        self,
        airplane: Airplane,
        network: Network,
        setting_pa: float,
        edits: Iterable[PointerEdit] = (),
    ) -> None:
        self.airplane, self.network, self.edits = airplane, network, tuple(edits)
        self.names = tuple(pointer.name for pointer in pointers_of(airplane))
        self.setting_pa = float(setting_pa)
        self._seen: list[tuple[float, Array, Mapping[str, float] | None, float, float, float]] = []

    def set_altimeter(self, setting_pa: float) -> None:
        """Set all settings to this [Pa]."""
        self.setting_pa = float(setting_pa)

    def show(
        self,
        time_s: float,
        pressure_pa: Array,
        outside_pa: Mapping[str, float] | None = None,
        load_factor: float = 1.0,
        power: float = 0.0,
    ) -> Array:
        """What every pointer shows, in the order of `names`, SI; NaN for nothing."""
        from ramstill.pneumatics import Truth

        seen = (float(time_s), np.array(pressure_pa), outside_pa, load_factor, power, self.setting_pa)
        self._seen.append(seen)
        times = np.array([s[0] for s in self._seen])
        pressure = np.array([s[1] for s in self._seen])
        load, engine, setting = np.array([s[3:] for s in self._seen]).T
        truth = Truth.steady(times, load_factor=load, power=engine)
        there = {name: pressure[:, i] for i, name in enumerate(self.network.node_names)}
        beyond = {k: np.array([(s[2] or {}).get(k, np.nan) for s in self._seen]) for k in outside_pa or {}}
        shown = read(
            self.airplane,
            times,
            there,
            setting,
            self.edits,
            truth=truth,
            network=self.network,
            outside_pa=beyond,
        )
        return np.array([shown[name][-1] for name in self.names])

    def state(self) -> object:
        """How everything stands now."""
        return (tuple(self._seen), self.setting_pa, self.edits, self.network)

    def restore(self, state: object) -> None:
        """Stand again as it did."""
        seen, self.setting_pa, self.edits, self.network = state  # type: ignore[misc]
        self._seen = list(seen)
