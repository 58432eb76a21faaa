"""What the pointers ought to show, tick by tick."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.air.constants import G0
from ramstill.instruments import quantity_for
from ramstill.live.world.moment import Array, Moment

if TYPE_CHECKING:
    from ramstill.instruments import Pointer


class Truths:
    """See `instruments.truth_for`; what speed adds to a total-energy variometer is that of the last tick."""

    def __init__(self, pointers: tuple[Pointer, ...]) -> None:
        self._of = [(quantity_for(pointer), pointer.compensated) for pointer in pointers]
        self._energy = any(pointer.compensated for pointer in pointers)
        self._last = (0.0, 0.0)  # the speed's height [m] a tick ago, and what it gained in a second [m/s]

    def at(self, moment: Moment) -> Array:
        """What each ought to show, SI (p,), at the moment after the last one; the first has no rate."""
        if self._energy:
            height = moment.truth["tas_m_s"] ** 2 / (2.0 * G0)
            before = self._last[0] or height
            self._last = height, (height - before) / (moment.next_s - moment.time_s)
        return self._now(moment)

    def _now(self, moment: Moment) -> Array:
        gained = self._last[1]
        return np.array([moment.truth[name] + (gained if energy else 0.0) for name, energy in self._of])

    def state(self) -> tuple[float, float]:
        """How it stands."""
        return self._last

    def restore(self, state: tuple[float, float], moment: Moment) -> Array:
        """Stand as it stood at a moment, and what each ought to show then."""
        self._last = state
        return self._now(moment)
