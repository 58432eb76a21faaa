"""The shape of each kind of step: pressure over time at one opening. Never to be done on a live airplane.

System tests belong to appropriately rated people with the manufacturer's manual and the local rules.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.atmosphere import log_pressure_unbounded
from ramstill.air.constants import P0
from ramstill.bench.programme import (
    BREATH_AIRSPEED,
    PULL_ALTITUDE,
    PULL_RATE,
    Breath,
    Finger,
    HandPump,
    Steady,
    TestSet,
)
from ramstill.pneumatics import Schedule

if TYPE_CHECKING:
    from ramstill.bench.programme import AnyApply

Array = NDArray[np.float64]
BREATH_RISE_S = 1.0
STROKE_SHARE = 0.6  # share of a stroke during which the pressure rises; common practice, no source


@dataclass(frozen=True, slots=True)
class Bent:
    """A step worked out: pressure [Pa] at times from `begin_s` to `end_s` [s], `after` from then on."""

    begin_s: float
    end_s: float
    pressure: Callable[[Array], Array]
    kinks_s: tuple[float, ...]
    after: Callable[[Array], Array]
    lowest_pa: float
    openness: Schedule | None = None


@dataclass(frozen=True, slots=True)
class Held:
    """The pressure at one opening over the whole programme: of the place, then what each step makes of it."""

    ambient_pa: float
    bends: tuple[Bent, ...] = ()

    @classmethod
    def of(cls, ambient_pa: float) -> Held:
        """Nothing applied."""
        return cls(ambient_pa)

    @property
    def busy_until_s(self) -> float:
        """When the last step is over [s]."""
        return self.bends[-1].end_s if self.bends else 0.0

    def then(self, bent: Bent) -> Held:
        """The same with another step after the others."""
        return Held(self.ambient_pa, (*self.bends, bent))

    def at(self, time_s: Array) -> Array:
        """Pressure [Pa] at each time."""
        found = np.full(time_s.shape, self.ambient_pa)
        for bent in self.bends:
            during = (time_s >= bent.begin_s) & (time_s <= bent.end_s)
            found[during] = bent.pressure(time_s[during])
            later = time_s > bent.end_s
            found[later] = bent.after(time_s[later])
        return found


def shape_of(apply: AnyApply, column: Held, ambient_pa: float, reference: Sequence[Held], sees: str) -> Bent:
    """Return the step `apply` at an opening whose pressure so far is `column`.

    `reference`: the static ports, over whose mean pressure an airspeed at a ram opening stands.
    """
    start = column.at(np.array([apply.begin]))[0]
    if isinstance(apply, Finger):
        return _finger(apply, start)
    if isinstance(apply, TestSet):
        return _test_set(apply, start, ambient_pa, reference, sees)
    if isinstance(apply, Breath):
        points, curved = _breath(apply, sees, ambient_pa), True
    elif isinstance(apply, HandPump):
        points, curved = _strokes(apply), True
    else:
        points, curved = _steady(apply), False
    times = apply.begin + np.array([t for t, _ in points])
    values = ambient_pa + np.array([v for _, v in points])
    values[0] = start  # from what there is, which is the air around unless something is held
    return Bent(
        begin_s=apply.begin,
        end_s=float(times[-1]),
        pressure=lambda t: _through(t, times, values, curved),
        kinks_s=tuple(times.tolist()),
        after=lambda t: np.full(t.shape, values[-1]),
        lowest_pa=float(values.min()),
    )


def _through(time_s: Array, times: Array, values: Array, curved: bool) -> Array:
    """Straight lines through points, or smoothsteps that rest at each of them."""
    if not curved:
        return np.asarray(np.interp(time_s, times, values))
    i = np.clip(np.searchsorted(times, time_s, side="right") - 1, 0, len(times) - 2)
    u = np.clip((time_s - times[i]) / (times[i + 1] - times[i]), 0.0, 1.0)
    return np.asarray(values[i] + (values[i + 1] - values[i]) * u * u * (3.0 - 2.0 * u))


def _breath(apply: Breath, sees: str, ambient_pa: float) -> list[tuple[float, float]]:
    if sees == "ram":
        strength, rise = float(air.impact_pressure(BREATH_AIRSPEED)), BREATH_RISE_S
    else:
        # one breath does not empty the lungs into a static system at once: as slow as its usual rate says
        here = float(air.pressure_altitude(ambient_pa))
        strength = ambient_pa - float(air.static_pressure(here + PULL_ALTITUDE))
        rise = PULL_ALTITUDE / PULL_RATE
    pressure = strength if apply.pressure is None else apply.pressure
    if apply.draw:
        pressure = -abs(pressure)
    rise = apply.rise or rise
    points = [(0.0, 0.0), (rise, pressure)]
    if apply.hold > 0.0:
        points.append((rise + apply.hold, pressure))
    return [*points, (rise + apply.hold + apply.release, 0.0)]


def _steady(apply: Steady) -> list[tuple[float, float]]:
    if apply.points is not None:
        given = list(apply.points) if apply.points[0][0] > 0.0 else [(apply.onset, apply.points[0][1])]
        if given[0] is not apply.points[0] and len(apply.points) > 1:
            # a first point at once: reached within the onset, as nothing jumps
            given += [p for p in apply.points[1:] if p[0] > apply.onset]
        return [(0.0, 0.0), *given, (given[-1][0] + apply.onset, 0.0)]
    pressure, lasts = apply.pressure or 0.0, apply.end_s - apply.begin
    return [(0.0, 0.0), (apply.onset, pressure), (lasts - apply.onset, pressure), (lasts, 0.0)]


def _strokes(apply: HandPump) -> list[tuple[float, float]]:
    points = [(0.0, 0.0)]
    for n in range(apply.strokes):
        reached = apply.pressure * (n + 1) / apply.strokes
        points += [((n + STROKE_SHARE) * apply.stroke, reached), ((n + 1) * apply.stroke, reached)]
    end = apply.strokes * apply.stroke + apply.hold
    if apply.hold > 0.0:
        points.append((end, apply.pressure))
    return [*points, (end + apply.release, 0.0)]


def _finger(apply: Finger, start_pa: float) -> Bent:
    begin, end = apply.begin, apply.end_s
    onset = min(apply.onset, 0.5 * (end - begin))
    shut = Schedule((begin, begin + onset, end - onset, end), (1.0, 0.0, 0.0, 1.0))
    return Bent(
        begin_s=begin,
        end_s=end,
        pressure=lambda t: np.full(t.shape, start_pa),
        kinks_s=tuple(sorted(set(shut.times_s))),
        after=lambda t: np.full(t.shape, start_pa),
        lowest_pa=start_pa,
        openness=shut,
    )


def _test_set(
    apply: TestSet, start_pa: float, ambient_pa: float, reference: Sequence[Held], sees: str
) -> Bent:
    rate = apply.speed_of_change

    def still(time_s: Array) -> Array:
        if not reference:
            return np.full(time_s.shape, ambient_pa)
        return np.asarray(np.mean([column.at(time_s) for column in reference], axis=0))

    begin_at = np.array([apply.begin])
    if apply.to_altitude is not None:
        aim, rest = apply.to_altitude, float(air.pressure_altitude(ambient_pa))
        first = float(air.pressure_altitude(start_pa))
    else:
        aim, rest = apply.to_airspeed or 0.0, 0.0
        over = start_pa - float(still(begin_at)[0]) if sees == "ram" else ambient_pa - start_pa
        first = float(np.copysign(air.calibrated_airspeed(abs(over)), over))
    times, values = [apply.begin], [first]
    for value, hold in ((aim, apply.hold), (rest, 0.0)) if apply.back else ((aim, apply.hold),):
        times.append(times[-1] + max(abs(value - values[-1]) / rate, 1e-3))
        values.append(value)
        if hold > 0.0:
            times.append(times[-1] + hold)
            values.append(value)
    when, course = np.array(times), np.array(values)

    def pressure(time_s: Array) -> Array:
        now = np.interp(time_s, when, course)
        if apply.to_altitude is not None:
            return P0 * np.exp(log_pressure_unbounded(now))
        impact = np.copysign(air.impact_pressure(np.abs(now)), now)
        return np.asarray(still(time_s) + impact if sees == "ram" else ambient_pa - impact)

    kinks = tuple(times) + tuple(k for column in reference for bent in column.bends for k in bent.kinks_s)
    # an airspeed held goes on standing on the static ports, wherever they are led
    return Bent(
        begin_s=apply.begin,
        end_s=float(when[-1]),
        pressure=pressure,
        kinks_s=kinks,
        after=pressure,
        lowest_pa=float(pressure(when).min()),
    )
