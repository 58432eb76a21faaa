"""Elastic hysteresis of a capsule: it reads higher on the way down than on the way up.

The model is a stack of plays (Prandtl's and Ishlinskii's operator; A. Visintin, Differential Models of
Hysteresis, 1994, chapter III, from memory) whose weights fall with the width of the play, so that a loop's
gap is the same share of its span whatever the span. It knows no time: the slow recovery of a capsule left at
rest (drift, after-effect) is left out, so what is left on coming back to the start stays until it is moved.
"""

import numpy as np

from ramstill.instruments.mechanics import Array

# Half widths of the plays [m], each twice the one before: loops from 40 m to 20 km in height.
HALF_WIDTHS: Array = np.array([5.0 * 2.0**i for i in range(13)])
# Gap in the middle of a loop for weights 1 / r dr, per span: 1/2 + ln(2) / 2 + ln(2) - 1/2 (see the tests).
_MIDDLE = 1.5 * np.log(2.0)


def with_hysteresis(altitude_m: Array, share: float) -> Array:
    """Return `altitude_m` (t,) as capsules with hysteresis have it [m].

    share [-]: gap between the way down and the way up in the middle of a loop, per height covered. Scale
    errors are taken on the way up (14 CFR 43 appendix E), so the first movement from where the run begins is
    without error, and only the way back is off.
    """
    if share <= 0.0 or altitude_m.size < 2:
        return altitude_m
    from ramstill.instruments import _kernels

    # off by what the plays stand off now, less what the same stack has on its first way from the start
    values = np.ascontiguousarray(altitude_m, dtype=float)
    return _kernels.stack_of_plays(values, HALF_WIDTHS, weight_of(share))


def weight_of(share: float) -> float:
    """Return what each play of the stack counts for a gap of `share` [-]."""
    return float(share / _MIDDLE * np.log(2.0))
