"""The recorder of a case: its columns, and how late, smooth and coarse they are; it writes a CSV file."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from diagnosis_flights import STEP_S
from diagnosis_truth import Beside
from diagnosis_weather import wandering
from numpy.typing import NDArray

from ramstill.air.units import CELSIUS_ZERO, FPM, FT, INHG, KM_H, KT
from ramstill.flight import recording
from ramstill.flight.recording import Recording
from ramstill.instruments import pointers_of

if TYPE_CHECKING:
    from numpy.random import Generator

    from ramstill.airplane import Airplane

Array = NDArray[np.float64]
SKEW_S = 1.0  # a column is up to this early or late, so that two differ by 2 s at most
EDGE_S = 8.0  # of the flight left out at each end, so that late and smooth readings have what they need
_DEG = np.pi / 180.0
# Quantity -> header, unit [SI], offset [SI], the steps it is written in and how often each.
_KNOTS: dict[str, tuple[str, float, float, tuple[float, ...]]] = {
    "ias": ("ias_kt", KT, 0.0, (1.0, 1.0, 0.1)),
    "altitude": ("altitude_ft", FT, 0.0, (1.0, 10.0, 20.0, 25.0)),
    "vertical speed": ("vsi_fpm", FPM, 0.0, (1.0, 10.0, 50.0, 64.0)),
    "altimeter setting": ("altimeter_setting_inhg", INHG, 0.0, (0.01,)),
    "ground speed": ("ground_speed_kt", KT, 0.0, (1.0, 0.1)),
    "track": ("track_deg", _DEG, 0.0, (1.0, 0.1)),
    "heading": ("heading_deg", _DEG, 0.0, (1.0, 0.1)),
    "gps altitude": ("gps_altitude_ft", FT, 0.0, (1.0, 10.0, 25.0)),
    "outside temperature": ("oat_c", 1.0, CELSIUS_ZERO, (1.0, 0.5, 0.1)),
    "pitch": ("pitch_deg", _DEG, 0.0, (0.1, 0.5, 1.0)),
    "power": ("power_pct", 0.01, 0.0, (1.0, 5.0)),
}
_METRIC: dict[str, tuple[str, float, float, tuple[float, ...]]] = _KNOTS | {
    "ias": ("ias_kmh", KM_H, 0.0, (1.0,)),
    "altitude": ("altitude_m", 1.0, 0.0, (1.0, 5.0)),
    "vertical speed": ("vsi_mps", 1.0, 0.0, (0.1,)),
    "ground speed": ("ground_speed_kmh", KM_H, 0.0, (1.0,)),
    "gps altitude": ("gps_altitude_m", 1.0, 0.0, (1.0,)),
    "altimeter setting": ("altimeter_setting_hpa", 100.0, 0.0, (1.0,)),
}
_INSTRUMENTS = {"airspeed": "ias", "altitude": "altitude", "vertical-speed": "vertical speed"}


def recorded_pointers(plane: Airplane) -> dict[str, str]:
    """Quantity -> the pointer whose reading is recorded: the first on the panel that shows it."""
    found: dict[str, str] = {}
    for pointer in pointers_of(plane):
        if pointer.kind != "encoder":
            found.setdefault(_INSTRUMENTS[pointer.shows], pointer.name)
    return found


@dataclass(frozen=True, slots=True)
class Recorder:
    """What it writes. steps: quantity -> step as written; starts_s [s]: its clock as the record begins."""

    steps: dict[str, float]
    every_s: float
    starts_s: float
    smooth_s: float
    missing: float
    metric: bool


def a_recorder(rng: Generator, plane: Airplane) -> Recorder:
    """Any recorder that the airplane may have."""
    able = list(recorded_pointers(plane))
    few = rng.random()
    count = len(able) if few > 0.3 else 2 if few > 0.12 else 1
    has = [str(q) for q in rng.permutation(able)[: min(count, len(able))]]
    if rng.random() < 2.0 / 3.0:
        has += ["ground speed", "track", "gps altitude"]
        has += ["heading"] if rng.random() < 0.5 else []
    has += ["altimeter setting"] if "altitude" in has and rng.random() < 0.5 else []
    has += ["outside temperature"] if rng.random() < 0.5 else []
    both = rng.random()
    has += ["pitch"] if both < 0.25 or both > 0.9 else []
    powered = plane.performance is not None and plane.performance.engine is not None
    has += ["power"] if powered and (both < 0.25 or 0.8 < both < 0.9) else []
    metric = plane.name == "sailplane" and rng.random() < 0.7
    units = _METRIC if metric else _KNOTS
    return Recorder(
        steps={q: float(rng.choice(units[q][3])) for q in units if q in has},
        every_s=float(rng.choice((1.0, 0.5, 2.0, 4.0), p=(0.76, 0.08, 0.08, 0.08))),
        starts_s=float(rng.integers(1, 80000)) if rng.random() < 0.3 else 0.0,
        smooth_s=float(rng.uniform(1.0, 5.0)) if rng.random() < 0.7 else 0.0,
        missing=float(rng.uniform(0.001, 0.02)) if rng.random() < 0.4 else 0.0,
        metric=metric,
    )


def sampled_s(recorder: Recorder, lasts_s: float) -> Array:
    """Times of the flight [s] at which it writes a line."""
    return np.arange(EDGE_S, lasts_s - EDGE_S, recorder.every_s)


def written(
    rng: Generator, recorder: Recorder, shown: dict[str, Array], beside: Beside, setting_pa: Array
) -> Recording:
    """The record: instruments with a little error of scale, everything late, smoothed, rounded."""
    at, columns = written_columns(rng, recorder, shown, beside, setting_pa)
    return _read_back(recorder, at, columns, 6)


def written_columns(
    rng: Generator, recorder: Recorder, shown: dict[str, Array], beside: Beside, setting_pa: Array
) -> tuple[Array, dict[str, Array]]:
    """Times of the flight [s] and the columns by header, as written."""
    values = _values(_with_errors(rng, shown), _with_errors_beside(rng, beside), setting_pa)
    time = np.asarray(STEP_S * np.arange(len(setting_pa)), dtype=float)
    at = sampled_s(recorder, float(time[-1]))
    units = _METRIC if recorder.metric else _KNOTS
    columns: dict[str, Array] = {}
    for quantity, step in recorder.steps.items():
        header, unit, offset, _ = units[quantity]
        value = _smoothed(values[quantity], recorder.smooth_s)
        read = _interpolated(time, value, at - rng.uniform(-SKEW_S, SKEW_S), quantity in ("track", "heading"))
        read = step * np.round((read - offset) / unit / step)
        if quantity == "power":
            read = np.maximum(read, 0.0)
        if recorder.missing and quantity != "altimeter setting":
            read = np.where(rng.random(len(read)) < recorder.missing, np.nan, read)
            if rng.random() < 0.2:
                first = int(rng.integers(len(read)))
                read[first : first + int(15.0 / recorder.every_s)] = np.nan
        columns[header] = read
    return at, columns


def exact(
    recorder: Recorder, shown: dict[str, Array], beside: Beside, setting_pa: Array, like: Recording
) -> Recording:
    """The same readings without error, late and smooth nowhere; told to be in the steps of `like`."""
    values = _values(shown, beside, setting_pa)
    time = np.asarray(STEP_S * np.arange(len(setting_pa)), dtype=float)
    at = sampled_s(recorder, float(time[-1]))
    units = _METRIC if recorder.metric else _KNOTS
    columns: dict[str, Array] = {}
    for quantity in recorder.steps:
        header, unit, offset, _ = units[quantity]
        read = _interpolated(time, values[quantity], at, quantity in ("track", "heading"))
        columns[header] = (read - offset) / unit
    return replace(_read_back(recorder, at, columns, 9), steps=dict(like.steps))


def _values(shown: dict[str, Array], beside: Beside, setting_pa: Array) -> dict[str, Array]:
    found = {
        **shown,
        "altimeter setting": setting_pa,
        "ground speed": beside.ground_speed_m_s,
        "track": np.unwrap(beside.track_rad),
        "heading": np.unwrap(beside.heading_rad),
        "gps altitude": beside.height_m,
        "outside temperature": beside.temperature_k,
        "pitch": beside.pitch_rad,
    }
    if beside.power is not None:
        found["power"] = beside.power
    if "ias" in found:
        found["ias"] = np.maximum(found["ias"], 0.0)  # the file format has none below zero
    return found


def _with_errors(rng: Generator, shown: dict[str, Array]) -> dict[str, Array]:
    """Scale errors of these instruments, which no file states."""
    share = {"ias": 0.01, "altitude": 0.001, "vertical speed": 0.05}
    zero = {"ias": 0.5 * KT, "altitude": 15.0 * FT, "vertical speed": 20.0 * FPM}
    found = {}
    for quantity, value in shown.items():
        offset: float | Array = rng.uniform(-zero[quantity], zero[quantity])
        if quantity == "ias":
            offset = offset * np.clip(value / (20.0 * KT), 0.0, 1.0)  # a needle on its pin stays there
        found[quantity] = value * (1.0 + rng.uniform(-share[quantity], share[quantity])) + offset
    return found


def _with_errors_beside(rng: Generator, beside: Beside) -> Beside:
    """What GPS, compass, thermometer, attitude and engine instruments are off by."""
    n = len(beside.height_m)

    def off(sd: float, wander: float, tau_s: float) -> Array:
        return rng.normal(0.0, sd) + wandering(rng, n, STEP_S, wander, tau_s)

    power = None
    if beside.power is not None:
        power = np.clip(beside.power * rng.uniform(0.95, 1.05) + rng.normal(0.0, 0.01), 0.0, 1.05)
    return Beside(
        beside.height_m + off(3.0, 2.0, 120.0),
        np.maximum(beside.ground_speed_m_s + off(0.0, 0.1, 2.0), 0.0),
        beside.track_rad,
        beside.heading_rad + off(1.5 * _DEG, 0.7 * _DEG, 10.0),
        beside.temperature_k + off(1.0, 0.3, 30.0),
        beside.pitch_rad + off(0.5 * _DEG, 0.3 * _DEG, 3.0),
        power,
    )


def _smoothed(value: Array, over_s: float) -> Array:
    """Mean of the last `over_s` seconds; nothing where nothing is shown."""
    width = max(round(over_s / STEP_S), 1)
    known = np.isfinite(value)
    filled = np.concatenate([np.zeros(1), np.cumsum(np.where(known, value, 0.0))])
    number = np.concatenate([np.zeros(1), np.cumsum(known.astype(float))])
    end = np.arange(1, len(value) + 1)
    begin = np.maximum(end - width, 0)
    n = number[end] - number[begin]
    return np.where(known, (filled[end] - filled[begin]) / np.maximum(n, 1.0), np.nan)


def _interpolated(time: Array, value: Array, at: Array, angle: bool) -> Array:
    """Readings between the steps; an angle (which goes on counting) within one turn."""
    found = np.interp(at, time, value)
    return np.asarray(found % (2.0 * np.pi) if angle else found)


def write_csv(path: Path, recorder: Recorder, at_s: Array, columns: dict[str, Array], digits: int) -> None:
    """Write the CSV file; an empty cell where there is no reading."""
    time = recorder.starts_s + at_s - EDGE_S
    lines = [",".join(["time_s", *columns])]
    rows = np.stack([time, *columns.values()], axis=1)
    for row in rows.tolist():
        lines.append(",".join("" if cell != cell else f"{round(cell, digits):.10g}" for cell in row))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")


def _read_back(recorder: Recorder, at_s: Array, columns: dict[str, Array], digits: int) -> Recording:
    """Write the CSV file and read it by the program's own reader."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "case.csv"
        write_csv(path, recorder, at_s, columns, digits)
        return recording.read(path)
