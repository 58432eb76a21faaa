"""Two faults at once: ice where heat is lacking, and two that explain together what none does alone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from ramstill.air.units import CELSIUS_ZERO
from ramstill.diagnosis.priors import PAIR, Suspect
from ramstill.diagnosis.search import Searching, Tried, closer, even_onsets
from ramstill.diagnosis.trials import BEFORE, ICE, Onsets, Suspects

HEAT = ("heat-left-off", "heater-failed")
COLD_K = CELSIUS_ZERO + 3.0  # warmer than this outside, and no ice grows on anything
UNEXPLAINED = 6.0  # log of the odds by which straying pointers have to beat every single fault
FIRSTS, SECONDS = 5, 14  # single faults that are tried in pairs, and with how many others
ROUNDS = 3


def ice_without_heat(doing: Searching, suspects: Sequence[Suspect]) -> None:
    """Try ice on openings whose heat is off, where the flight was in the cold.

    A heat that fails is half the time found by ice: such a pair has half the weight of the heat's fault.
    """
    bench = doing.bench
    if bench.ref.temperature_k.min() > COLD_K:
        return
    heat = [one for one in suspects if one.name in HEAT and one.usual]
    ice = [one for one in suspects if one.name in ICE and one.severity >= 0.2]
    total = sum(one.weight for one in ice)
    pairs = [
        (lost, replace(cloud, weight=0.5 * cloud.weight / total))
        for lost in heat
        for cloud in ice
        if cloud.where in ("all", lost.where) or lost.where == "all"
    ]
    before = doing.attempt((pair, (BEFORE, BEFORE)) for pair in pairs)
    loud = [trial.suspects for trial in before if trial.shown is not None]
    doing.gather(loud, [t for t in before if t.shown is not None])
    leaders = [s for s in loud if s in doing.same]
    doing.attempt((s, (BEFORE, t)) for s in leaders for t in even_onsets(bench))
    for s in loud:
        if doing.found[s].silent:
            del doing.found[s]
    for s in [trial.suspects for trial in before if trial.shown is None]:
        del doing.found[s]  # no ice, no pair: the heat's fault alone says it
    _refine(doing, leaders)


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
    for _ in range(ROUNDS):
        doing.attempt(closer(doing.bench, [doing.found[s] for s in leaders if s in doing.found]))


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
