"""Which suspects are tried, from which onsets on: widely first, then closely where it counts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

import numpy as np

from ramstill.diagnosis.priors import Suspect, between
from ramstill.diagnosis.trials import BEFORE, Bench, Onsets, Suspects, Trial
from ramstill.diagnosis.worth import worth

EVEN_ONSETS = 3  # over the whole flight
MOMENTS = 2  # at which every size is tried
ROUNDS = 7  # of looking closer
FINER = 8  # faults whose severity is looked for closely
CLOSER, CLOSEST, OF_EACH = 24, 10, 3  # suspects whose onset is looked for closely, and more closely
# Log likelihood, and share of what the best gains: suspects further behind it are left as they are.
LEAST, LEAST_SHARE = 150.0, 0.3


@dataclass(slots=True)
class Tried:
    """All trials of one set of suspects, by onset, and the best of them."""

    suspects: Suspects
    gained: dict[Onsets, float]
    best: Trial

    @property
    def silent(self) -> bool:
        """Whether the readings would be the same without it."""
        return self.best.shown is None and len(self.gained) < 2

    @property
    def prior(self) -> float:
        """Log of its share of what is likely beforehand."""
        return float(sum(np.log(one.weight) for one in self.suspects))

    @property
    def score(self) -> float:
        """Log of how likely its best trial is, beside that of the sound airplane."""
        return self.best.gained + self.prior


Found = dict[Suspects, Tried]


@dataclass(slots=True)
class Searching:
    """A search under way: what was tried, and which suspects show the same, so that one is tried for all."""

    bench: Bench
    found: Found = field(default_factory=dict)
    same: dict[Suspects, list[Suspects]] = field(default_factory=dict)  # one that is tried -> all alike

    def attempt(self, wanted: Iterable[tuple[Suspects, Onsets]]) -> list[Trial]:
        """Try what was not tried yet; of suspects that show the same, the first."""
        new = [
            (s, onsets)
            for s, onsets in dict.fromkeys(wanted)
            if s not in self.found or onsets not in self.found[s].gained
        ]
        trials = self.bench.run(new)
        for trial in trials:
            for alike in self.same.get(trial.suspects, [trial.suspects]):
                self._put(replace(trial, suspects=alike))
        return trials

    def _put(self, trial: Trial) -> None:
        tried = self.found.get(trial.suspects)
        if tried is None:
            self.found[trial.suspects] = Tried(trial.suspects, {trial.onsets_s: trial.gained}, trial)
            return
        tried.gained[trial.onsets_s] = trial.gained
        if trial.gained >= tried.best.gained:
            tried.best = trial

    @property
    def lead(self) -> float:
        """The best score so far."""
        return max((tried.score for tried in self.found.values()), default=0.0)

    def improve(self, trial: Trial, by: float) -> None:
        """Take in a trial along another flight, where it gains more than the one before; by: what the sound
        airplane itself gains along that flight, which is not the trial's."""
        tried = self.found[trial.suspects]
        if trial.gained + by > tried.gained.get(trial.onsets_s, -np.inf):
            self._put(replace(trial, gained=trial.gained + by))

    def gather(self, suspects: Iterable[Suspects], trials: Iterable[Trial]) -> list[Suspects]:
        """Put suspects together that showed the same in all of these trials; returns one of each kind."""
        keys: dict[Suspects, tuple[int, ...]] = {}
        for trial in trials:
            keys[trial.suspects] = (*keys.get(trial.suspects, ()), trial.key)
        leaders: dict[tuple[int, ...], Suspects] = {}
        for s in suspects:
            leader = leaders.setdefault(keys[s], s)
            self.same.setdefault(leader, []).append(s)
        return list(leaders.values())


def search(bench: Bench, suspects: Sequence[Suspect], telling: Sequence[float]) -> Searching:
    """Try all suspects, each alone.

    In their usual size first, from before the start and from some onsets on; then in other sizes; then from
    onsets between those that explain most. telling [s]: from when on the readings stray, the clearest first.
    """
    doing = Searching(bench)
    first = telling[0] if telling else 0.5 * (bench.start_s + bench.end_s)
    kinds: dict[bool, list[Suspects]] = {}
    heard: set[tuple[str, str | None]] = set()
    for usual in (True, False):
        these = [
            (one,) for one in suspects if one.usual == usual and (usual or (one.name, one.where) in heard)
        ]
        before = doing.attempt((s, (BEFORE,)) for s in these)
        loud = {s: None for s in these if not doing.found[s].silent}
        later = doing.attempt((s, (first,)) for s in loud)
        kinds[usual] = doing.gather(loud, [*(t for t in before if t.suspects in loud), *later])
        heard = {(s[0].name, s[0].where) for s in loud}
        if usual:
            doing.attempt((s, (t,)) for t in (*even_onsets(bench), *telling) for s in kinds[True])
    best_onset: dict[str, Onsets] = {}
    for tried in sorted(doing.found.values(), key=lambda t: t.score):
        best_onset[tried.suspects[0].name] = tried.best.onsets_s
    doing.attempt((s, best_onset[s[0].name]) for s in kinds[False])
    # what sets in with a jump is seen by its moment only, which another size or fault may have shown
    lead = max(doing.found.values(), key=lambda t: t.score, default=None)
    moments = [(t,) for t in telling[:MOMENTS]] + ([lead.best.onsets_s] if lead else [])
    doing.attempt((s, moment) for moment in moments for s in kinds[False])
    leaders = [*kinds[True], *kinds[False]]
    for number in range(ROUNDS):
        doing.attempt(closer(bench, [doing.found[s] for s in leaders], number))
        doing.attempt(_finer(doing))
    return doing


def _finer(doing: Searching) -> list[tuple[Suspects, Onsets]]:
    """Severities between those tried, either side of the best, of the faults that lead."""
    sizes: dict[tuple[str, str | None, str | None], list[Tried]] = {}
    for tried in doing.found.values():
        one = tried.suspects[0]
        if not tried.silent:
            sizes.setdefault((one.name, one.where, one.size), []).append(tried)
    ranked = sorted(sizes.values(), key=lambda some: -max(t.score for t in some))
    lead = max((t.score for t in ranked[0]), default=0.0) if ranked else 0.0
    wanted: list[tuple[Suspects, Onsets]] = []
    for some in ranked[:FINER]:
        best = max(some, key=lambda t: t.score)
        if best.score < least(lead):
            break
        order = sorted(some, key=lambda t: t.suspects[0].severity)
        i = order.index(best)
        for j in (i - 1, i + 1):
            if 0 <= j < len(order):
                new = between(best.suspects[0], order[j].suspects[0])
                if new is not None and (new,) not in doing.found:
                    wanted.append(((new,), best.best.onsets_s))
    return wanted


def _few_of_each(ranked: Iterable[Tried]) -> list[Tried]:
    """The first few of each fault, so that places and sizes of one do not take all the room."""
    count: Counter[str] = Counter()
    few = []
    for tried in ranked:
        name = tried.suspects[-1].name
        count[name] += 1
        if count[name] <= OF_EACH:
            few.append(tried)
    return few


def least(lead: float) -> float:
    """The score that a suspect has to have to be looked at closely."""
    return lead - LEAST - LEAST_SHARE * max(lead, 0.0)


def even_onsets(bench: Bench) -> list[float]:
    """Onsets over the whole flight [s]."""
    span = bench.end_s - bench.start_s
    return [round(bench.start_s + span * (i + 0.5) / EVEN_ONSETS, 3) for i in range(EVEN_ONSETS)]


def closer(bench: Bench, tried: list[Tried], number: int = 0) -> list[tuple[Suspects, Onsets]]:
    """Onsets between those tried, either side of the best, for the suspects that lead.

    number: of the round; later ones look at fewer suspects.
    """
    ranked = _few_of_each(sorted(tried, key=lambda t: -t.score))
    wanted: list[tuple[Suspects, Onsets]] = []
    for one in ranked[: CLOSER if number < 3 else CLOSEST]:
        if one.score < least(ranked[0].score):
            break
        *kept, best = one.best.onsets_s  # of a pair the second one's
        times = sorted({bench.start_s if o[-1] == BEFORE else o[-1] for o in one.gained} | {bench.end_s})
        i = times.index(bench.start_s if best == BEFORE else best)
        for j in (i - 1, i):
            if 0 <= j < len(times) - 1 and times[j + 1] - times[j] > bench.model.step_s:
                wanted.append((one.suspects, (*kept, round(0.5 * (times[j] + times[j + 1]), 3))))
    return wanted


@dataclass(frozen=True, slots=True)
class Onset:
    """One suspect with its onset left open. log: of how likely the readings make it, over the sound airplane;
    before: share of it before the start; at_s, sd_s [s]: the likeliest of the rest, and how far the others
    are from it, NaN without any."""

    log: float
    before: float
    at_s: float = float("nan")
    sd_s: float = float("nan")


def over_onsets(bench: Bench, tried: Tried) -> Onset:
    """Put the trials of one suspect together: any onset in the flight is as likely as any other.

    Of a pair it is the second one's onset; the first one's is that of the best trial.
    """
    likely = tried.suspects[-1].before
    if tried.silent:
        return Onset(0.0, likely)
    *kept, _ = tried.best.onsets_s
    by_onset = {o[-1]: gained for o, gained in tried.gained.items() if list(o[:-1]) == kept}
    before = float(worth(by_onset.pop(BEFORE, -np.inf)))
    times = np.array(sorted(by_onset))
    if not len(times) or likely == 1.0:
        return Onset(before + float(np.log(likely)), 1.0)
    gained = worth([by_onset[t] for t in times])
    edges = np.concatenate([[bench.start_s], 0.5 * (times[1:] + times[:-1]), [bench.end_s]])
    width = np.diff(edges)
    top = max(float(gained.max()), before)
    mass = np.exp(gained - top) * width * (1.0 - likely) / (bench.end_s - bench.start_s)
    first = float(np.exp(before - top)) * likely
    total = float(mass.sum()) + first
    share = mass / max(float(mass.sum()), 1e-300)
    likeliest = float(times[int(np.argmax(mass / width))])
    variance = float((share * ((times - likeliest) ** 2 + width**2 / 12.0)).sum())
    return Onset(top + float(np.log(total)), first / total, likeliest, float(np.sqrt(variance)))
