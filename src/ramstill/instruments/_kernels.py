"""What an instrument remembers from one sample to the next, compiled: these loops cannot be done at once.

Each does one thing that mechanics.py, hysteresis.py, air_data.py or pump.py explains, and knows no physics.
"""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import inner_jit, jit

FloatArray = NDArray[np.float64]

SAME_STEP = 1e-11  # time steps that differ by less than this share differ by rounding


@inner_jit
def pushed(pointer: float, x: float, band: float) -> float:
    """Where a pointer is pushed to once the mechanism at x is more than a band away."""
    return min(max(pointer, x - band), x + band)


@inner_jit
def made_of_it(pointer: float, before: float, now: float, stuck: float) -> float:
    """Where a pointer goes that makes the share 1 - stuck of a movement; it stands right where that is 0."""
    return now if stuck <= 0.0 else pointer + (1.0 - stuck) * (now - before)


@inner_jit
def lagged(
    pointer: float, before: float, now: float, dt: float, keep: float, gain: float, lag_s: float
) -> float:
    """Where a lag ends that is led straight from `before` to `now`; keep: e^(-dt / lag), gain: 1 less that.

    y1 = e y0 + (1 - e) (x0 - slope lag) + slope dt.
    """
    slope = (now - before) / dt
    return keep * pointer + (gain * (before - slope * lag_s) + slope * dt)


@inner_jit
def stands_off(x: float, start: float, centres: FloatArray, half_widths: FloatArray) -> float:
    """How far a stack of plays stands off at x, beyond that of its first way out; `centres` go with it."""
    away, off = x - start, 0.0
    for j in range(len(half_widths)):
        width = half_widths[j]
        centre = min(max(centres[j], x - width), x + width)
        centres[j] = centre
        off += centre - x + min(max(away, -width), width)
    return off


@jit
def play(mechanism: FloatArray, band: FloatArray) -> FloatArray:
    """A pointer that is pushed once the mechanism is more than band (t,), or (1,) for all, away."""
    shown = np.empty_like(mechanism)
    last = len(band) - 1
    pointer = mechanism[0]
    for i in range(len(mechanism)):
        pointer = pushed(pointer, mechanism[i], band[min(i, last)])
        shown[i] = pointer
    return shown


@jit
def held_back(mechanism: FloatArray, stuck: FloatArray) -> FloatArray:
    """A pointer that makes the share 1 - stuck (t,) of every movement, and stands right where that is 0."""
    shown = np.empty_like(mechanism)
    pointer = before = mechanism[0]
    for i in range(len(mechanism)):
        pointer = made_of_it(pointer, before, mechanism[i], stuck[i])
        before = mechanism[i]
        shown[i] = pointer
    return shown


@jit
def first_order_lag(time_s: FloatArray, mechanism: FloatArray, lag_s: float) -> FloatArray:
    """y' = (x - y) / lag, from y = x, x straight between samples: the exact answer to each ramp."""
    shown = np.empty_like(mechanism)
    pointer = mechanism[0]
    shown[0] = pointer
    for_step, keep, gain = 0.0, 1.0, 0.0
    for i in range(1, len(mechanism)):
        dt = time_s[i] - time_s[i - 1]
        if dt > 0.0:
            if not abs(dt - for_step) <= SAME_STEP * for_step:
                for_step, keep, gain = dt, np.exp(-dt / lag_s), -np.expm1(-dt / lag_s)
            pointer = lagged(pointer, mechanism[i - 1], mechanism[i], dt, keep, gain, lag_s)
        shown[i] = pointer
    return shown


@jit
def stack_of_plays(values: FloatArray, half_widths: FloatArray, weight: float) -> FloatArray:
    """values (t,) plus weight times what a stack of plays stands off, beyond that of the first way out."""
    found = np.empty_like(values)
    start = values[0]
    centres = np.full(len(half_widths), start)
    for i in range(len(values)):
        found[i] = values[i] + weight * stands_off(values[i], start, centres, half_widths)
    return found


@jit
def filtered(sampled: FloatArray, share: float) -> FloatArray:
    """y += share (x - y) at each sample, from y = x."""
    found = np.empty_like(sampled)
    y = sampled[0]
    for i in range(len(sampled)):
        y += share * (sampled[i] - y)
        found[i] = y
    return found


@jit
def filled_and_emptied(kept: FloatArray, added: FloatArray) -> FloatArray:
    """y = kept y + added at each sample but the first, from y = 0."""
    found = np.zeros_like(kept)
    for i in range(1, len(kept)):
        found[i] = found[i - 1] * kept[i] + added[i]
    return found


@jit
def interpolated(at: FloatArray, value: FloatArray, x: float) -> float:
    """Straight between rising `at`, held at the ends."""
    last = len(at) - 1
    if x <= at[0]:
        return float(value[0])
    if x >= at[last]:
        return float(value[last])
    i = 0
    while x >= at[i + 1]:
        i += 1
    return float(value[i] + (value[i + 1] - value[i]) / (at[i + 1] - at[i]) * (x - at[i]))


@jit
def needle(
    time_s: FloatArray,
    law: FloatArray,
    datum: FloatArray,
    card: FloatArray,
    offset: FloatArray,
    band: FloatArray,
    stuck: FloatArray,
    lag_s: float,
    lowest: float,
    highest: float,
    known: FloatArray,
    moved: FloatArray,
    shown: FloatArray,
) -> None:
    """Fill in `shown` (t,), what a pointer shows, from what the law gives (t,).

    datum, offset, band, stuck: (t,), or (1,) where they stay; card (2, k): readings and errors there. known:
    empty, or play, share and lag at the first time, the pointer having moved before. moved (t, 3): these at
    all times, or empty.
    """
    of_datum, of_offset, of_band, of_stuck = len(datum) - 1, len(offset) - 1, len(band) - 1, len(stuck) - 1
    played = held = pointer = 0.0
    for_step, keep, gain = 0.0, 1.0, 0.0
    for i in range(len(law)):
        x = law[i] - datum[min(i, of_datum)]
        if card.shape[1]:
            x += interpolated(card[0], card[1], x)
        x += offset[min(i, of_offset)]
        if i == 0:
            played, held, pointer = (known[0], known[1], known[2]) if len(known) else (x, x, x)
        else:
            played_before, held_before = played, held
            played = pushed(played, x, band[min(i, of_band)])
            held = made_of_it(held, played_before, played, stuck[min(i, of_stuck)])
            dt = time_s[i] - time_s[i - 1]
            if lag_s <= 0.0:
                pointer = held
            elif dt > 0.0:
                if not abs(dt - for_step) <= SAME_STEP * for_step:
                    for_step, keep, gain = dt, np.exp(-dt / lag_s), -np.expm1(-dt / lag_s)
                pointer = lagged(pointer, held_before, held, dt, keep, gain, lag_s)
        if len(moved):
            moved[i, 0], moved[i, 1], moved[i, 2] = played, held, pointer
        shown[i] = min(max(pointer, lowest), highest)
