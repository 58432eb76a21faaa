"""For each kind of instrument: the unit its figures are said in, and how much of it counts."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ramstill.air import units


@dataclass(frozen=True, slots=True)
class Kind:
    """How one kind of pointer is written and judged.

    suffix: of its column; unit: in words; size: one unit in SI; decimals: kept in files.
    noticeable: how far from what is right a pointer misleads; still: movement too small to tell from none,
    both in units. Common practice, no source: what a pilot who looks would notice.
    """

    suffix: str
    unit: str
    size: float
    decimals: int
    noticeable: float
    still: float

    @property
    def noticeable_si(self) -> float:
        """`noticeable` in m/s or m."""
        return self.noticeable * self.size

    @property
    def still_si(self) -> float:
        """`still` in m/s or m."""
        return self.still * self.size


_BY_SHOWN = {
    "airspeed": Kind("kt", "kt", units.KT, 3, noticeable=5.0, still=1.0),
    "altitude": Kind("ft", "ft", units.FT, 2, noticeable=100.0, still=20.0),
    "vertical-speed": Kind("fpm", "ft/min", units.FPM, 2, noticeable=200.0, still=50.0),
}
# an encoder reports in steps of 100 ft: one step is no movement
_ENCODER = Kind("ft", "ft", units.FT, 2, noticeable=200.0, still=101.0)


def kind_of(pointer: Any) -> Kind:
    """The kind of a `Pointer`, or of an instrument with one reading."""
    if pointer.kind == "encoder":
        return _ENCODER
    shows = getattr(pointer, "shows", None)
    return _BY_SHOWN[shows if isinstance(shows, str) else next(iter(pointer.readings.values()))]
