"""What is in no catalogue: pointers that wander off for no reason that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.model import WANDER, Told, off_for_no_reason, tell
from ramstill.diagnosis.priors import BEFORE_THE_START
from ramstill.diagnosis.trials import Bench
from ramstill.diagnosis.worth import worth

TIMES_OFF = (8.0, 30.0)  # how far pointers stray, beside sound ones
ONSETS = 16
TELLING_ONSETS = 2


@dataclass(frozen=True, slots=True)
class Stray:
    """gained: log likelihood over the sound airplane of the best way of straying; log: of how likely the
    readings make all ways together; onsets_s [s]: from when on straying explains most, the clearest first."""

    gained: float
    log: float
    onsets_s: tuple[float, ...]


def stray(bench: Bench) -> Stray:
    """Weigh pointers that stray: each alone and all together, a little and a lot, from any time on."""
    count = len(bench.model)
    knots = sorted({int(k) for k in np.linspace(0, 0.92 * count, ONSETS)})
    following = bench.sound_manners.after(bench.model.step_s)
    present = bench.model.present[: c.VERTICAL + 1]
    which = [tuple(i == j for j in range(3)) for i in range(3) if present[i]]
    if present.sum() > 1:
        which.append(tuple(bool(p) for p in present))
    gained = np.full((len(which), len(TIMES_OFF), len(knots)), -np.inf)
    for a, pointers in enumerate(which):
        for b, times in enumerate(TIMES_OFF):
            off = off_for_no_reason(bench.model, tuple(times if p else 1.0 for p in pointers))
            for d, knot in enumerate(knots):
                after = _loosened(bench.sound, knot, pointers, times)
                told = tell(off, bench.sound_shown, following, after, knot)
                gained[a, b, d] = told.total - bench.sound.total
    shares = np.full(len(knots), (1.0 - BEFORE_THE_START) / max(len(knots) - 1, 1))
    shares[0] = BEFORE_THE_START
    total = worth(gained) + np.log(shares) - np.log(len(which) * len(TIMES_OFF))
    top = float(total.max())
    by_onset = gained.max(axis=(0, 1))
    order = [k for k in np.argsort(-by_onset) if k > 0]
    return Stray(
        float(gained.max()),
        top + float(np.log(np.exp(total - top).sum())),
        tuple(float(bench.ref.knots_s[knots[k]]) for k in order[:TELLING_ONSETS]),
    )


def _loosened(sound: Told, knot: int, pointers: Sequence[bool], times: float) -> Told:
    """The sound airplane's state before a knot, with pointers that may have jumped."""
    if knot == 0:
        return sound
    states, spreads = sound.states[knot - 1 : knot], sound.spreads[knot - 1 : knot].copy()
    for i, loose in enumerate(pointers):
        if loose:
            spreads[0, c.OFF + i, c.OFF + i] += (times * WANDER[i][0]) ** 2
    return Told(sound.each, states, spreads)
