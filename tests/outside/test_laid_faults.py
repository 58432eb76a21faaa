"""The formulas that faults are laid with, against published figures; and what laying leaves alone.

Sources are named beside each check; data/README.md says how each figure was come by. Nothing of the package's
own physics is used here, so that the recordings do not come from what they are to judge.
"""

import csv
from pathlib import Path

import numpy as np
import pytest
from laid_cases import AIR_DATA, BEFORE, CASES, NOT_LAID, STANDBY, counts, healthy_cuts
from laid_faults import GARBLED_S, SHOWN, Case, Laid, cabin_of, laid, record, write
from laid_laws import (
    Airs,
    Sensed,
    crossed,
    dead,
    one_port_of_two,
    static_to_cabin,
    static_trapped,
    total_to_cabin,
    total_trapped,
)
from published_air import (
    FT,
    INHG,
    KT,
    airspeed_of,
    altitude_of,
    filtered,
    hanging_back,
    impact_of,
    late,
    pressure_at,
    too_high_by,
    water_head,
)

from ramstill import airplane
from ramstill.faults import catalogue
from ramstill.flight import recording

TIMES = record()["time_s"]


# ---- the formulas


def test_pressure_of_the_standard_day(read, residual):
    """US Standard Atmosphere 1976 / ICAO Doc 7488 as printed; 0.1 Pa is a unit of its last digit or two."""
    rows = [row for row in read("standard_atmosphere") if float(row["geopotential_altitude_m"]) <= 20000.0]
    height = np.array([float(row["geopotential_altitude_m"]) for row in rows])
    printed = np.array([float(row["p_Pa"]) for row in rows])
    residual("pressure [Pa]", float(np.max(np.abs(pressure_at(height) - printed))), 0.1)
    residual("altitude and back [m]", float(np.max(np.abs(altitude_of(pressure_at(height)) - height))), 1e-6)


def test_impact_pressure(read, residual):
    """NASA RP-1046's relation as computed elsewhere, to the last digit printed (below the speed of sound)."""
    rows = [row for row in read("cas_qc_computed") if float(row["cas_kt"]) <= 650.0]
    speed = np.array([float(row["cas_kt"]) for row in rows]) * KT
    printed = np.array([float(row["qc_Pa"]) for row in rows])
    residual("impact pressure, share", float(np.max(np.abs(impact_of(speed) / printed - 1.0))), 5e-5)
    residual(
        "airspeed and back [kt]", float(np.max(np.abs(airspeed_of(impact_of(speed)) - speed)) / KT), 1e-6
    )


def test_trapped_pressures(read, residual):
    """data/blockage_numbers_computed.csv: climb or descent at a held airspeed after a side is shut."""
    worst_kt = worst_pa = 0.0
    for row in read("blockage_numbers_computed"):
        then = float(row["altitude_ft_of_blockage"]) * FT
        q = float(impact_of(float(row["cas_kt_at_blockage_and_held"]) * KT))
        p, held = pressure_at(np.array([then + float(row["altitude_change_ft"]) * FT, then]))
        air = Airs(np.zeros(1), np.array([p]), np.array([p + q]), np.array([p]), (held + q, held))
        healthy = Sensed(air.total, air.static)
        for law, column in (
            (total_trapped, "asi_kt_pitot_and_drain_trapped"),
            (static_trapped, "asi_kt_static_trapped_cas_held"),
        ):
            now = law(air, healthy, 1.0)
            difference = float(now.total[0] - now.static[0])
            if row[column].startswith("below zero"):
                printed = float(row[column].partition("dp ")[2].partition(" Pa")[0])
                worst_pa = max(worst_pa, abs(difference - printed))
            else:
                worst_kt = max(worst_kt, abs(float(airspeed_of(difference)) / KT - float(row[column])))
    residual("airspeed, printed to 0.01 kt [kt]", worst_kt, 0.006)
    residual("below zero, printed to 1 Pa [Pa]", worst_pa, 0.6)


def test_a_wrong_setting(read, residual):
    """14 CFR Part 43 Appendix E, Table IV: printed to 1 ft, and 1.2 ft off at 29.92 (data/README.md, 2)."""
    rows = read("part43_appE_table4_baro_scale")
    off = [
        too_high_by(float(row["baro_setting_inHg"]) * INHG) / FT
        - float(row["altitude_difference_ft_printed"])
        for row in rows
    ]
    residual("altitude of the setting [ft]", float(np.max(np.abs(off))), 1.3)


def test_lag_of_a_steady_climb(read, residual):
    """data/lag_computed_examples.csv: the altitude shown is late by lambda times the rate of climb."""
    rows = [row for row in read("lag_computed_examples") if float(row["p_Pa"]) > 101000.0]
    assert rows
    for row in rows:
        constant, rate = float(row["lambda_s"]), 1000.0 * FT / 60.0
        time = np.arange(0.0, 10.0 * constant, constant / 50.0)
        outside = pressure_at(rate * time)
        behind = (rate * time - altitude_of(late(time, outside, constant))) / FT
        printed = float(row["altitude_lag_ft_at_1000fpm"])
        # the constant grows as pressure falls: by 8 ft worth of pressure a second, 0.4 % over the longest
        residual("lag, share", abs(float(behind[-1]) / printed - 1.0), 0.005)


def test_the_cabin_follows_its_schedule():
    """The rows of the airplane file, and the most that its relief valve allows."""
    outside = pressure_at(np.array([0.0, 22000.0, 31000.0, 41000.0]) * FT)
    assert altitude_of(cabin_of(outside)) / FT == pytest.approx([0.0, 300.0, 3600.0, 6900.0], abs=1.0)
    assert np.all(
        cabin_of(pressure_at(np.linspace(0.0, 15e3, 50))) - pressure_at(np.linspace(0, 15e3, 50)) < 62100
    )


def test_mixing_between_line_and_cabin():
    air = Airs(np.zeros(1), np.array([5e4]), np.array([6e4]), np.array([1e5]), (6e4, 5e4))
    healthy = Sensed(air.total, air.static)
    assert static_to_cabin(air, healthy, 0.1).static == pytest.approx([5.5e4])
    assert total_to_cabin(air, healthy, 1.0).total == pytest.approx(air.cabin)  # a line that is off
    assert one_port_of_two(air, healthy, -0.1).static == pytest.approx([5e4 - 500.0])
    other = crossed(air, healthy, 1.0)
    assert other.total - other.static == pytest.approx([-1e4])


def test_play_and_filter():
    """Their own definitions, by hand (common practice, no source)."""
    assert hanging_back(np.array([0.0, 1.0, 3.0, 2.0, -2.0]), 1.0).tolist() == [0.0, 0.0, 2.0, 2.0, -1.0]
    time = np.arange(0.0, 5.0, 0.01)
    step = np.where(time > 0.0, 1.0, 0.0)
    assert filtered(time, step, 1.0)[-1] == pytest.approx(1.0 - np.exp(-time[-1]), abs=1e-9)


def test_a_column_of_water():
    """A foot of water, 62.43 lbf/ft3 at 4 degC (common practice): 2989 Pa."""
    assert water_head(0.3048 * np.pi / 4.0 * 0.01**2, 0.01, 1.0) == pytest.approx(2989.07, abs=0.1)


# ---- what is laid


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.title)
def test_only_what_pressures_reach_is_changed_and_only_from_the_onset_on(case: Case):
    columns = laid(case)
    onset = case.faults[0].onset_s or TIMES[0]
    for name, values in columns.items():
        before = onset > TIMES if name in SHOWN else np.ones(len(TIMES), dtype=bool)
        assert np.array_equal(values[before], record()[name][before], equal_nan=True), name
    for name, step in SHOWN.items():
        if name in columns:
            assert np.array_equal(columns[name] % step, np.where(np.isnan(columns[name]), np.nan, 0.0), True)
    assert not np.array_equal(columns["ias_kt"], record()["ias_kt"], True) or not np.array_equal(
        columns["altitude_ft"], record()["altitude_ft"], True
    )


def test_every_fault_of_the_airplane_is_laid_or_said_why_not():
    plane = airplane.load("business-jet")
    possible = {entry.name for entry in catalogue().values() if entry.places(plane)}
    named = {fault.name for case in CASES for fault in case.faults}
    same = {name for case in CASES for fault in case.faults for name in fault.same}
    assert possible == named | same | set(NOT_LAID)
    assert not named & set(NOT_LAID)


def test_three_onsets_of_each():
    for cases in (AIR_DATA, STANDBY):
        for name in {case.faults[0].name for case in cases}:
            assert len({c.faults[0].onset_s for c in cases if c.faults[0].name == name}) >= 3, name


def test_nothing_sensed_gives_the_record_back():
    """A fault without size leaves every column within a step."""
    for law in (static_to_cabin, total_to_cabin, one_port_of_two):
        columns = laid(Case("", (Laid("", law, 1500.0, 1e-12),)))
        for name, step in SHOWN.items():
            sound = TIMES != GARBLED_S
            off = np.abs(columns[name] - record()[name])[sound]
            # airspeed is smoothed before it is laid: a change quicker than that is up to five steps off
            assert off.max() <= (5.0 if name == "ias_kt" else 1.0) * step
            assert np.mean(off) <= 0.5 * step


def test_a_blocked_static_line():
    """FAA-H-8083-25, flight instruments (restated; data/blockage_facts.csv): altitude and rate stand."""
    columns = laid(Case("", (Laid("", static_trapped, 1500.0),)))
    later = TIMES > 1510.0
    assert len(np.unique(columns["altitude_ft"][later])) == 1
    assert not columns["vsi_fpm"][later].any()
    shown = ~np.isnan(columns["ias_kt"]) & later
    assert shown.any()
    assert np.all(columns["ias_kt"][shown] < record()["ias_kt"][shown])


def test_nothing_shown_is_an_empty_cell(tmp_path: Path):
    columns = laid(Case("", (Laid("", dead, 1500.0),)))
    write(columns, tmp_path / "dead.csv")
    with (tmp_path / "dead.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert [row["ias_kt"] == "" for row in rows] == (TIMES >= 1500.0).tolist()
    read = recording.read(tmp_path / "dead.csv")
    assert read.gaps["ias"] == int(np.sum(TIMES >= 1500.0))


def test_which_cases_can_be_asked_for():
    """All but water in the pitot line: on this airplane it stands 1 cm high and is worth a knot."""
    unseen = {case.faults[0].name for case in (*AIR_DATA, *STANDBY, *BEFORE) if not counts(case)}
    assert unseen == {"water-in-pitot-line"}


def test_the_parts_of_the_untouched_record():
    cuts = healthy_cuts()
    assert len(cuts) >= 6
    assert {len(columns["time_s"]) for columns in cuts.values()} >= {len(TIMES), len(TIMES) // 2}
    for columns in cuts.values():
        assert set(columns) & set(SHOWN)
