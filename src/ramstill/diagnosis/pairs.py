"""Two faults at once: ice where heat is lacking, and two that explain together what none does alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from ramstill.air.units import CELSIUS_ZERO
from ramstill.diagnosis.priors import ICE, PAIR, Suspect
from ramstill.diagnosis.search import Searching, Tried, closer, even_onsets, least
from ramstill.diagnosis.trials import BEFORE, Onsets, Suspects

COLD_K = CELSIUS_ZERO + 3.0  # warmer than this outside, and no ice grows on anything
UNEXPLAINED = 6.0  # log of the odds by which straying pointers have to beat every single fault
FIRSTS, SECONDS = 5, 14  # single faults that are tried in pairs, and with how many others
ROUNDS = 6


def ice_without_heat(doing: Searching, suspects: Sequence[Suspect]) -> None:
    """Try ice on openings whose heat is off, where the flight was in the cold.

    A heat that fails is half the time found by ice: such a pair has half the weight of the heat's fault. One
    opening whose heater has failed ices as it does where all heat is off.
    """
    if doing.bench.ref.temperature_k.min() > COLD_K:
        return
    off = next((one for one in suspects if one.name == "heat-left-off"), None)
    failed = [one for one in suspects if one.name == "heater-failed" and one.usual]
    ice = [one for one in suspects if one.name in ICE]
    total = sum(one.weight for one in ice)
    clouds = [replace(one, weight=0.5 * one.weight / total) for one in ice]
    if off is None or not clouds:
        return
    usual = [(off, cloud) for cloud in clouds if cloud.usual]
    leaders = _loud(doing, usual)
    doing.attempt((s, (BEFORE, t)) for s in leaders for t in even_onsets(doing.bench))
    if leaders and max(doing.found[s].score for s in leaders) > least(doing.lead):
        others = _loud(doing, [(off, cloud) for cloud in clouds if not cloud.usual])
        best = max((doing.found[s].best for s in leaders), key=lambda t: t.gained)
        doing.attempt((s, best.onsets_s) for s in others)
        _refine(doing, leaders + others)
    for one in failed:
        alike = [
            t for t in doing.found.values() if t.suspects[0] is off and t.suspects[-1].where == one.where
        ]
        for tried in alike:
            both = (one, tried.suspects[1])
            doing.found[both] = replace(tried, suspects=both, best=replace(tried.best, suspects=both))


def _loud(doing: Searching, wanted: Sequence[Suspects]) -> list[Suspects]:
    """Try pairs from before the start on; returns one of each kind of those that make a difference."""
    trials = doing.attempt((s, (BEFORE, BEFORE)) for s in wanted)
    for trial in trials:
        if trial.shown is None:
            del doing.found[trial.suspects]  # no ice, no pair: the heat's fault alone says it
    some = [trial for trial in trials if trial.shown is not None]
    return doing.gather([trial.suspects for trial in some], some)


def pairs(doing: Searching, stray_gained: float) -> None:
    """Try single faults together where straying pointers explain much more than any of them alone."""
    singles = [tried for tried in doing.found.values() if len(tried.suspects) == 1 and not tried.silent]
    ranked = _of_each_kind(sorted(singles, key=lambda t: -t.score))
    if not ranked or ranked[0].score > stray_gained + np.log(PAIR) - UNEXPLAINED:
        return
    likely = _of_each_kind(sorted(singles, key=lambda t: -t.best.gained))[:FIRSTS]
    others = {id(t): t for t in [*likely, *ranked[:SECONDS], *_one_of_each_name(singles)]}
    wanted: list[tuple[Suspects, Onsets]] = []
    for a, b in combinations(others.values(), 2):
        if a not in likely and b not in likely:
            continue
        one, other = sorted((a, b), key=lambda t: max(t.best.onsets_s))
        if one.suspects[0].name == other.suspects[0].name:
            continue
        first, second = one.suspects[0], other.suspects[0]
        wanted.append(
            (
                (first, replace(second, weight=PAIR * second.weight)),
                (max(one.best.onsets_s), max(other.best.onsets_s)),
            )
        )
    doing.attempt(wanted)
    _refine(doing, [s for s, _ in wanted])


def _refine(doing: Searching, leaders: Sequence[Suspects]) -> None:
    for number in range(ROUNDS):
        doing.attempt(closer(doing.bench, [doing.found[s] for s in leaders if s in doing.found], number))


def _of_each_kind(ranked: Sequence[Tried]) -> list[Tried]:
    """The first of those that gained the same."""
    seen: set[float] = set()
    found = []
    for tried in ranked:
        mark = round(tried.best.gained, 4)
        if mark not in seen:
            seen.add(mark)
            found.append(tried)
    return found


def _one_of_each_name(singles: Sequence[Tried]) -> list[Tried]:
    """The best of each name's suspects, names in no order."""
    best: dict[str, Tried] = {}
    for tried in singles:
        name = tried.suspects[0].name
        if name not in best or tried.best.gained > best[name].best.gained:
            best[name] = tried
    return _of_each_kind(sorted(best.values(), key=lambda t: -t.best.gained))[:SECONDS]
