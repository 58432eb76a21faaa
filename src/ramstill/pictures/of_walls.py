"""From a run to its pressure walls: one for each system of the airplane, all to one scale."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import inf
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air import units
from ramstill.pictures import wall
from ramstill.pictures.columns import AirKind, Column, Pair, Trap, Wall
from ramstill.pictures.of_airplane import System, fittings_in_order, letters, plain, systems
from ramstill.pictures.of_run import readings_at
from ramstill.pictures.scales import around, nice_step

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.run import Run

FloatArray = NDArray[np.float64]
RAM, STILL, CABIN = "outside.ram", "outside.still", "outside.cabin"  # columns that stand for what is outside
_CABIN_MAY = 1.25  # how much longer the scale may get for the sake of a cabin column


def traps_of(run: Run) -> dict[str, tuple[Trap, ...]]:
    """When each tapping has no way to any air outside, read from the network."""
    from ramstill.run.sealed import sealed_over

    start, end = float(run.time_s[0]), float(run.time_s[-1])
    found: dict[str, tuple[Trap, ...]] = {}
    for sealed in sealed_over(run.applied.network, run.applied.surroundings):
        if sealed.until_s <= start:
            continue
        trap = Trap(max(sealed.since_s, start), inf if sealed.until_s >= end else sealed.until_s)
        for tapping in sealed.tappings:
            found[tapping] = (*found.get(tapping, ()), trap)
    return found


def walls_of(run: Run) -> tuple[Wall, ...]:
    """The walls of a run, one for each system, with one scale that holds the whole run.

    A pressurised cabin may stand above the scale: it would press everything else together.
    """
    found = systems(run.airplane)
    traps, tags = traps_of(run), letters(run.airplane)
    cabin = "cabin" in run.outside_pa
    banks = [columns_of(run.airplane, system, traps, tags, cabin) for system in found]
    heights = heights_over_time(run, sorted({c.name for bank in banks for c in bank}))
    inch = float(air.water_pressure(units.INCH))

    def reach(columns: Sequence[Column]) -> tuple[float, float]:
        low = min(float(heights[c.name].min()) for c in columns) / inch
        high = max(float(heights[c.name].max()) for c in columns) / inch
        return min(low, -1.0), max(high, 6.0)

    columns = [c for bank in banks for c in bank]
    low, high = reach([c for c in columns if c.air != "cabin"])
    all_low, all_high = reach(columns)
    if all_high - all_low <= _CABIN_MAY * (high - low):
        low, high = all_low, all_high
    low, high = around(low, high, 8)
    feet = feet_of(float(run.truth.static_pressure_pa.max()), low * inch, high * inch)
    walls = []
    for system, bank in zip(found, banks, strict=True):
        pairs = pairs_of(run.airplane, system)
        title = titled(system, len(found))
        largest = _largest(run, pairs, heights)
        walls.append(Wall(tuple(bank), pairs, low * inch, high * inch, largest, feet, title))
    return tuple(walls)


def titled(system: System, count: int) -> str:
    """What the wall of a system is called where there are several."""
    return f"System of the {plain(system.inlet)}" if count > 1 else ""


def columns_of(
    airplane: Airplane,
    system: System,
    traps: Mapping[str, tuple[Trap, ...]],
    tags: Mapping[str, str],
    cabin: bool,
) -> list[Column]:
    """The columns of a system in the order of the way in."""
    fittings = {
        kind: [Column(n, kind, "line", plain(n), traps=traps.get(n, ()), tag=tags[n]) for n in names]
        for kind, names in fittings_in_order(airplane, system).items()
    }
    columns = [Column(f"{RAM}.{system.inlet}", "ram", "outside", "inlet"), *fittings["ram"]]
    for instrument in _instruments(airplane, system):
        for port, part, kind in _ports(instrument):
            tapping, label = f"{instrument.name}.{port}", plain(instrument.name)
            columns.append(
                Column(tapping, kind, "instrument", label, part, instrument.name, traps.get(tapping, ()))
            )
    columns += [*fittings["still"], Column(STILL, "still", "outside", "outside"), *fittings["cabin"]]
    if cabin:
        columns.append(Column(CABIN, "cabin", "outside", "cabin"))
    return columns


def _instruments(airplane: Airplane, system: System) -> list[Any]:
    """The instruments of a system, those that feel ram air first."""
    there = [i for i in airplane.instruments if i.ports[0] in system.parts]
    return sorted(there, key=lambda i: f"{i.name}.pitot" not in i.ports)


def pairs_of(airplane: Airplane, system: System) -> tuple[Pair, ...]:
    """The pairs of columns whose difference drives a pointer."""
    pairs = []
    for instrument in _instruments(airplane, system):
        ends = [f"{instrument.name}.{port}" for port, _, _ in _ports(instrument)]
        if len(ends) == 2:
            pairs.append(Pair(instrument.name, ends[0], ends[1], lens=hasattr(instrument, "leak")))
    return tuple(pairs)


def _largest(run: Run, pairs: Sequence[Pair], heights: Mapping[str, FloatArray]) -> dict[str, float]:
    """The largest difference of each pair [Pa]; of a lens at most that of its dial."""
    largest = {p.owner: float(np.max(np.abs(heights[p.left] - heights[p.right]))) for p in pairs}
    for pair in pairs:
        leak = getattr(run.instrument(pair.owner), "leak", None)
        if leak is not None:
            full = float(leak.full_scale_difference)
            largest[pair.owner] = max(min(largest[pair.owner], full), 0.25 * full)
    return largest


def feet_of(static_pa: float, low_pa: float, high_pa: float) -> tuple[int, ...]:
    """Round heights [ft] below (above: negative) that the scale of heights marks."""
    here = float(air.pressure_altitude(static_pa))
    down, up = ((here - float(air.pressure_altitude(static_pa + pa))) / units.FT for pa in (high_pa, low_pa))
    step = max(round(nice_step(down - up, 7)), 1)
    return tuple(step * i for i in range(int(up / step), int(down / step) + 1) if i)


def worth_of_feet(static_pa: FloatArray, feet: Sequence[int]) -> dict[int, FloatArray]:
    """How much higher the pressure is so many feet lower down on a standard day [Pa], each as `static_pa`."""
    here = np.asarray(air.pressure_altitude(static_pa), dtype=np.float64)
    return {f: np.asarray(air.static_pressure(here - f * units.FT)) - static_pa for f in feet}


def heights_over_time(run: Run, names: list[str]) -> dict[str, FloatArray]:
    """Pressure of each column less that of the true outside still air [Pa], each (t,)."""
    still = run.truth.static_pressure_pa
    outside = {
        **{f"{RAM}.{name}": pressure for name, pressure in run.outside_pa.items()},
        f"{RAM}.": still + run.truth.impact_pressure_pa,  # where there is no inlet
        STILL: still,
        CABIN: run.outside_pa.get("cabin", still),
    }
    return {n: (outside[n] if n in outside else run.pressure_pa[n]) - still for n in names}


def heights_at(run: Run, at_s: float, names: list[str]) -> dict[str, float]:
    """The same at the sample nearest to `at_s` [s]."""
    index = run.index(at_s)
    return {name: float(values[index]) for name, values in heights_over_time(run, names).items()}


def pressure_wall(run: Run, at_s: float, *, system: int = 0, compact: bool = False, key: str = "wall") -> str:
    """The pressure wall of one of a run's systems at a time [s], as SVG."""
    bank = walls_of(run)[system]
    return drawn(run, bank, at_s, compact=compact, key=key)


def drawn(run: Run, bank: Wall, at_s: float, *, compact: bool = False, key: str = "wall") -> str:
    """One of `walls_of` a run at a time [s], as SVG."""
    heights = heights_at(run, at_s, [c.name for c in bank.columns])
    static = run.truth.static_pressure_pa[[run.index(at_s)]]
    feet = {f: float(pa[0]) for f, pa in worth_of_feet(static, bank.feet).items()}
    return wall.draw(bank, heights, readings_at(run, at_s), at_s, feet=feet, compact=compact, key=key)


def _ports(instrument: Any) -> tuple[tuple[str, str, AirKind], ...]:
    """(end of the tapping's name, what it is called, which air): the capsule first."""
    table: Mapping[str, tuple[tuple[str, str, AirKind], ...]] = {
        "airspeed-indicator": (("pitot", "capsule", "ram"), ("static", "case", "still")),
        "vertical-speed-indicator": (("static", "capsule", "still"), ("case", "case", "still")),
        "variometer": (("probe", "probe", "still"), ("flask", "flask", "still")),
        "air-data-computer": (("pitot", "pitot", "ram"), ("static", "static", "still")),
    }
    return table.get(instrument.kind, (("static", "case", "still"),))
