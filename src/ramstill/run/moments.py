"""The times of a run worth looking at: chosen from the faults' times and from what the pointers do."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ramstill.run import phrases as say
from ramstill.run import piloted
from ramstill.run.kinds import kind_of
from ramstill.run.record import Moment, Run

MOST = 8
APART_S = 5.0  # two moments closer than this are one; the more telling stays
BEFORE_S, AFTER_S = 0.5, 10.0  # a look just before a fault comes, and one when the first rush is over


class _Candidate(NamedTuple):
    rank: int  # 0 always stays
    at_s: float
    title: str
    why: str


def find(run: Run) -> tuple[Moment, ...]:
    """Eight moments at most, in order of time: start, end, faults coming and going, pointers going wrong."""
    start, end = float(run.time_s[0]), float(run.time_s[-1])
    candidates = [
        _Candidate(0, start, "Start", "everything settled"),
        _Candidate(0, end, "End", "the last look"),
        *(_Candidate(rank, m.at_s, m.title, m.why) for rank, m in piloted.moments(run)),
        *_of_faults(run),
        *_of_pointers(run),
        *_of_phases(run),
    ]
    chosen: list[_Candidate] = []
    for candidate in sorted(candidates, key=lambda c: (c.rank, c.at_s)):
        inside = start <= candidate.at_s <= end
        near = any(abs(candidate.at_s - other.at_s) < APART_S for other in chosen if _clash(candidate, other))
        if inside and not near and len(chosen) < MOST:
            chosen.append(candidate)
    return tuple(Moment(c.at_s, c.title, c.why) for c in sorted(chosen, key=lambda c: c.at_s))


def _clash(new: _Candidate, old: _Candidate) -> bool:
    # the looks just before and just after a fault belong together however close they are, and what a pilot
    # finds out may well come between them
    together = ("Just ", *piloted.TITLES.values())
    return not (new.title.startswith(together) and old.title.startswith(together))


def _of_faults(run: Run) -> list[_Candidate]:
    from ramstill.faults import catalogue

    start, end = float(run.time_s[0]), float(run.time_s[-1])
    found = []
    for rank, fault in enumerate(sorted(run.faults, key=lambda f: f.onset_s)):
        title = say.first_down(catalogue()[fault.name].title)
        done = fault.onset_s + fault.gradual_s
        if start < fault.onset_s < end:
            found.append(
                _Candidate(
                    1 + 4 * rank,
                    fault.onset_s - BEFORE_S,
                    f"Just before: {title}",
                    "the last look without this fault",
                )
            )
        if start <= done < end:
            text = f"{AFTER_S:g} s after it {'has fully' if fault.gradual_s else 'has'} come"
            found.append(_Candidate(3 + 4 * rank, min(done + AFTER_S, end), f"Just after: {title}", text))
        if fault.end_s is not None and start < fault.end_s < end:
            after = min(fault.end_s + AFTER_S, end)
            found.append(
                _Candidate(4 + 4 * rank, after, f"Gone: {title}", f"{AFTER_S:g} s after the fault has gone")
            )
    return found


def _of_pointers(run: Run) -> list[_Candidate]:
    """When a pointer first misleads and when it misleads most: by the faults, or, without any, at all."""
    found = []
    against = "what the healthy airplane shows" if run.faults else "the truth"
    for instrument in run.panel:
        blank = np.flatnonzero(run.goes_blank(instrument.name))
        if len(blank):
            words = "no reading, where the healthy airplane has one"
            title = f"{say.first_up(instrument.title)} goes blank"
            found.append(_Candidate(2, float(run.time_s[blank[0]]), title, words))
        off, kind = run.astray(instrument.name), kind_of(instrument)
        wrong = np.flatnonzero(np.abs(off) > kind.noticeable_si)
        if not len(wrong):
            continue
        title = say.first_up(instrument.title)
        first, worst = float(run.time_s[wrong[0]]), int(np.argmax(np.abs(off)))
        less = 10 if instrument.kind == "encoder" else 0
        begins = f"first {kind.noticeable:g} {kind.unit} away from {against}"
        found.append(_Candidate(2 + less, first, f"{title} begins to mislead", begins))
        side = "below" if off[worst] < 0 else "above"
        amount = f"{say.said(abs(float(off[worst])), instrument)} {side} {against}"
        found.append(_Candidate(5 + less, float(run.time_s[worst]), f"{title} furthest off", amount))
    return found


def _of_phases(run: Run) -> list[_Candidate]:
    after = min((fault.onset_s for fault in run.faults), default=-np.inf)
    return [
        _Candidate(20, at_s, name[:1].upper() + name[1:], "a new phase begins")
        for at_s, name in run.truth.phases
        if at_s > after
    ]
