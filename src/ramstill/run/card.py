"""Everything a card prints of one airplane, worked out: no words and no layout here."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ramstill.air.units import FT
from ramstill.flight.course import USUAL_POWER
from ramstill.run.card_lines import Side, sides
from ramstill.run.card_phases import PhaseRow, phases
from ramstill.run.card_steady import readings
from ramstill.run.card_tables import Alternate, Blockage, alternate, blockages

if TYPE_CHECKING:
    from ramstill.airplane import Airplane, Figure

LOW_M = 2000.0 * FT  # the lower of the two altitudes that a card is made for [m]
HIGH_M = 8000.0 * FT  # the higher, of an airplane whose file says nothing of how high it cruises [m]
_SPEEDS = {  # in the order of a card: the slowest first
    "stall_landing": "stall, flaps down",
    "stall_clean": "stall, flaps up",
    "approach": "approach",
    "climb": "climb",
    "flap_limit": "highest with flaps down",
    "cruise": "cruise",
    "normal_operating_limit": "normal operating limit",
    "never_exceed": "never exceed",
}


@dataclass(frozen=True, slots=True)
class SpeedMark:
    """One speed that matters: its name in words, the speed [m/s, calibrated], and whether it is assumed."""

    key: str
    title: str
    speed_m_s: float
    assumed: bool


@dataclass(frozen=True, slots=True)
class CardFigures:
    """A card's figures. SI; altitudes are pressure altitudes of the standard day.

    example: whether the airplane is invented or has no measured figure with its date and source, so that the
    card is nobody's; altitudes_m: the two it is made for; no_phases: why there is no pitch and power, or "";
    no_alternate: whether there is no alternate source to open; assumed: for "phases", "alternate",
    "blockages": whether any figure that they rest on is assumed; measured, figures: how many figures of the
    file are measured, and how many there are.
    """

    airplane: Airplane
    example: bool
    altitudes_m: tuple[float, float]
    phases: tuple[PhaseRow, ...]
    no_phases: str
    alternate: Alternate | None
    blockages: tuple[Blockage, ...]
    sides: tuple[Side, ...]
    speeds: tuple[SpeedMark, ...]
    assumed: dict[str, bool]
    measured: int
    figures: int

    @property
    def powered(self) -> bool:
        """Whether there is an engine to set."""
        return has_engine(self.airplane)


def card_figures(plane: Airplane) -> CardFigures:
    """Work out the figures of a card. Takes well under a second once the engine is compiled."""
    altitudes = (LOW_M, highest(plane))
    rows, why = phases(plane, altitudes)
    cruise = next((row.at[0] for row in rows if row.name == "cruise"), None)
    level = USUAL_POWER["level"] if cruise is None else cruise.power
    power = level if has_engine(plane) else 0.0
    speeds = plane.speeds
    shown = [
        ("approach", float(speeds.approach), 1.0),
        ("climb", float(speeds.climb), 0.0),
        ("cruise", float(speeds.cruise), 0.0),
    ]
    flown = ("wing", "performance", "speeds.climb", "speeds.cruise", "speeds.approach")
    found = list(plane.figures())
    measured = sum(figure.basis == "measured" for _, figure in found)
    with_source = any(f.basis == "measured" and f.date and f.source for _, f in found)
    return CardFigures(
        airplane=plane,
        example=plane.invented or not with_source,
        altitudes_m=altitudes,
        phases=rows,
        no_phases=why,
        alternate=alternate(plane, shown, altitudes, power),
        blockages=blockages(plane, LOW_M, float(speeds.climb), power) if readings(plane, "airspeed") else (),
        sides=sides(plane),
        speeds=_marks(plane),
        assumed={
            "phases": _assumed(found, *flown),
            "alternate": _assumed(found, "inside", "opening", "wing", "valve", "line"),
            "blockages": _assumed(found, "opening", "wing", "instrument", "line"),
        },
        measured=measured,
        figures=len(found),
    )


def has_engine(plane: Airplane) -> bool:
    """Whether an airplane has an engine; one whose file does not say is taken to."""
    return plane.performance is None or plane.performance.engine is not None


def highest(plane: Airplane) -> float:
    """The higher altitude of the card [m]: the highest that the file cruises at, to the nearest 1,000 ft."""
    performance = plane.performance
    stated = [float(b.altitude) for b in performance.book if b.kind == "level"] if performance else []
    cabin = plane.inside.pressurisation
    if stated:
        wanted = max(stated)
    elif cabin is not None:
        wanted = float(cabin.airplane_altitude[-2])
    else:
        wanted = HIGH_M
    whole = round(wanted / (1000.0 * FT)) * 1000.0 * FT
    return max(whole, 2.0 * LOW_M)


def _marks(plane: Airplane) -> tuple[SpeedMark, ...]:
    marks = []
    for key, title in _SPEEDS.items():
        figure: Figure = getattr(plane.speeds, key)
        marks.append(SpeedMark(key, title, float(figure), figure.basis == "assumed"))
    return tuple(sorted(marks, key=lambda mark: mark.speed_m_s))


def _assumed(found: list[tuple[str, Figure]], *parts: str) -> bool:
    """Whether any figure whose place in the file begins with one of these is assumed."""
    return any(figure.basis == "assumed" for where, figure in found if where.startswith(parts))
