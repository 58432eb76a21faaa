"""Cases for the diagnosis: a seed makes an airplane not quite like its file, a flight, a fault, a recording.

Nothing of ramstill.diagnosis is used here, so that the judge cannot know how its cases are made. `case(seed)`
is all that others need; `python benchmarks/diagnosis_cases.py SEED` prints one.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Literal

import numpy as np
from diagnosis_airplanes import HANGAR, perturbed
from diagnosis_flights import (
    BY_PILOT,
    FROM_THE_GROUND,
    STEP_S,
    Flown,
    a_duration,
    piloted,
    planned,
    typical_height_m,
)
from diagnosis_recorder import EDGE_S, Recorder, a_recorder, exact, recorded_pointers, written
from diagnosis_strange import bent
from diagnosis_truth import Beside, beside, beyond_the_engine, path_of
from diagnosis_weather import a_day, a_wind, gusts
from numpy.typing import NDArray

import ramstill as rs
from ramstill import airplane, flight
from ramstill.air.constants import P0
from ramstill.air.units import INHG
from ramstill.errors import InputError
from ramstill.faults import Fault, catalogue

if TYPE_CHECKING:
    from numpy.random import Generator

    from ramstill.air import Day
    from ramstill.airplane import Airplane
    from ramstill.flight import FlightPath, Recording

Array = NDArray[np.float64]
Kind = Literal["healthy", "catalogue", "outside"]
HELD_OUT = range(500_000, 501_000)  # the kept cases, which nothing was tuned on
TUNING = range(1_000)  # the cases that the diagnosis may be tuned on

HEALTHY, OUTSIDE = 0.25, 0.10  # shares of all cases; the rest have one fault of the catalogue
FULL, LEAST = 0.5, 0.15  # half the faults are at their full size, the others from this on
BEFORE_THE_START = 0.4
GRADUAL, GRADUAL_S = 0.1, (5.0, 40.0)  # share of those that set in in flight and may grow, and how long
IN_ICE = 0.5  # share of the faults of ice and heat that get cloud and cold
LEFT_ON = ("cover-left-on", "tape-over-static-port", "test-cap-left-on")
ICE, HEAT = ("pitot-icing", "static-icing"), ("heater-failed", "heat-left-off")
SETTING_CHANGED = 0.1
TRIES = 50
MOST_PLANS, BEYOND = 8, 0.04  # flights drawn until one asks little enough of its engine


@dataclass(frozen=True, slots=True)
class Truth:
    """What is wrong in a case.

    faults: with onsets on the recording's clock, the one asked for first; onset_s [s]: on that clock, None
    before the start and in a healthy case; mechanism: of a fault outside the catalogue, in words.
    """

    kind: Kind
    faults: tuple[Fault, ...] = ()
    onset_s: float | None = None
    mechanism: str = ""

    @property
    def names(self) -> tuple[str, ...]:
        """Names of the faults in alphabetical order, as a diagnosis gives them."""
        return tuple(sorted(fault.name for fault in self.faults))


@dataclass(frozen=True, slots=True)
class Case:
    """One case. airplane: as the diagnosis is told; actual: as it is flown; recording: what is diagnosed.

    twin: what `airplane` itself would have recorded with the fault on the same flight, without gusts, skew,
    smoothing and rounding; None unless the fault is one of the catalogue. flight: how it is flown, in words.
    """

    seed: int
    airplane: Airplane
    actual: Airplane
    recording: Recording
    twin: Recording | None
    truth: Truth
    flight: str

    @property
    def name(self) -> str:
        """Name of the airplane."""
        return str(self.airplane.name)


def case(seed: int) -> Case:
    """The case of a seed: always the same one."""
    for attempt in range(TRIES):  # plumbing too quick to follow, or nothing to be noticed: another one
        found = _attempt(seed, attempt)
        if found is not None:
            return found
    raise RuntimeError(f"no case comes of seed {seed}")


def _attempt(seed: int, attempt: int) -> Case | None:
    first = np.random.default_rng([seed])  # what no other attempt changes: their shares would shift
    streams = np.random.SeedSequence([seed, attempt]).spawn(6)
    drawn, of_airplane, of_weather, of_flight, of_recorder, of_strange = map(np.random.default_rng, streams)
    nominal = hangar(str(first.choice(HANGAR)))
    actual = perturbed(nominal, of_airplane)
    recorder = a_recorder(of_recorder, nominal)
    kind, lasts_s = _kind(first), a_duration(drawn)
    faults = _faults(first, drawn, nominal, lasts_s) if kind == "catalogue" else ()
    iced = any(fault.name in ICE for fault in faults)
    near = typical_height_m(nominal, of_flight) if iced and drawn.random() < IN_ICE else None
    if iced and len(faults) == 2:
        near = typical_height_m(nominal, of_flight)
    day = a_day(of_weather, near)
    try:
        flown = _flown(of_flight, actual, day, faults, lasts_s, near)
        flown = replace(flown, setting_pa=_setting(of_flight, recorder, flown))
        calm = path_of(actual, flown, day)
        rough = gusts(of_weather, len(flown.time_s), STEP_S, float(np.median(calm.truth.tas_m_s)))
        path = path_of(actual, flown, day, rough, calm.truth.power)
        aside = beside(actual, flown, calm, a_wind(of_weather))
        shown = what_is_shown(actual, path, faults)
        mechanism, onset = "", faults[0].onset_s if faults else 0.0
        if kind == "outside":
            able = [q for q in shown if q in recorder.steps]
            inner = slice(round(EDGE_S / STEP_S), -round(EDGE_S / STEP_S))
            strange = bent(of_strange, flown.time_s[inner], {q: v[inner] for q, v in shown.items()}, able)
            if strange is None:
                return None
            shown = {q: _edges_as(shown[q], strange[0][q], inner) for q in shown}
            mechanism, onset = strange[1:]
        record = written(of_recorder, recorder, shown, aside, flown.setting_pa)
        twin = None
        if kind == "catalogue":
            twin = _twin(nominal, flown, day, faults, recorder, aside, record)
    except InputError:
        return None
    if (
        kind == "catalogue"
        and onset > 0.8 * flown.time_s[-1] + EDGE_S
        and not flown.how.startswith("planned")
    ):
        return None  # the pilot's flight ended before the fault could show
    by = recorder.starts_s - EDGE_S
    late = tuple(replace(fault, onset_s=fault.onset_s + by) for fault in faults)
    seen = onset + by if kind != "healthy" and onset > EDGE_S else None
    return Case(seed, nominal, actual, record, twin, Truth(kind, late, seen, mechanism), flown.how)


@cache
def hangar(name: str) -> Airplane:
    """An airplane of the hangar."""
    return airplane.load(name)


def _kind(rng: Generator) -> Kind:
    share = rng.random()
    return "healthy" if share < HEALTHY else "outside" if share < HEALTHY + OUTSIDE else "catalogue"


def _faults(first: Generator, rng: Generator, plane: Airplane, lasts_s: float) -> tuple[Fault, ...]:
    """One fault of those that the airplane can have, on the flight's clock; heat may be lost in cloud.

    first: draws which fault it is, rng: all else.
    """
    able = [entry for entry in catalogue().values() if entry.places(plane)]
    entry = able[int(first.integers(len(able)))]
    places = entry.places(plane)
    where = places[int(rng.integers(len(places)))]
    severity = 1.0 if entry.whole or rng.random() < FULL else float(rng.uniform(LEAST, 1.0))
    before = rng.random() < BEFORE_THE_START
    onset = EDGE_S + (lasts_s - 2.0 * EDGE_S) * float(rng.uniform(0.1, 0.9))
    gradual = 0.0
    if before or entry.name in LEFT_ON:
        onset = -float(rng.uniform(10.0, 600.0))
    elif not entry.whole and entry.comes != "suddenly" and rng.random() < GRADUAL:
        gradual = float(rng.uniform(*GRADUAL_S))
    size = None
    if entry.size is not None:
        size = _sized(rng, entry.name, entry.size.usual, entry.size.positive)
    fault = Fault(entry.name, where, severity, onset, None, gradual, size)
    if entry.name in HEAT and rng.random() < IN_ICE:
        iced = [name for name in ICE if catalogue()[name].places(plane)]
        cloud = catalogue()[iced[0]]
        return fault, Fault(cloud.name, cloud.places(plane)[-1], 1.0, onset)
    return (fault,)


def _sized(rng: Generator, name: str, usual: str, positive: bool) -> str:
    """The usual size, half or double for a leak; either sign where it has one."""
    number, _, unit = usual.partition(" ")
    value = float(number)
    if not positive:
        value *= float(rng.choice((-1.0, 1.0)))
    elif name.endswith(("leak", "leaking", "loose", "broken")):
        value *= float(rng.choice((0.5, 1.0, 2.0)))
    return f"{value:g} {unit}".strip()


def _flown(
    rng: Generator,
    plane: Airplane,
    day: Day,
    faults: tuple[Fault, ...],
    lasts_s: float,
    near_m: float | None,
) -> Flown:
    left_on = any(fault.name in LEFT_ON for fault in faults)
    if not left_on and rng.random() < BY_PILOT and plane.name != "sailplane":  # no pilot finds thermals
        feels = rng.random() < 0.5  # the fault, or a pilot who does not look at what is broken
        found = piloted(plane, day, rng, lasts_s, faults if feels else (), near_m)
        if found is None:
            found = piloted(plane, day, rng, lasts_s, (), near_m)
        if found is not None:
            return found
    ground = left_on or (near_m is None and rng.random() < FROM_THE_GROUND)
    drawn = []
    for _ in range(MOST_PLANS):
        flown = planned(plane, day, rng, lasts_s, ground, near_m)
        drawn.append((beyond_the_engine(plane, flown, path_of(plane, flown, day)), flown))
        if drawn[-1][0] < BEYOND:
            break
    return min(drawn, key=lambda one: one[0])[1]


def _setting(rng: Generator, recorder: Recorder, flown: Flown) -> Array:
    """What the altimeter is set to, (k,) [Pa]: the standard where the record does not say.

    In a few flights it is set anew on the way.
    """
    if "altimeter setting" not in recorder.steps:
        return np.full(len(flown.time_s), P0)
    right = float(flown.setting_pa[0]) + rng.normal(0.0, 0.01) * INHG
    setting = np.full(len(flown.time_s), np.round(right / INHG, 2) * INHG)
    if rng.random() < SETTING_CHANGED:
        when = rng.uniform(0.2, 0.8) * flown.time_s[-1]
        setting += rng.normal(0.0, 0.05) * INHG * np.clip((flown.time_s - when) / 3.0, 0.0, 1.0)
    return setting


def what_is_shown(plane: Airplane, path: FlightPath, faults: tuple[Fault, ...]) -> dict[str, Array]:
    """What the recorded pointers show, every step of the flight, (k,) SI."""
    around = flight.surroundings(plane, path)
    batch = rs.simulate_batch(
        plane, around, [faults], output_hz=1.0 / STEP_S, dtype=np.float64, workers=1, progress=False
    )
    n = len(path.truth.time_s)
    found = {q: batch.of(name)[0] for q, name in recorded_pointers(plane).items()}
    return {q: np.asarray(value[:n], dtype=float) for q, value in found.items()}


def _edges_as(sound: Array, inside: Array, where: slice) -> Array:
    """The whole flight again: before the record as it was, after it as at the end of the record."""
    found = sound.copy()
    found[where] = inside
    assert where.stop is not None
    found[where.stop :] = inside[-1]
    return found


def _twin(
    nominal: Airplane,
    flown: Flown,
    day: Day,
    faults: tuple[Fault, ...],
    recorder: Recorder,
    aside: Beside,
    like: Recording,
) -> Recording:
    shown = what_is_shown(nominal, path_of(nominal, flown, day), faults)
    return exact(recorder, shown, aside, flown.setting_pa, like)


def described(found: Case) -> str:
    """A case in a few lines."""
    record, truth = found.recording, found.truth
    lasts = record.time_s[-1] - record.time_s[0]
    onset = "" if truth.onset_s is None else f", {truth.onset_s - record.time_s[0]:.0f} s into the record"
    wrong = truth.mechanism or ", ".join(
        f"{f.name} at {f.where}, severity {f.severity:.2f}{f', {f.size}' if f.size else ''}"
        for f in truth.faults
    )
    return (
        f"{found.seed}: {found.name}, {found.flight}, {lasts:.0f} s of {', '.join(record.values)}\n"
        f"  {truth.kind}{': ' if wrong else ''}{wrong}{onset}"
    )


def main() -> None:
    for word in sys.argv[1:]:
        print(described(case(int(word))))


if __name__ == "__main__":
    main()
