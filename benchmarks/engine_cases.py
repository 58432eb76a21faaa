"""What the contest is over: a planned flight with faults, a recorded climb kinking each second, variants."""

from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from ramstill import airplane as airplanes
from ramstill.airplane import Airplane
from ramstill.faults import Applied, Fault, apply
from ramstill.flight import parse_flight, plan, reconstruction, recording, surroundings
from ramstill.instruments import read
from ramstill.pneumatics import Network, Surroundings, spun_up
from ramstill.run.preparing import healthy_network, sample_times

FloatArray = NDArray[np.float64]
AIRPLANE = "twin-two-ports"  # 17 volumes
RECORD = Path(__file__).parents[1] / "tests" / "outside" / "data" / "recorded_flight_climb.csv"
TEN_MINUTES_S = 600.0
AFTER_ONSET_S = (1e-3, 1e-2, 1e-1)
TAPPINGS = (  # the six that a page draws
    "airspeed.pitot",
    "airspeed.static",
    "altimeter.static",
    "vertical-speed.static",
    "vertical-speed.case",
    "encoder.static",
)
FLIGHT = {
    "field_elevation": "420 ft",
    "leg": [
        {"kind": "take-off", "to": "1200 ft"},
        {"kind": "climb", "to": "3600 ft"},
        {"kind": "turn", "degrees": "180 deg", "bank": "25 deg"},
        {"kind": "level", "speed": "140 kt", "duration": "90 s"},
        {"kind": "descent", "to": "2000 ft", "rate": "700 ft/min"},
        {"kind": "level", "speed": "110 kt", "duration": "147.5 s"},
    ],
}
FAULTS = (
    Fault("insect-nest", severity=0.9, onset_s=120.0, gradual_s=20.0, end_s=260.0),
    Fault("static-ports-blocked", onset_s=200.0, end_s=330.0),
    Fault("alternate-static-open", onset_s=240.0, end_s=300.0),
    Fault("static-line-leak", onset_s=400.0),
    Fault("vsi-glass-broken", onset_s=480.0),
)


@dataclass(frozen=True, slots=True)
class Case:
    """One system on one flight: everything an integrator needs, and what its answer is turned into.

    output_s (t,) [s]: when pressures are asked for; onsets_s: when something jumps; initial_pa (n,) [Pa].
    """

    title: str
    plane: Airplane
    applied: Applied
    output_s: FloatArray
    onsets_s: tuple[float, ...]
    initial_pa: FloatArray
    faults: tuple[Fault, ...] = ()

    @property
    def healthy(self) -> Network:
        """The system without its faults."""
        return system(self.plane, self.surroundings)

    @property
    def network(self) -> Network:
        """The system with its faults."""
        return self.applied.network

    @property
    def surroundings(self) -> Surroundings:
        """The air outside, with what the faults change in it."""
        return self.applied.surroundings

    @property
    def judged_s(self) -> FloatArray:
        """The output times, and 1, 10 and 100 ms after each onset: where errors are measured [s]."""
        after = [at + more for at in self.onsets_s for more in AFTER_ONSET_S]
        times = np.concatenate([self.output_s, after])
        return np.unique(times[(times >= self.output_s[0]) & (times <= self.output_s[-1])])

    def pointers(self, pressure_pa: FloatArray) -> dict[str, FloatArray]:
        """What the instruments show, from (t, n) pressures at `output_s`."""
        truth = self.surroundings.truth.at(self.output_s)
        outside = self.surroundings.at(self.output_s)
        return read(
            self.plane,
            self.output_s,
            {name: pressure_pa[:, i] for i, name in enumerate(self.network.node_names)},
            truth.altimeter_setting_pa,
            self.applied.pointer_edits,
            truth=truth,
            network=self.network,
            outside_pa=dict(zip(self.surroundings.boundary_names, outside.T, strict=True)),
        )


def make(
    title: str, plane: Airplane, around: Surroundings, faults: tuple[Fault, ...], end_s: float | None = None
) -> Case:
    """A case of an airplane on a flight with faults, up to `end_s` [s]."""
    healthy = system(plane, around)
    applied = apply(faults, plane, healthy, around)
    end = around.end_s if end_s is None else min(end_s, around.end_s)
    onsets = {f.onset_s for f in faults} | {f.end_s for f in faults if f.end_s is not None}
    return Case(
        title=title,
        plane=plane,
        applied=applied,
        output_s=sample_times(around.start_s, end, 10.0),
        onsets_s=tuple(sorted(onsets)),
        initial_pa=spun_up(healthy, around).pressure_pa,
        faults=faults,
    )


def system(plane: Airplane, around: Surroundings) -> Network:
    """The airplane's own system, its lines outside as cold as it is there, as `simulate` has it."""
    return healthy_network(plane, around.truth, "walls")


def planned_flight(end_s: float = TEN_MINUTES_S) -> Case:
    """Ten minutes of a planned flight, with faults that come and go."""
    plane = airplanes.load(AIRPLANE)
    around = flown(plane)
    return make("planned flight", plane, around, FAULTS, around.start_s + end_s)


def flown(plane: Airplane) -> Surroundings:
    """The air outside on the planned flight."""
    return surroundings(plane, plan(parse_flight(FLIGHT, "benchmark"), plane, None, "benchmark"))


def recorded_climb(end_s: float | None = None) -> Case:
    """A recorded climb as straight lines between samples a second apart: a kink at each."""
    plane = airplanes.load(AIRPLANE)
    found = reconstruction(plane, recording.read(RECORD)).surroundings
    straight = Surroundings.from_samples(
        found.knots_s, found.boundary_names, found.pressure_pa, found.truth, curve="straight"
    )
    case = make("recorded climb", plane, straight, (), None if end_s is None else straight.start_s + end_s)
    return replace(case, onsets_s=(straight.start_s,))


def variants(count: int, seed: int = 20) -> list[Case]:
    """The planned flight with other faults, as bad and as late as chance has it; the same for each seed."""
    plane = airplanes.load(AIRPLANE)
    around = flown(plane)
    first = make("variant", plane, around, (), around.start_s + TEN_MINUTES_S)
    chance = np.random.default_rng(seed)
    healthy = first.healthy
    return [_variant(first, healthy, _some_faults(chance), number) for number in range(count)]


def _some_faults(chance: np.random.Generator) -> tuple[Fault, ...]:
    """One to three faults that change the plumbing."""
    some = chance.choice(len(_GRADED) + len(_WHOLE), size=int(chance.integers(1, 4)), replace=False)
    faults = []
    for kind in some:
        onset = float(np.round(chance.uniform(20.0, 500.0), 3))
        end = float(np.round(onset + chance.uniform(20.0, 400.0), 3)) if chance.random() < 0.5 else None
        if kind < len(_GRADED):
            gradual = float(chance.choice([0.0, 0.0, 30.0]))
            severity = float(np.round(chance.uniform(0.2, 1.0), 3))
            if end is not None and end <= onset + gradual:
                end = None
            faults.append(
                Fault(_GRADED[kind], severity=severity, onset_s=onset, end_s=end, gradual_s=gradual)
            )
        else:
            faults.append(Fault(_WHOLE[kind - len(_GRADED)], onset_s=onset, end_s=end))
    return tuple(faults)


_GRADED = ("insect-nest", "one-static-port-blocked", "static-ports-blocked", "pitot-inlet-blocked")
_WHOLE = (
    "static-line-leak",
    "pitot-line-leak",
    "vsi-glass-broken",
    "alternate-static-open",
    "pitot-line-off",
)


def _variant(first: Case, healthy: Network, faults: tuple[Fault, ...], number: int) -> Case:
    onsets = {f.onset_s for f in faults} | {f.end_s for f in faults if f.end_s is not None}
    return replace(
        first,
        title=f"variant {number}",
        applied=apply(faults, first.plane, healthy, first.surroundings),
        onsets_s=tuple(sorted(onsets)),
        faults=faults,
    )
