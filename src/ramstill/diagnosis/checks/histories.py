"""How the airplane came to where the check is made since the fault set in: that is what trapped air tells.

A recording says it: what the sound airplane would have shown at the onset and at the end. A reported defect
says by its phases whether it was a climb or a descent; where neither does, or both are spoken of, they are
taken to be alike: someone has noticed something, after all.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from ramstill.air.units import FT, KT
from ramstill.diagnosis import phases, saying
from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.diagnosis.answer import Diagnosis, Evidence

CLIMBED_M = 500.0 * FT  # since the onset, either way, where nothing says it; assumed
QUICKENED_M_S = 10.0 * KT  # the same for airspeed: faster after a climb, slower after a descent; assumed
SINCE_PARKED_M = 25.0  # what 3 hPa of weather are worth, either way, while it was parked; assumed
MOST_M, MOST_M_S = 1500.0, 25.0  # more tells no more
LEAST_M, LEAST_M_S = 15.0, 2.0  # less is none
_UP, _DOWN = {phases.CLIMB, phases.LEVELLED}, {phases.DESCENT}


@dataclass(frozen=True, slots=True)
class History:
    """Pressure altitude gained [m] and airspeed gained [m/s] since the onset; its weight among the others."""

    climbed_m: float
    quickened_m_s: float
    weight: float


def histories(diagnosis: Diagnosis) -> tuple[History, ...]:
    """The histories to work out, their weights summing to 1."""
    if not diagnosis.situation.airborne:
        return (History(SINCE_PARKED_M, 0.0, 0.5), History(-SINCE_PARKED_M, 0.0, 0.5))
    told = _told(diagnosis)
    if told is not None:
        return (told,)
    spoken_of = spoken(diagnosis)
    up, down = bool(spoken_of & _UP), bool(spoken_of & _DOWN)
    ways = [sign for sign, of_phases in ((1.0, up), (-1.0, down)) if of_phases or up == down]
    return tuple(History(s * CLIMBED_M, s * QUICKENED_M_S, 1.0 / len(ways)) for s in ways)


def spoken(diagnosis: Diagnosis) -> frozenset[str]:
    """The phases that a reported defect speaks of; none for a recording."""
    if diagnosis.evidence is not None:
        return frozenset()
    try:
        return frozenset(one.phase for one in saying.parse(diagnosis.airplane, [diagnosis.asked]))
    except InputError:  # the name of a recording
        return frozenset()


def in_cloud(diagnosis: Diagnosis) -> bool:
    """Whether the airplane is in freezing cloud, so that a heater that gives no heat matters."""
    return phases.CLOUD in spoken(diagnosis)


def _told(diagnosis: Diagnosis) -> History | None:
    """What a recording says of it: since the onset of the likeliest fault."""
    evidence = diagnosis.evidence
    onset = next((f.onset_s for f in diagnosis.ranking if f.faults and f.onset_s is not None), None)
    if evidence is None or onset is None:
        return None
    climbed, quickened = _since(evidence, onset, "altitude"), _since(evidence, onset, "ias")
    if climbed is None:
        return None
    quickened = quickened or 0.0
    return History(
        0.0 if abs(climbed) < LEAST_M else float(np.clip(climbed, -MOST_M, MOST_M)),
        0.0 if abs(quickened) < LEAST_M_S else float(np.clip(quickened, -MOST_M_S, MOST_M_S)),
        1.0,
    )


def _since(evidence: Evidence, onset_s: float, quantity: str) -> float | None:
    """What the sound airplane would have gained of a quantity from the onset to the end of the readings."""
    sound = next((p.shown.get(quantity) for p in evidence.predictions if not p.names), None)
    if sound is None:
        return None
    there = np.isfinite(sound)
    if not there.any():
        return None
    time, values = evidence.time_s[there], sound[there]
    return float(values[-1] - np.interp(onset_s, time, values))
