"""Trapped air in a slow climb and descent against the arithmetic of the standard day.

Source: data/blockage_numbers_computed.csv, computed apart from this package (trapped pressure in the standard
atmosphere, printed to 0.01 kt and 1 Pa; no published value). Each airplane of the hangar is flown slowly down
2,000 ft and up again from there, and stopped at each altitude of the table, with its openings taken to be
perfect (no position error, and no air going through the drain before it is shut), first with the pitot side
shut, then with the static ports shut.

Tolerance: 0.03 kt where the table has an airspeed, 1.5 Pa where it is below zero. The table's own rounding is
0.005 kt and 0.5 Pa; the rest is the engine's error control (0.05 Pa, worth 0.003 kt at 46 kt) and what creeps
through the calibrated leak of the vertical speed indicator.
"""

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from ramstill import air, airplane, simulate
from ramstill.air.units import FT, KT
from ramstill.airplane import Figure
from ramstill.faults import Fault
from ramstill.instruments import airspeed_from_difference
from ramstill.pneumatics import Surroundings, Truth

with (Path(__file__).parent / "data" / "blockage_numbers_computed.csv").open(encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))
CASES = sorted({(float(r["cas_kt_at_blockage_and_held"]), float(r["altitude_ft_of_blockage"])) for r in ROWS})
SHUT_AT_S, RATE_FPM, HOLD_S = 10.0, 500.0, 60.0
LOWEST_FT, HIGHEST_FT = -2000.0, 4000.0
TOLERANCE_KT, TOLERANCE_PA = 0.03, 1.5
RAM = ("pitot-inlet", "pitot-drain")
STATIC_SHUT = Fault("static-ports-blocked", onset_s=SHUT_AT_S)


def pitot_shut(plane):
    has_drain = any(opening.kind == "pitot-drain" for opening in plane.openings)
    return Fault("pitot-and-drain-blocked" if has_drain else "pitot-inlet-blocked", onset_s=SHUT_AT_S)


def with_stiff_capsules(plane):
    """The same, its capsules taken as stiff, as in the table: what swells gives trapped air more room."""
    stiff = Figure(0.0, "assumed", text="0 cm3/hPa")
    instruments = tuple(
        i.model_copy(update={"capsule_compliance": stiff}) if hasattr(i, "capsule_compliance") else i
        for i in plane.instruments
    )
    return plane.model_copy(update={"instruments": instruments})


def stops():
    """Altitude changes [ft] flown to in turn, down and then up, and the times at which each is left."""
    changes = sorted({float(r["altitude_change_ft"]) for r in ROWS})
    down = [c for c in reversed(changes) if c <= 0.0]
    up = [c for c in changes if c > LOWEST_FT]
    time, altitude, left = [0.0, 30.0], [0.0, 0.0], {}
    for change in [*down, *up]:
        arrive = time[-1] + abs(change - altitude[-1]) / RATE_FPM * 60.0
        if arrive > time[-1]:
            time.append(arrive)
            altitude.append(change)
        time.append(time[-1] + HOLD_S)
        altitude.append(change)
        left[change] = time[-1]
    return np.array(time), np.array(altitude), left


@cache
def ride(name, cas_kt, altitude_ft, fault):
    """Pressures at the airspeed indicator [Pa] by altitude change [ft], its openings perfect."""
    plane = with_stiff_capsules(airplane.load(name))
    corner_s, corner_ft, left = stops()
    time = np.unique(np.concatenate([np.arange(0.0, corner_s[-1], 1.0), corner_s]))
    height = (altitude_ft + np.interp(time, corner_s, corner_ft)) * FT
    static = air.static_pressure(height)
    impact = np.full_like(time, float(air.impact_pressure(cas_kt * KT)))
    columns = {o.name: static + impact * (o.kind in RAM) for o in plane.openings}
    columns |= dict.fromkeys(("cabin", "wing-bay", "outside"), static)
    truth = Truth.steady(
        time,
        pressure_altitude_m=height,
        geometric_altitude_m=height,
        static_pressure_pa=static,
        impact_pressure_pa=impact,
        cas_m_s=cas_kt * KT,
    )
    around = Surroundings.from_samples(
        time, tuple(columns), np.stack(list(columns.values()), axis=1), truth, kinks_s=corner_s[1:-1]
    )
    faults = [STATIC_SHUT] if fault == "static" else [pitot_shut(plane)]
    run = simulate(plane, around, faults, output_hz=1.0)
    difference = run.pressure_pa["airspeed.pitot"] - run.pressure_pa["airspeed.static"]
    return {change: float(np.interp(at - 1.0, run.time_s, difference)) for change, at in left.items()}


ONE_SYSTEM = [n for n in airplane.hangar() if "airspeed" in [i.name for i in airplane.load(n).instruments]]


@pytest.mark.parametrize("column", ["asi_kt_pitot_and_drain_trapped", "asi_kt_static_trapped_cas_held"])
@pytest.mark.parametrize(("cas_kt", "altitude_ft"), CASES)
@pytest.mark.parametrize("name", ONE_SYSTEM)
def test_end_readings(name, cas_kt, altitude_ft, column, residual):
    found = ride(name, cas_kt, altitude_ft, "static" if "static" in column else "pitot")
    worst_kt = worst_pa = 0.0
    for row in ROWS:
        if (float(row["cas_kt_at_blockage_and_held"]), float(row["altitude_ft_of_blockage"])) != (
            cas_kt,
            altitude_ft,
        ):
            continue
        difference = found[float(row["altitude_change_ft"])]
        if row[column].startswith("below zero"):
            printed = float(row[column].partition("dp ")[2].partition(" Pa")[0])
            assert difference < 0.0
            worst_pa = max(worst_pa, abs(difference - printed))
        else:
            shown = float(airspeed_from_difference(np.array(difference))) / KT
            worst_kt = max(worst_kt, abs(shown - float(row[column])))
    residual(f"{name}, {cas_kt:g} kt at {altitude_ft:g} ft, {column} [kt]", worst_kt, TOLERANCE_KT)
    residual(
        f"{name}, {cas_kt:g} kt at {altitude_ft:g} ft, {column}, below zero [Pa]", worst_pa, TOLERANCE_PA
    )


def test_every_row_was_looked_at():
    assert len(ROWS) == 24
    assert set(stops()[2]) == {float(r["altitude_change_ft"]) for r in ROWS}
