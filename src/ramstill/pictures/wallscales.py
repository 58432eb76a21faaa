"""The measures of a pressure wall, and its scales: inches of water, and what they are worth."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import inf

from ramstill import air
from ramstill.air.units import INCH, KT
from ramstill.pictures import svg
from ramstill.pictures.columns import Wall
from ramstill.pictures.scales import nice_step, spoken, ticks

Level = Callable[[float], float]


@dataclass(frozen=True, slots=True)
class Sizes:
    width: float
    height: float
    left: float
    right: float
    top: float
    foot: float
    outside: float
    alone: float
    instrument: float
    line: float
    between: float
    tube: float
    roomy: bool = True


WIDE = Sizes(940, 500, 58, 110, 92, 118, 66, 78, 70, 30, 52, 30)
COMPACT = Sizes(360, 460, 36, 2, 92, 120, 44, 66, 40, 0, 20, 24, roomy=False)
# Of the live bench, which has no row for what is trapped since when.
BENCH = Sizes(780, 440, 54, 106, 66, 116, 56, 72, 62, 25, 48, 28)
BENCH_COMPACT = Sizes(360, 420, 36, 2, 66, 120, 44, 66, 40, 0, 20, 24, roomy=False)


def axis(wall: Wall, size: Sizes, y: Level) -> str:
    """Inches of water on the left, with a line across for each."""
    inch = float(air.water_pressure(INCH))
    right = size.width - size.right
    drawn = [svg.text(4, size.top - 12, "in of water" if size.roomy else "in H₂O", "small")]
    for value in ticks(wall.low_pa / inch, wall.high_pa / inch, 8):
        level = y(value * inch)
        drawn.append(svg.line(size.left, level, right, level, "grid"))
        drawn.append(
            svg.text(size.left - 8, level + 4, spoken(value, 0 if value == int(value) else 1), "small", "end")
        )
    return svg.group(*drawn)


def worth(wall: Wall, size: Sizes, y: Level, feet: Mapping[int, float]) -> str:
    """On the right: the airspeed that a pressure is worth, and how many feet lower such still air is.

    feet: what each round height is worth at the time [Pa].
    """
    right, top = size.width - size.right, size.top - 12
    drawn = [svg.text(right + 10, top, "kt", "small ram-ink")]
    last = inf
    for knots in _knot_ticks(wall.high_pa):
        level = y(float(air.impact_pressure(knots * KT)))
        if last - level >= 15:
            drawn.append(svg.line(right, level, right + 6, level, "tick"))
            drawn.append(svg.text(right + 10, level + 4, spoken(knots), "small ram-ink"))
            last = level
    if feet:
        drawn.append(svg.text(right + 50, top, "ft lower", "small still-ink"))
    for height, pa in feet.items():
        inside = wall.low_pa <= pa <= wall.high_pa
        drawn.append(
            svg.group(
                svg.line(right + 40, 0, right + 46, 0, "tick"),
                svg.text(right + 50, 4, spoken(height), "small still-ink"),
                data_feet=height,
                transform=f"translate(0 {svg.number(y(pa))})",
                visibility=None if inside else "hidden",
            )
        )
    return svg.group(*drawn)


def _knot_ticks(high_pa: float) -> list[float]:
    top = float(air.calibrated_airspeed(max(high_pa, 1.0))) / KT
    step = nice_step(top, 6)
    return [step * i for i in range(1, int(top / step) + 1)]
