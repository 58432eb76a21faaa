"""An altimeter on a cold day against the table of cold temperature errors.

Source: ICAO Doc 8168 (PANS-OPS) Volume I, Part III, Section 1, Chapter 4, table of values to be added by the
pilot, for an aerodrome at sea level, as it is reprinted as the "ICAO Cold Temperature Error Table" of the
FAA's Aeronautical Information Manual, table 7-3-1; read in two independent public copies of the latter.

The table's temperatures are those at the aerodrome, its heights are true ones above it, and each value is
rounded up to the next ten feet: H (15 - t) / (273 + t - 0.5 x 0.00198 H), with t in degC and H in feet, gives
every cell. It takes the standard lapse of 1.98 K for each 1,000 ft of real height. Ours is as much colder
than standard at every pressure, so that in cold air, which is packed closer, a lapse is gone through in less
height and the column is a little colder on the whole: by 6 ft at -50 degC and 4,000 ft, 1 ft at -20 degC.
"""

import csv
from pathlib import Path

import numpy as np
import pytest

from ramstill.air.units import FT
from ramstill.run.scenario import from_tables

TABLE = Path(__file__).parent / "data" / "cold_temperature_error.csv"
STEP_FT = 10.0  # what it is printed to, and rounded up to
LAPSE_FT = 6.5  # what the other lapse makes at most, see above
SAMPLE_FT = 0.5  # a sample lies up to 1 ft above the height that is meant
STANDARD_C = 15.0


def printed() -> dict[float, list[tuple[float, float]]]:
    """(height, correction) [ft] by aerodrome temperature [degC]."""
    found: dict[float, list[tuple[float, float]]] = {}
    with TABLE.open(newline="", encoding="utf-8") as file:
        for row in csv.DictReader(file):
            temperature = float(row["aerodrome_temperature_c"])
            both = float(row["height_above_setting_source_ft"]), float(row["correction_ft"])
            found.setdefault(temperature, []).append(both)
    return found


@pytest.mark.parametrize(("temperature_c", "cells"), printed().items())
def test_an_altimeter_reads_too_high_by_what_the_table_adds(
    temperature_c: float, cells: list[tuple[float, float]]
) -> None:
    """The account's part of the temperature, in a climb from an airfield at sea level on that day."""
    climb = {"kind": "climb", "to": "7500 ft", "rate": "600 ft/min", "speed": "75 kt"}
    run = from_tables(
        {
            "format": 1,
            "title": "A cold day",
            "airplane": "low-wing-mast",
            "day": {"temperature_offset": f"{temperature_c - STANDARD_C:g} delta_degC"},
            "flight": {"field_elevation": "0 ft", "leg": [{"kind": "take-off"}, climb]},
        },
        "test",
        Path(),
    ).run()
    assert run.truth.outside_temperature_k[0] == pytest.approx(273.15 + temperature_c, abs=0.01)
    height = run.truth.geometric_altitude_m / FT
    times = [float(run.time_s[int(np.argmax(height >= wanted))]) for wanted, _ in cells]
    for (wanted, correction), accounts in zip(cells, run.accounts(times), strict=True):
        account = next(one for one in accounts if one.instrument == "altimeter")
        worked_out = account.part("temperature").value_si / FT
        kelvin = 273.0 + temperature_c - 0.5 * 0.00198 * wanted
        exact = wanted * (STANDARD_C - temperature_c) / kelvin
        assert correction - STEP_FT < exact <= correction
        assert abs(worked_out - exact) < LAPSE_FT, (temperature_c, wanted)
        assert correction - STEP_FT - SAMPLE_FT < worked_out < correction + 0.5 * STEP_FT
        assert account.part("setting").value_si == 0.0
