"""A recording made ready: its columns in time with each other, its flight, and how rough that is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.individual import kinds
from ramstill.diagnosis.manners import Manners, manners
from ramstill.diagnosis.model import POINTERS, READ, Model, Noise, flat, model, shown_by, tell
from ramstill.diagnosis.observed import Observed, observe, shifted
from ramstill.diagnosis.panel import Panel, finely, panel_of
from ramstill.diagnosis.reference import Reference, around, refer
from ramstill.diagnosis.trials import TOLERANCE_PA, Bench, usual_flight

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.recording import Recording
    from ramstill.pneumatics import Surroundings

Array = NDArray[np.float64]
# What is tried of each kind of roughness, beside what is usual, and finer steps after that.
ROUGH = {
    "climb": (0.1, 0.3, 1.0, 3.0, 8.0, 20.0),
    "speed": (0.1, 0.3, 1.0, 3.0, 8.0, 20.0),
    "changed": (1.0, 2.5),
    "gusts": (0.05, 0.2, 0.6, 1.5),
    "wind": (0.3, 1.0, 3.0),
    "shear": (0.3, 1.0, 3.0),
    "gps": (0.3, 1.0, 3.0),
    "tails": (4.0, 8.0, 20.0),
}
SCATTER, WANDERING = (0.5, 1.0, 2.0), (0.5, 1.0, 2.0, 4.0, 16.0)
QUICK = (0.3, 1.0, 3.0)
STEPS = (1.7, 1.25)
# Rougher than this nothing but a pointer is taken to be, or it would hide a fault; and pointers that wander
# more than this have one.
ROUGHEST = {"wind": 3.0, "shear": 3.0, "gps": 3.0, "scatter": 3.0}
MOST_WANDERING, MOST_QUICK = 4.0, 3.0
# Columns that are written together, and by how much late they are tried, beside the altitude [s].
TOGETHER = (("vertical speed",), ("ias",), ("gps altitude",), ("along", "across"), ("pitch",), ("power",))
LATE_S = ((-4.0, -2.5, -1.2, 1.2, 2.5, 4.0, 6.0), (-0.6, 0.6))
BETTER = 3.0  # log of the odds by which a column has to be likelier to be taken as late
LOOSE = Noise(wander=dict.fromkeys(POINTERS, 4.0))  # until that is known


@dataclass(frozen=True, slots=True)
class Flown:
    """A reference flight, and what the sound airplane shows along it, (k, SHOWN)."""

    ref: Reference
    outside: Surroundings
    shown: Array
    reference: Array


def set_up(airplane: Airplane, recording: Recording, workers: int | None) -> tuple[Bench, Observed]:
    """Return everything that trials of a recording share, and its readings on knots."""
    plane = finely(airplane)
    panel = panel_of(plane)
    seen = written = observe(recording, panel.friction)
    if plane.performance is None or plane.performance.engine is None:
        # in rising air a glider climbs with its nose down: pitch says nothing of the climb
        seen = written = replace(
            seen, value={q: v for q, v in seen.value.items() if q not in ("pitch", "power")}
        )
    ref = refer(plane, seen)
    sound = manners(plane, panel, *usual_flight(ref), [], workers)[0]
    following = sound.after(seen.step_s)
    flown = fly(plane, panel, seen, ref, sound)

    def likely(one: Observed, noise: Noise = LOOSE) -> float:
        """How likely readings are but for the few knots that are the least likely."""
        told = tell(model(one, flown.ref, panel, noise, flown.reference), flown.shown, following)
        return float(np.sort(told.each)[len(told.each) // 50 :].sum())

    late: dict[str, float] = {}
    noise = LOOSE
    for steps in LATE_S:  # coarsely first, with errors that are not known yet
        found = lateness(written, late, steps, partial(likely, noise=noise))
        if found != late:
            late, seen = found, shifted(written, found)
            flown = fly(plane, panel, seen, refer(plane, seen), sound)
        elif noise is not LOOSE:
            break
        noise = roughness(seen, likely, noise)
    individual(plane, panel, seen, flown, sound)
    noise = _sound(roughness(seen, likely, noise))
    best: Model = model(seen, flown.ref, panel, noise, flown.reference)
    told = tell(best, flown.shown, following)
    return Bench(plane, panel, best, noise, flown.ref, flown.outside, told, flown.shown, sound, workers), seen


def fly(plane: Airplane, panel: Panel, seen: Observed, ref: Reference, sound: Manners) -> Flown:
    """Fly the sound airplane, whose manners these are, along a reference flight."""
    from ramstill.run import simulate_batch

    outside = around(plane, ref)
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
    return Flown(ref, outside, shown_by(panel, columns, ref, sound), flat(seen, ref))


def roughness(seen: Observed, likely: Callable[[Observed, Noise], float], start: Noise) -> Noise:
    """How rough a recording is: what makes it the likeliest, with pointers that may wander as they like, so
    that no fault spoils the answer. From `LOOSE` on widely, then finely, from another start on finely."""
    tried: dict[tuple[str, str], tuple[float, ...]] = {}
    tried |= {(kind, ""): sizes for kind, sizes in ROUGH.items()}
    tried |= {("scatter", q): SCATTER for q in READ if seen.has(q)}
    tried |= {("quick", q): QUICK for q in POINTERS if seen.has(q)}
    tried |= {("wander", q): WANDERING for q in POINTERS if seen.has(q)}
    noise = start
    best = likely(seen, noise)
    for step in (None, None, *STEPS) if start is LOOSE else STEPS:
        for key, sizes in tried.items():
            now = _size(noise, key)
            if key[0] == "tails" and step:
                continue
            for size in (now / step, now * step) if step else sizes:
                if size > ROUGHEST.get(key[0], np.inf):
                    continue
                other = _resized(noise, key, size)
                found = likely(seen, other)
                if found > best:
                    noise, best = other, found
    return noise


def individual(plane: Airplane, panel: Panel, seen: Observed, flown: Flown, sound: Manners) -> None:
    """Write into the flown reference what others of the airplane's type may show along it."""
    for k, other in enumerate(kinds(plane)):
        shown = fly(other, panel, seen, flown.ref, sound).shown[:, :3]
        first = c.DIFFERENT + 3 * k
        flown.reference[:, first : first + 3] = np.nan_to_num(shown - flown.shown[:, :3])


def _sound(noise: Noise) -> Noise:
    """The roughness of sound pointers: those that wander more have a fault, and are not to hide it."""
    return replace(
        noise,
        wander={q: min(by, MOST_WANDERING) for q, by in noise.wander.items()},
        quick={q: min(by, MOST_QUICK) for q, by in noise.quick.items()},
    )


def _size(noise: Noise, key: tuple[str, str]) -> float:
    kind, quantity = key
    found = getattr(noise, kind)
    return float(found.get(quantity, 1.0) if quantity else found)


def _resized(noise: Noise, key: tuple[str, str], size: float) -> Noise:
    kind, quantity = key
    other: Any = {**getattr(noise, kind), quantity: size} if quantity else size
    return replace(noise, **{kind: other})


def lateness(
    seen: Observed, late: dict[str, float], steps: Sequence[float], likely: Callable[[Observed], float]
) -> dict[str, float]:
    """By how much the recorder's columns are late [s], by quantity: `late`, or one of these steps [s] more,
    as far as that makes them likelier.

    A recorder writes one column later than another, and smooths it; nothing that does as much for a whole
    flight can be told from that. What the reference flight was made from cannot be late beside it.
    """
    made_from = set()
    if not seen.has("along"):
        made_from.add("ias")
    if not (seen.has("altitude") or seen.has("gps altitude")):
        made_from.add("vertical speed")
    best = likely(shifted(seen, late))
    for together in TOGETHER:
        some = [quantity for quantity in together if seen.has(quantity) and quantity not in made_from]
        if not some:
            continue
        before = late.get(some[0], 0.0)
        for by in steps:
            tried = late | dict.fromkeys(some, before + by)
            found = likely(shifted(seen, tried))
            if found > best + BETTER:
                best, late = found, tried
    return late
