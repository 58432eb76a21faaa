"""One fault: what, where, how bad, and when."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import get_close_matches
from math import isfinite
from typing import TYPE_CHECKING

from ramstill.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from ramstill.pneumatics.schedule import Schedule


@dataclass(frozen=True, slots=True)
class Fault:
    """One fault of the catalogue at one place, over time.

    name: of the catalogue; where: a place the catalogue offers on the airplane, or None for the usual one;
    severity: 0 (none) to 1, its meaning is in the catalogue; onset_s [s]: when it begins; end_s [s]: when it
    is gone again, at once, or None for never; gradual_s [s]: how long it takes to grow, 0 for a sudden one;
    size: how large it is at severity 1 as a mechanic says it ("500 ft/min", "2 mm"), or None for the usual.
    Raises InputError for numbers out of range; name, place and size are checked against the airplane when
    the fault is applied.
    """

    name: str
    where: str | None = None
    severity: float = 1.0
    onset_s: float = 0.0
    end_s: float | None = None
    gradual_s: float = 0.0
    size: str | None = None

    def __post_init__(self) -> None:
        source = f"fault {self.name}"
        if not 0.0 <= self.severity <= 1.0:
            raise InputError(source, "severity", self.severity, "a number from 0 to 1")
        if not isfinite(self.onset_s):
            raise InputError(source, "onset", self.onset_s, "a time in seconds")
        if not (isfinite(self.gradual_s) and self.gradual_s >= 0.0):
            raise InputError(source, "gradual", self.gradual_s, "a time of 0 seconds or more")
        if self.end_s is not None and not (isfinite(self.end_s) and self.end_s > self.onset_s):
            raise InputError(source, "end", self.end_s, f"a time after its onset at {self.onset_s:g} s")

    def schedule(self) -> Schedule:
        """Return the severity over time: 0 before onset, a ramp where gradual, 0 again from the end on."""
        from ramstill.pneumatics.schedule import Schedule

        grown = self.onset_s + self.gradual_s
        if self.end_s is None:
            return Schedule((self.onset_s, grown), (0.0, self.severity))
        if self.end_s <= grown:  # gone before it was fully grown
            reached = self.severity * (self.end_s - self.onset_s) / self.gradual_s
            return Schedule((self.onset_s, self.end_s, self.end_s), (0.0, reached, 0.0))
        return Schedule(
            (self.onset_s, grown, self.end_s, self.end_s), (0.0, self.severity, self.severity, 0.0)
        )


def choose(read: str, allowed: Iterable[str], source: str, field: str, why: str = "") -> str:
    """Return `read` if it is one of `allowed`, else raise InputError with the list, the likeliest first."""
    names = list(allowed)
    if read in names:
        return read
    near = get_close_matches(read, names, n=1, cutoff=0.6)
    listed = ", ".join(names) or "nothing"
    raise InputError(
        source, field, read, f"{f'perhaps {near[0]}; ' if near else ''}{why + ' ' if why else ''}{listed}"
    )
