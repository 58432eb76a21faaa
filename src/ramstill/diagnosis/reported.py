"""From a reported defect to the faults behind it: what was said, against what every fault makes one say."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis import noticing, phases, saying
from ramstill.diagnosis.answer import Alike, Candidate, Diagnosis, Names, ranked
from ramstill.diagnosis.behaviours import BehaviourTable, behaviour_table, noted, worked_out

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.saying import Said

Array = NDArray[np.float64]
LEAST = 1e-5  # what is less likely than this is left out of the answer
LEADING = 0.02  # what is likelier is looked at for what it cannot be told from
MOST_LEADING = 8
SAME = 0.15  # two findings that make nothing more than this likelier than the other does show the same
AS_LIKELY = 2.0  # what was said is as likely with either, within this factor
_PLAIN = ("normal", "frozen", "zero", "rising", "falling", "high", "low", "blank")  # words that tell best
_SELDOM = (phases.SLIP, phases.CLOUD)  # not flown to look at instruments
_NOTES = (
    "Tried in a standard flight of this airplane: its own speeds and rates, the rest assumed.",
    "Each word holds with a probability: people differ in what they notice and in what they call it.",
    "An instrument of which nothing was said is no evidence; say which were normal.",
)


def diagnose_reported(
    plane: Airplane, saw: Sequence[str], *, workers: int | None = None, progress: bool | None = None
) -> Diagnosis:
    """What is likely to be wrong with an airplane of which a defect is reported.

    saw: texts such as "climb: altimeter frozen, vsi zero, airspeed falling": see `ramstill.diagnosis.saying`.
    Every fault of the catalogue, at every place, is simulated in the standard flight up to the last phase
    spoken of, setting in before the flight, at the beginning of a phase spoken of or of the phase before.
    workers, progress: as for `simulate_batch`. Raises InputError for a word that is not known.
    """
    said = saying.parse(plane, saw)
    table = behaviour_table(plane, said, workers=workers, progress=progress)
    return diagnosis_from(plane, table, said, workers=workers)


def diagnosis_from(
    plane: Airplane, table: BehaviourTable, said: Sequence[Said], *, workers: int | None = None
) -> Diagnosis:
    """The diagnosis of things said, each once and at least one, from a table that holds their phases.

    Raises KeyError for what the table does not hold.
    """
    weights, none = table.weigh(said)
    kept = [c for c in np.argsort(-weights, kind="stable").tolist() if weights[c] >= LEAST]
    total = float(weights[kept].sum()) + none
    candidates = tuple(Candidate(table.candidates[c], float(weights[c]) / total) for c in kept)
    flight = phases.standard_flight(plane)
    last = max((one.phase for one in said), key=phases.NAMES.index)
    return Diagnosis(
        airplane=plane,
        asked=saying.in_words(said),
        candidates=candidates,
        ranking=ranked(candidates),
        none_fits=none / total,
        alike=_alike(plane, flight, table, said, kept, weights / total, workers),
        situation=flight.situation(last),
        notes=_NOTES,
    )


@dataclass(frozen=True, slots=True)
class _Leading:
    """One of the leading findings by its likeliest candidate.

    said: logarithm of how likely it makes what was said; likely (p, i, b): each behaviour, in all phases.
    """

    names: Names
    said: float
    likely: Array


def _alike(
    plane: Airplane,
    flight: phases.StandardFlight,
    table: BehaviourTable,
    said: Sequence[Said],
    kept: Sequence[int],
    weights: Array,
    workers: int | None,
) -> tuple[Alike, ...]:
    """What the things said cannot tell apart: those that show the same, and the first against the others."""
    groups: list[list[_Leading]] = []
    for one in _leading(plane, flight, table, said, kept, weights, workers):
        same = (g for g in groups if np.abs(g[0].likely - one.likely).max() <= SAME)
        group = next(same, None)
        if group is None:
            groups.append([one])
        else:
            group.append(one)
    found = [
        Alike(tuple(one.names for one in group), "Every instrument shows the same with each, in every phase.")
        for group in groups
        if len(group) > 1
    ]
    for group in groups[1:]:
        first, other = groups[0][0], group[0]
        if abs(first.said - other.said) <= np.log(AS_LIKELY):
            spoken_of = {one.phase for one in said}
            found.append(Alike((first.names, other.names), _telling(plane, first, other, spoken_of)))
    return tuple(found)


def _leading(
    plane: Airplane,
    flight: phases.StandardFlight,
    table: BehaviourTable,
    said: Sequence[Said],
    kept: Sequence[int],
    weights: Array,
    workers: int | None,
) -> list[_Leading]:
    sums: dict[Names, float] = {}
    best: dict[Names, int] = {}
    for c in kept:
        names = tuple(sorted(fault.name for fault in table.candidates[c]))
        sums[names] = sums.get(names, 0.0) + float(weights[c])
        best.setdefault(names, c)
    order = sorted((n for n in sums if sums[n] >= LEADING), key=lambda n: (-sums[n], n))[:MOST_LEADING]
    if len(order) < 2:
        return []
    chosen = [best[names] for names in order]
    onsets = [table.onsets[c] for c in chosen]
    every = saying.instruments(plane)
    batch = worked_out(plane, flight, [table.candidates[c] for c in chosen], every, workers, progress=False)
    likely = noted(flight, batch, onsets, phases.NAMES, every)
    p, i, b = table.places(said)
    logs = np.log(table.probability[:, p, i, b]).sum(axis=1)
    return [_Leading(names, float(logs[c]), one) for names, c, one in zip(order, chosen, likely, strict=True)]


def _telling(plane: Airplane, one: _Leading, other: _Leading, spoken_of: Collection[str]) -> str:
    """The phase and the instrument that would tell two findings apart, in a sentence."""
    words = [word.name for word in saying.instruments(plane)]
    gap = np.abs(one.likely - other.likely)
    gap *= np.where(np.isin(noticing.NAMES, _PLAIN), 1.0, 0.5)
    # of what tells nearly as well, the phases that the pilot spoke of, then those of every flight
    ease = [1.0 if name in spoken_of else 0.8 if name in _SELDOM else 0.9 for name in phases.NAMES]
    gap *= np.array(ease)[:, None, None]
    p, i, b = (int(n) for n in np.unravel_index(int(gap.argmax()), gap.shape))
    first, second = (round(100.0 * float(each.likely[p, i, b])) for each in (one, other))
    return (
        f"What was said goes with either. {phases.NAMES[p].capitalize()}: the {words[i]} would tell, "
        f"{noticing.NAMES[b]} in {first} of 100 cases of {_named(one.names)}, in {second} of "
        f"{_named(other.names)}."
    )


def _named(names: Names) -> str:
    return " and ".join(names) if names else "no fault"
