"""The evidence behind an answer: what was read beside what the leading findings predict."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.answer import Evidence, Finding, Names, Prediction
from ramstill.diagnosis.likeness import SIGMAS, Showing
from ramstill.diagnosis.likeness import gained as worth_of
from ramstill.diagnosis.observed import Observed
from ramstill.diagnosis.search import Tried
from ramstill.diagnosis.trials import Bench
from ramstill.diagnosis.worth import TRUST

Array = NDArray[np.float64]
QUANTITIES = ("altitude", "ias", "vertical speed")
LEADING = 5  # findings that are drawn, beside no fault


def showings(bench: Bench, best: Sequence[tuple[Names, Tried | None]]) -> list[Showing]:
    """What each finding's best trial makes the instruments show along the bench's flight; None: the sound
    airplane."""
    loud = [(names, tried) for names, tried in best if tried is not None and not tried.silent]
    trials = bench.run([(tried.suspects, tried.best.onsets_s) for _, tried in loud])
    found = {}
    for (names, _), trial in zip(loud, trials, strict=True):
        if trial.shown is None:
            continue
        told = bench.told(trial.suspects, trial.onsets_s, trial.shown)
        found[names] = Showing(names, trial.shown, told.each)
    return [found.get(names, Showing(names, bench.sound_shown, bench.sound.each)) for names, _ in best]


def evidence(bench: Bench, seen: Observed, ranking: Sequence[Finding], shown: Sequence[Showing]) -> Evidence:
    """Put together what the page draws."""
    by_name = {one.names: one for one in shown}
    order = [f.names for f in ranking if f.names in by_name]
    first = by_name[order[0]]
    rival = next((by_name[n] for n in order[1:] if _differs(bench, first, by_name[n])), None)
    gained = np.zeros(len(bench.model))
    if rival is not None:
        gained = TRUST * np.cumsum(first.each - rival.each)
    recorded = {q: seen.value[q] for q in QUANTITIES if seen.has(q)}
    spread = {q: seen.sd[q] for q in recorded}
    off = _reference_off(bench, first, recorded)
    leading = [n for n in order[:LEADING] if n != ()] + [()]
    predictions = tuple(
        Prediction(names, {q: by_name[names].shown[:, QUANTITIES.index(q)] + off[q] for q in recorded})
        for names in ([order[0]] if order[0] == () else [])
        + [n for n in leading if n != () or order[0] != ()]
    )
    return Evidence(
        time_s=bench.ref.knots_s,
        recorded=recorded,
        spread=spread,
        predictions=predictions,
        elsewhere=_elsewhere(bench, seen, off),
        decided_s=_decided(bench.ref.knots_s, gained),
        odds=gained,
        against=None if rival is None else rival.names,
    )


def _differs(bench: Bench, a: Showing, b: Showing) -> bool:
    return worth_of(bench, a) - worth_of(bench, b) > 0.5 * SIGMAS**2


def _decided(time_s: Array, gained: Array) -> float | None:
    """From when on the odds stay above those of three standard deviations."""
    below = np.flatnonzero(gained < 0.5 * SIGMAS**2)
    if not len(below):
        return float(time_s[0])
    last = int(below[-1])
    return float(time_s[last + 1]) if last + 1 < len(time_s) else None


def _reference_off(bench: Bench, first: Showing, recorded: dict[str, Array]) -> dict[str, float]:
    """How far the reference flight is off, by quantity [SI]: what the readings are over the first finding."""
    off = {}
    for q, read in recorded.items():
        miss = read - first.shown[:, QUANTITIES.index(q)]
        off[q] = float(np.nanmedian(miss)) if np.isfinite(miss).any() else 0.0
    return off


def _elsewhere(bench: Bench, seen: Observed, off: dict[str, float]) -> dict[str, Array]:
    """What GPS says that the instruments ought to show."""
    sound = bench.sound_shown
    found = {}
    if seen.has("gps altitude"):
        if "altitude" in off:
            found["altitude"] = sound[:, c.SHOWN_ALTITUDE] + off["altitude"]
        if "vertical speed" in off:
            found["vertical speed"] = sound[:, c.SHOWN_RATE]
    if seen.has("along") and "ias" in off:
        found["ias"] = sound[:, c.SHOWN_AIRSPEED] + off["ias"]
    return found
