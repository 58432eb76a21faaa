"""What each fault of an airplane makes a person say, and how likely: a table, and the answer from it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis import noticing, phases, saying
from ramstill.diagnosis.priors import BEFORE_THE_START, NO_FAULT, OUTSIDE_THE_CATALOGUE, Suspect, suspects
from ramstill.diagnosis.saying import Said

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.saying import Instrument
    from ramstill.faults import Fault
    from ramstill.run.batch import Batch

Array = NDArray[np.float64]
BEFORE = "before the flight"
OUTPUT_HZ = 2.0
TOLERANCE_PA = 1.0  # a third of a foot a pascal at sea level: far below what anybody notices
SEVERITIES = (1.0, 0.5)  # in words nobody tells them finer; what is less than all goes with one half
OF_NOTHING_KNOWN = 0.15  # outside the catalogue, an instrument that is not as it should be: each behaviour


@dataclass(frozen=True, slots=True)
class BehaviourTable:
    """What is needed to weigh a reported defect of one airplane, with plain arithmetic.

    airplane: its name; phases (p,), instruments (i,), behaviours (b,): names, as `ramstill.diagnosis.saying`
    has them; candidates (c,): the fault of each, none for the sound airplane; onsets (c,): when it sets in:
    `BEFORE`, the name of the phase at whose beginning it does, or "" for no fault; weights (c,): how likely
    its fault is beforehand, whenever it sets in; probability (c, p, i, b): that the behaviour is said of the
    instrument in that phase, between a slip and 1; none_fits (p, i, b): the same for something outside the
    catalogue, which leaves an instrument as it is in half of the cases and else makes each behaviour equally
    likely; none_weight: how likely that is beforehand.

    The answer to things said, each (phase, instrument, behaviour), each of them once:

    1. Onsets in use: the phases said but "on the ground", where a fault has been since before the flight;
       and the phase before the first of those said, if that is one in the air.
    2. prior[c] = weights[c] for no fault; weights[c] * share for the others, where share is 0.4 for `BEFORE`,
       0.6 / (number of onsets in use) for one in use, and 0 for another; with none in use 1 for `BEFORE`.
    3. log_weight[c] = log(prior[c]) + sum over the things said of log(probability[c, p, i, b]), and the same
       for none_fits with none_weight.
    4. Take the largest off all, exponentiate, divide by the sum.

    An instrument of which nothing is said is no evidence.
    """

    airplane: str
    phases: tuple[str, ...]
    instruments: tuple[str, ...]
    behaviours: tuple[str, ...]
    candidates: tuple[tuple[Fault, ...], ...]
    onsets: tuple[str, ...]
    weights: Array
    probability: Array
    none_fits: Array
    none_weight: float

    def places(self, said: Iterable[Said]) -> tuple[NDArray[np.intp], NDArray[np.intp], NDArray[np.intp]]:
        """Indices (p, i, b) of the things said, each once. KeyError for what the table does not hold."""
        axes = (self.phases, self.instruments, self.behaviours)
        try:
            found = [
                tuple(axis.index(n) for axis, n in zip(axes, s, strict=True)) for s in dict.fromkeys(said)
            ]
        except ValueError as error:
            raise KeyError(str(error)) from None
        p, i, b = np.array(sorted(found), dtype=np.intp).reshape(-1, 3).T
        return p, i, b

    def priors(self, said: Iterable[Said]) -> Array:
        """How likely each candidate is before the things said are weighed, (c,): steps 1 and 2."""
        used = onsets_in_use([one.phase for one in said])
        shares = {"": 1.0, BEFORE: BEFORE_THE_START if used else 1.0}
        shares |= {name: (1.0 - BEFORE_THE_START) / len(used) for name in used}
        return np.asarray(self.weights * np.array([shares.get(onset, 0.0) for onset in self.onsets]))

    def weigh(self, said: Sequence[Said]) -> tuple[Array, float]:
        """Probability of each candidate (c,), and of none fitting, given the things said."""
        p, i, b = self.places(said)
        with np.errstate(divide="ignore"):
            logs = np.log(self.priors(said))
        logs = logs + np.log(self.probability[:, p, i, b]).sum(axis=1)
        none = float(np.log(self.none_weight) + np.log(self.none_fits[p, i, b]).sum())
        most = max(float(logs.max()), none)
        weights, rest = np.exp(logs - most), float(np.exp(none - most))
        total = float(weights.sum()) + rest
        return np.asarray(weights / total), rest / total

    def as_json(self, digits: int = 3) -> dict[str, Any]:
        """The table as plain lists, numbers and texts; probabilities rounded, none to 0."""
        return {
            "airplane": self.airplane,
            "phases": list(self.phases),
            "instruments": list(self.instruments),
            "behaviours": list(self.behaviours),
            "candidates": [
                [{"name": f.name, "where": f.where, "severity": f.severity, "size": f.size} for f in faults]
                for faults in self.candidates
            ],
            "onsets": list(self.onsets),
            "weights": self.weights.tolist(),
            "probability": np.maximum(np.round(self.probability, digits), 10.0**-digits).tolist(),
            "none_fits": np.round(self.none_fits, digits).tolist(),
            "none_weight": self.none_weight,
            "before": {"name": BEFORE, "share": BEFORE_THE_START},
        }


def onsets_in_use(said: Iterable[str]) -> tuple[str, ...]:
    """The phases at whose beginning a fault may have set in, where these phases are spoken of."""
    order = sorted({phases.NAMES.index(name) for name in said if name != phases.GROUND})
    if order and order[0] > phases.NAMES.index(phases.CLIMB):
        order.insert(0, order[0] - 1)
    return tuple(phases.NAMES[i] for i in order)


def behaviour_table(
    plane: Airplane,
    said: Iterable[Said] | None = None,
    *,
    workers: int | None = None,
    progress: bool | None = None,
) -> BehaviourTable:
    """Simulate every suspect of an airplane in its standard flight and note what it makes a person say.

    said: the table then holds the phases and instruments of these alone, and the onsets that go with them; by
    default all. workers, progress: as for `simulate_batch`.
    """
    things = None if said is None else list(said)
    spoken = None if things is None else {one.phase for one in things}
    wanted = tuple(name for name in phases.NAMES if spoken is None or name in spoken)
    looked_at = saying.instruments(plane)
    if things is not None:
        looked_at = tuple(one for one in looked_at if one.name in {thing.instrument for thing in things})
    flight = phases.standard_flight(plane, wanted[-1])
    tried = _suspects(plane)
    candidates: list[tuple[Fault, ...]] = [()]
    when, weights = [""], [NO_FAULT]
    for onset in (BEFORE, *onsets_in_use(wanted)):
        at = onset_s(flight, onset)
        candidates += [(one.fault(at),) for one in tried]
        when += [onset] * len(tried)
        weights += [one.weight for one in tried]
    batch = worked_out(plane, flight, candidates, looked_at, workers, progress)
    probability = noted(flight, batch, when, wanted, looked_at)
    other = noticing.SLIP + (1.0 - noticing.SLIP) * OF_NOTHING_KNOWN
    return BehaviourTable(
        airplane=plane.name,
        phases=wanted,
        instruments=tuple(one.name for one in looked_at),
        behaviours=noticing.NAMES,
        candidates=tuple(candidates),
        onsets=tuple(when),
        weights=np.array(weights),
        probability=probability,
        none_fits=0.5 * probability[0] + 0.5 * other,
        none_weight=OUTSIDE_THE_CATALOGUE,
    )


def _suspects(plane: Airplane) -> list[Suspect]:
    """Every suspect in the severities that are tried, with the weights of all that there are."""
    tried: dict[tuple[str, str | None, str | None, float], Suspect] = {}
    for one in suspects(plane):
        severity = max((s for s in SEVERITIES if s <= one.severity), default=SEVERITIES[-1])
        key = one.name, one.where, one.size, severity
        before = tried[key].weight if key in tried else 0.0
        tried[key] = replace(one, severity=severity, weight=before + one.weight)
    return list(tried.values())


def onset_s(flight: phases.StandardFlight, onset: str) -> float:
    """When a fault sets in [s] that does `BEFORE` the flight or at the beginning of a phase."""
    return flight.surroundings.start_s if onset == BEFORE else flight.spans[onset][0]


def worked_out(
    plane: Airplane,
    flight: phases.StandardFlight,
    candidates: Sequence[tuple[Fault, ...]],
    looked_at: Sequence[Instrument],
    workers: int | None = None,
    progress: bool | None = None,
) -> Batch:
    """Candidates in the standard flight; those of the heat meet its cloud, others have heaters at work."""
    from ramstill.faults import catalogue
    from ramstill.run.batch import simulate_batch

    heats = {name for name, entry in catalogue().items() if entry.place_meaning == "heated opening"}
    cases = [
        (*faults, *flight.cloud) if any(fault.name in heats for fault in faults) else faults
        for faults in candidates
    ]
    return simulate_batch(
        plane,
        flight.surroundings,
        cases,
        output_hz=OUTPUT_HZ,
        tolerance_pa=TOLERANCE_PA,
        workers=workers,
        progress=progress,
        pointers=[one.pointer for one in looked_at],
    )


def noted(
    flight: phases.StandardFlight,
    batch: Batch,
    onsets: Sequence[str],
    wanted: Sequence[str],
    looked_at: Sequence[Instrument],
) -> Array:
    """Probability (c, p, i, b) of each behaviour, from a batch of candidates with these onsets."""
    found = np.empty((len(onsets), len(wanted), len(looked_at), len(noticing.NAMES)))
    groups = {name: np.flatnonzero([onset == name for onset in onsets]) for name in dict.fromkeys(onsets)}
    for p, phase in enumerate(wanted):
        span = flight.spans[phase]
        for i, word in enumerate(looked_at):
            column = batch.place(word.pointer)
            right = batch.healthy[:, column]
            for onset, members in groups.items():
                at = onset_s(flight, onset or BEFORE)
                shown = batch.values[members, :, column] if at < span[1] else right
                found[members, p, i] = noticing.said_of(word.shows, batch.time_s, shown, right, span, at)
    return found
