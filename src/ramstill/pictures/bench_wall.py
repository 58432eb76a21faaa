"""The pressure wall of the live bench: the same glasses, with scales for what nobody can know beforehand.

Every glass has its lid, to be shown while its air is trapped, and the wall has a few scales one on another,
of which one is shown at a time: a still column that is trapped walks off the first within a thousand feet.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from ramstill import air
from ramstill.air import units
from ramstill.pictures import svg, wall
from ramstill.pictures.columns import Reading, Wall
from ramstill.pictures.of_airplane import letters, systems
from ramstill.pictures.of_walls import columns_of, feet_of, pairs_of, titled
from ramstill.pictures.scales import around
from ramstill.pictures.wallgaps import gap, magnification
from ramstill.pictures.wallscales import BENCH, BENCH_COMPACT, Sizes, axis, worth

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

TALLEST_LENS = 46.0  # of `wallgaps` [px]
_LOWEST_IN = -6.0  # where the first scale begins [in of water]
_WIDER = (2.5, 12.0)  # the further scales reach so many times as far, both ways
_MOST_IN = 360.0  # all the air between sea level and 40,000 ft is less
_THINNEST = 15e3  # of still air that marks of height are chosen for [Pa]
_MIDDLE = 0.4  # marks of height are chosen for this share of the way to the top of the altimeter


def bench_walls(airplane: Airplane) -> tuple[tuple[Wall, ...], ...]:
    """The walls of an airplane, one for each system, each in all its scales, the finest first."""
    found, tags = systems(airplane), letters(airplane)
    cabin = getattr(airplane.inside, "pressurisation", None) is not None
    inch = float(air.water_pressure(units.INCH))
    fastest = float(air.impact_pressure(airplane.speeds.never_exceed)) / inch
    scales = [around(_LOWEST_IN, fastest, 8)]
    scales += [around(-far, far, 8) for far in (min(times * fastest, _MOST_IN) for times in _WIDER)]
    tops = [float(i.top_mark) for i in airplane.instruments if i.kind == "altimeter"]
    middle = float(air.static_pressure(_MIDDLE * min(tops, default=6000.0)))
    walls = []
    for system in found:
        columns = tuple(columns_of(airplane, system, {}, tags, cabin))
        pairs = pairs_of(airplane, system)
        base = Wall(columns, pairs, 0.0, 0.0, {}, (), titled(system, len(found)))
        walls.append(
            tuple(
                replace(
                    base,
                    low_pa=low * inch,
                    high_pa=high * inch,
                    feet=feet_of(max(middle, _THINNEST - low * inch), low * inch, high * inch),
                    largest_pa={p.owner: _full_scale(airplane, p.owner) for p in pairs if p.lens},
                )
                for low, high in scales
            )
        )
    return tuple(walls)


def _full_scale(airplane: Airplane, owner: str) -> float:
    instrument = next(i for i in airplane.instruments if i.name == owner)
    leak = getattr(instrument, "leak", None)
    return 0.0 if leak is None else float(leak.full_scale_difference)


def draw(scales: Sequence[Wall], readings: Sequence[str], *, compact: bool = False, key: str = "wall") -> str:
    """One system's wall as SVG, all columns at the zero line; `readings`: the pointers under it."""
    size, first = BENCH_COMPACT if compact else BENCH, scales[0]
    shown = [c for c in first.columns if not (compact and (c.role == "line" or wall.spare(c, first)))]
    x = wall.places(shown, first.pairs, size)
    floor = size.height - size.foot
    there = [_scale(one, i, size, compact) for i, one in enumerate(scales)]
    zero, one_pa = _zero(first, size)
    still = dict.fromkeys((c.name for c in first.columns), 0.0)
    drawn = [wall.patterns(key), wall.headings(shown, x, size), *there]
    drawn += [wall.tube(c, x[c.name], zero, floor, size, key, 0.0, None, live=True) for c in shown]
    for pair in first.pairs:
        if pair.left in x and pair.right in x:
            drawn.append(gap(pair, first, still, x, lambda _: zero, one_pa, size, compact))
    drawn.append(wall.labels(shown, x, {name: Reading("–", "–") for name in readings}, size, floor))
    times = {
        p.owner: " ".join(f"{_times(one, p.owner, size):g}" for one in scales) for p in first.pairs if p.lens
    }
    return svg.picture(
        size.width,
        size.height,
        wall.named(first),
        "Each glass stands as high as its air is pressed above the still air outside.",
        *drawn,
        key=key,
        class_="wall compact" if compact else "wall",
        data_name=wall.named(first),
        data_zero=zero,
        data_scale=f"{one_pa:.6g}",
        data_inch=f"{float(air.water_pressure(units.INCH)):.6g}",
        data_top=size.top,
        data_floor=floor,
        data_times=";".join(f"{owner} {words}" for owner, words in times.items()),
    )


def _zero(one: Wall, size: Sizes) -> tuple[float, float]:
    """Where the zero line lies [px], and the scale [px/Pa]."""
    scale = (size.height - size.foot - size.top) / (one.high_pa - one.low_pa)
    return size.top + one.high_pa * scale, scale


def _times(one: Wall, owner: str, size: Sizes) -> float:
    return magnification(one.largest_pa.get(owner, 0.0) * _zero(one, size)[1], TALLEST_LENS)


def _scale(one: Wall, place: int, size: Sizes, compact: bool) -> str:
    """The lines and marks of one scale, of which all but the first are not shown."""
    zero, scale = _zero(one, size)

    def y(pa: float) -> float:
        return zero - pa * scale

    drawn = [axis(one, size, y)]
    if not compact:
        drawn.append(worth(one, size, y, dict.fromkeys(one.feet, one.high_pa)))  # the page puts them right
    drawn.append(svg.line(size.left - 4, zero, size.width - size.right + 4, zero, "datum"))
    return svg.group(
        *drawn,
        class_="scale",
        data_scale=place,
        data_zero=zero,
        data_per_pa=f"{scale:.6g}",
        data_low=f"{one.low_pa:.6g}",
        data_high=f"{one.high_pa:.6g}",
        display="none" if place else None,
    )
