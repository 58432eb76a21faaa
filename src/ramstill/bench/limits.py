"""Limits that protect instruments: which one was passed, when, and by how much.

A training and planning aid, not approved data: the limits are those of the airplane file. System tests belong
to appropriately rated people with the manufacturer's manual and the local rules.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill import air
from ramstill.air.constants import P0
from ramstill.instruments.airspeed import airspeed_from_difference
from ramstill.instruments.altimeter import LOWEST_M

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

Array = NDArray[np.float64]
# A pointer is on its stop when it is this close to it, as a share of its range.
ON_STOP = 1e-6
# An airspeed capsule is made for ram air inside it: a little suction is within its scale error.
# Common practice, no source.
BELOW_ZERO_KT = 5.0


@dataclass(frozen=True, slots=True)
class Passed:
    """One limit passed once: from `from_s` to `until_s` [s], `worst` and `limit` in SI (m/s or m)."""

    instrument: str
    limit_name: str
    from_s: float
    until_s: float
    worst: float
    limit: float


@dataclass(frozen=True, slots=True)
class _Watch:
    instrument: str
    name: str
    value: Array
    limit: float
    above: bool
    at_stop: bool = False


@dataclass(frozen=True, slots=True)
class Near:
    """How near an instrument is to one of its limits: value and limit in SI (m/s or m)."""

    instrument: str
    limit_name: str
    value: float
    limit: float

    @property
    def share(self) -> float:
        """Of the way from zero to the limit: 0 on the other side of zero, above 1 beyond the limit."""
        return max(self.value / self.limit, 0.0)


def near(
    airplane: Airplane, pointers: Mapping[str, float], pressure_pa: Mapping[str, float] | None = None
) -> tuple[Near, ...]:
    """Return how near every instrument is to each of its limits at one moment: see `passed`.

    pointers: what each shows [m/s or m], by name; pressure_pa: at the tappings [Pa].
    """
    return tuple(
        Near(instrument.name, watch.name, float(watch.value), watch.limit)
        for instrument in airplane.instruments
        if instrument.name in pointers
        for watch in _watches(instrument, np.asarray(pointers[instrument.name]), pressure_pa or {})
    )


def passed(
    airplane: Airplane,
    time_s: ArrayLike,
    pointers: Mapping[str, ArrayLike],
    pressure_pa: Mapping[str, ArrayLike] | None = None,
) -> tuple[Passed, ...]:
    """Return every limit that was passed, in order of time.

    time_s (t,) [s]; pointers: what each instrument shows, (t,) [m/s or m], by name; pressure_pa: at the
    tappings, (t,) [Pa]. A pointer tells no more than its stop; where the pressures are given, what the
    capsule really feels is used instead, for it is bent by that and not by what the pointer can show. Limits:
    top mark of an airspeed indicator and less than zero (by 5 kt); ends of an altimeter's range; full scale
    of a vertical speed indicator, either way.
    """
    time = np.asarray(time_s, dtype=np.float64)
    found: list[Passed] = []
    for instrument in airplane.instruments:
        if instrument.name not in pointers:
            continue
        shown = np.asarray(pointers[instrument.name], dtype=np.float64)
        for watch in _watches(instrument, shown, pressure_pa or {}):
            found += _spells(watch, time)
    return tuple(sorted(found, key=lambda p: (p.from_s, p.instrument)))


def _watches(instrument: Any, shown: Array, pressure: Mapping[str, Any]) -> Iterator[_Watch]:
    name = instrument.name

    def at(port: str) -> Array:
        return np.asarray(pressure[f"{name}.{port}"], dtype=np.float64)

    if instrument.kind == "airspeed-indicator":
        felt = f"{name}.pitot" in pressure and f"{name}.static" in pressure
        value = airspeed_from_difference(at("pitot") - at("static")) if felt else shown
        yield _Watch(name, "top mark", value, instrument.top_mark, above=True, at_stop=not felt)
        yield _Watch(name, "below zero", value, -BELOW_ZERO_KT * air.units.KT, above=False)
    elif instrument.kind == "altimeter":
        # the mechanism's range is one of pressure altitude: the setting turns the scale, not the capsules
        felt = f"{name}.static" in pressure
        value = np.asarray(air.pressure_altitude(at("static"))) if felt else shown
        lowest = (
            LOWEST_M + float(air.pressure_altitude(max(P0, instrument.setting_highest))) if felt else LOWEST_M
        )
        yield _Watch(name, "top of the range", value, instrument.top_mark, above=True, at_stop=not felt)
        yield _Watch(name, "bottom of the range", value, lowest, above=False, at_stop=not felt)
    elif instrument.kind == "vertical-speed-indicator":
        yield _Watch(name, "full scale up", shown, instrument.full_scale, above=True, at_stop=True)
        yield _Watch(name, "full scale down", shown, -instrument.full_scale, above=False, at_stop=True)


def _spells(watch: _Watch, time: Array) -> list[Passed]:
    slack = -ON_STOP * abs(watch.limit) if watch.at_stop else 0.0
    limit = watch.limit
    over = watch.value > limit + slack if watch.above else watch.value < limit - slack
    edges = np.flatnonzero(np.diff(np.concatenate([[False], over, [False]]).astype(int)))
    worst = np.max if watch.above else np.min
    return [
        Passed(
            instrument=watch.instrument,
            limit_name=watch.name,
            from_s=float(time[first]),
            until_s=float(time[last - 1]),
            worst=float(worst(watch.value[first:last])),
            limit=limit,
        )
        for first, last in zip(edges[::2], edges[1::2], strict=True)
    ]
