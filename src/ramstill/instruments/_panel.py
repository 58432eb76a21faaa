"""A whole panel of instruments, one look at a time, compiled: pressures in, pointers out.

What each instrument does is explained, and done for whole runs, in the module named after it; the single
steps are those of _kernels.py. Here is only what it needs to go on from one look to the next.
"""

from math import exp, expm1, nan, sqrt

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import T0
from ramstill.instruments._kernels import interpolated, lagged, made_of_it, pushed, stands_off
from ramstill.instruments._laws import (
    airspeed,
    in_steps,
    pressure_altitude,
    share_of_full_scale,
    standard_temperature,
)
from ramstill.pneumatics._compiled import jit

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

# Kinds of instrument.
SPEED, HEIGHT, RATE, ENCODER, COMPUTER = range(5)
# Columns of `wiring` (i, 8): kind; the tappings it feels; where its card begins and ends among the cards;
# where it shows airspeed, altitude and rate, -1 for not at all.
KIND, FIRST, SECOND, CARD, CARD_END, SHOWS_SPEED, SHOWS_HEIGHT, SHOWS_RATE = range(8)
# Columns of `edits` (i, 6), as in `Edited`.
SETTING_OFFSET, OFFSET, ROUGH, NO_VIBRATOR, DEAD, STUCK = range(6)
# Columns of `figures` (i, 12). Of all with a mechanism:
FRICTION, LAG, LOWEST, HIGHEST = range(4)
# of what has a setting; of capsules with hysteresis; of an altimeter with a vibrator (1, else 0);
SETTING_LOWEST, SETTING_HIGHEST, WEIGHT, VIBRATED = range(4, 8)
# of a rate: full scale, and the difference there; orifice (1, else 0); of its pump: travel for each g, or 0
# for no pump, settling time, area of the piston, volume of the case and what it takes up [kg/Pa];
FULL, FULL_PA, ORIFICE, TRAVEL, SETTLING, AREA, ROOM, HOLDS = range(4, 12)
# of an encoder, its lowest and highest whole step, and the step;
STEP = 4
# of a computer: time between samples, shares taken of each by its filters (1 for no filter), steps, limits.
INTERVAL, SHARE, RATE_SHARE, SPEED_STEP, HEIGHT_STEP, RATE_STEP = 0, 1, 2, 3, 6, 7
LEAST_SPEED, MOST_SPEED, MOST_HEIGHT, MOST_RATE = range(8, 12)
FIGURES = 12
# Columns of `memory` (i, 18): how play, share and lag stand; of capsules with hysteresis: where they began,
# and the centres of their plays; of a pump: where its piston is, what moved it, what it has added; of a
# computer: samples taken, its filters, the last height, the pressures looked at last.
PLAYED, HELD, POINTER, BEGAN, CENTRES = range(5)
PISTON, PUSHED, ADDED = range(3, 6)
SAMPLES, SMOOTH_SPEED, SMOOTH_HEIGHT, SMOOTH_RATE, LAST_HEIGHT, PITOT, STATIC = range(7)
MEMORY = 18
# Columns of `ways` (w, 6): out of which instrument's case; to which pressure, inside first, then outside;
# conductance and inertia of flow.py; whether it is a compensated leak; how far it is open.
OF, BEYOND, CONDUCTANCE, INERTIA, COMPENSATED, OPEN = range(6)

DUE_S = 1e-9  # a sample that is due within this is due [s]
SLACK = 1e-9  # of a limit, before what is beyond it is blank


@jit
def look(
    start_s: float,
    before_s: float,
    now_s: float,
    pressure: FloatArray,
    outside: FloatArray,
    setting_pa: float,
    load_factor: float,
    shaken: float,
    shaken_share: float,
    wiring: IntArray,
    figures: FloatArray,
    cards: FloatArray,
    widths: FloatArray,
    ways: FloatArray,
    edits: FloatArray,
    memory: FloatArray,
    shown: FloatArray,
) -> None:
    """Fill in `shown` (p,), and bring `memory` up to now.

    start_s, before_s, now_s: times of the first look, the last one and this one [s], the same for the first;
    pressure (n,), outside (b,) [Pa], NaN where it is not known; shaken: how well the engine shakes the panel
    [0 to 1]; shaken_share: what that leaves of friction [-]; cards (2, c): readings and errors there; widths:
    of the plays of hysteresis [m]. Other arrays: columns as named above.
    """
    first = now_s <= start_s
    for i in range(wiring.shape[0]):
        kind, a, b = wiring[i, KIND], wiring[i, FIRST], wiring[i, SECOND]
        own, known, edited = figures[i], memory[i], edits[i]
        if kind == COMPUTER:
            sampled(start_s, before_s, now_s, pressure[a], pressure[b], own, known)
            setting = held_setting(own, setting_pa + edited[SETTING_OFFSET])
            show_computer(wiring[i], own, known, pressure_altitude(setting), shown)
        elif kind == ENCODER:
            steps = in_steps(pressure_altitude(pressure[a]) + edited[OFFSET], own[STEP])
            shown[wiring[i, SHOWS_HEIGHT]] = min(max(steps, own[LOWEST]), own[HIGHEST])
        else:
            band = own[FRICTION] + edited[ROUGH]
            if kind == SPEED:
                x, where = airspeed(pressure[a] - pressure[b]), wiring[i, SHOWS_SPEED]
            elif kind == HEIGHT:
                x, where = pressure_altitude(pressure[a]), wiring[i, SHOWS_HEIGHT]
                if own[WEIGHT] > 0.0:
                    centres = known[CENTRES : CENTRES + len(widths)]
                    if first:
                        known[BEGAN] = x
                        for j in range(len(widths)):
                            centres[j] = x
                    x += own[WEIGHT] * stands_off(x, known[BEGAN], centres, widths)
                x -= pressure_altitude(held_setting(own, setting_pa + edited[SETTING_OFFSET]))
                free = 1.0 - edited[NO_VIBRATOR] if own[VIBRATED] > 0.0 else shaken
                band = own[FRICTION] * (1.0 - (1.0 - shaken_share) * free) + edited[ROUGH]
            else:
                where, behind = wiring[i, SHOWS_RATE], pressure[b]
                if own[TRAVEL] > 0.0:
                    dt = -1.0 if first else now_s - before_s
                    behind += pumped(i, dt, load_factor, pressure, outside, ways, own, known, b)
                difference = pressure[a] - behind
                share = share_of_full_scale(own[ORIFICE] > 0.0, -difference / own[FULL_PA])
                x = own[FULL] * share
            begin, end = wiring[i, CARD], wiring[i, CARD_END]
            if end > begin:
                x += interpolated(cards[0, begin:end], cards[1, begin:end], x)
            x += edited[OFFSET]
            pointer = moved(first, now_s - before_s, x, band, edited[STUCK], own[LAG], known)
            shown[where] = min(max(pointer, own[LOWEST]), own[HIGHEST])
        if edited[DEAD] >= 0.5:
            for column in range(SHOWS_SPEED, SHOWS_RATE + 1):
                if wiring[i, column] >= 0:
                    shown[wiring[i, column]] = nan


@jit
def moved(
    first: bool, dt: float, x: float, band: float, stuck: float, lag_s: float, known: FloatArray
) -> float:
    """Where a pointer goes, that `needle` of _kernels.py would move."""
    if first:
        known[PLAYED] = known[HELD] = known[POINTER] = x
        return x
    played_before, held_before = known[PLAYED], known[HELD]
    played = pushed(played_before, x, band)
    held = made_of_it(held_before, played_before, played, stuck)
    pointer = known[POINTER]
    if lag_s <= 0.0:
        pointer = held
    elif dt > 0.0:
        pointer = lagged(pointer, held_before, held, dt, exp(-dt / lag_s), -expm1(-dt / lag_s), lag_s)
    known[PLAYED], known[HELD], known[POINTER] = played, held, pointer
    return float(pointer)


@jit
def held_setting(own: FloatArray, setting_pa: float) -> float:
    """The setting as far as the knob goes [Pa]."""
    return float(min(max(setting_pa, own[SETTING_LOWEST]), own[SETTING_HIGHEST]))


@jit
def pumped(
    instrument: int,
    dt: float,
    load_factor: float,
    pressure: FloatArray,
    outside: FloatArray,
    ways: FloatArray,
    own: FloatArray,
    known: FloatArray,
    case: int,
) -> float:
    """What a pump has added in its case [Pa]: see pump.py. dt: below zero at the first look."""
    here, push = pressure[case], own[TRAVEL] * (load_factor - 1.0)
    if dt < 0.0:
        known[PISTON], known[ADDED] = push, 0.0
    if dt <= 0.0:
        known[PUSHED] = push
        return float(known[ADDED])
    settling, piston = own[SETTLING], known[PISTON]
    if settling > 0.0:
        keep, gain = exp(-dt / settling), -expm1(-dt / settling)
        after = lagged(piston, known[PUSHED], push, dt, keep, gain, settling)
    else:
        after = push
    warmth = T0 / standard_temperature(pressure_altitude(here))
    rate = 0.0
    for w in range(ways.shape[0]):
        if int(ways[w, OF]) != instrument:
            continue
        beyond = int(ways[w, BEYOND])
        other = pressure[beyond] if beyond < len(pressure) else outside[beyond - len(pressure)]
        if other != other:
            other = here
        viscous = ways[w, CONDUCTANCE] * ways[w, OPEN] ** 2
        if ways[w, COMPENSATED] > 0.0:
            viscous *= warmth
        drive = abs(here - other) * (here + other)
        rate += 2.0 * here * viscous / sqrt(1.0 + 4.0 * ways[w, INERTIA] * viscous * drive)
    leaving = rate / own[HOLDS] * dt
    evenly = -expm1(-leaving) / leaving if leaving > 1e-9 else 1.0
    added = here * own[AREA] * (after - piston) / own[ROOM]
    known[ADDED] = known[ADDED] * exp(-leaving) + added * evenly
    known[PISTON], known[PUSHED] = after, push
    return float(known[ADDED])


@jit
def sampled(
    start_s: float,
    before_s: float,
    now_s: float,
    pitot_pa: float,
    static_pa: float,
    own: FloatArray,
    known: FloatArray,
) -> None:
    """Take all samples of a computer that are due: pressures straight between looks."""
    interval = own[INTERVAL]
    if now_s <= start_s:
        known[SAMPLES], known[SMOOTH_RATE] = 0.0, 0.0
        known[PITOT], known[STATIC] = pitot_pa, static_pa
    span = now_s - before_s
    while start_s + interval * known[SAMPLES] <= now_s + DUE_S:
        since = start_s + interval * known[SAMPLES] - before_s
        pitot, static = pitot_pa, static_pa
        if since < span:
            pitot = (pitot_pa - known[PITOT]) / span * since + known[PITOT]
            static = (static_pa - known[STATIC]) / span * since + known[STATIC]
        speed, height = airspeed(pitot - static), pressure_altitude(static)
        if known[SAMPLES] == 0.0:
            known[SMOOTH_SPEED], known[SMOOTH_HEIGHT] = speed, height
        else:
            known[SMOOTH_SPEED] += own[SHARE] * (speed - known[SMOOTH_SPEED])
            known[SMOOTH_HEIGHT] += own[SHARE] * (height - known[SMOOTH_HEIGHT])
            rate = (height - known[LAST_HEIGHT]) / interval
            taken = own[RATE_SHARE] if known[SAMPLES] > 1.0 else 1.0
            known[SMOOTH_RATE] += taken * (rate - known[SMOOTH_RATE])
        known[LAST_HEIGHT] = height
        known[SAMPLES] += 1.0
    known[PITOT], known[STATIC] = pitot_pa, static_pa


@jit
def show_computer(
    wired: IntArray, own: FloatArray, known: FloatArray, datum_m: float, shown: FloatArray
) -> None:
    """Fill in what its last sample gave, in whole steps; NaN beyond its limits."""
    if wired[SHOWS_SPEED] >= 0:
        speed = in_steps(known[SMOOTH_SPEED], own[SPEED_STEP])
        shown[wired[SHOWS_SPEED]] = limited(speed, own[LEAST_SPEED], own[MOST_SPEED])
    if wired[SHOWS_HEIGHT] >= 0:
        height = in_steps(known[SMOOTH_HEIGHT] - datum_m, own[HEIGHT_STEP])
        shown[wired[SHOWS_HEIGHT]] = limited(height, -np.inf, own[MOST_HEIGHT])
    if wired[SHOWS_RATE] >= 0:
        rate = in_steps(known[SMOOTH_RATE], own[RATE_STEP])
        shown[wired[SHOWS_RATE]] = limited(rate, -own[MOST_RATE], own[MOST_RATE])


@jit
def limited(value: float, lowest: float, highest: float) -> float:
    """Blank what lies outside by more than rounding."""
    slack = SLACK * max(abs(highest), 1.0)
    return value if lowest - slack <= value <= highest + slack else nan
