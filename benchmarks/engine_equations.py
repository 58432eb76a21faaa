"""The engine's own laws as an ordinary differential equation, for solvers that want one.

dy/dt and its Jacobian, both compiled, from the laws the engine itself calls: of pressures, and of masses and
swellings as the pressure they make, so that one weight fits all. What they need is packed by engine_block.py.
"""

from math import sqrt

import numpy as np
from engine_block import (
    BEGIN,
    COMPENSATED,
    CONDUCTANCE,
    FADE_2,
    FIRST_KNOT,
    FIRST_PIECE,
    FIXED_A,
    FIXED_B,
    FLOW,
    GROWTH,
    HEAT,
    HOLD_AB,
    HOLD_BA,
    HOT,
    INERTIA,
    INTO,
    KNOT,
    KNOTS,
    LAST_KNOT,
    LAST_PIECE,
    LEFT,
    LINK_B,
    MOST,
    NUMBERS,
    OPEN,
    OPENNESS,
    PER,
    PIECE,
    PLACE,
    PRESSURE,
    RATE,
    REYNOLDS,
    RIGHT,
    ROOM,
    SOFTNESS,
    STATE,
    STRAIGHT,
    SWELL_A,
    SWELL_B,
    SWELL_RATE,
    SWELL_SLOPE,
    TIMES,
    VOLUME,
    WALL,
    WARM,
    WARM_A,
    WARM_B,
    WHOLE,
    A,
    B,
    FloatArray,
    IntArray,
    L,
    N,
    S,
    V,
    lean_jit,
)

from ramstill.air.constants import P0, R_AIR
from ramstill.pneumatics.flow import link_flow, residual_slopes
from ramstill.pneumatics.outside import Outside, outside_at
from ramstill.pneumatics.swelling import SETTLES_S, swollen


@lean_jit
def boundaries_and_openness(t: float, block: FloatArray) -> None:
    """Fill the block's STATE behind the volumes with the pressures outside, and OPEN with the open shares."""
    whole = block.view(np.int64)
    n, b, links, knots = whole[V], whole[B], whole[L], whole[KNOTS]
    begin = whole[BEGIN]
    piece = whole[PIECE]
    while piece < whole[LAST_PIECE] and block[begin + piece + 1] <= t:
        piece += 1
    while piece > whole[FIRST_PIECE] and block[begin + piece] > t:
        piece -= 1
    if piece != whole[PIECE]:
        whole[PIECE] = piece
    knot = max(whole[KNOT], whole[whole[FIRST_KNOT] + piece])
    knot = min(knot, whole[whole[LAST_KNOT] + piece])
    while knot > whole[whole[FIRST_KNOT] + piece] and block[whole[TIMES] + knot] > t:
        knot -= 1
    outside = Outside(
        block[whole[TIMES] : whole[TIMES] + knots],
        block[whole[PRESSURE] : whole[PRESSURE] + knots * b].reshape((knots, b)),
        block[whole[LEFT] : whole[LEFT] + knots * b].reshape((knots, b)),
        block[whole[RIGHT] : whole[RIGHT] + knots * b].reshape((knots, b)),
    )
    since = t - block[begin + piece]
    state = block[whole[STATE] : whole[STATE] + n + b]
    whole[KNOT] = outside_at(
        outside, block[begin + piece], since, knot, whole[whole[LAST_KNOT] + piece], n, state
    )
    row = piece * links
    for i in range(links):
        block[whole[OPEN] + i] = block[whole[OPENNESS] + row + i] + since * block[whole[RATE] + row + i]


@lean_jit
def flow_of(i: int, pa: float, pb: float, block: FloatArray, whole: IntArray) -> float:
    """The engine's law of link i [kg/s]."""
    return link_flow(
        pa,
        pb,
        block[whole[OPEN] + i],
        block[whole[CONDUCTANCE] + i],
        block[whole[INERTIA] + i],
        whole[whole[COMPENSATED] + i] != 0,
        block[whole[HOLD_AB] + i],
        block[whole[HOLD_BA] + i],
        block[whole[REYNOLDS] + i],
        block[whole[STRAIGHT] + i],
    )


@lean_jit
def flow_slopes_of(i: int, pa: float, pb: float, block: FloatArray, whole: IntArray) -> tuple[float, float]:
    """Slopes of that flow by its two pressures [kg/(s Pa)]."""
    _, by_a, by_b, _, by_flow = residual_slopes(
        pa,
        pb,
        block[whole[FLOW] + i],
        block[whole[OPEN] + i],
        block[whole[CONDUCTANCE] + i],
        block[whole[INERTIA] + i],
        whole[whole[COMPENSATED] + i] != 0,
        block[whole[HOLD_AB] + i],
        block[whole[HOLD_BA] + i],
        block[whole[REYNOLDS] + i],
        block[whole[STRAIGHT] + i],
    )
    return by_a / by_flow, by_b / by_flow


@lean_jit
def look(t: float, y: FloatArray, block: FloatArray) -> None:
    """Fill in state, air and flows at unknowns y (n,) and time t [s]; dy/dt, unscaled, in WHOLE."""
    whole = block.view(np.int64)
    v, soft = whole[V], whole[S]
    gamma, carried = block[whole[NUMBERS]], block[whole[NUMBERS] + 1]
    boundaries_and_openness(t, block)
    per, place, state, rate = whole[PER], whole[PLACE], whole[STATE], whole[WHOLE]
    room, growth, warm, into, hot = whole[ROOM], whole[GROWTH], whole[WARM], whole[INTO], whole[HOT]
    for i in range(v):
        block[state + i] = y[whole[place + i]]
        block[room + i], block[growth + i] = block[whole[VOLUME] + i], 0.0
    for i in range(v + whole[B]):
        block[into + i] = block[hot + i] = 0.0
    for k in range(soft):
        a, b = whole[whole[SWELL_A] + k], whole[whole[SWELL_B] + k]
        beyond = block[state + b] if b >= 0 else P0
        grown = y[whole[place + 2 * v + k]] * block[per + 2 * v + k]
        end, block[whole[SWELL_SLOPE] + k] = swollen(
            block[state + a] - beyond, block[whole[SOFTNESS] + k], block[whole[MOST] + k]
        )
        swelling = (end - grown) / SETTLES_S
        block[whole[SWELL_RATE] + k] = block[rate + 2 * v + k] = swelling
        block[room + a] += grown
        block[growth + a] += swelling
        if b >= 0:
            block[room + b] -= grown
            block[growth + b] -= swelling
    for i in range(v):
        mass = y[whole[place + v + i]] * block[per + v + i]
        block[warm + i] = block[state + i] * block[room + i] / (R_AIR * mass)
    for i in range(whole[L]):
        a, b = whole[whole[A] + i], whole[whole[LINK_B] + i]
        w = flow_of(i, block[state + a], block[state + b], block, whole)
        block[whole[FLOW] + i] = w
        first = block[warm + whole[whole[WARM_A] + i]]
        second = block[warm + whole[whole[WARM_B] + i]]
        lean = w / sqrt(w * w + block[whole[FADE_2] + i])
        upstream = 0.5 * carried * (first + second + lean * (first - second))
        block[into + a] -= w
        block[hot + a] -= w * (upstream + block[whole[FIXED_A] + i])
        block[into + b] += w
        block[hot + b] += w * (upstream + block[whole[FIXED_B] + i])
    for i in range(v):
        heat = block[whole[HEAT] + i] * (block[whole[WALL] + i] - block[warm + i])
        work = gamma * (R_AIR * block[hot + i] - block[state + i] * block[growth + i])
        block[rate + i] = (work + heat) / block[room + i]
        block[rate + v + i] = block[into + i]


@lean_jit
def slope(t: float, y: FloatArray, block: FloatArray, out: FloatArray) -> None:
    """Fill `out` (n,) with dy/dt [Pa/s] at unknowns y (n,) [Pa] and time t [s]."""
    look(t, y, block)
    whole = block.view(np.int64)
    for k in range(whole[N]):
        out[whole[whole[PLACE] + k]] = block[whole[WHOLE] + k] / block[whole[PER] + k]


@lean_jit
def _add(
    out: FloatArray, origin: int, stride: int, block: FloatArray, row: int, column: int, value: float
) -> None:
    """Add to the slope of the engine's unknown `row` by `column`."""
    whole = block.view(np.int64)
    per, place = whole[PER], whole[PLACE]
    at = origin + whole[place + row] + whole[place + column] * stride
    out[at] += value * block[per + column] / block[per + row]


@lean_jit
def _by_warmth(
    out: FloatArray,
    origin: int,
    stride: int,
    y: FloatArray,
    block: FloatArray,
    row: int,
    m: int,
    value: float,
) -> None:
    """Add what a slope by the temperature of volume m is by its pressure, mass and swelling."""
    whole = block.view(np.int64)
    v, warmth = whole[V], block[whole[WARM] + m]
    mass = y[whole[whole[PLACE] + v + m]] * block[whole[PER] + v + m]
    _add(out, origin, stride, block, row, m, value * warmth / block[whole[STATE] + m])
    _add(out, origin, stride, block, row, v + m, -value * warmth / mass)
    for k in range(whole[S]):
        sign = 1.0 if whole[whole[SWELL_A] + k] == m else (-1.0 if whole[whole[SWELL_B] + k] == m else 0.0)
        if sign != 0.0:
            _add(out, origin, stride, block, row, 2 * v + k, sign * value * warmth / block[whole[ROOM] + m])


@lean_jit
def jacobian(t: float, y: FloatArray, block: FloatArray, out: FloatArray, origin: int, stride: int) -> None:
    """Fill `out`, flat, with the Jacobian [1/s]: row i, column j at origin + i + j * stride.

    Columns one after the other: origin 0 and stride n; a band with s rows kept above the diagonal and columns
    `ldim` long: origin s and stride ldim - 1.
    """
    look(t, y, block)
    whole = block.view(np.int64)
    v, state, warm, room = whole[V], whole[STATE], whole[WARM], whole[ROOM]
    gamma, carried = block[whole[NUMBERS]], block[whole[NUMBERS] + 1]
    out[:] = 0.0
    for i in range(whole[L]):
        a, b = whole[whole[A] + i], whole[whole[LINK_B] + i]
        by_a, by_b = flow_slopes_of(i, block[state + a], block[state + b], block, whole)
        w = block[whole[FLOW] + i]
        warm_a, warm_b = whole[whole[WARM_A] + i], whole[whole[WARM_B] + i]
        first, second = block[warm + warm_a], block[warm + warm_b]
        lean = w / sqrt(w * w + block[whole[FADE_2] + i])
        by_flow = 0.5 * carried * (first + second + lean * (2.0 - lean * lean) * (first - second))
        for end in range(2):
            m = a if end == 0 else b
            if m >= v:
                continue
            sign = -1.0 if end == 0 else 1.0
            fixed = block[(whole[FIXED_A] if end == 0 else whole[FIXED_B]) + i]
            scale = sign * gamma * R_AIR / block[room + m]
            if a < v:
                _add(out, origin, stride, block, v + m, a, sign * by_a)
                _add(out, origin, stride, block, m, a, scale * (by_flow + fixed) * by_a)
                _by_warmth(out, origin, stride, y, block, m, a, scale * 0.5 * carried * (w + w * lean))
            if b < v:
                _add(out, origin, stride, block, v + m, b, sign * by_b)
                _add(out, origin, stride, block, m, b, scale * (by_flow + fixed) * by_b)
                _by_warmth(out, origin, stride, y, block, m, b, scale * 0.5 * carried * (w - w * lean))
    for m in range(v):
        heat = block[whole[HEAT] + m]
        if heat != 0.0:
            _by_warmth(out, origin, stride, y, block, m, m, -heat / block[room + m])
    for k in range(whole[S]):
        x, a, b = 2 * v + k, whole[whole[SWELL_A] + k], whole[whole[SWELL_B] + k]
        soft = block[whole[SWELL_SLOPE] + k] / SETTLES_S
        _add(out, origin, stride, block, x, x, -1.0 / SETTLES_S)
        for end in range(2):
            m, sign = (a, 1.0) if end == 0 else (b, -1.0)
            if m < 0:
                continue
            _add(out, origin, stride, block, x, m, sign * soft)
            push = sign * gamma * block[state + m] / block[room + m]
            _add(out, origin, stride, block, m, a, -push * soft)
            if b >= 0:
                _add(out, origin, stride, block, m, b, push * soft)
            rising = sign * block[whole[WHOLE] + m] / block[room + m]
            _add(out, origin, stride, block, m, x, push / SETTLES_S - rising)
            _add(
                out,
                origin,
                stride,
                block,
                m,
                m,
                -gamma * sign * block[whole[SWELL_RATE] + k] / block[room + m],
            )
