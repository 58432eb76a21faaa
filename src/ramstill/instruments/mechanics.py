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
    from ramstill.instruments import _kernels

    return _kernels.play(_floats(mechanism), _floats(bands))


def held_back(mechanism: Array, stuck: float | Array) -> Array:
    """A sticking pointer: it makes only the share 1 - `stuck` of every movement of the mechanism.

    `stuck` (scalar or (t,)) is 0 for a free pointer, which then stands where the mechanism says, and 1 for
    one that does not move at all.
    """
    shares = np.broadcast_to(np.asarray(stuck, dtype=float), mechanism.shape)
    if not shares.any():
        return mechanism
    from ramstill.instruments import _kernels

    return _kernels.held_back(_floats(mechanism), _floats(shares))


def first_order_lag(time_s: Array, mechanism: Array, lag_s: float) -> Array:
    """Return `mechanism` through a first-order lag of time constant `lag_s` [s], started in equilibrium.

    Exact where the input is a straight line between samples: y' = (x - y) / lag. Sample times need not be
    even; two samples at one time are a jump, at which the pointer has had no time to move.
    """
    if lag_s <= 0.0 or mechanism.size < 2:
        return mechanism
    from ramstill.instruments import _kernels

    return _kernels.first_order_lag(_floats(time_s), _floats(mechanism), float(lag_s))


def between_stops(pointer: Array, lowest: float, highest: float) -> Array:
    """Return `pointer` held between its two stops."""
    return np.clip(pointer, lowest, highest)


def _floats(values: Array) -> Array:
    """As the compiled loops take them: float64, side by side in memory."""
    return np.ascontiguousarray(values, dtype=np.float64)
