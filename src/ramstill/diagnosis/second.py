"""A second reference flight: the one that the leading answer has.

The engine flies suspects along one flight, and the filter goes on from there. Where nothing but the faulty
pointer tells the airspeed, that flight is not the true one, and suspects that are right pay for it. So the
leaders are flown along the leading one's flight too, and each keeps the better of both.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.model import model, tell
from ramstill.diagnosis.observed import Observed
from ramstill.diagnosis.reference import carried
from ramstill.diagnosis.search import Searching, Tried, closer
from ramstill.diagnosis.setting_up import fly, individual
from ramstill.diagnosis.trials import Bench, Onsets, Trial

LEADERS = 14  # suspects that are flown along the second flight
ROUNDS = 5  # of looking closer there
WORTHWHILE = 20.0  # what the leader has to gain for its flight to be believed


def better_of_both(doing: Searching, seen: Observed) -> Bench:
    """Fly the leaders along the leading one's flight too, and take in what gains more there.

    Returns the bench with that flight, or the first one where nothing leads.
    """
    ranked = sorted((doing.found[s] for s in doing.same if s in doing.found), key=lambda t: -t.score)
    if not ranked or ranked[0].best.gained < WORTHWHILE or ranked[0].best.shown is None:
        return doing.bench
    bench = doing.bench
    other = _along(bench, seen, ranked[0].best)
    beside = other.sound.total - bench.sound.total
    there = Searching(other)
    there.attempt((tried.suspects, onsets) for tried in ranked[:LEADERS] for onsets in _near(tried, bench))
    for number in range(ROUNDS):
        there.attempt(closer(other, list(there.found.values()), number))
    for tried in there.found.values():
        for onsets, gained in tried.gained.items():
            trial = Trial(tried.suspects, onsets, gained, tried.best.shown, tried.best.key)
            for alike in doing.same.get(tried.suspects, [tried.suspects]):
                doing.improve(replace(trial, suspects=alike), beside)
    return other


def _near(tried: Tried, bench: Bench) -> list[Onsets]:
    """The best onset of a suspect and some beside it, within the recording."""
    *kept, best = tried.best.onsets_s
    if not np.isfinite(best):
        return [tried.best.onsets_s]
    near = (best + by * bench.model.step_s for by in (-12, -6, -3, 0, 3, 6))
    return [(*kept, round(t, 3)) for t in near if bench.start_s < t < bench.end_s]


def _along(bench: Bench, seen: Observed, leader: Trial) -> Bench:
    """The bench with the flight that a trial has for the reference."""
    states = _states(bench, leader)
    ref = carried(bench.airplane, bench.ref, states[:, c.HEIGHT], states[:, c.SPEED], seen.step_s)
    flown = fly(bench.airplane, bench.panel, seen, ref, bench.sound_manners)
    individual(bench.airplane, bench.panel, seen, flown, bench.sound_manners)
    made = model(seen, ref, bench.panel, bench.rough, flown.reference)
    read = made.seen.copy()
    read[:, :, 1] = bench.model.seen[:, :, 1]
    made = replace(made, seen=read, x=bench.model.x, p=bench.model.p)
    told = tell(made, flown.shown, bench.sound_manners.after(seen.step_s))
    return replace(
        bench,
        model=made,
        ref=ref,
        outside=flown.outside,
        sound=told,
        sound_shown=flown.shown,
        known=dict(bench.known),
    )


def _states(bench: Bench, leader: Trial) -> np.ndarray:
    """What the filter holds of the flight under a trial, (k, n)."""
    assert leader.shown is not None
    return bench.told(leader.suspects, leader.onsets_s, leader.shown, keep=True).states
