"""What the pilot does with what is known: pitch and power, by one of the styles.

Gains are those of a patient hand, chosen so that a healthy airplane settles without swinging: common
practice, no source. `gain` in the scenario file multiplies those by which an error moves the stick.
"""

from __future__ import annotations

from math import copysign, exp, pi
from typing import TYPE_CHECKING

from ramstill import air
from ramstill.air.constants import G0
from ramstill.air.units import FPM, KT
from ramstill.flight.pilots.table import BY_AIRSPEED

if TYPE_CHECKING:
    from ramstill.flight.pilots.known import Known
    from ramstill.flight.pilots.seeing import Eyes

DEGREE = pi / 180.0
PITCH_PER_SPEED = 0.4 * DEGREE / KT  # of an error in airspeed [rad per m/s]
SPEED_LEAD_S = 2.0  # so far ahead the movement of the airspeed needle is reckoned [s]
SPEED_MOST = 10.0 * KT  # a larger error moves the stick no further at once [m/s]
SPEED_TRIMMED_S = 10.0  # in which what is left of an error is trimmed away [s]
ALTITUDE_S, ALTITUDE_MOST = 10.0, 500.0 * FPM  # an error in altitude is to go in so long, no quicker than
ALTITUDE_TRIMMED_S = 12.0
AT_ONCE = 0.3  # of what a movement is off by, taken out at once and not trimmed away [-]
HOLD_S, HOLD_TREND_S = 8.0, 1.5  # an autopilot's
POWER_S, POWER_TRIMMED_S = 8.0, 20.0  # in which power is to bring back a speed in level flight [s]
LEAD_S = 5.0  # a level-off begins this long before the altitude [s]
STEEPEST_UP, STEEPEST_DOWN = 25.0 * DEGREE, -15.0 * DEGREE
TRIM_MOST = 15.0 * DEGREE
STICK_RATE, LEVER_RATE = 3.0 * DEGREE, 0.2  # how quickly the nose and the lever are moved [rad/s], [1/s]


class Autopilot:
    """Feels the pressure in the static line, and holds it."""

    def __init__(self, offset_m: float) -> None:
        self._offset_m, self._before, self.trend, self.altitude = offset_m, 0.0, 0.0, float("nan")

    def feel(self, static_pa: float, dt: float) -> None:
        """Take the pressure [Pa] of now."""
        altitude = float(air.pressure_altitude(static_pa)) - self._offset_m
        if self.altitude == self.altitude and dt > 0.0:
            share = 1.0 - exp(-dt / HOLD_TREND_S)
            self.trend += share * ((altitude - self.altitude) / dt - self.trend)
        self.altitude = altitude


class Hands:
    """Stick and lever. After `take_up` of a task, `move` says pitch [rad] and power every step."""

    def __init__(self, style: str, gain: float, pitch: float, lever: float) -> None:
        self.style, self.gain = style, gain
        self.pitch, self.lever = pitch, lever
        self.level_altitude = 0.0
        self._trimmed = self._added = 0.0
        self.by_numbers = False  # whether a cross-checking pilot has let the pointers go

    def take_up(self, task: Known, altitude: float) -> None:
        """Begin a task, at the altitude that is shown [m]."""
        self._trimmed = self._added = 0.0
        self.level_altitude = altitude if task.to is None else task.to

    def let_go(self, by_numbers: bool) -> None:
        """Let the pointers go, or trust them again."""
        self.by_numbers, self._trimmed, self._added = by_numbers, 0.0, 0.0

    def move(self, task: Known, eyes: Eyes, autopilot: Autopilot | None, dt: float) -> None:
        """Move stick and lever for a step [s]."""
        level = task.kind == "level"
        if self.by_numbers:
            pitch, power = task.level_at(eyes.altitude)
        else:
            pitch, power = task.at(eyes.altitude)
            follows = self.style in BY_AIRSPEED
            if follows and not level:
                pitch += self._by_airspeed(task, eyes, dt)
            elif level and (follows or self.style == "by-altitude"):
                power += self._power(task, eyes, dt) if follows else 0.0
                there = eyes.altitude_there
                altitude, trend = eyes.altitude, eyes.altitude_trend
                pitch += self._by_altitude(task, altitude, trend, ALTITUDE_S, dt) if there else self._trimmed
            elif level and autopilot is not None:
                pitch += self._by_altitude(task, autopilot.altitude, autopilot.trend, HOLD_S, dt)
        pitch = max(STEEPEST_DOWN, min(STEEPEST_UP, pitch))
        self.pitch += no_further(pitch - self.pitch, STICK_RATE * dt)
        self.lever += no_further(max(0.0, min(1.0, power)) - self.lever, LEVER_RATE * dt)

    def _by_airspeed(self, task: Known, eyes: Eyes, dt: float) -> float:
        """Pitch [rad] beside the known: nose up when it is too fast; held where nothing is shown."""
        if not eyes.airspeed_there:
            return self._trimmed
        off = eyes.airspeed + SPEED_LEAD_S * eyes.airspeed_trend - task.speed
        off = max(-SPEED_MOST, min(SPEED_MOST, off))
        stick = self.gain * PITCH_PER_SPEED
        self._trim(stick * off * dt / SPEED_TRIMMED_S)
        return stick * off + self._trimmed

    def _power(self, task: Known, eyes: Eyes, dt: float) -> float:
        """Power beside the known, in level flight: more when it is too slow; held where nothing is shown."""
        if not eyes.airspeed_there:
            return self._added
        off = task.speed - eyes.airspeed - SPEED_LEAD_S * eyes.airspeed_trend
        off = self.gain * max(-SPEED_MOST, min(SPEED_MOST, off))
        share = task.true_speed / (
            G0 * task.sensitivity * POWER_S
        )  # power that gains a metre a second in that
        self._added = max(-1.0, min(1.0, self._added + share * off * dt / POWER_TRIMMED_S))
        return share * off + self._added

    def _by_altitude(self, task: Known, altitude: float, trend: float, within_s: float, dt: float) -> float:
        """Pitch [rad] beside the known: nose up when it is too low."""
        wanted = self.gain * (self.level_altitude - altitude) / within_s
        wanted = max(-ALTITUDE_MOST, min(ALTITUDE_MOST, wanted))
        self._trim((wanted - trend) / task.true_speed * dt / ALTITUDE_TRIMMED_S)
        return (wanted + AT_ONCE * (wanted - trend)) / task.true_speed + self._trimmed

    def _trim(self, by: float) -> None:
        self._trimmed = max(-TRIM_MOST, min(TRIM_MOST, self._trimmed + by))


def no_further(change: float, most: float) -> float:
    """A change, cut down to the most there may be either way."""
    return change if abs(change) <= most else copysign(most, change)


def reached(task: Known, altitude: float, trend: float) -> bool:
    """Whether the altimeter shows, or is about to show, the altitude that a task leads to."""
    if task.to is None or task.kind == "level":
        return False
    ahead = altitude + LEAD_S * trend
    return ahead >= task.to if task.up else ahead <= task.to
