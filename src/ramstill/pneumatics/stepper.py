"""Stepping through time: how large a step, and never over a kink."""

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import R_AIR
from ramstill.pneumatics._compiled import jit
from ramstill.pneumatics.equations import Plumbing
from ramstill.pneumatics.flow import link_flow
from ramstill.pneumatics.outside import Outside, overlooked
from ramstill.pneumatics.rodas5p import bend, between
from ramstill.pneumatics.rows import copy
from ramstill.pneumatics.step import Pieces, Work, attempt, largest_error, look, work_for

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

DONE, OUT_OF_STEPS, STEP_TOO_SMALL = 0, 1, 2
SMALLEST_STEP = 1e-18  # [s]
AS_GOOD_AS_SHUT = 1e-4
LONGEST_FIRST_STEP = 1e3  # [s]
FOR_EVER = float("inf")
SAFETY, SHRINK_MOST, GROW_MOST = 0.9, 0.15, 8.0
# Step size control of PI type, the estimate being of order 4:
# E. Hairer, G. Wanner, Solving Ordinary Differential Equations II (1996), section IV.2.
PROPORTIONAL, INTEGRAL = 0.7 / 5.0, 0.3 / 5.0
# What the air outside does between the knots of one step may stray this many tolerances from one cubic.
OVERLOOK = 10.0


@jit
def first_step(plumbing: Plumbing, opening_rate: FloatArray, work: Work, tolerance: float) -> float:
    """Step [s] in which the slope's own change moves the air by one tolerance.

    With K the stiffness, V p'' = F_t - K (p', T'). A link that opens from nothing has no slope by openness
    there, but has one an instant later.
    """
    n, air = len(plumbing.volume), work.here
    fastest = bends_fastest(plumbing, work)
    step = (2.0 * tolerance / fastest) ** 0.5 if fastest > 0.0 else LONGEST_FIRST_STEP
    for i in range(len(plumbing.a)):
        if work.openness[i] > 0.0 or opening_rate[i] <= 0.0:
            continue
        a, b = plumbing.a[i], plumbing.b[i]
        room = min(
            air.volume[min(a, n - 1)] if a < n else FOR_EVER,
            air.volume[min(b, n - 1)] if b < n else FOR_EVER,
        )
        while step > SMALLEST_STEP:
            flow = link_flow(
                work.now[0, a],
                work.now[0, b],
                opening_rate[i] * step,
                plumbing.conductance[i],
                plumbing.inertia[i],
                plumbing.compensated[i],
                plumbing.hold_ab[i],
                plumbing.hold_ba[i],
                plumbing.reynolds[i],
                plumbing.straight[i],
            )
            warmth = max(air.temperature[plumbing.warm_a[i]], air.temperature[plumbing.warm_b[i]])
            if plumbing.gamma * R_AIR * warmth * abs(flow) * step <= 2.0 * tolerance * room:
                break
            step *= 0.5
    return step


@jit
def bends_fastest(plumbing: Plumbing, work: Work) -> float:
    """Largest second derivative of any pressure [Pa/s2] where a step begins."""
    n, y, rate, air = len(plumbing.volume), work.y, work.rate, work.here
    warming, bend = np.zeros(2 * n), np.zeros(len(work.pressure))
    for m in range(n):
        part = rate[m] / y[m] + air.growth[m] / air.volume[m] - rate[n + m] / y[n + m]
        warming[m] = air.temperature[m] * part
    carried = work.carried
    for i in range(len(plumbing.a)):
        a, b = plumbing.a[i], plumbing.b[i]
        change = work.slopes.rate[i]
        change += work.slopes.by_a[i] * rate[a] if a < n else 0.0
        change += work.slopes.by_b[i] * rate[b] if b < n else 0.0
        warmer = carried.by_warm_a[i] * warming[plumbing.warm_a[i]]
        warmer += carried.by_warm_b[i] * warming[plumbing.warm_b[i]]
        bend[a] -= carried.by_flow_a[i] * change + warmer
        bend[b] += carried.by_flow_b[i] * change + warmer
    fastest = 0.0
    for m in range(n):
        energy = plumbing.gamma * (R_AIR * bend[m] - air.growth[m] * rate[m]) - plumbing.heat[m] * warming[m]
        fastest = max(fastest, abs(energy / air.volume[m]))
    return fastest


@jit
def while_it_halves(pieces: Pieces, piece: int, since: float) -> float:
    """Step [s] in which nothing that is shutting shuts by more than half of what is still open.

    As it shuts, its volume is held less and less stiffly to what lies beyond: slopes from far back would hide
    that, and the error with it.
    """
    longest = FOR_EVER
    for i in range(pieces.openness.shape[1]):
        rate = pieces.opening_rate[piece, i]
        if rate < 0.0:
            left = pieces.openness[piece, i] + since * rate
            if left > AS_GOOD_AS_SHUT:
                longest = min(longest, -0.5 * left / rate)
    return longest


@jit
def run(
    plumbing: Plumbing,
    outside: Outside,
    pieces: Pieces,
    start: FloatArray,
    output_s: FloatArray,
    tolerance: float,
    most_steps: int,
    output: FloatArray,
    counts: IntArray,
    reached: FloatArray,
) -> None:
    """Fill `output` from `start` (2 n + s,), see volumes.py; `reached[0]` is the time it got to [s].

    output (len(output_s), k): the first k of the state. output_s rises and lies within the pieces. counts
    (5,): steps, rejected, evaluations, how it ended, and the volume that sets the pace there. `start` becomes
    the state at the end.
    """
    work = work_for(plumbing, outside.pressure.shape[1])
    n = len(plumbing.volume)
    copy(start, work.y)
    for i in range(len(counts)):
        counts[i] = 0
    due = 0
    while due < len(output_s) and output_s[due] <= pieces.begin[0]:
        copy(work.y, output[due])
        due += 1
    for piece in range(len(pieces.begin) - 1):
        origin = pieces.begin[piece]
        length = pieces.begin[piece + 1] - origin
        since = 0.0
        knot = look(plumbing, outside, pieces, piece, since, pieces.first_knot[piece], True, work)
        counts[2] += 1
        step, error_before, rejected = (
            first_step(plumbing, pieces.opening_rate[piece], work, tolerance),
            1.0,
            False,
        )
        while since < length:
            if counts[0] + counts[1] >= most_steps:
                counts[3], reached[0] = OUT_OF_STEPS, origin + since
                return
            rest = length - since
            step = min(step, while_it_halves(pieces, piece, since))
            if (step < SMALLEST_STEP or since + step == since) and step < rest:
                counts[3], reached[0] = STEP_TOO_SMALL, origin + since
                return
            end = length
            if step < rest:
                end = since + min(step, 0.5 * rest) if step < 0.999 * rest else length
            attempt(plumbing, outside, pieces, piece, since, end, knot, work)
            counts[2] += 7
            step = end - since
            size, volume = largest_error(work)
            counts[4] = volume
            error = size / tolerance
            if error <= 1.0:
                strayed = overlooked(
                    outside, origin, since, end, knot, pieces.last_knot[piece], n, work.now, work.then
                )
                error = max(error, strayed / (OVERLOOK * tolerance))
            if not error <= 1.0:
                counts[1] += 1
                shrink = SAFETY * error**-0.2 if error < FOR_EVER else 0.0  # NaN fails this too
                step *= max(SHRINK_MOST, shrink)
                if not rejected:
                    # Flows may have drifted off their law by more than the method mends: start afresh.
                    knot = look(plumbing, outside, pieces, piece, since, knot, True, work)
                    counts[2] += 1
                rejected = True
                continue
            counts[0] += 1
            if due < len(output_s) and output_s[due] - origin <= end:
                bend(work.stages, work.dense)
                while due < len(output_s) and output_s[due] - origin <= end:
                    share = min(1.0, max(0.0, (output_s[due] - origin - since) / step))
                    between(share, work.y, work.new, work.dense, output[due])
                    due += 1
            error = max(error, 1e-8)
            grow = SAFETY * error**-PROPORTIONAL * error_before**INTEGRAL
            step *= min(1.0 if rejected else GROW_MOST, max(SHRINK_MOST, grow))
            error_before, rejected = error, False
            since = end
            copy(work.new, work.y)
            copy(work.new_flow, work.flow)
            if since < length:
                knot = look(plumbing, outside, pieces, piece, since, knot, False, work)
                counts[2] += 1
    while due < len(output_s):  # rounding left a last one just beyond the end
        copy(work.y, output[due])
        due += 1
    copy(work.y, start)
    counts[3], reached[0] = DONE, pieces.begin[-1]
