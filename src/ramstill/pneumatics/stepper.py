"""Stepping through time, never over a kink."""

import numpy as np
from numpy.typing import NDArray

from ramstill.pneumatics._compiled import entry_jit
from ramstill.pneumatics.output import Rows, along_a_step, as_it_stands
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.pace import (
    FOR_EVER,
    OVERLOOK,
    PER_ORDER,
    SAFETY,
    SHRINK_MOST,
    SMALLEST_STEP,
    first_step,
    goes_on,
    leapt_over,
    next_growth,
    strayed,
    while_it_halves,
)
from ramstill.pneumatics.plumbing import Plumbing
from ramstill.pneumatics.rodas5p import bend
from ramstill.pneumatics.rows import copy
from ramstill.pneumatics.step import Pieces, Work, attempt, largest_error, look

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

DONE, OUT_OF_STEPS, STEP_TOO_SMALL = 0, 1, 2
SHORTEN_MOST = 0.3  # how much at once a step gives way to what the air outside does

# How a run begins: abruptly, so that the first step is a small one; with a bend, over which a step may be as
# large as before; or with neither, the flows being those of the run before.
AFRESH, BENT, SMOOTH = range(3)


@entry_jit
def run(
    plumbing: Plumbing,
    outside: Outside,
    pieces: Pieces,
    start: FloatArray,
    how: int,
    step: float,
    rows: Rows,
    tolerance: float,
    most_steps: int,
    counts: IntArray,
    reached: FloatArray,
    work: Work,
) -> float:
    """Fill in `rows` from `start` (2 n + s,), see volumes.py; `reached[0]` is the time it got to [s].

    The times of `rows` lie within the pieces. how: one of the names above; step [s]: what to try first,
    unless it is AFRESH; returned is what to try next. counts (5,): steps, rejected, evaluations, how it
    ended, and the volume that sets the pace there. `start` becomes the state at the end, with flows behind it
    where there is room for them; a run that begins SMOOTH wants these. work: from `work_for`.
    """
    copy(start, work.y)
    for i in range(len(counts)):
        counts[i] = 0
    due, leapt = as_it_stands(rows, 0, pieces.begin[0], work.y), False
    for piece in range(len(pieces.begin) - 1):
        origin = pieces.begin[piece]
        length = pieces.begin[piece + 1] - origin
        if length < SMALLEST_STEP:  # nothing flows in no time; what lies beyond begins afresh
            leapt = True
            continue
        since = 0.0
        if piece > 0:
            how = BENT if not leapt and goes_on(outside, pieces, piece) else AFRESH
        leapt = False
        anew = how != SMOOTH
        knot = look(plumbing, outside, pieces, piece, since, pieces.first_knot[piece], anew, work)
        counts[2] += 1
        bold = how == BENT  # then as large a step as before may do
        if how == AFRESH:
            step = first_step(plumbing, pieces.opening_rate[piece], work, tolerance)
        error_before, step_before, rejected = 1.0, 0.0, False
        while since < length:
            if counts[0] + counts[1] >= most_steps:
                counts[3], reached[0] = OUT_OF_STEPS, origin + since
                return step
            rest = length - since
            step = min(step, while_it_halves(pieces, piece, since))
            if (step < SMALLEST_STEP or since + step == since) and step < rest:
                counts[3], reached[0] = STEP_TOO_SMALL, origin + since
                return step
            end = length
            if step < rest:
                end = since + min(step, 0.5 * rest) if step < 0.999 * rest else length
            stray = strayed(outside, pieces, piece, since, end, knot, work) / (OVERLOOK * tolerance)
            if stray > 1.0:
                step = (end - since) * max(SHORTEN_MOST, SAFETY * stray**-0.25)
                continue
            attempt(plumbing, outside, pieces, piece, since, end, knot, work)
            counts[2] += 7
            step = end - since
            size, volume = largest_error(plumbing, work)
            counts[4] = volume
            error = size / tolerance
            if bold and error <= 1.0:
                bend(work.stages, work.dense)
                error = max(error, leapt_over(plumbing, step, work) / (OVERLOOK * tolerance))
            if not error <= 1.0:
                counts[1] += 1
                if bold:
                    bold, step = False, first_step(plumbing, pieces.opening_rate[piece], work, tolerance)
                    continue
                shrink = SAFETY * error**-PER_ORDER if error < FOR_EVER else 0.0  # NaN fails this too
                step *= max(SHRINK_MOST, shrink)
                if not rejected:
                    # Flows may have drifted off their law by more than the method mends: start afresh.
                    anew = not rejected  # a plain True would have all of `look` compiled once more
                    knot = look(plumbing, outside, pieces, piece, since, knot, anew, work)
                    counts[2] += 1
                rejected = True
                continue
            counts[0] += 1
            bold = False
            due = along_a_step(rows, due, origin, since, end, work.y, work.new, work.stages)
            error = max(error, 1e-8)
            grow = next_growth(error, error_before, step, step_before)
            error_before, step_before = error, step
            step *= min(1.0, grow) if rejected else grow
            rejected = False
            since = end
            copy(work.new, work.y)
            if since < length:
                anew = since == 0.0  # never, within a piece; not a plain False, as above
                knot = look(plumbing, outside, pieces, piece, since, knot, anew, work)
                counts[2] += 1
    as_it_stands(rows, due, FOR_EVER, work.y)  # rounding left a last one just beyond the end
    copy(work.y, start)
    counts[3], reached[0] = DONE, pieces.begin[-1]
    return step
