"""What stands between a capsule and its pointer: scale error, play (friction), lag, stops.

An instrument applies them in this order: law, scale error, friction, lag, stops. Every function takes and
returns arrays over time, shape (t,), in the unit of the pointer [m/s or m].
"""

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]


def with_scale_error(reading: Array, scale_error: tuple[tuple[float, float], ...]) -> Array:
    """Return `reading`, what the law gives, plus the scale error there.

    `scale_error` is a correction card: (right, error) pairs in the unit of the pointer, error = shown minus
    right. Straight lines between the pairs, the end errors held beyond them.
    """
    if not scale_error:
        return reading
    at, error = np.array(sorted(scale_error), dtype=float).T
    return np.asarray(reading + np.interp(reading, at, error))


def play(mechanism: Array, band: float | Array) -> Array:
    """Friction as play: the pointer moves only when the mechanism has moved away by more than `band`.

    `band` (scalar or (t,), never negative) is in the unit of the pointer: the most by which a pointer hangs
    back until the panel is tapped. Starts tapped, so without error. A zero band is no effect. The play
    operator does not depend on the speed of the motion (Coulomb friction without inertia).
    """
    bands = np.broadcast_to(np.asarray(band, dtype=float), mechanism.shape)
    if not bands.any():
        return mechanism
    shown = np.empty_like(mechanism)
    pointer = float(mechanism[0])
    for i, (x, r) in enumerate(zip(mechanism.tolist(), bands.tolist(), strict=True)):
        pointer = min(max(pointer, x - r), x + r)
        shown[i] = pointer
    return shown


def held_back(mechanism: Array, stuck: float | Array) -> Array:
    """A sticking pointer: it makes only the share 1 - `stuck` of every movement of the mechanism.

    `stuck` (scalar or (t,)) is 0 for a free pointer, which then stands where the mechanism says, and 1 for
    one that does not move at all.
    """
    shares = np.broadcast_to(np.asarray(stuck, dtype=float), mechanism.shape)
    if not shares.any():
        return mechanism
    shown = np.empty_like(mechanism)
    pointer = before = float(mechanism[0])
    for i, (x, s) in enumerate(zip(mechanism.tolist(), shares.tolist(), strict=True)):
        pointer = x if s <= 0.0 else pointer + (1.0 - s) * (x - before)
        before = x
        shown[i] = pointer
    return shown


def first_order_lag(time_s: Array, mechanism: Array, lag_s: float) -> Array:
    """Return `mechanism` through a first-order lag of time constant `lag_s` [s], started in equilibrium.

    Exact where the input is a straight line between samples: y' = (x - y) / lag. Sample times need not be
    even; two samples at one time are a jump, at which the pointer has had no time to move.
    """
    if lag_s <= 0.0 or mechanism.size < 2:
        return mechanism
    dt = np.diff(time_s)
    keep = np.exp(-dt / lag_s)
    moved = dt > 0.0
    slope = np.divide(np.diff(mechanism), dt, out=np.zeros_like(dt), where=moved)
    # y1 = e y0 + (1 - e) (x0 - slope lag) + slope dt, from the exact answer to a ramp
    feed = np.where(moved, -np.expm1(-dt / lag_s) * (mechanism[:-1] - slope * lag_s) + slope * dt, 0.0)
    shown = np.empty_like(mechanism)
    pointer = shown[0] = float(mechanism[0])
    for i, (e, f) in enumerate(zip(keep.tolist(), feed.tolist(), strict=True), start=1):
        pointer = e * pointer + f
        shown[i] = pointer
    return shown


def between_stops(pointer: Array, lowest: float, highest: float) -> Array:
    """Return `pointer` held between its two stops."""
    return np.clip(pointer, lowest, highest)
