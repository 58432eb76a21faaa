"""Faults laid on the recorded climb by algebra: what a healthy flight's record would have shown with them.

The record is taken for a flight of the airplane `business-jet` in the air that it shows: static pressure p of
its altitude, impact pressure q of its airspeed, total pressure T = p + q, cabin pressure c of the airplane
file's schedule. From the onset on a fault makes the lines hold T' and p' (`laid_laws`), and the recorder
writes the airspeed of T' - p', the altitude of p' and its filtered slope (`published_air`). That is all: no
line has a volume or a length, nothing swells, and the airplane flies on as it did.

Two recorders: "air-data" writes down the left air-data computer (nothing where it shows nothing), "standby"
the standby airspeed indicator and altimeter, which have pointers and no vertical speed.
`python tests/outside/laid_faults.py FOLDER` writes every case of `laid_cases` as CSV, their truths in
truths.json, and the untouched record in parts.
"""

import csv
import json
import sys
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
from laid_laws import Airs, Law, Sensed
from published_air import (
    FT,
    KT,
    PSI,
    Array,
    airspeed_of,
    altitude_of,
    filtered,
    hanging_back,
    impact_of,
    pressure_at,
)

HERE = Path(__file__).parent
RECORD = HERE / "data" / "recorded_flight_climb.csv"
AIRPLANE = HERE.parents[1] / "src" / "ramstill" / "airplane" / "hangar" / "business-jet.toml"
SHOWN = {"ias_kt": 1.0, "altitude_ft": 25.0, "vsi_fpm": 32.0}  # columns that pressures reach, and their steps
# Columns of the record that a recorder of these three would not have, or would have from the same air-data
# computer (Mach number, true airspeed): left out, as they would give the fault away.
KEPT = ("time_s", *SHOWN, "ground_speed_kt", "track_deg", "heading_deg", "gps_altitude_ft")
GARBLED_S = 1258.0  # data/README.md
FINE_S = 1.0 / 16.0  # the air-data computer's sample interval
WINDOW_S = 10.0  # over which the record is smoothed, either side
COVERED_AT_FT = 400.0  # pressure altitude of the field where a cover or tape was left on, assumed
RECORDERS = ("air-data", "standby")


# ---- the record


@cache
def airplane_file() -> dict[str, Any]:
    """The airplane file as plain data."""
    return tomllib.loads(AIRPLANE.read_text(encoding="utf-8"))


def cabin_of(static_pa: Array) -> Array:
    """Return the cabin's pressure [Pa]: the schedule of altitudes, at most its difference above static."""
    plan = airplane_file()["inside"]["pressurisation"]
    outside, cabin = (
        np.array([float(n) for n in plan[key].removesuffix("ft").split(",")]) * FT
        for key in ("airplane_altitude", "cabin_altitude")
    )
    most = float(plan["maximum_differential"]["value"].removesuffix("psi")) * PSI
    wanted = pressure_at(np.interp(altitude_of(static_pa), outside, cabin))
    return np.asarray(np.clip(wanted, static_pa, static_pa + most))


def _limit(instrument: str, key: str, unit: str) -> float:
    found = next(i for i in airplane_file()["instrument"] if i["name"] == instrument)
    return float(found[key].removesuffix(unit))


@cache
def record() -> dict[str, Array]:
    """The recorded climb, columns as written, NaN where there is nothing."""
    table = np.genfromtxt(RECORD, delimiter=",", names=True)
    return {name: np.asarray(table[name], dtype=float) for name in KEPT}


@cache
def smooth(column: str) -> Array:
    """A column of the record, (t,), without steps and holds: a parabola about each time, near times more."""
    time, written = record()["time_s"], record()[column]
    sound = time != GARBLED_S
    found = np.empty_like(written)
    for i, now in enumerate(time):
        near = sound & (np.abs(time - now) <= WINDOW_S)
        weight = (1.0 - (np.abs(time[near] - now) / (WINDOW_S + 1.0)) ** 3) ** 1.5
        found[i] = np.polyfit(time[near] - now, written[near], 2, w=weight)[2]
    return found


@dataclass(frozen=True, slots=True)
class Laid:
    """One fault of a case. law, size: above; onset_s [s], or None: on the ground, before the record.

    faults that come to the same air by the same algebra: `same`.
    """

    name: str
    law: Law
    onset_s: float | None
    size: float = 1.0
    same: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Case:
    """A recording to lay: its faults in the order they come, and who wrote it down."""

    title: str
    faults: tuple[Laid, ...]
    recorder: str = "air-data"


def laid(case: Case) -> dict[str, Array]:
    """Return the columns of the record as the case would have had them, NaN where nothing is shown."""
    columns = {name: written.copy() for name, written in record().items()}
    if case.recorder == "standby":
        del columns["vsi_fpm"]
    for number in range(len(case.faults)):
        _lay(columns, case.faults[: number + 1], case.recorder)
    return columns


def _lay(columns: dict[str, Array], faults: Iterable[Laid], recorder: str) -> None:
    """Write over `columns` from the last fault's onset on."""
    written = record()["time_s"]
    onset = [max(written[0], fault.onset_s or written[0]) for fault in faults]
    fine = np.arange(written[0], written[-1] + 0.5 * FINE_S, FINE_S)
    static = pressure_at(np.interp(fine, written, smooth("altitude_ft")) * FT)
    total = static + impact_of(np.interp(fine, written, smooth("ias_kt")) * KT)
    now = Sensed(total, static)
    for fault, begin in zip(faults, onset, strict=True):
        k = int(np.searchsorted(fine, begin))
        field_pa = float(pressure_at(COVERED_AT_FT * FT))
        held = (field_pa, field_pa) if fault.onset_s is None else (float(now.total[k]), float(now.static[k]))
        air = Airs(fine[k:], static[k:], total[k:], cabin_of(static[k:]), held)
        later = fault.law(air, replace(now, total=now.total[k:], static=now.static[k:]), fault.size)
        now = replace(
            later,
            total=np.concatenate([now.total[:k], later.total]),
            static=np.concatenate([now.static[:k], later.static]),
        )
    rows = np.flatnonzero(written >= onset[-1])
    _write(columns, rows, fine, now, (static, total), recorder)


def _write(
    columns: dict[str, Array],
    rows: Array,
    fine: Array,
    now: Sensed,
    outside: tuple[Array, Array],
    recorder: str,
) -> None:
    static, total = outside
    written = record()
    at = np.searchsorted(fine, written["time_s"] - 1e-9)
    moved = not np.array_equal(now.static, static)
    shown = {}
    if not np.array_equal(now.total - now.static, total - static):
        shown["ias_kt"] = airspeed_of(now.total - now.static)[at] / KT
    if moved or now.higher_m or now.sticking_m:
        # what the smooth curve leaves of the record comes back as far as the line follows the air outside
        quick = (written["altitude_ft"] - smooth("altitude_ft")) * now.follows
        feet = (altitude_of(now.static)[at] + now.higher_m) / FT + quick
        first = np.arange(len(feet)) < rows[0]  # nothing hangs back before the onset
        feet[~first] = hanging_back(feet[~first], now.sticking_m / FT)
        shown["altitude_ft"] = feet
    if moved and "vsi_fpm" in columns:
        quick = (written["vsi_fpm"] - _rate(fine, static)[at]) * now.follows
        shown["vsi_fpm"] = _rate(fine, now.static)[at] + quick
    for name, share in now.standing.items():
        shown[name] = written[name][rows[0]] * share + written[name] * (1.0 - share)
    for name, values in shown.items():
        columns[name][rows] = _as_shown(name, values, recorder)[rows]
    if "ias_kt" in shown and "ias_kt" not in now.standing:
        spoilt = rows[written["time_s"][rows] == GARBLED_S]
        columns["ias_kt"][spoilt] = written["ias_kt"][spoilt]
    if now.blank:
        for name in SHOWN.keys() & columns.keys():
            columns[name][rows] = np.nan


def _rate(fine: Array, static: Array) -> Array:
    """The slope of pressure altitude through the air-data computer's filter [ft/min]."""
    height = altitude_of(static) / FT
    slope = np.diff(height, prepend=2.0 * height[0] - height[1]) / FINE_S * 60.0
    return filtered(fine, slope, _limit("air-data-left", "vertical_speed_filter", "s"))


def _as_shown(column: str, values: Array, recorder: str) -> Array:
    """In the record's steps, within what the instrument shows: a computer goes blank, a pointer stops."""
    rounded = np.floor(values / SHOWN[column] + 0.5) * SHOWN[column]
    if recorder == "standby":
        top = {"ias_kt": _limit("airspeed-standby", "top_mark", "kt")}
        return np.clip(rounded, 0.0, top["ias_kt"]) if column in top else rounded
    name = "air-data-left"
    limits = {
        "ias_kt": (_limit(name, "lowest_airspeed", "kt"), _limit(name, "highest_airspeed", "kt")),
        "altitude_ft": (-np.inf, _limit(name, "highest_altitude", "ft")),
        "vsi_fpm": (
            -_limit(name, "highest_vertical_speed", "ft/min"),
            _limit(name, "highest_vertical_speed", "ft/min"),
        ),
    }
    low, high = limits[column]
    return np.where((rounded >= low) & (rounded <= high), rounded, np.nan)


def write(columns: Mapping[str, Array], path: Path) -> None:
    """Write columns as a recorded flight, an empty cell where nothing is shown."""
    with path.open("w", newline="", encoding="utf-8") as file:
        out = csv.writer(file)
        out.writerow(columns)
        for row in zip(*columns.values(), strict=True):
            out.writerow(["" if np.isnan(cell) else f"{cell:.10g}" for cell in row])


def write_all(folder: Path, cases: Iterable[Case]) -> None:
    """Write every case into `folder`, and truths.json beside them."""
    folder.mkdir(parents=True, exist_ok=True)
    truths = []
    for case in cases:
        write(laid(case), folder / f"{case.title}.csv")
        truths.append(
            {
                "file": f"{case.title}.csv",
                "recorder": case.recorder,
                "faults": sorted(fault.name for fault in case.faults),
                "same_air": [list(fault.same) for fault in case.faults],
                "onset_s": [fault.onset_s for fault in case.faults],
                "size": [fault.size for fault in case.faults],
                "formula": [(fault.law.__doc__ or "").strip() for fault in case.faults],
            }
        )
    (folder / "truths.json").write_text(json.dumps(truths, indent=1), encoding="utf-8")


if __name__ == "__main__":
    from laid_cases import CASES, healthy_cuts

    where = Path(sys.argv[1] if len(sys.argv) > 1 else "laid")
    write_all(where, CASES)
    for title, columns in healthy_cuts().items():
        write(columns, where / f"no-fault-{title}.csv")
