"""Feet of altitude per knot of airspeed error: SFTE handbook, section 4, chart "Altimeter Correction per Knot
Airspeed Correction". A static error moves airspeed and altimeter together: dp = -rho g dH = dq.

The handbook's printed fit has the opposite sign of its chart and is up to 17 % low at 100 kt, sea level; it
is not used.
"""

from ramstill import air
from ramstill.air.units import FT, KT


def _feet_per_knot(pressure_altitude_ft, cas_kt):
    p, d = air.static_pressure(pressure_altitude_ft * FT), 0.01 * KT
    rise = air.impact_pressure(cas_kt * KT + d) - air.impact_pressure(cas_kt * KT - d)
    # total pressure stays, so static falls by what impact pressure rises
    return (air.pressure_altitude(p - rise / 2) - air.pressure_altitude(p + rise / 2)) / FT / 0.02


def test_derivative_and_chart(read, residual):
    exact, chart = [], []
    for r in read("position_error_altitude_per_knot"):
        ours = _feet_per_knot(float(r["pressure_altitude_ft"]), float(r["cas_kt"]))
        exact.append(abs(ours / float(r["dH_per_kt_exact_ft"]) - 1.0))
        if r["handbook_chart_reading_ft"]:
            chart.append(abs(ours - float(r["handbook_chart_reading_ft"])))
    assert len(chart) == 8
    residual("feet per knot, computed column [-]", max(exact), 1e-4)  # four digits given
    residual("feet per knot, chart read by eye [ft]", max(chart), 2.0)
