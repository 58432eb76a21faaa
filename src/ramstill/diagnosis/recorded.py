"""From a recorded flight to the faults behind it."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis.answer import Candidate, Diagnosis, Situation, ranked
from ramstill.diagnosis.manners import Manners, manners
from ramstill.diagnosis.model import Model, Told, model, shown_by, tell
from ramstill.diagnosis.observed import Observed, observe, shifted
from ramstill.diagnosis.panel import panel_of
from ramstill.diagnosis.priors import NO_FAULT, OUTSIDE_THE_CATALOGUE, suspects
from ramstill.diagnosis.reference import around, refer
from ramstill.diagnosis.search import over_onsets, search
from ramstill.diagnosis.stray import stray
from ramstill.diagnosis.trials import BEFORE, TOLERANCE_PA, Bench, usual_flight

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.recording import Recording

Array = NDArray[np.float64]
ROUGHNESS = (0.4, 1.0, 2.5, 6.0)  # of the flight, of which the likeliest is taken
TRUST = 0.5  # of what readings say: their errors go together more than the filter knows
# Columns that are written together, and by how much late they are tried, beside the altitude [s].
TOGETHER = (("vertical speed",), ("ias",), ("gps altitude",), ("along", "across"), ("pitch",), ("power",))
LATE_S = (-4.0, -3.0, -2.0, -1.0, 1.0, 2.0, 3.0, 4.0, 5.0, 6.0)
LEAST = 1e-7  # probability of a candidate that is worth keeping


def diagnose(
    plane: Airplane,
    recording: Recording,
    *,
    pairs: bool = True,
    workers: int | None = None,
    progress: bool | None = None,
) -> Diagnosis:
    """Say what is likely to be wrong with an airplane that made a recording."""
    bench = set_up(plane, recording, workers)
    off = stray(bench)
    wanted = suspects(plane, larger=True)
    found = search(bench, wanted, off.onsets_s).found
    logs, made = [], []
    for tried in found.values():
        onset = over_onsets(bench, tried)
        logs.append(tried.prior + TRUST * onset.gained)
        later = onset.before < 0.5 and np.isfinite(onset.mean_s)
        faults = bench.faults(tried.suspects, (onset.mean_s if later else BEFORE,))
        sd = onset.sd_s if later else float("nan")
        made.append((faults, sd))
    logs += [np.log(NO_FAULT), np.log(OUTSIDE_THE_CATALOGUE) + TRUST * off.gained]
    weights = np.exp(np.array(logs) - max(logs))
    weights /= weights.sum()
    candidates = [Candidate((), float(weights[-2]))]
    candidates += [
        Candidate(faults, float(w), sd) for (faults, sd), w in zip(made, weights, strict=False) if w > LEAST
    ]
    rest = float(weights[-1])
    total = sum(one.probability for one in candidates) + rest
    candidates = [Candidate(one.faults, one.probability / total, one.onset_sd_s) for one in candidates]
    candidates.sort(key=lambda one: -one.probability)
    return Diagnosis(
        plane,
        recording.source,
        tuple(candidates),
        ranked(candidates),
        rest / total,
        (),
        Situation(
            bool(bench.ref.airborne[-1] > 0.0),
            float(bench.ref.airspeed_m_s[-1]),
            float(bench.ref.altitude_m[-1]),
        ),
        (*recording.notes, *bench.ref.notes),
    )


def set_up(plane: Airplane, recording: Recording, workers: int | None) -> Bench:
    """Everything that trials of a recording share."""
    from ramstill.run import simulate_batch

    panel = panel_of(plane)
    seen = observe(recording, panel.friction)
    ref = refer(plane, seen)
    outside = around(plane, ref)
    sound: Manners = manners(plane, panel, *usual_flight(ref), [], workers)[0]
    batch = simulate_batch(
        plane,
        outside,
        [()],
        output_hz=1.0 / seen.step_s,
        tolerance_pa=TOLERANCE_PA,
        pointers=panel.pointers,
        progress=False,
    )
    columns = {one.name: batch.values[0, :, i].astype(float) for i, one in enumerate(batch.channels)}
    shown = shown_by(panel, columns, ref, sound)
    following = sound.after(seen.step_s)
    seen = aligned(
        seen, lambda one: _trusted(tell(model(one, ref, 1.0, panel.compensated), shown, following))
    )
    best: tuple[float, Model] | None = None
    for roughness in ROUGHNESS:
        one = model(seen, ref, roughness, panel.compensated)
        total = _trusted(tell(one, shown, following))
        if best is None or total > best[0]:
            best = total, one
    assert best is not None
    return Bench(plane, panel, best[1], ref, outside, tell(best[1], shown, following), shown, sound, workers)


def _trusted(told: Told) -> float:
    """Log likelihood but for the tenth of the knots that are the least likely."""
    return float(np.sort(told.each)[len(told.each) // 10 :].sum())


def aligned(seen: Observed, likely: Callable[[Observed], float]) -> Observed:
    """Readings with the recorder's columns put in time with each other, as far as it makes them likelier.

    A recorder writes one column later than another, and smooths it; nothing that does as much for a whole
    flight can be told from that.
    """
    late: dict[str, float] = {}
    best = likely(seen)
    for together in TOGETHER:
        some = [quantity for quantity in together if seen.has(quantity)]
        if not some:
            continue
        for by in LATE_S:
            tried = late | dict.fromkeys(some, by)
            found = likely(shifted(seen, tried))
            if found > best:
                best, late = found, tried
    return shifted(seen, late)
