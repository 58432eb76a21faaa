"""What is in no catalogue: pointers that wander off for no reason that is known."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.model import WANDER, Told, off_for_no_reason, tell
from ramstill.diagnosis.priors import BEFORE_THE_START
from ramstill.diagnosis.trials import Bench
from ramstill.diagnosis.worth import worth

TIMES_OFF = (8.0, 30.0)  # how far pointers wander off, beside sound ones
TIMES_ROUGH = 6.0  # how far single readings jump about, beside sound ones
ONSETS = 16
TELLING_ONSETS = 2
SURPRISES, NEAR = 3, 3  # moments that are looked at, and knots about one
Way = tuple[tuple[bool, ...], float, float]  # which pointers, how far they wander, how rough they are


@dataclass(frozen=True, slots=True)
class Stray:
    """gained: log likelihood over the sound airplane of the best way of straying; log: of how likely the
    readings make all ways together; onsets_s [s]: when readings surprise most, and from when on straying
    explains most, the clearest first."""

    gained: float
    log: float
    onsets_s: tuple[float, ...]


def stray(bench: Bench) -> Stray:
    """Weigh pointers that stray: each alone and all together, a little and a lot, from any time on."""
    count = len(bench.model)
    present = bench.model.present[: c.VERTICAL + 1]
    which = [tuple(i == j for j in range(3)) for i in range(3) if present[i]]
    if present.sum() > 1:
        which.append(tuple(bool(p) for p in present))
    ways = [(pointers, times, 1.0) for pointers in which for times in TIMES_OFF]
    ways += [(pointers, 1.0, TIMES_ROUGH) for pointers in which if sum(pointers) == 1]
    knots = sorted({int(k) for k in np.linspace(0, 0.92 * count, ONSETS)})
    gained = np.array([[_gained(bench, way, knot) for knot in knots] for way in ways])
    shares = np.full(len(knots), (1.0 - BEFORE_THE_START) / max(len(knots) - 1, 1))
    shares[0] = BEFORE_THE_START
    closer = {}  # of the ways that explain most: from when on, to the knot
    for i in np.argsort(-gained.max(axis=1))[:TELLING_ONSETS]:
        d = int(np.argmax(gained[i, 1:])) + 1
        closer[i] = _closer(bench, ways[i], knots[d], gained[i, d], knots[1] - knots[0])
        gained[i, d] = max(gained[i, d], closer[i][1])
    total = worth(gained) + np.log(shares) - np.log(len(ways))
    top = float(total.max())
    best = sorted(closer.values(), key=lambda one: -one[1])
    return Stray(
        float(gained.max()),
        top + float(np.log(np.exp(total - top).sum())),
        tuple(
            dict.fromkeys(
                float(bench.ref.knots_s[k]) for k in (*surprises(bench), *(knot for knot, _ in best))
            )
        ),
    )


def surprises(bench: Bench) -> list[int]:
    """The knots about which the sound airplane explains the readings the least, the worst first."""
    each = bench.sound.each - np.median(bench.sound.each)
    around = np.convolve(each, np.ones(NEAR), mode="same")
    around[: 4 * NEAR] = 0.0  # at first nothing is known
    found = []
    for _ in range(SURPRISES):
        worst = int(np.argmin(around))
        if around[worst] > -NEAR:
            break
        found.append(worst)
        around[max(worst - 2 * NEAR, 0) : worst + 2 * NEAR] = 0.0
    return found


def _closer(bench: Bench, way: Way, knot: int, gained: float, step: int) -> tuple[int, float]:
    """The knot near `knot` from which straying explains most, by halving steps, and what it gains then."""
    while step > 1:
        step = (step + 1) // 2
        for at in (knot - step, knot + step):
            if 0 < at < len(bench.model):
                found = _gained(bench, way, at)
                if found > gained:
                    knot, gained = at, found
        if step == 1:
            break
    return knot, gained


def _gained(bench: Bench, way: Way, knot: int) -> float:
    """Log likelihood over the sound airplane of pointers that stray from a knot on."""
    pointers, times, rough = way
    off = off_for_no_reason(bench.model, tuple(times if p else 1.0 for p in pointers))
    if rough > 1.0:
        seen = off.seen.copy()
        for i, loose in enumerate(pointers):
            if loose:
                seen[knot:, i, 1] *= rough**2
        off = replace(off, seen=seen)
    after = _loosened(bench.sound, knot, pointers, times)
    following = bench.sound_manners.after(bench.model.step_s)
    return tell(off, bench.sound_shown, following, after, knot).total - bench.sound.total


def _loosened(sound: Told, knot: int, pointers: Sequence[bool], times: float) -> Told:
    """The sound airplane's state before a knot, with pointers that may have jumped."""
    if knot == 0:
        return sound
    states, spreads = sound.states[knot - 1 : knot], sound.spreads[knot - 1 : knot].copy()
    for i, loose in enumerate(pointers):
        if loose:
            spreads[0, c.OFF + i, c.OFF + i] += (times * WANDER[i][0]) ** 2
    return Told(sound.each, states, spreads)
