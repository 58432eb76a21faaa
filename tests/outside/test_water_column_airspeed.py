"""Printed tables of airspeed against water column, 15 to 250 kt, 40 to 290 mph, 60 to 170 km/h.

They name NASA RP-1046 tables A19 and A27 (water at 20 degC, 407.513 inH2O to a standard atmosphere) and the
manual AN 05-10-24 as their standard; read on public pages, the two standards themselves were not seen.
"""

import pytest

from ramstill import air
from ramstill.air.constants import P0
from ramstill.air.manometer import WATER_REFERENCE_K
from ramstill.air.units import INCH, KM_H, KT, MPH


@pytest.mark.parametrize(
    ("unit", "speed", "column", "rows"),
    [("kt", KT, INCH, 33), ("mph", MPH, INCH, 26), ("km/h", KM_H, 0.01, 12)],
)
def test_printed_columns(read, residual, unit, speed, column, rows):
    found = [r for r in read("airspeed_impact_pressure") if r["speed_unit"] == unit]
    assert len(found) == rows
    off, back = [], []
    for r in found:
        height = air.water_height(air.impact_pressure(float(r["indicated_speed"]) * speed), WATER_REFERENCE_K)
        off.append(abs(height / column - float(r["pressure_printed"])))
        shown = air.calibrated_airspeed(
            air.water_pressure(float(r["pressure_printed"]) * column, WATER_REFERENCE_K)
        )
        back.append(abs(shown / speed - float(r["indicated_speed"])))
    residual(
        f"water column at {unit} [printed unit]", max(off), 0.006
    )  # printed to 0.01, so half of it and a bit
    residual(f"airspeed back from the column [{unit}]", max(back), 0.2)  # 0.005 in at 15 kt is 0.25 kt


def test_inches_of_water_in_a_standard_atmosphere(residual):
    # RP-1046 by way of the tables above; Kell's density is 2.6e-6 below the CIPM one
    residual("inH2O per atmosphere", abs(air.water_height(P0, WATER_REFERENCE_K) / INCH - 407.513), 0.002)


@pytest.mark.parametrize(
    ("celsius", "density"),
    [
        (0.0, 999.8428),
        (4.0, 999.9749),
        (10.0, 999.7025),
        (20.0, 998.2067),
        (30.0, 995.6488),
        (40.0, 992.2152),
    ],
)
def test_water_density_against_cipm(celsius, density):
    # Tanaka and others, Metrologia 38 (2001) 301, the formula CIPM recommends; its coefficients:
    a1, a2, a3, a4, a5 = -3.983035, 301.797, 522528.9, 69.34881, 999.974950
    cipm = a5 * (1.0 - (celsius + a1) ** 2 * (celsius + a2) / (a3 * (celsius + a4)))
    assert cipm == pytest.approx(density, abs=2e-3)  # values from memory
    assert air.water_density(celsius + 273.15) == pytest.approx(cipm, abs=0.01)  # Kell's stated accuracy


def test_kell_at_the_boil():
    # Kell 1975 table: 958.364 kg/m3 at 100 degC on the temperature scale of 1968, from memory
    assert air.water_density(373.15) == pytest.approx(958.364, abs=0.01)
