"""The cross-check: pointers beside pitch, power, GPS ground speed and the altitude read back."""

from __future__ import annotations

from collections import deque
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.flight.pilots import cues
from ramstill.flight.pilots.flown import CUES

if TYPE_CHECKING:
    from ramstill.flight.pilots.seeing import Look

Array = NDArray[np.float64]

# After recognising [s]: fly first, then heat, then another static source. Common practice, no source.
HEAT_AFTER_S, ALTERNATE_AFTER_S = 2.0, 6.0
OTHER = list(CUES)[cues.OTHER_CUE]
BY_NUMBERS_S = 120.0  # what is flown without the pointers is followed for so long [s]
AGREE, AGREE_S = 0.7, 20.0  # cues below this share of their thresholds for so long: the pointers are trusted


class Checking:
    """Compares look by look, and says when the pointers are no longer, or again, believed."""

    def __init__(self, flyer: Array, recognition_s: float) -> None:
        self.flyer, self.recognition_s = flyer, recognition_s
        self._looks: deque[Look] = deque()
        self._rates: deque[tuple[float, float]] = deque()
        self._since: list[float] = [np.inf] * len(CUES)
        self._agree_since = np.inf
        self._set_aside: set[int] = set()
        self._off = np.zeros(len(CUES))

    def compare(self, look: Look, warned_at: float, at_s: float) -> int:
        """Take a look that has become known; the cue that makes the pilot recognise, or -1."""
        looks = self._looks
        looks.append(look)
        while len(looks) > 2 and look.at_s - looks[1].at_s >= cues.WINDOW_S - 1e-9:
            looks.popleft()
        if len(looks) < 2:
            return -1
        seen = np.mean([one.seen for one in looks], axis=0)
        span = look.at_s - looks[0].at_s
        seen[cues.CAS_RATE] = (look.airspeed - looks[0].airspeed) / span
        seen[cues.ALTITUDE_RATE] = (look.altitude - looks[0].altitude) / span
        seen[cues.RATE_BEFORE] = self._rate_before(look.at_s, float(seen[cues.ALTITUDE_RATE]))
        seen[cues.WARNED] = look.seen[cues.WARNED]
        if span < 0.9 * cues.WINDOW_S:
            return -1
        cues.disagree(self.flyer, seen, warned_at, self._off)
        self._off[list(self._set_aside)] = 0.0
        off = self._off.tolist()
        for cue, by in enumerate(off):
            self._since[cue] = min(self._since[cue], at_s) if by > 1.0 else np.inf
        self._agree_since = min(self._agree_since, at_s) if max(off) < AGREE else np.inf
        longest = min(range(len(off)), key=self._since.__getitem__)
        return longest if at_s - self._since[longest] >= self.recognition_s else -1

    def _rate_before(self, at_s: float, rate: float) -> float:
        """The altimeter's movement of a window before."""
        rates = self._rates
        rates.append((at_s, rate))
        while len(rates) > 1 and at_s - rates[1][0] >= cues.WINDOW_S - 1e-9:
            rates.popleft()
        return rates[0][1]

    def agrees(self, at_s: float) -> bool:
        """Whether everything has agreed for long enough to be trusted again."""
        return at_s - self._agree_since >= AGREE_S

    def begin_again(self, cue: str) -> None:
        """Forget how long cues have been there; a pointer that alone disagreed is compared no more."""
        if cue == OTHER:
            self._set_aside.add(cues.OTHER_CUE)
        self._since = [np.inf] * len(CUES)
        self._agree_since = np.inf
