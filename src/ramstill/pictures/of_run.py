"""From a run to what the pictures draw."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf, isnan
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air import units
from ramstill.pictures import strip, wall
from ramstill.pictures.columns import AirKind, Column, Pair, Reading, Trap, Wall
from ramstill.pictures.of_airplane import SPEED_UNIT, fittings_in_order, plain
from ramstill.pictures.scales import around, spoken

if TYPE_CHECKING:
    from ramstill.instruments import Pointer
    from ramstill.run import Run

FloatArray = NDArray[np.float64]
RAM, STILL, CABIN = "outside.ram", "outside.still", "outside.cabin"  # columns that stand for what is outside

# Smallest span of a chart [its unit], so that a steady pointer does not look wild.
_LEAST = {"kt": 40.0, "mph": 40.0, "km/h": 80.0, "ft": 400.0, "ft/min": 1000.0, "m/s": 5.0}
_TREND_S = 3.0  # a trend mark looks back so far [s]
_TREND = {"airspeed": 1.0 * units.KT, "altitude": 20.0 * units.FT, "vertical-speed": 100.0 * units.FPM}
_RATES = {"m/s": 1.0, "kt": units.KT, "ft/min": units.FPM}


@dataclass(frozen=True, slots=True)
class Meter:
    """How an instrument's figures are printed: its unit as a word, and the size of one in SI."""

    unit: str
    one: float


def meter(pointer: Pointer) -> Meter:
    """The unit that a pointer is read in."""
    if pointer.shows == "airspeed":
        unit = pointer.instrument.unit
        return Meter(unit, SPEED_UNIT[unit])
    if pointer.shows == "vertical-speed":
        unit = pointer.instrument.unit if pointer.kind == "variometer" else "ft/min"
        return Meter(unit, _RATES[unit])
    return Meter("ft", units.FT)


def shown_and_true(run: Run, name: str) -> tuple[FloatArray, FloatArray]:
    """Pointer and truth of an instrument in the unit it is read in, each (t,)."""
    one = meter(run.pointer(name)).one
    return run.pointers[name] / one, run.true(name) / one


def rounded(run: Run, name: str, value: float) -> float:
    """As finely as one reads it: whole knots, ten feet, ten feet a minute, an encoder's whole step.

    Nothing (not-a-number) stays nothing.
    """
    pointer = run.pointer(name)
    if isnan(value):
        return value
    if meter(pointer).unit == "m/s":
        return round(value, 1) + 0.0
    step = 10.0 if pointer.kind != "encoder" and pointer.shows != "airspeed" else 1.0
    return round(value / step) * step + 0.0


def printed(run: Run, name: str, value: float) -> str:
    """A figure in the pointer's unit, and the unit; a dash for nothing."""
    unit = meter(run.pointer(name)).unit
    return f"{spoken(rounded(run, name, value), 1 if unit == 'm/s' else 0)} {unit}"


def trends(run: Run, name: str) -> NDArray[np.int64]:
    """Which way a reading has gone within the last 3 s, (t,): 1 up, -1 down, 0 neither or not shown."""
    shown = run.pointers[name]
    before = np.interp(run.time_s - _TREND_S, run.time_s, shown)
    moved = np.nan_to_num(shown - before) / _TREND[run.pointer(name).shows]
    return np.asarray(np.where(np.abs(moved) < 1.0, 0, np.sign(moved)), dtype=np.int64)


def readings_at(run: Run, at_s: float) -> dict[str, Reading]:
    """What each instrument shows and what is true at the sample nearest to `at_s` [s], ready to print."""
    index, found = run.index(at_s), {}
    for name in run.pointers:
        shown, true = shown_and_true(run, name)
        found[name] = Reading(*(printed(run, name, float(v[index])) for v in (shown, true)))
    return found


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


def wall_of(run: Run) -> Wall:
    """The columns of an airplane in the order of the way in, and a scale that holds the whole run."""
    plane, traps = run.airplane, traps_of(run)
    columns = [Column(RAM, "ram", "outside", "inlet")]
    pairs: list[Pair] = []
    fittings = {
        kind: [Column(n, kind, "line", plain(n), traps=traps.get(n, ())) for n in names]
        for kind, names in fittings_in_order(plane).items()
    }
    columns += fittings["ram"]
    for instrument in sorted(plane.instruments, key=lambda i: f"{i.name}.pitot" not in i.ports):
        ports = _ports(instrument)
        for port, part, kind in ports:
            tapping = f"{instrument.name}.{port}"
            label = plain(instrument.name)
            columns.append(
                Column(tapping, kind, "instrument", label, part, instrument.name, traps.get(tapping, ()))
            )
        if len(ports) == 2:
            ends = (f"{instrument.name}.{ports[0][0]}", f"{instrument.name}.{ports[1][0]}")
            pairs.append(Pair(instrument.name, *ends, lens=hasattr(instrument, "leak")))
    columns += fittings["still"]
    columns.append(Column(STILL, "still", "outside", "outside"))
    columns += fittings["cabin"]
    if "cabin" in run.outside_pa:
        columns.append(Column(CABIN, "cabin", "outside", "cabin"))
    heights = heights_over_time(run, [c.name for c in columns])
    inch = float(air.water_pressure(units.INCH))
    lowest = min(float(h.min()) for h in heights.values()) / inch
    highest = max(float(h.max()) for h in heights.values()) / inch
    low, high = around(min(lowest, -1.0), max(highest, 6.0), 8)
    largest = {p.owner: float(np.max(np.abs(heights[p.left] - heights[p.right]))) for p in pairs}
    for instrument in (i for i in plane.instruments if hasattr(i, "leak")):
        full = float(instrument.leak.full_scale_difference)
        largest[instrument.name] = max(min(largest[instrument.name], full), 0.25 * full)
    return Wall(tuple(columns), tuple(pairs), low * inch, high * inch, largest)


def heights_over_time(run: Run, names: list[str]) -> dict[str, FloatArray]:
    """Pressure of each column less that of the true outside still air [Pa], each (t,)."""
    still = run.truth.static_pressure_pa
    inlet = next((o.name for o in run.airplane.openings if o.kind == "pitot-inlet"), None)
    outside = {
        RAM: run.outside_pa[inlet] if inlet else still + run.truth.impact_pressure_pa,
        STILL: still,
        CABIN: run.outside_pa.get("cabin", still),
    }
    return {n: (outside[n] if n in outside else run.pressure_pa[n]) - still for n in names}


def heights_at(run: Run, at_s: float, names: list[str]) -> dict[str, float]:
    """The same at the sample nearest to `at_s` [s]."""
    index = run.index(at_s)
    return {name: float(values[index]) for name, values in heights_over_time(run, names).items()}


def pressure_wall(run: Run, at_s: float, *, compact: bool = False, key: str = "wall") -> str:
    """The pressure wall of a run at a time [s], as SVG."""
    bank = wall_of(run)
    heights = heights_at(run, at_s, [c.name for c in bank.columns])
    return wall.draw(bank, heights, readings_at(run, at_s), at_s, compact=compact, key=key)


def charts_of(run: Run) -> tuple[strip.Chart, ...]:
    """One chart for each pointer."""
    charts = []
    for pointer in run.panel:
        shown, true = shown_and_true(run, pointer.name)
        unit = meter(pointer).unit
        title = plain(pointer.name).capitalize()
        charts.append(strip.Chart(title, unit, shown, true, _LEAST[unit]))
    return tuple(charts)


def fault_spans(run: Run) -> tuple[strip.Span, ...]:
    """Each fault as a stretch of time, numbered by its order."""
    from ramstill.faults import catalogue

    entries = catalogue()
    return tuple(
        strip.Span(f.onset_s, inf if f.end_s is None else f.end_s, entries[f.name].title.lower())
        for f in run.faults
    )


def strips(run: Run, *, compact: bool = False, key: str = "strip") -> str:
    """Every pointer of a run against truth over time, as SVG."""
    return strip.strip_chart(
        run.time_s, charts_of(run), run.truth.phases, fault_spans(run), compact=compact, key=key
    )


def phase_at(phases: tuple[tuple[float, str], ...], at_s: float) -> str:
    """The name of the phase that holds at a time [s], or nothing."""
    names = [name for since, name in phases if since <= at_s]
    return names[-1] if names else ""


def _ports(instrument: Any) -> tuple[tuple[str, str, AirKind], ...]:
    """(end of the tapping's name, what it is called, which air): the capsule first."""
    table: Mapping[str, tuple[tuple[str, str, AirKind], ...]] = {
        "airspeed-indicator": (("pitot", "capsule", "ram"), ("static", "case", "still")),
        "vertical-speed-indicator": (("static", "capsule", "still"), ("case", "case", "still")),
        "variometer": (("probe", "probe", "still"), ("flask", "flask", "still")),
        "air-data-computer": (("pitot", "pitot", "ram"), ("static", "static", "still")),
    }
    return table.get(instrument.kind, (("static", "case", "still"),))
