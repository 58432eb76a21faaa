"""One moment of a flight: the air outside each opening, what is true, and how it came there."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TYPE_CHECKING, Protocol

import numpy as np
from numpy.typing import NDArray

from ramstill.faults.unfolding import EVERY_S, held_on
from ramstill.flight.hand import STEP_S, STEPS_A_SECOND

if TYPE_CHECKING:
    from ramstill.pneumatics import Schedule, Truth

Array = NDArray[np.float64]
TICKS_A_SECOND, TICK_S = STEPS_A_SECOND, STEP_S  # a hand at levers moves once a tick
NOTHING_SHUT: Mapping[str, Schedule] = MappingProxyType({})


def time_of(tick: int, start_s: float = 0.0) -> float:
    """When a tick is [s]: the same double as its decimals read back from a file."""
    return start_s + tick / TICKS_A_SECOND


def nearest_tick(time_s: float, start_s: float = 0.0) -> int:
    """The tick nearest to a time [s]."""
    return round((time_s - start_s) * TICKS_A_SECOND)


class Met(Protocol):
    """What the flight has met, for what depends on the path: ice."""

    @property
    def known(self) -> bool:
        """To the end, so that it need not be asked again."""

    def upto(self, moment: Moment) -> Truth:
        """What was met up to a moment, and after it what is taken to come."""


@dataclass(frozen=True, slots=True, eq=False)
class MetAll:
    """Of a flight that is known to its end."""

    truth: Truth
    known: bool = True

    def upto(self, moment: Moment) -> Truth:
        """All of it."""
        return self.truth


@dataclass(frozen=True, slots=True, eq=False)
class MetSoFar:
    """Of a flight that is being flown: one row a second, and those before it; none is ever changed."""

    row: tuple[float, ...]
    before: MetSoFar | None = None
    known: bool = False

    def upto(self, moment: Moment) -> Truth:
        """The rows, the moment, and then the same for some seconds."""
        rows, one = [row_of(moment.time_s, moment.truth)], MetSoFar(self.row, self.before)
        while True:
            if one.row[0] < rows[-1][0]:
                rows.append(one.row)
            if one.before is None:
                break
            one = one.before
        table = np.array(rows[::-1]).T
        met = dict(zip(_MET, table[1:], strict=True))
        return held_on(table[0], met, moment.time_s + 2.0 * EVERY_S)


_MET = ("tas_m_s", "outside_temperature_k", "static_pressure_pa", "impact_pressure_pa")


def row_of(time_s: float, truth: Mapping[str, float]) -> tuple[float, ...]:
    """A row of `MetSoFar`."""
    return time_s, *(truth[name] for name in _MET)


@dataclass(frozen=True, slots=True, eq=False)
class Bend:
    """A time [s] at which the air outside jumps or turns: pressures [Pa], slopes [Pa/s] either side, (b,)."""

    time_s: float
    before_pa: Array
    slope_before_pa_s: Array
    after_pa: Array
    slope_after_pa_s: Array


@dataclass(frozen=True, slots=True, eq=False)
class Moment:
    """How it is outside at one tick. Nothing in it is to be changed.

    time_s, next_s: when it is, and when the next tick will be [s]; outside_pa (b,): at each boundary [Pa];
    truth: the quantities of `pneumatics.Truth`, SI; phase: what is being flown; met: for ice; slope_pa_s
    (b,): how the air outside moves on arrival [Pa/s], of the first moment how it leaves, None for a straight
    line from the moment before; bends: jumps and turns since then; openness: how far openings are left open
    from outside.
    """

    time_s: float
    next_s: float
    outside_pa: Array
    truth: Mapping[str, float]
    phase: str
    met: Met
    slope_pa_s: Array | None = None
    bends: tuple[Bend, ...] = ()
    openness: Mapping[str, Schedule] = field(default_factory=lambda: NOTHING_SHUT)
