"""US Standard Atmosphere 1976 / ICAO Doc 7488/3 rows, -1,000 ft to 20 km.

Printed T, p, rho and inHg: the tables "1976 US Standard Atmosphere" in section 3 of the handbook of the
Society of Flight Test Engineers (SFTE). Doc 7488 itself was not seen; 15 km and 20 km rows are from memory.
"""

import pytest

from ramstill import air
from ramstill.air.units import FT, INHG


def _printed(read):
    return [r for r in read("standard_atmosphere") if r["p_Pa_printed"]]


def test_printed_pressure(read, residual):
    # the gas constant of 1976 is 7e-7 above Doc 7488's: up to 0.025 Pa, and the print's last digit is 0.01 Pa
    off = [
        abs(air.static_pressure(float(r["geopotential_altitude_ft"]) * FT) - float(r["p_Pa_printed"]))
        for r in _printed(read)
    ]
    residual("printed pressure [Pa]", max(off), 0.05)


def test_printed_pressure_in_inches(read, residual):
    # the same in inches: 0.03 Pa is 0.9e-5 inHg, and half the last digit is 0.5e-5
    off = [
        abs(
            air.static_pressure(float(r["geopotential_altitude_ft"]) * FT) / INHG - float(r["p_inHg_printed"])
        )
        for r in _printed(read)
    ]
    residual("printed pressure [inHg]", max(off), 2e-5)


def test_printed_temperature(read, residual):
    off = [
        abs(air.standard_temperature(float(r["geopotential_altitude_ft"]) * FT) - float(r["T_K_printed"]))
        for r in _printed(read)
    ]
    residual("printed temperature [K]", max(off), 0.00051)  # half the last digit


def test_printed_density(read, residual):
    off = [
        abs(air.standard_density(float(r["geopotential_altitude_ft"]) * FT) - float(r["rho_printed"]))
        for r in _printed(read)
    ]
    residual("printed density [kg/m3]", max(off), 1.1e-6)  # the last digit


def test_every_row(read, residual):
    """Columns computed with the library `ambiance`, and the rows at 11, 15 and 20 km."""
    worst = {"p [Pa]": 0.0, "T [K]": 0.0, "rho [kg/m3]": 0.0, "a [m/s]": 0.0, "mu [-]": 0.0}
    for r in read("standard_atmosphere"):
        h = float(r["geopotential_altitude_m"])
        t = air.standard_temperature(h)
        found = {
            "p [Pa]": air.static_pressure(h) - float(r["p_Pa"]),
            "T [K]": t - float(r["T_K"]),
            "rho [kg/m3]": air.standard_density(h) - float(r["rho_kg_m3"]),
            "a [m/s]": air.speed_of_sound(t) - float(r["a_m_s"]),
            "mu [-]": air.viscosity(t) / float(r["mu_Pa_s"]) - 1.0,
        }
        worst = {k: max(worst[k], abs(found[k])) for k in worst}
    tolerance = {"p [Pa]": 0.05, "T [K]": 0.001, "rho [kg/m3]": 2e-6, "a [m/s]": 0.01, "mu [-]": 1e-4}
    for k in worst:
        residual(k, worst[k], tolerance[k])


@pytest.mark.parametrize(("height_km", "pressure"), [(-2.0, 127774.0), (32.0, 868.02), (47.0, 110.91)])
def test_ends_of_layers(height_km, pressure):
    # ICAO Doc 7488/3 table 1, from memory; tolerance half the digits given
    assert air.static_pressure(height_km * 1e3) == pytest.approx(pressure, rel=5e-5)
