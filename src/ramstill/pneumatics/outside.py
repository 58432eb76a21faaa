"""The pressures outside at one instant, for the kernel."""

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import inner_jit

FloatArray = NDArray[np.float64]


class Outside(NamedTuple):
    """Pressures at the boundaries: cubic Hermite between knots (k,), which reach beyond every time asked for.

    pressure, left, right: (k, b) values [Pa] and slopes on either side of each knot [Pa/s].
    """

    knots: FloatArray
    pressure: FloatArray
    left: FloatArray
    right: FloatArray


@inner_jit
def outside_at(
    outside: Outside,
    origin: float,
    since: float,
    knot: int,
    last_knot: int,
    volumes: int,
    pressure: FloatArray,
) -> int:
    """Fill in the boundary pressures at `origin` + `since` [s]; return the knot at or before it.

    knot: one to look onwards from; last_knot: none beyond it, so that the left value holds at a jump.
    """
    while knot < last_knot and outside.knots[knot + 1] - origin <= since:
        knot += 1
    start = outside.knots[knot]
    span = outside.knots[knot + 1] - start
    x = (since + (origin - start)) / span
    for j in range(outside.pressure.shape[1]):
        pa, pb = outside.pressure[knot, j], outside.pressure[knot + 1, j]
        ma, mb = outside.right[knot, j] * span, outside.left[knot + 1, j] * span
        rise = pb - pa
        pressure[volumes + j] = pa + x * (ma + x * (3.0 * rise - 2.0 * ma - mb + x * (ma + mb - 2.0 * rise)))
    return knot


@inner_jit
def outside_rate(
    outside: Outside, origin: float, since: float, knot: int, volumes: int, rate: FloatArray
) -> None:
    """Fill in the boundary slopes [Pa/s] at a time after `knot`."""
    start = outside.knots[knot]
    span = outside.knots[knot + 1] - start
    x = (since + (origin - start)) / span
    for j in range(outside.pressure.shape[1]):
        ma, mb = outside.right[knot, j] * span, outside.left[knot + 1, j] * span
        rise = outside.pressure[knot + 1, j] - outside.pressure[knot, j]
        c2, c3 = 3.0 * rise - 2.0 * ma - mb, ma + mb - 2.0 * rise
        rate[volumes + j] = (ma + x * (2.0 * c2 + x * 3.0 * c3)) / span


@inner_jit
def overlooked(
    outside: Outside,
    origin: float,
    begin: float,
    end: float,
    knot: int,
    last_knot: int,
    volumes: int,
    now: FloatArray,
    then: FloatArray,
) -> float:
    """How far [Pa] the boundaries stray, at the knots within a step, from one cubic over the whole of it.

    begin, end [s after origin]; now, then: (2, n + b) pressures and slopes there.
    """
    worst = 0.0
    width = end - begin
    for i in range(knot + 1, last_knot + 1):
        x = (outside.knots[i] - origin - begin) / width
        if x >= 1.0:
            break
        for j in range(outside.pressure.shape[1]):
            at = volumes + j
            ma, mb = now[1, at] * width, then[1, at] * width
            rise = then[0, at] - now[0, at]
            cubic = now[0, at] + x * (ma + x * (3.0 * rise - 2.0 * ma - mb + x * (ma + mb - 2.0 * rise)))
            worst = max(worst, abs(cubic - outside.pressure[i, j]))
    return worst
