"""What the pilot knows before the flight: pitch and power of every task, and whether it can be done."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, NoReturn

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.units import FPM, FT, KT
from ramstill.errors import InputError
from ramstill.flight.trim import Trim, trim

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.pilots.table import AnyTask, PilotPlan

Array = NDArray[np.float64]
BARELY = 100.0 * FPM  # a climb or descent slower than this gets nowhere [m/s]
LOOKED_AT = 5  # altitudes between start and target at which a climb is tried


@dataclass(frozen=True, slots=True)
class Known:
    """One task as the pilot takes it up. Altitudes as the altimeter is to show them [m], speeds [m/s].

    altitudes (2,) [m] and at them pitch [rad] and power of the task, and of level flight set up as in it;
    sensitivity: climb gained for all of the power [m/s]; to: None where it ends with `duration_s` [s].
    """

    title: str
    kind: str
    speed: float
    true_speed: float
    flap: float
    gear: float
    altitudes: tuple[float, float]
    pitch: tuple[float, float]
    power: tuple[float, float]
    level_pitch: tuple[float, float]
    level_power: tuple[float, float]
    sensitivity: float
    to: float | None
    duration_s: float

    @property
    def up(self) -> bool:
        """Whether it is a climb."""
        return self.kind == "climb"

    def at(self, altitude_m: float) -> tuple[float, float]:
        """Pitch [rad] and power of the task at an altitude."""
        return self._between(altitude_m, self.pitch, self.power)

    def level_at(self, altitude_m: float) -> tuple[float, float]:
        """Pitch [rad] and power of level flight at its speed, flap and gear, at an altitude."""
        return self._between(altitude_m, self.level_pitch, self.level_power)

    def _between(
        self, altitude_m: float, pitch: tuple[float, float], power: tuple[float, float]
    ) -> tuple[float, float]:
        low, high = self.altitudes
        share = 0.0 if high == low else min(max((altitude_m - low) / (high - low), 0.0), 1.0)
        return pitch[0] + share * (pitch[1] - pitch[0]), power[0] + share * (power[1] - power[0])


class Knowing:
    """Works out what is known of an airplane's tasks on a day."""

    def __init__(self, plane: Airplane, day: air.Day, flyer: Array, offset_m: float, source: str) -> None:
        self.plane, self.day, self.flyer = plane, day, flyer
        self.offset_m, self.source = offset_m, source

    def height(self, shown_m: float) -> float:
        """Geometric height [m] at which a correctly set altimeter shows an altitude [m]."""
        static = float(air.static_pressure(shown_m + self.offset_m))
        return float(air.geometric_from_geopotential(self.day.height(static)))

    def trimmed(self, shown_m: float, speed: float, flap: float, gear: float, **given: float) -> Trim:
        """Steady flight at an altitude as it is shown."""
        height = self.height(shown_m)
        return trim(self.plane, self.day, height, speed, flap=flap, gear=gear, flyer=self.flyer, **given)

    def start(self, plan: PilotPlan) -> tuple[Trim, float]:
        """How it flies at first: level, or gliding where nothing drives it; and the speed [m/s]."""
        first = plan.task[0]
        speed = float(plan.start_speed or first.speed or _usual(self.plane, first.kind, None))
        how = {"climb_m_s": 0.0} if self._driven else {"power": 0.0}
        gear = float(first.gear == "down")
        try:
            return self.trimmed(plan.start_altitude, speed, first.flap, gear, **how), speed
        except (InputError, ValueError) as error:
            own = plan.start_speed is not None or first.speed is None
            field = "pilot.start_speed" if own else "pilot.task[1].speed"
            self._refuse(field, f"{speed / KT:.0f} kt at {_ft(plan.start_altitude)}", error)

    @property
    def _driven(self) -> bool:
        performance = self.plane.performance
        return performance is not None and performance.engine is not None

    def tasks(self, plan: PilotPlan) -> tuple[Known, ...]:
        """All tasks in order. Raises InputError naming the one that cannot be flown."""
        found = []
        altitude, speed = plan.start_altitude, self.start(plan)[1]
        held: float | None = None  # what a level holds that names no altitude: where the task before led
        for number, task in enumerate(plan.task, 1):
            where = f"pilot.task[{number}]"
            speed = float(task.speed or _usual(self.plane, task.kind, speed))
            known = self._known(task, where, altitude, speed)
            if known.kind == "level" and known.to is None:
                known = replace(known, to=held)
            held = known.to
            found.append(known)
            altitude = known.altitudes[1] if known.kind != "level" else known.altitudes[0]
        return tuple(found)

    def _known(self, task: AnyTask, where: str, altitude: float, speed: float) -> Known:
        gear = float(task.gear == "down")
        way = self._way(task)
        to: float | None = None
        if task.kind == "level":
            begin = altitude if task.altitude is None else task.altitude
            ends, duration, to = (begin, begin), task.duration, task.altitude
        else:
            to, duration = task.to, task.duration or task.within
            if to is not None and (to <= altitude if task.kind == "climb" else to >= altitude):
                side = "above" if task.kind == "climb" else "below"
                self._refuse(f"{where}.to", _ft(to), f"{side} the {_ft(altitude)} there are by then")
            ends = (altitude, altitude if to is None else to)
        try:
            flown = [self._flown(h, speed, task, gear, way) for h in ends]
            if to is None and task.kind != "level":  # for a time: as far as that leads
                far = altitude + flown[0].climb_m_s * duration
                ends = (altitude, max(far, 0.0))
                flown[1] = self._flown(ends[1], speed, task, gear, way)
            level = [self._level(h, speed, task.flap, gear) for h in ends]
        except (InputError, ValueError) as error:
            read = f"{task.kind} at {speed / KT:.0f} kt, {_ft(altitude)}"
            self._refuse(where, read, error)
        if task.kind != "level" and task.to is not None:
            self._within_reach(task, where, ends, speed, gear, way)
        most = self.trimmed(ends[0], speed, task.flap, gear, power=1.0).climb_m_s
        least = self.trimmed(ends[0], speed, task.flap, gear, power=0.0).climb_m_s
        return Known(
            title=task.title,
            kind=task.kind,
            speed=speed,
            true_speed=flown[0].true_speed_m_s,
            flap=task.flap,
            gear=gear,
            altitudes=(ends[0], ends[1]),
            pitch=(flown[0].pitch_rad, flown[1].pitch_rad),
            power=(flown[0].power, flown[1].power),
            level_pitch=(level[0].pitch_rad, level[1].pitch_rad),
            level_power=(level[0].power, level[1].power),
            sensitivity=max(most - least, 0.1),
            to=to,
            duration_s=duration,
        )

    def _way(self, task: AnyTask) -> dict[str, float]:
        """What `trim` is given: power or climb."""
        if task.power is not None:
            return {"power": task.power}
        if task.kind == "level":
            return {"climb_m_s": 0.0} if self._driven else {"power": 0.0}
        if not self._driven:
            return {"power": 0.0}
        if task.rate is not None:
            return {"climb_m_s": task.rate if task.kind == "climb" else -task.rate}
        return {"power": 1.0} if task.kind == "climb" else {}

    def _flown(
        self, altitude: float, speed: float, task: AnyTask, gear: float, way: dict[str, float]
    ) -> Trim:
        """Steady flight in a task. A descent that says nothing: at the usual rate, or as idle has it."""
        if way:
            return self.trimmed(altitude, speed, task.flap, gear, **way)
        rate = -float(self.plane.speeds.descent_rate)
        try:
            return self.trimmed(altitude, speed, task.flap, gear, climb_m_s=rate)
        except InputError:
            return self.trimmed(altitude, speed, task.flap, gear, power=0.0)

    def _level(self, altitude: float, speed: float, flap: float, gear: float) -> Trim:
        """Level flight, or the nearest to it that there is."""
        try:
            return self.trimmed(altitude, speed, flap, gear, climb_m_s=0.0)
        except InputError:
            return replace(self.trimmed(altitude, speed, flap, gear, power=1.0), power=1.0)

    def _within_reach(
        self,
        task: Any,
        where: str,
        ends: tuple[float, float],
        speed: float,
        gear: float,
        way: dict[str, float],
    ) -> None:
        """Refuse an altitude that a healthy airplane does not reach, or not in time."""
        sign = 1.0 if task.kind == "climb" else -1.0
        needed, before = 0.0, ends[0]
        for altitude in np.linspace(*ends, LOOKED_AT)[1:]:
            rate = sign * self._flown(0.5 * (before + altitude), speed, task, gear, way).climb_m_s
            if rate < BARELY:
                read = (
                    f"{_ft(task.to)}, with {rate / FPM:+.0f} ft/min left at {_ft(0.5 * (before + altitude))}"
                )
                self._refuse(
                    f"{where}.to", read, f"an altitude within reach at {speed / KT:.0f} kt with that power"
                )
            needed, before = needed + abs(float(altitude) - before) / rate, float(altitude)
        if needed > task.within:
            self._refuse(
                f"{where}.within",
                f"{task.within:g} s",
                f"{needed:.0f} s at least, which {_ft(task.to)} takes",
            )

    def _refuse(self, field: str, read: str, why: str | Exception) -> NoReturn:
        if isinstance(why, InputError):
            why = f"{why.field}: {why.allowed}"
        raise InputError(self.source, field, read, str(why)) from None


def _usual(plane: Airplane, kind: str, before: float | None) -> float:
    """The speed [m/s] of a task that names none."""
    speeds = plane.speeds
    if kind == "climb":
        return float(speeds.climb)
    if kind == "approach":
        return float(speeds.approach)
    return float(speeds.cruise) if before is None else before


def _ft(altitude_m: float) -> str:
    return f"{altitude_m / FT:,.0f} ft"
