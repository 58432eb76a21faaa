"""What is taken to be likely before any reading is looked at. Assumed: no counts are known to us."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault

NO_FAULT = 0.25  # someone suspects something, and is wrong once in four times
OUTSIDE_THE_CATALOGUE = 0.10
# Two faults that have nothing to do with each other: this times what each is likely.
PAIR = 0.05
SINGLE = 1.0 - NO_FAULT - OUTSIDE_THE_CATALOGUE  # one fault of the catalogue
# Half at its full size, half evenly below; a passage is slow only when it is nearly shut.
SEVERITIES = ((1.0, 0.5), (0.95, 0.06), (0.8, 0.14), (0.5, 0.15), (0.2, 0.15))
# Of a fault that has a size: shares of the usual effect; a larger one is written with twice the size.
SIZED = ((1.0, 0.4), (0.5, 0.2), (0.2, 0.2), (0.08, 0.05))
LARGER = 0.15
ICE = ("pitot-icing", "static-icing")
# These are left on before a flight and come at no time in it.
LEFT_ON = ("cover-left-on", "tape-over-static-port", "test-cap-left-on")
BEFORE_THE_START = 0.4  # it was there when the readings begin; else it sets in at any time alike


@dataclass(frozen=True, slots=True)
class Suspect:
    """A fault of the catalogue at one place, of one size: when it sets in is left open.

    weight: its share of what is likely beforehand; all suspects of an airplane sum to `SINGLE`. usual:
    whether it is the first severity and size to look at for its name and place.
    """

    name: str
    where: str | None
    severity: float
    size: str | None
    weight: float
    usual: bool

    @property
    def before(self) -> float:
        """How likely it is that it was there before the start."""
        return 1.0 if self.name in LEFT_ON else BEFORE_THE_START

    def fault(self, onset_s: float, end_s: float | None = None) -> Fault:
        """The fault itself, from `onset_s` [s] on."""
        from ramstill.faults import Fault

        return Fault(self.name, self.where, self.severity, onset_s, end_s, 0.0, self.size)


def suspects(airplane: Airplane, larger: bool = False) -> tuple[Suspect, ...]:
    """Every fault that the airplane can have, at every place, in every size that is tried.

    Each name is as likely as any other, each of its places alike. larger: faults of twice the usual size too.
    """
    from ramstill.faults import catalogue

    entries = [(entry, entry.places(airplane)) for entry in catalogue().values()]
    entries = [(entry, places) for entry, places in entries if places]
    found = []
    for entry, places in entries:
        usual = entry.size.usual if entry.size else None
        signed = usual is not None and entry.size is not None and not entry.size.positive
        severities: tuple[tuple[float, float], ...] = ((1.0, 1.0),) if entry.whole else SEVERITIES
        # a cloud with more water than the usual is no cloud of the cold (14 CFR 25 appendix C)
        if usual is not None and not entry.whole and not signed and larger and entry.name not in ICE:
            severities = SIZED
        each = SINGLE / len(entries) / len(places) / (2 if signed else 1)
        for where in places:
            for size in (usual, opposite(str(usual))) if signed else (None,):
                found += [
                    Suspect(entry.name, where, severity, size, each * share, severity == 1.0)
                    for severity, share in severities
                ]
            if severities is SIZED:
                found.append(Suspect(entry.name, where, 1.0, twice(str(usual)), each * LARGER, False))
    return tuple(found)


def between(a: Suspect, b: Suspect) -> Suspect | None:
    """A suspect of a severity between two that differ in nothing else; None where they are too near.

    Its weight is half of that of `a`.
    """
    if (a.name, a.where, a.size) != (b.name, b.where, b.size):
        return None
    severity = float((a.severity * b.severity) ** 0.5)
    if abs(a.severity - b.severity) < 0.04 * max(a.severity, b.severity):
        return None
    return Suspect(a.name, a.where, round(severity, 4), a.size, 0.5 * a.weight, False)


def opposite(size: str) -> str:
    """A size of the other sign: "-0.10" of "0.10" and back."""
    return size[1:] if size.startswith("-") else f"-{size}"


def twice(size: str) -> str:
    """Twice a size: "4 mm" of "2 mm"."""
    number, _, unit = size.partition(" ")
    return f"{2.0 * float(number):g} {unit}".strip()
