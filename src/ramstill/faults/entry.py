"""One entry of the catalogue: a fault's name, its places, what its figures mean, and what it edits."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING, Literal

from ramstill.air import quantity
from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults.state import State
    from ramstill.pneumatics.schedule import Schedule

Builder = Callable[["State", str, "Schedule", "tuple[str, float]"], "State"]
Comes = Literal["suddenly", "gradually", "either way"]


@dataclass(frozen=True, slots=True)
class Size:
    """What a fault's `size` means and the usual one.

    dimensions: of `air.quantity`, any of which it may be written in; zero and below are refused where
    `positive`.
    """

    meaning: str
    usual: str
    dimensions: tuple[str, ...]
    positive: bool = True

    def parse(self, text: str | None, source: str) -> tuple[str, float]:
        """Return (dimension, SI value) of `text`, or of the usual size; InputError if it is neither."""
        written = self.usual if text is None else text
        found = _read(written, self.dimensions, self.positive)
        if found is None:
            raise InputError(source, "size", repr(written), f"{self.meaning}, such as {self.usual!r}")
        return found


@lru_cache(maxsize=1024)
def _read(written: str, dimensions: tuple[str, ...], positive: bool) -> tuple[str, float] | None:
    """The first dimension that fits, and the SI value; None where none does."""
    for dimension in dimensions:
        try:
            value = quantity.parse(written, dimension, "fault", "size")
        except InputError:
            continue
        if value > 0.0 or not positive:
            return dimension, value
    return None


@dataclass(frozen=True, slots=True)
class Entry:
    """A fault of the catalogue.

    places(airplane): where it can be, the usual place first, nothing where the airplane lacks the part;
    whole: it is there or not, so that its severity is 1 and it comes at once; first: it is put in before the
    others, whose course depends on it; build(state, place, share
    over time, size) makes the edits.
    """

    name: str
    title: str
    sentence: str
    severity_meaning: str
    place_meaning: str
    places: Callable[[Airplane], list[str]]
    build: Builder
    comes: Comes = "either way"
    size: Size | None = None
    whole: bool = False
    first: bool = False

    def default_place(self, airplane: Airplane) -> str | None:
        """Return the usual place on an airplane, or None where it cannot be there."""
        return next(iter(self.places(airplane)), None)
