"""A round of a class worked out again: what each panel showed, what could be seen on it, and how each answer
stands beside it.

Nothing of this is kept from the class but the flight and the faults: the engine runs the flight again, sound,
with each panel's faults, and with what was called instead, so that "these two look the same here" is found
and not looked up.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from ramstill.errors import InputError
from ramstill.faults import Fault, catalogue
from ramstill.faults.unfolding import BY_HAND
from ramstill.live.record import NOTHING_WRONG, UNSURE, Call, Panel, Round
from ramstill.live.visible import Cue, cues, differ_from

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import Pointer
    from ramstill.run import Batch, Scenario

Array = NDArray[np.float64]
Shown = Mapping[str, Array]
Stands = Literal["right", "alike", "noticed", "unseen", "missed", "wrong"]
OUTPUT_HZ = 4.0  # a cue is timed to a quarter of a second
TOLERANCE_PA = 0.2  # under a foot at any altitude: a fiftieth of what is noticed
CASES_MOST = 300  # of what was called instead; beyond, fewer places of each are tried
PLACES_MOST = 6
_SAME_S = 0.1  # onsets this near are one fault's, written and read again


@dataclass(frozen=True, slots=True)
class Verdict:
    """How an answer stands.

    stands: "right"; "alike": another fault that looks the same on this panel up to the reveal; "noticed":
    something is wrong, not what; "unseen": held to be sound, and up to the reveal nothing could be seen;
    "missed": held to be sound although something could; "wrong". until_s, by: when and on which pointer what
    was called could be told from what was there, where that is known.
    """

    stands: Stands
    until_s: float | None = None
    by: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class Looked:
    """One panel of a round and those who looked at it.

    faults: that were there between the question and the reveal; seats: in the order of the class; shown: by
    pointer, (t,) SI; cues in order of time; verdicts: by seat, of those whose answer stood at the reveal.
    """

    faults: tuple[Fault, ...]
    seats: tuple[str, ...]
    shown: Shown
    cues: tuple[Cue, ...]
    verdicts: Mapping[str, Verdict]


@dataclass(frozen=True, slots=True, eq=False)
class Worked:
    """A round worked out.

    pointers of the panel; time_s (t,) [s] up to the reveal; sound: what they show in a sound airplane;
    phases: (start [s], name); looked: those with most learners first.
    """

    round: Round
    airplane: Airplane
    pointers: tuple[Pointer, ...]
    time_s: Array
    sound: Shown
    phases: tuple[tuple[float, str], ...]
    looked: tuple[Looked, ...]

    def pointer(self, name: str) -> Pointer:
        """The pointer of that name; KeyError where there is none."""
        for one in self.pointers:
            if one.name == name:
                return one
        raise KeyError(name)


def work_out(one: Round, seats: Sequence[str], folder: Path | None = None) -> Worked:
    """Fly a closed round again and judge its answers. seats: of the class; folder: where relative paths of
    its scenario start. Raises InputError for a scenario that cannot be flown.
    """
    from ramstill.instruments import pointers_of

    if one.closed_s is None or not one.scenario:
        raise InputError(f"round {one.number}", "scenario", "none", "a round that was revealed and saved")
    scenario = _scenario(one, folder)
    plane, done = scenario.airplane, _done_to_all(one, scenario)
    merged = _merged(one, seats, done, plane)
    cases = [done, *(done + faults for faults, _ in merged)]
    instead = _instead(one, merged, plane)
    cases += [(*done, fault) for _, _, fault in instead]
    batch = _fly(scenario, cases)
    upto = int(np.searchsorted(batch.time_s, one.closed_s + 1e-6))
    time_s = batch.time_s[: max(upto, 2)]
    pointers = pointers_of(plane)
    shown = [_shown(batch, case, pointers, len(time_s)) for case in range(len(cases))]
    others: dict[int, dict[str, list[Shown]]] = {}
    for (place, name, _), read in zip(instead, shown[1 + len(merged) :], strict=True):
        others.setdefault(place, {}).setdefault(name, []).append(read)
    looked = []
    for place, (faults, who) in enumerate(merged):
        read = shown[1 + place]
        since = min((fault.onset_s for fault in faults), default=float(time_s[0]))
        found = cues(time_s, pointers, read, shown[0], since) if faults else ()
        there = tuple(fault for fault in faults if _there(fault, one))
        verdicts = {
            seat: _verdict(call, there, found, time_s, pointers, read, others.get(place, {}))
            for seat in who
            if (call := one.last(seat)) is not None
        }
        looked.append(Looked(there, who, read, found, verdicts))
    phases = tuple(scenario.surroundings.truth.phases)
    return Worked(one, plane, pointers, time_s, shown[0], phases, tuple(looked))


def _scenario(one: Round, folder: Path | None) -> Scenario:
    import tomllib

    from ramstill.run.scenario import from_tables

    source = f"the flight of round {one.number}"
    try:
        tables = tomllib.loads(one.scenario)
    except tomllib.TOMLDecodeError as error:
        raise InputError(source, "", f"bad TOML ({error})", "a saved scenario") from None
    return from_tables(tables, source, folder or Path())


def _done_to_all(one: Round, scenario: Scenario) -> tuple[Fault, ...]:
    """What was done by hand, and so in every airplane: what the saved flight holds beyond the bench's faults,
    and what was switched after the question, unless nothing else is wrong anywhere.
    """
    bench = next((panel.faults for panel in one.panels if not panel.seats), ())
    left = list(bench)
    done = []
    for fault in scenario.faults:
        same = next((f for f in left if _same(f, fault, scenario.airplane)), None)
        if same is None:
            done.append(fault)
        else:
            left.remove(same)
    if any(fault.name not in BY_HAND for panel in one.panels for fault in panel.faults):
        done += [fault for fault in bench if fault.name in BY_HAND and fault.onset_s > one.asked_s]
    return tuple(done)


def _same(a: Fault, b: Fault, plane: Airplane) -> bool:
    entry = catalogue().get(a.name)
    usual = entry.default_place(plane) if entry is not None else None
    near = abs(a.onset_s - b.onset_s) < _SAME_S
    return a.name == b.name and (a.where or usual) == (b.where or usual) and near


def _merged(
    one: Round, seats: Sequence[str], done: Sequence[Fault], plane: Airplane
) -> list[tuple[tuple[Fault, ...], tuple[str, ...]]]:
    """Each different panel that was looked at, with who did: those that most looked at first."""
    found: dict[tuple[Fault, ...], list[str]] = {}
    for seat in seats:
        found.setdefault(_laid(one.panel_of(seat), done, plane), []).append(seat)
    if not found:  # a class of nobody still has its bench
        bench = next((panel for panel in one.panels if not panel.seats), Panel((), ()))
        found[_laid(bench, done, plane)] = []
    return sorted(((f, tuple(who)) for f, who in found.items()), key=lambda pair: -len(pair[1]))


def _laid(panel: Panel, done: Sequence[Fault], plane: Airplane) -> tuple[Fault, ...]:
    """The faults of a panel but what was done to all."""
    return tuple(fault for fault in panel.faults if not any(_same(fault, one, plane) for one in done))


def _there(fault: Fault, one: Round) -> bool:
    """Whether a fault was there between the question and the reveal."""
    assert one.closed_s is not None
    return fault.onset_s <= one.closed_s and (fault.end_s is None or fault.end_s > one.asked_s)


def _instead(
    one: Round, merged: Sequence[tuple[tuple[Fault, ...], tuple[str, ...]]], plane: Airplane
) -> list[tuple[int, str, Fault]]:
    """What was called and was not there, at every place where it may be: (panel, name, fault)."""
    asked: list[tuple[int, str, list[str], float]] = []
    for number, (faults, who) in enumerate(merged):
        there = [fault for fault in faults if _there(fault, one)]
        names = {call.fault for seat in who if (call := one.last(seat)) is not None}
        for name in sorted(name for name in names if name and name not in {f.name for f in there}):
            entry = catalogue().get(name)
            places = entry.places(plane) if entry is not None else []
            if there and places:
                asked.append((number, name, places, min(fault.onset_s for fault in there)))
    each = max(1, min(PLACES_MOST, CASES_MOST // max(len(asked), 1)))
    return [
        (number, name, Fault(name, where, onset_s=onset))
        for number, name, places, onset in asked
        for where in places[:each]
    ]


def _fly(scenario: Scenario, cases: Sequence[tuple[Fault, ...]]) -> Batch:
    from ramstill.run import simulate_batch

    return simulate_batch(
        scenario.airplane,
        scenario.surroundings,
        cases,
        output_hz=OUTPUT_HZ,
        tolerance_pa=TOLERANCE_PA,
        dtype=np.float64,
        progress=False,
    )


def _shown(batch: Batch, case: int, pointers: Sequence[Pointer], upto: int) -> Shown:
    return {one.name: np.asarray(batch.of(one.name)[case, :upto]) for one in pointers}


def _verdict(
    call: Call,
    faults: Sequence[Fault],
    found: Sequence[Cue],
    time_s: Array,
    pointers: Sequence[Pointer],
    shown: Shown,
    others: Mapping[str, Sequence[Shown]],
) -> Verdict:
    """How the answer that stood at the reveal stands beside what was there."""
    if call.fault in {fault.name for fault in faults}:
        return Verdict("right")
    if call.fault == NOTHING_WRONG:
        if not faults:
            return Verdict("right")
        return Verdict("missed" if found else "unseen")
    if not faults:
        return Verdict("wrong")
    if call.fault == UNSURE:
        return Verdict("noticed")
    apart = [differ_from(time_s, pointers, shown, read) for read in others.get(call.fault or "", ())]
    if not apart:
        return Verdict("wrong")
    if None in apart:
        return Verdict("alike")
    at_s, by = max(one for one in apart if one is not None)
    return Verdict("wrong", at_s, by)
