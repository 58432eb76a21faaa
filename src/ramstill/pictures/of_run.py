"""From a run to what the pictures draw."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf, isnan
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air import units
from ramstill.pictures import strip
from ramstill.pictures.columns import Reading
from ramstill.pictures.of_airplane import SPEED_UNIT, plain
from ramstill.pictures.scales import spoken

if TYPE_CHECKING:
    from ramstill.instruments import Pointer
    from ramstill.run import Run

FloatArray = NDArray[np.float64]

# Smallest span of a chart [its unit], so that a steady pointer does not look wild.
_LEAST = {"kt": 40.0, "mph": 40.0, "km/h": 80.0, "ft": 400.0, "ft/min": 1000.0, "m/s": 5.0}
TREND_S = 3.0  # a trend mark looks back so far [s]
TREND = {"airspeed": 1.0 * units.KT, "altitude": 20.0 * units.FT, "vertical-speed": 100.0 * units.FPM}
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
    if isnan(value):
        return value
    step = finest(run.pointer(name))
    return round(value, 1) + 0.0 if step < 1.0 else round(value / step) * step + 0.0


def finest(pointer: Pointer) -> float:
    """The step to which a pointer is read [its unit]."""
    if meter(pointer).unit == "m/s":
        return 0.1
    return 10.0 if pointer.kind != "encoder" and pointer.shows != "airspeed" else 1.0


def printed(run: Run, name: str, value: float) -> str:
    """A figure in the pointer's unit, and the unit; a dash for nothing."""
    unit = meter(run.pointer(name)).unit
    return f"{spoken(rounded(run, name, value), 1 if unit == 'm/s' else 0)} {unit}"


def trends(run: Run, name: str) -> NDArray[np.int64]:
    """Which way a reading has gone within the last 3 s, (t,): 1 up, -1 down, 0 neither or not shown."""
    shown = run.pointers[name]
    before = np.interp(run.time_s - TREND_S, run.time_s, shown)
    moved = np.nan_to_num(shown - before) / TREND[run.pointer(name).shows]
    return np.asarray(np.where(np.abs(moved) < 1.0, 0, np.sign(moved)), dtype=np.int64)


def readings_at(run: Run, at_s: float) -> dict[str, Reading]:
    """What each instrument shows and what is true at the sample nearest to `at_s` [s], ready to print."""
    index, found = run.index(at_s), {}
    for name in run.pointers:
        shown, true = shown_and_true(run, name)
        found[name] = Reading(*(printed(run, name, float(v[index])) for v in (shown, true)))
    return found


def charts_of(run: Run) -> tuple[strip.Chart, ...]:
    """One chart for each pointer; with a pilot in the loop, one for the nose as well."""
    charts = []
    for pointer in run.panel:
        shown, true = shown_and_true(run, pointer.name)
        unit = meter(pointer).unit
        title = plain(pointer.name).capitalize()
        charts.append(strip.Chart(title, unit, shown, true, _LEAST[unit]))
    if run.flown is not None:
        asked, pitch = (np.degrees(run.as_flown(v)) for v in (run.flown.asked_pitch_rad, run.flown.pitch_rad))
        charts.append(strip.Chart("Pitch, if the pointers were right", "degrees", asked, pitch, 10.0))
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
