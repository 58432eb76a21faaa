"""Suspects tried: each simulated along the reference flight from some onset on, and weighed by the filter."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.manners import Manners, manners
from ramstill.diagnosis.model import Model, Noise, Told, at_least_as_flown, shown_by, tell
from ramstill.diagnosis.priors import ICE

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.panel import Panel
    from ramstill.diagnosis.priors import Suspect
    from ramstill.diagnosis.reference import Reference
    from ramstill.faults import Fault
    from ramstill.pneumatics import Surroundings
    from ramstill.run.progress import Bar

Array = NDArray[np.float64]
BEFORE = float("-inf")  # an onset before the readings begin
EARLIER_S = 1.0  # how long before, for the engine
TOLERANCE_PA = 2.0  # half a foot, less than readings are off by [Pa]
UNLIKE = 0.1  # standard deviations: less is as the sound airplane shows
NOTHING = 1e-3  # [m/s and m] a difference that shows nowhere
Suspects = tuple["Suspect", ...]
Onsets = tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class Trial:
    """Suspects that act together, each from its onset on [s, BEFORE for before the start].

    gained: log likelihood of the readings over that with the sound airplane; shown (k, SHOWN): what the
    instruments show then, None where that is what the sound airplane's do; key: the same for trials that
    show the same.
    """

    suspects: Suspects
    onsets_s: Onsets
    gained: float
    shown: Array | None
    key: int


@dataclass(slots=True)
class Bench:
    """What all trials of one recording share, and what is known of the suspects' manners so far."""

    airplane: Airplane
    panel: Panel
    model: Model
    rough: Noise
    ref: Reference
    outside: Surroundings
    sound: Told
    sound_shown: Array
    sound_manners: Manners
    workers: int | None = None
    bar: Bar | None = None
    known: dict[Suspects, Manners] = field(default_factory=dict)

    @property
    def start_s(self) -> float:
        """First knot [s]."""
        return float(self.ref.knots_s[0])

    @property
    def end_s(self) -> float:
        """Last knot [s]."""
        return float(self.ref.knots_s[-1])

    def faults(self, suspects: Suspects, onsets_s: Sequence[float]) -> tuple[Fault, ...]:
        """The faults of a trial."""
        when = [self.start_s - EARLIER_S if t == BEFORE else t for t in onsets_s]
        return tuple(suspect.fault(t) for suspect, t in zip(suspects, when, strict=True))

    def first_knot(self, onsets_s: Sequence[float]) -> int:
        """The first knot at which anything may be otherwise than with the sound airplane."""
        onset = min(onsets_s)
        if onset == BEFORE:
            return 0
        return max(int(np.searchsorted(self.ref.knots_s, onset - 0.5 * self.model.step_s)), 1)

    def run(self, wanted: Sequence[tuple[Suspects, Onsets]]) -> list[Trial]:
        """Try suspects at onsets. Those that show the same are weighed once."""
        from ramstill.pneumatics.batch import processors, side_by_side
        from ramstill.run import simulate_batch

        if not wanted:
            return []
        batch = simulate_batch(
            self.airplane,
            self.outside,
            [self.faults(*one) for one in wanted],
            output_hz=1.0 / self.model.step_s,
            tolerance_pa=TOLERANCE_PA,
            pointers=self.panel.pointers,
            workers=self.workers,
            progress=False,
        )
        places = {one.name: i for i, one in enumerate(batch.channels)}
        none = _key(batch.healthy)
        keys = [_key(values) for values in batch.values]
        leaders: dict[tuple[int, Onsets], int] = {}
        for i, key in enumerate(keys):
            if key != none:
                leaders.setdefault((key, wanted[i][1]), i)
        self._learn(wanted[i][0] for i in leaders.values())
        weighed: dict[int, tuple[float, Array]] = {}
        order = list(leaders.values())

        def weigh(n: int) -> None:
            i = order[n]
            suspects, onsets = wanted[i]
            manner = self.known[suspects]
            columns = {name: batch.values[i][:, place].astype(float) for name, place in places.items()}
            shown = shown_by(self.panel, columns, self.ref, manner, self.sound_shown)
            weighed[i] = self.told(suspects, onsets, shown).total - self.sound.total, shown

        side_by_side(weigh, len(order), self.workers or processors())
        if self.bar is not None:
            self.bar.step(len(wanted))
        found = []
        for i, (suspects, onsets) in enumerate(wanted):
            if keys[i] == none:
                found.append(Trial(suspects, onsets, 0.0, None, none))
            else:
                gained, shown = weighed[leaders[keys[i], onsets]]
                found.append(Trial(suspects, onsets, gained, shown, keys[i]))
        return found

    def told(self, suspects: Suspects, onsets: Onsets, shown: Array, keep: bool = False) -> Told:
        """What the filter says of suspects that make the instruments show this (k, SHOWN)."""
        following = self.manners_of(suspects).after(self.model.step_s)
        first = self.first_told(suspects, onsets, shown)
        following = at_least_as_flown(self.model, shown, following, first)
        return tell(self.model, shown, following, self.sound, first, keep)

    def first_told(self, suspects: Suspects, onsets: Onsets, shown: Array) -> int:
        """The first knot from which suspects' manners hold: ice grows for long before it is anything."""
        first = self.first_knot(onsets)
        if any(one.name in ICE for one in suspects):
            far = apart(self, shown, None).max(axis=1) > UNLIKE
            first = max(first, int(np.argmax(far)) if far.any() else len(far))
        return first

    def manners_of(self, suspects: Suspects) -> Manners:
        """The manners of suspects, found out if need be."""
        self._learn([suspects])
        return self.known[suspects]

    def _learn(self, wanted: Iterable[Suspects]) -> None:
        """Find out the manners of suspects that are not known yet."""
        new = [s for s in dict.fromkeys(wanted) if s not in self.known]
        if not new:
            return
        altitude, airspeed = usual_flight(self.ref)
        cases = [tuple(one.fault(0.0) for one in s) for s in new]
        found = manners(self.airplane, self.panel, altitude, airspeed, cases, self.workers)
        self.known.update(zip(new, found[1:], strict=True))


def usual_flight(ref: Reference) -> tuple[float, float]:
    """Pressure altitude [m] and calibrated airspeed [m/s] in the middle of the flight."""
    flying = ref.airborne > 0.0
    flying = flying if flying.any() else np.ones(len(flying), dtype=bool)
    speed = max(float(np.median(ref.airspeed_m_s[flying])), 1.1 * ref.slowest_m_s)
    return float(np.median(ref.altitude_m[flying])), speed


def _key(values: Any) -> int:
    return hash(np.round(np.nan_to_num(values, nan=-9e5) / NOTHING).astype(np.int64).tobytes())


def apart(bench: Bench, a: Array | None, b: Array | None) -> Array:
    """How far two predictions are apart at each knot, in standard deviations of the readings, (k, 3)."""
    a = bench.sound_shown if a is None else a
    b = bench.sound_shown if b is None else b
    seen = bench.model.seen[:, : c.VERTICAL + 1, :]
    far = np.abs(a[:, : c.VERTICAL + 1] - b[:, : c.VERTICAL + 1]) / np.sqrt(seen[:, :, 1])
    far = np.where(np.isnan(a[:, :3]) != np.isnan(b[:, :3]), 10.0, far)
    return np.asarray(np.where(np.isnan(seen[:, :, 0]), 0.0, np.nan_to_num(far)))
