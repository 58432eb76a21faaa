"""Whether pointers that agree with each other can be true: what a healthy airplane showing them would do.

From indicated airspeed, altitude and how both move, with the power, flap and gear there are, follows the
pitch attitude and the climb of a healthy airplane (lift carries the weight; what thrust has over drag goes
into climb and speed). What is not so, and lasts, is a cue. All thresholds stand here; where no source is
named they are common practice, no source.

Importing this brings Numba in: import it inside the function that flies.
"""

from __future__ import annotations

from math import asin, cos, pi, sin, sqrt
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ramstill.air.airspeed import HALF
from ramstill.air.airspeed import POWER as EXPONENT
from ramstill.air.constants import A0, G0, GAMMA, P0, R_AIR
from ramstill.air.units import FPM, FT, KT
from ramstill.flight.motion import air_at, coefficients, most_lift, thrust
from ramstill.flight.point_mass import AREA, FLAP_SHIFT, HEADWIND, LIFT_SLOPE, MASS, ZERO_LIFT_ANGLE
from ramstill.pneumatics._compiled import jit

Array = NDArray[np.float64]

PITCH_OFF = 4.0 * pi / 180.0  # pitch attitude out of what airspeed and power ask for [rad]
CLIMB_OFF = 500.0 * FPM  # the altimeter's rate out of what airspeed and power give, at least [m/s]
SPEED_OFF = 12.0 * KT  # GPS ground speed out of what airspeed, altitude and wind make it [m/s]
READ_BACK_OFF = 300.0 * FT  # ICAO Doc 4444, 8.5.5.2.3 (from memory): tolerance of a reported level [m]
WARNED_OFF = 6.0 * KT  # airspeed shown above that at which the stall warning should sound [m/s]
OTHER_SPEED_OFF = 10.0 * KT  # a second airspeed indicator beside the first [m/s]
OTHER_ALTITUDE_OFF = 200.0 * FT  # a second altimeter beside the first [m]
OTHER_RATE_OFF = 600.0 * FPM  # a vertical speed indicator beside the altimeter's own movement [m/s]
WINDOW_S = 4.0  # over which movement is judged, and everything averaged [s]
LASTS_S = 3.0  # a cue that lasts less is not one [s]
SLOWEST = 15.0  # [m/s] shown; below it no airspeed asks for anything

# As in flown.CUES.
PITCH_CUE, CLIMB_CUE, WARNING_CUE, SPEED_CUE, READ_BACK_CUE, OTHER_CUE, BLANK_CUE = range(7)

# Columns of what is compared, all averaged over the window, SI; NaN where there is nothing.
(
    CAS,
    CAS_RATE,
    ALTITUDE,
    ALTITUDE_RATE,
    PITCH,
    POWER,
    FLAP,
    GEAR,
    WARNED,
    GROUND_SPEED,
    READ_BACK,
    OTHER_CAS,
    OTHER_ALTITUDE,
    OTHER_RATE,
    RATE_BEFORE,
) = range(15)
COMPARED = 15


@jit
def asked_for(flyer: Array, seen: Array) -> tuple[float, float, float]:
    """Pitch attitude [rad], climb and true airspeed [m/s] of a healthy airplane that shows what is seen."""
    cas, flap, gear = max(seen[CAS], SLOWEST), seen[FLAP], seen[GEAR]
    pressure, temperature = air_at(flyer, seen[ALTITUDE])
    impact = P0 * ((1.0 + HALF * (cas / A0) ** 2) ** EXPONENT - 1.0)  # the law of calibrated airspeed
    mach = sqrt(((impact / pressure + 1.0) ** (1.0 / EXPONENT) - 1.0) / HALF)
    speed = mach * sqrt(GAMMA * R_AIR * temperature)
    load = 0.5 * GAMMA * pressure * mach * mach * flyer[AREA]
    weight = flyer[MASS] * G0
    push = thrust(flyer, seen[POWER], speed, pressure, temperature)
    rate = seen[CAS_RATE] * speed / cas
    path, angle = 0.0, 0.0
    for _ in range(4):  # thrust lifts a little, and a steep path asks for less lift
        needed = (weight * cos(path) - push * sin(angle)) / load
        lift = min(needed, most_lift(flyer, flap))
        angle = flyer[ZERO_LIFT_ANGLE] + flap * flyer[FLAP_SHIFT] + lift / flyer[LIFT_SLOPE]
        drag = load * coefficients(flyer, angle, mach, flap, gear, 0.0)[1]
        path = asin(min(max((push * cos(angle) - drag) / weight - rate / G0, -0.7), 0.7))
    return angle + path, speed * sin(path), speed


@jit
def disagree(flyer: Array, seen: Array, warned_at: float, out: Array) -> None:
    """By how many thresholds what is seen (15,) disagrees, (7,), into `out`.

    A followed reading that shows nothing disagrees with everything.

    warned_at: airspeed at which the stall warning should sound, flaps as they are [m/s], 0 without a warner.
    """
    out[:] = 0.0
    pitch, climb, speed = asked_for(flyer, seen)
    if seen[CAS] == seen[CAS] and seen[ALTITUDE] == seen[ALTITUDE]:
        out[PITCH_CUE] = abs(seen[PITCH] - pitch) / PITCH_OFF
        out[CLIMB_CUE] = abs(seen[ALTITUDE_RATE] - climb) / max(CLIMB_OFF, speed * PITCH_OFF)
        over_ground = sqrt(max(speed * speed - seen[ALTITUDE_RATE] ** 2, 0.0)) - flyer[HEADWIND]
        out[SPEED_CUE] = abs(seen[GROUND_SPEED] - over_ground) / SPEED_OFF
    else:
        out[BLANK_CUE] = 2.0
    if seen[WARNED] > 0.5 and warned_at > 0.0:
        out[WARNING_CUE] = max(seen[CAS] - warned_at, 0.0) / WARNED_OFF
    out[READ_BACK_CUE] = abs(seen[READ_BACK] - seen[ALTITUDE]) / READ_BACK_OFF
    worst = 0.0
    for off in (
        abs(seen[OTHER_CAS] - seen[CAS]) / OTHER_SPEED_OFF,
        abs(seen[OTHER_ALTITUDE] - seen[ALTITUDE]) / OTHER_ALTITUDE_OFF,
        _beside(seen[OTHER_RATE], seen[ALTITUDE_RATE], seen[RATE_BEFORE]) / OTHER_RATE_OFF,
    ):
        if off > worst:
            worst = off
    out[OTHER_CUE] = worst
    for i in range(len(out)):
        if out[i] != out[i]:
            out[i] = 0.0


@jit
def _beside(rate: float, now: float, before: float) -> float:
    """How far a vertical speed is from what the altimeter does now and did before: it takes its time."""
    return max(min(now, before) - rate, rate - max(now, before))


@jit
def disagree_all(flyer: Array, seen: Array, warned_at: Array, out: Array) -> None:
    """As `disagree` for many moments: (k, 15) and (k,) into (k, 7)."""
    for i in range(len(seen)):
        disagree(flyer, seen[i], warned_at[i], out[i])


@jit
def asked_all(flyer: Array, seen: Array, pitch: Array) -> None:
    """The pitch attitude (k,) [rad] that `asked_for` has for many moments (k, 15)."""
    for i in range(len(seen)):
        pitch[i] = asked_for(flyer, seen[i])[0]


def averaged(seen: Array, every_s: float) -> Array:
    """What is seen at even times (k, 15), as a pilot judges it: averaged over the window behind each time.

    The rates are worked out here, from how far airspeed and altitude moved over the window.
    """
    count = max(round(WINDOW_S / every_s), 1)
    first = np.maximum(np.arange(len(seen)) - count, 0)
    here = np.arange(len(seen))
    summed = np.concatenate([np.zeros((1, seen.shape[1])), np.cumsum(seen, axis=0)])
    found = (summed[here + 1] - summed[first]) / (here + 1 - first)[:, None]
    lost = np.isnan(seen)
    if lost.any():  # a sum never gets rid of what is not a number
        clean = np.concatenate([np.zeros((1, seen.shape[1])), np.cumsum(np.where(lost, 0.0, seen), axis=0)])
        gone = np.concatenate([np.zeros((1, seen.shape[1])), np.cumsum(lost, axis=0)])
        found = (clean[here + 1] - clean[first]) / (here + 1 - first)[:, None]
        found[gone[here + 1] - gone[first] > 0] = np.nan
    span = np.maximum(here - first, 1)[:, None] * every_s
    found[:, [CAS_RATE, ALTITUDE_RATE]] = (seen[here] - seen[first])[:, [CAS, ALTITUDE]] / span
    found[:, RATE_BEFORE] = found[first, ALTITUDE_RATE]
    found[:, WARNED] = seen[:, WARNED]
    return np.asarray(found)


def first_lasting(time_s: NDArray[Any], off: Array) -> tuple[float, int] | None:
    """When the first of the cues (k, 7) that lasts passes its threshold [s], and which; None for none."""
    found: list[tuple[float, int]] = []
    for cue in range(off.shape[1]):
        over = np.concatenate([[False], off[:, cue] > 1.0, [False]])
        begins, ends = np.flatnonzero(over[1:] & ~over[:-1]), np.flatnonzero(~over[1:] & over[:-1])
        lasts = LASTS_S if cue != WARNING_CUE else 0.0
        for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
            if end == len(time_s) or time_s[end] - time_s[begin] >= lasts:
                found.append((float(time_s[begin]), cue))
                break
    return min(found, default=None)
