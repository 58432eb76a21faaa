"""What the pilot sees and when: each look takes the pointers as they stand, and is known a reaction later.

Importing this brings Numba in: import it inside the function that flies.
"""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass
from math import isnan
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, KT
from ramstill.errors import InputError
from ramstill.flight.pilots import cues
from ramstill.flight.pilots.table import BY_AIRSPEED
from ramstill.instruments import pointers_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.pilots.table import PilotPlan
    from ramstill.instruments import Pointer

Array = NDArray[np.float64]

# How far one reading of a needle is off, one standard deviation: common practice, no source.
READ_SPEED, READ_ALTITUDE, READ_RATE = 0.4 * KT, 2.0 * FT, 20.0 * FPM
TREND_S = 3.0  # over which a pilot judges how a needle moves [s]


@dataclass(frozen=True, slots=True)
class Followed:
    """Which pointers are followed and compared, as places among all of them; -1 where there is none."""

    airspeed: int
    altimeter: int
    rate: int
    other_airspeed: int
    other_altimeter: int
    encoder: int
    rate_most: float
    """what the vertical speed indicator shows at most [m/s]"""


def followed(airplane: Airplane, plan: PilotPlan, source: str) -> Followed:
    """Find what the pilot follows. Raises InputError where it is missing or of the wrong kind."""
    pointers = pointers_of(airplane)
    airspeed = _named(pointers, plan.airspeed_indicator, "airspeed", source, "airspeed_indicator")
    altimeter = _named(pointers, plan.altimeter, "altitude", source, "altimeter")
    if plan.style in BY_AIRSPEED and airspeed < 0:
        allowed = "an airplane with an airspeed indicator, or another style"
        raise InputError(source, "pilot.style", f"{plan.style} in {airplane.name}, which shows none", allowed)
    by_altitude = plan.style in ("by-altitude", "altitude-hold", "cross-check")
    asked = any(getattr(task, "to", None) is not None for task in plan.task)
    if (by_altitude or asked) and altimeter < 0:
        allowed = "an airplane with an altimeter, or tasks with a duration"
        raise InputError(source, "pilot.style", f"{plan.style} in {airplane.name}, which has none", allowed)
    rate = _other(pointers, "vertical-speed", -1, ("variometer",))
    most = getattr(pointers[rate].instrument, "full_scale", None) if rate >= 0 else None
    return Followed(
        airspeed,
        altimeter,
        rate,
        _other(pointers, "airspeed", airspeed),
        _other(pointers, "altitude", altimeter, ("encoder",)),
        next((i for i, p in enumerate(pointers) if p.kind == "encoder"), -1),
        np.inf if most is None else float(most),
    )


def _named(pointers: tuple[Pointer, ...], name: str | None, shows: str, source: str, field: str) -> int:
    able = [i for i, p in enumerate(pointers) if p.shows == shows and p.kind != "encoder"]
    if name is None:
        return able[0] if able else -1
    for i in able:
        if name in (pointers[i].name, pointers[i].instrument.name):
            return i
    there = next((p for p in pointers if name in (p.name, p.instrument.name)), None)
    what = {"airspeed": "an airspeed", "altitude": "an altitude"}[shows]
    read = f'"{name}"' if there is None else f'"{name}", a {there.kind}'
    listed = ", ".join(pointers[i].name for i in able) or "none in this airplane"
    raise InputError(source, f"pilot.{field}", read, f"an instrument that shows {what}: {listed}")


def _other(pointers: tuple[Pointer, ...], shows: str, than: int, but: tuple[str, ...] = ()) -> int:
    found = (i for i, p in enumerate(pointers) if p.shows == shows and i != than and p.kind not in but)
    return next(found, -1)


class Look(NamedTuple):
    """One look around: when [s], airspeed [m/s], altitude [m] and all else that is compared (15,)."""

    at_s: float
    airspeed: float
    altitude: float
    seen: Array


class Eyes:
    """Looks every so often; what was seen becomes known after the reaction time."""

    def __init__(self, plan: PilotPlan, speed: float, altitude: float) -> None:
        self.scan_s, self.reaction_s = plan.scan, plan.reaction
        self._noise = np.random.default_rng(plan.seed)
        self._coming: deque[Look] = deque()
        self._next_s = 0.0
        self.airspeed, self.airspeed_trend = speed, 0.0
        self.altitude, self.altitude_trend = altitude, 0.0
        self.airspeed_there = self.altitude_there = True
        self._last: Look | None = None

    def due(self, at_s: float) -> bool:
        """Whether it is time to look."""
        return at_s >= self._next_s - 1e-9

    def look(self, at_s: float, airspeed: float, altitude: float, seen: Array) -> None:
        """Take everything in; a needle is read a little off, as the seed has it."""
        a, b, c = self._noise.standard_normal(3).tolist()
        airspeed, altitude = airspeed + READ_SPEED * a, altitude + READ_ALTITUDE * b
        seen = seen.copy()
        seen[cues.CAS], seen[cues.ALTITUDE] = airspeed, altitude
        seen[cues.OTHER_RATE] += READ_RATE * c
        self._coming.append(Look(at_s, airspeed, altitude, seen))
        self._next_s += self.scan_s

    def know(self, at_s: float) -> Look | None:
        """What has just become known, or None. A needle that shows nothing leaves what was known before."""
        if not self._coming or self._coming[0].at_s + self.reaction_s > at_s + 1e-9:
            return None
        look, before = self._coming.popleft(), self._last
        if before is not None:
            span = look.at_s - before.at_s
            share = min(span / TREND_S, 1.0)
            if not isnan(look.airspeed - before.airspeed):
                trend = (look.airspeed - before.airspeed) / span
                self.airspeed_trend += share * (trend - self.airspeed_trend)
            if not isnan(look.altitude - before.altitude):
                trend = (look.altitude - before.altitude) / span
                self.altitude_trend += share * (trend - self.altitude_trend)
        self.airspeed_there, self.altitude_there = not isnan(look.airspeed), not isnan(look.altitude)
        if self.airspeed_there:
            self.airspeed = look.airspeed
        if self.altitude_there:
            self.altitude = look.altitude
        self._last = look
        return look
