"""Each kind of leg, laid onto a course."""

from __future__ import annotations

from math import tan, tau
from typing import TYPE_CHECKING, NoReturn

import numpy as np

from ramstill import air
from ramstill.air import units
from ramstill.air.atmosphere import HIGHEST
from ramstill.air.constants import G0
from ramstill.errors import InputError
from ramstill.flight.course import USUAL_POWER, Course
from ramstill.flight.track import Piece, Track, run_to

if TYPE_CHECKING:
    from ramstill.flight import planned
    from ramstill.flight.planned import AnyLeg

# Common practice, no source, all of them.
LIFT_OFF_OVER_STALL = 1.15  # [-]
TOUCHDOWN_OVER_STALL = 1.1  # [-]
FIRST_CLIMB = 500.0 * units.FT  # a take-off ends this high over the field [m]
APPROACH_ENDS = 50.0 * units.FT  # over the runway [m]
FLAP_TRAVEL_S = 6.0
GEAR_TRAVEL_S = 5.0
POWER_CHANGE_S = 2.0
GROUND_ONSET_S = 1.0  # brakes let go, brakes bite [s]
ROTATION_S = 2.0  # weight from wheels to wing and back [s]

_UP, _DOWN = ("climb", "take-off"), ("descent", "approach", "landing")


def fly(course: Course, leg: AnyLeg, number: int, following: AnyLeg | None) -> None:
    """Lay `leg`, the `number`-th from 1, onto `course`. InputError, naming the leg, if it cannot be flown."""
    where = Where(course.source, number, leg.title)
    if course.grounded != (leg.kind == "take-off"):
        state = "on the ground" if course.grounded else "in the air"
        where.refuse("kind", f"{leg.kind} {state}", "take-off on the ground, the other kinds in the air")
    course.phases.append((course.now_s, leg.title))
    start = course.now_s
    _settings(course, leg)
    if leg.kind == "take-off":
        _take_off(course, leg, where, following)
    elif leg.kind == "climb" or leg.kind == "descent" or leg.kind == "approach":
        _up_or_down(course, leg, where, following)
    elif leg.kind == "landing":
        _landing(course, leg, where)
    elif leg.kind == "turn":
        _turn(course, leg, where)
    else:
        _level(course, leg, where)
    if course.now_s <= start:
        where.refuse("", "a leg with nothing to do", "another altitude or speed than there is already")


class Where:
    """Names a leg in an error."""

    def __init__(self, source: str, number: int, title: str) -> None:
        self.source, self.leg = source, f"flight.leg[{number}]"
        self.title = title

    def refuse(self, field: str, read: str, allowed: str) -> NoReturn:
        """Raise the InputError that this leg's `field` cannot be flown."""
        raise InputError(
            self.source, f"{self.leg}{'.' if field else ''}{field} ({self.title})", read, allowed
        )


def _settings(course: Course, leg: AnyLeg) -> None:
    """Flap, gear, power and sideslip: changed at the start of a leg, within the time each takes."""
    start = course.now_s
    wants: list[tuple[Track, float | None, float]] = [
        (course.flap, leg.flap, FLAP_TRAVEL_S),
        (course.gear, None if leg.gear is None else float(leg.gear == "down"), GEAR_TRAVEL_S),
        (course.power, USUAL_POWER[leg.kind] if leg.power is None else leg.power, POWER_CHANGE_S),
        (course.sideslip, leg.sideslip, leg.onset),
    ]
    for track, to, over in wants:
        if to is not None:
            # a leg shorter than the travel of its flap: the rest of the travel waits its turn
            track.blend(max(start, track.end_s), to, over)


def _speed_pieces(course: Course, to: float, acceleration: float, onset: float) -> list[Piece]:
    return run_to(to - course.speed, 0.0, acceleration, 0.0, onset)


def _length(pieces: list[Piece]) -> float:
    return sum(p[0] for p in pieces)


def _goes_on(leg: AnyLeg, following: AnyLeg | None) -> bool:
    """Whether the next leg carries on the same way, so that this one need not level off."""
    if following is None:
        return False
    for way in (_UP, _DOWN):
        if leg.kind in way:
            return following.kind in way
    return False


def _finish(
    course: Course, leg: AnyLeg, end_s: float, altitude: float, speed: float, bank: float = 0.0
) -> None:
    if bank:
        rolling = min(leg.onset, 0.5 * (end_s - course.now_s))
        course.bank.blend(course.now_s, bank, rolling)
        course.bank.blend(end_s - rolling, 0.0, rolling)
    course.now_s, course.altitude, course.speed = end_s, altitude, speed


def _take_off(course: Course, leg: planned.TakeOff, where: Where, following: AnyLeg | None) -> None:
    speeds = course.speeds
    rotate = leg.rotation_speed or LIFT_OFF_OVER_STALL * speeds.stall_clean
    climb_speed = leg.speed or max(float(speeds.climb), rotate)
    if climb_speed < rotate:
        where.refuse("speed", _kt(climb_speed), f"at least {_kt(rotate)}, the speed of lift-off")
    rate = leg.rate or float(speeds.climb_rate)
    to = course.altitude + FIRST_CLIMB if leg.to is None else leg.to
    if to <= course.altitude:
        where.refuse("to", _ft(to), f"above the field at {_ft(course.altitude)}")
    roll = run_to(climb_speed, 0.0, leg.acceleration, 0.0, GROUND_ONSET_S)
    begin = course.now_s + leg.wait
    fast_s = course.acceleration.lay(begin, *roll)
    lift_off = _time_of(course.acceleration, rotate - course.start_speed, begin, fast_s)
    course.on_ground.blend(lift_off, 0.0, ROTATION_S)
    course.phases.append((lift_off, "lift-off"))
    end_rate = rate if _goes_on(leg, following) else 0.0
    away = run_to(to - course.altitude, 0.0, rate, end_rate, leg.onset)
    if lift_off + _length(away) < fast_s:  # the climb is over before the speed is there
        away = run_to(to - course.altitude, 0.0, rate, 0.0, leg.onset)
    high_s = course.rate.lay(lift_off, *away)
    course.grounded = False
    _finish(course, leg, max(high_s, fast_s), to, climb_speed)


def _time_of(track: Track, reached: float, begin: float, end: float) -> float:
    """When the integral of a track that only rises gets to `reached` [s]."""
    for _ in range(60):
        middle = 0.5 * (begin + end)
        short = track.integral(np.array([middle]))[0] < reached
        begin, end = (middle, end) if short else (begin, middle)
    return end


def _up_or_down(
    course: Course,
    leg: planned.Climb | planned.Descent | planned.Approach,
    where: Where,
    following: AnyLeg | None,
) -> None:
    up = leg.kind == "climb"
    usual_speed = {"climb": course.speeds.climb, "approach": course.speeds.approach}
    speed = leg.speed or float(usual_speed.get(leg.kind, course.speed))
    rate = leg.rate or float(course.speeds.climb_rate if up else course.speeds.descent_rate)
    signed = rate if up else -rate
    bank = 0.0 if leg.kind == "approach" else leg.bank
    faster = _speed_pieces(course, speed, leg.acceleration, leg.onset)
    now = course.rate.last
    duration = None if leg.kind == "approach" else leg.duration
    if duration is not None:
        least = max(2.0 * leg.onset, _length(faster))
        if duration < least:
            where.refuse("duration", f"{duration:g} s", f"at least {least:.1f} s, which its changes take")
        onset = leg.onset
        end_rate = signed if _goes_on(leg, following) else 0.0
        pieces = [(onset, now, signed), (duration - 2 * onset, signed, signed), (onset, signed, end_rate)]
        to = course.altitude + sum(0.5 * n * (a + b) for n, a, b in pieces)
    else:
        to = course.field_elevation + APPROACH_ENDS if leg.to is None else leg.to
        if (to <= course.altitude) if up else (to >= course.altitude):
            side = "above" if up else "below"
            where.refuse("to", _ft(to), f"{side} the altitude there is, {_ft(course.altitude)}")
        end_rate = signed if _goes_on(leg, following) else 0.0
        pieces = run_to(to - course.altitude, now, rate, end_rate, leg.onset)
        if end_rate and _length(pieces) < max(_length(faster), 2.0 * leg.onset if bank else 0.0):
            pieces = run_to(to - course.altitude, now, rate, 0.0, leg.onset)
    if to < course.floor:
        field = "duration" if duration is not None else "to"
        where.refuse(field, f"down to {_ft(to)}", f"not below the ground at {_ft(course.floor)}")
    if to + course.setting_offset > HIGHEST:
        where.refuse("to", _ft(to), f"up to {HIGHEST:g} m of pressure altitude, where the standard day ends")
    start = course.now_s
    end = max(course.rate.lay(start, *pieces), course.acceleration.lay(start, *faster), start)
    _finish(course, leg, end, to, speed, bank)


def _level(course: Course, leg: planned.Level | planned.SpeedChange, where: Where) -> None:
    speed = leg.speed or course.speed
    faster = _speed_pieces(course, speed, leg.acceleration, leg.onset)
    start, need = course.now_s, _length(faster)
    if leg.kind == "speed-change":
        if not faster:
            where.refuse("speed", _kt(speed), f"another speed than the {_kt(course.speed)} there is")
        length, bank = need, 0.0
    else:
        length, bank = (leg.duration if leg.until is None else leg.until - start) or 0.0, leg.bank
        field = "duration" if leg.until is None else "until"
        if length < need or length <= 0.0:
            least = need if leg.until is None else start + need
            where.refuse(
                field, f"{leg.duration or leg.until:g} s", f"at least {least:.1f} s, which its changes take"
            )
    course.acceleration.lay(start, *faster)
    _finish(course, leg, start + length, course.altitude, speed, bank)


def _turn(course: Course, leg: planned.Turn, where: Where) -> None:
    static = float(air.static_pressure(course.altitude + course.setting_offset))
    warmth = float(course.day.temperature(course.day.height(static)))
    tas = float(air.true_from_calibrated(course.speed, static, warmth))
    # what rolling in and out turns through, from the same smoothstep the bank follows
    u = (np.arange(1000) + 0.5) / 1000.0
    mean = float(np.mean(np.tan(leg.bank * u * u * (3.0 - 2.0 * u))))
    full = G0 * tan(leg.bank) / tas
    if leg.duration is not None:
        length = leg.duration
        if length < 2.0 * leg.onset:
            where.refuse("duration", f"{length:g} s", f"at least {2 * leg.onset:g} s to roll in and out")
    else:
        rolling = 2.0 * leg.onset * mean / tan(leg.bank)
        wanted = (leg.degrees or tau) / full
        if wanted < rolling:
            least = rolling * full * 360.0 / tau
            where.refuse(
                "degrees",
                f"{wanted * full * 360.0 / tau:g} deg",
                f"at least {least:.1f} deg, to roll in and out",
            )
        length = wanted - rolling + 2.0 * leg.onset
    _finish(course, leg, course.now_s + length, course.altitude, course.speed, leg.bank)


def _landing(course: Course, leg: planned.Landing, where: Where) -> None:
    elevation = course.field_elevation if leg.elevation is None else leg.elevation
    ground = course.runway_altitude(elevation)
    above = course.altitude - ground
    if above <= 0.0:
        where.refuse(
            "elevation", f"a runway at {_ft(ground)}", f"below the altitude there is, {_ft(course.altitude)}"
        )
    touch = leg.touchdown_speed or TOUCHDOWN_OVER_STALL * course.speeds.stall_landing
    if touch > course.speed:
        where.refuse("touchdown_speed", _kt(touch), f"not above the {_kt(course.speed)} there is")
    rate, now, start = leg.rate or float(course.speeds.descent_rate), course.rate.last, course.now_s
    flare = min(max(leg.flare, 0.0), 0.5 * above)
    if leg.flare <= 0.0:
        where.refuse("flare", _ft(leg.flare), "a height above zero")
    down = run_to(-(above - flare), now, rate, -rate, leg.onset)
    reached = abs(down[-1][2])
    down.append((2.0 * flare / reached, -reached, 0.0))
    contact = course.rate.lay(start, *down)
    course.ground += [(start, course.ground[-1][1]), (contact, elevation)]
    slowing = min(down[-1][0], contact - start)
    loss = course.speed - touch
    peak = -2.0 * loss / slowing
    course.acceleration.lay(contact - slowing, (0.5 * slowing, 0.0, peak), (0.5 * slowing, peak, 0.0))
    course.phases.append((contact, "touchdown"))
    course.on_ground.blend(contact, 1.0, ROTATION_S)
    stop = course.acceleration.lay(contact, *run_to(-touch, 0.0, leg.deceleration, 0.0, GROUND_ONSET_S))
    course.phases.append((stop, "standing"))
    course.grounded = True
    _finish(course, leg, max(stop, contact + ROTATION_S) + leg.wait, ground, 0.0)


def _kt(speed_m_s: float) -> str:
    return f"{speed_m_s / units.KT:.0f} kt"


def _ft(altitude_m: float) -> str:
    return f"{altitude_m / units.FT:.0f} ft"
