"""What a pressurised cabin and a total-energy probe meet in flight."""

import numpy as np
import pytest

from ramstill import air, airplane
from ramstill.air.constants import GAMMA, P0, R_AIR
from ramstill.air.units import FT, KT
from ramstill.flight.outside import boundary_names, pressures
from ramstill.pneumatics import Truth

PRESSURISED = {
    "airplane_altitude": "0, 10000, 30000 ft",
    "cabin_altitude": "0, 1000, 8000 ft",
    "maximum_differential": "7 psi",
}


def truth(altitude_ft, cas_kt):
    altitude = np.asarray(altitude_ft, dtype=float) * FT
    time = np.arange(len(altitude), dtype=float)
    static = np.asarray(air.static_pressure(altitude))
    impact = np.asarray(air.impact_pressure(np.broadcast_to(np.asarray(cas_kt) * KT, altitude.shape)))
    return Truth.steady(time, static_pressure_pa=static, impact_pressure_pa=impact)


def column(plane, name, where):
    return pressures(plane, where)[:, boundary_names(plane).index(name)]


def test_a_pressurised_cabin_goes_by_its_schedule():
    table = airplane.table("twin-two-ports")
    table["inside"]["pressurisation"] = PRESSURISED
    plane = airplane.from_dict(table)
    where = truth([0.0, 5000.0, 10_000.0, 30_000.0, 40_000.0], 150.0)
    for name in ("cabin", "alternate-static"):  # the alternate source breathes cabin air
        cabin = column(plane, name, where)
        at_ft = np.asarray(air.pressure_altitude(cabin)) / FT
        assert at_ft[:4] == pytest.approx([0.0, 500.0, 1000.0, 8000.0], abs=0.01)
        assert cabin[4] - where.static_pressure_pa[4] == pytest.approx(48263.3, abs=0.1)  # 7 psi
    assert column(plane, "wing-bay", where) == pytest.approx(
        where.static_pressure_pa - 0.03 * where.impact_pressure_pa, rel=1e-12
    )


def test_a_cabin_without_pressurisation_goes_by_its_coefficient():
    plane = airplane.load("twin-two-ports")
    where = truth([0.0, 10_000.0], 150.0)
    wanted = where.static_pressure_pa - 0.045 * where.impact_pressure_pa
    assert column(plane, "cabin", where) == pytest.approx(wanted, rel=1e-12)


def test_a_total_energy_probe_falls_by_half_rho_v_squared():
    """Height and speed together are one energy, g h + V^2 / 2, and that is what the probe feels."""
    table = airplane.table("twin-two-ports")
    probe = {"name": "probe", "kind": "total-energy-probe", "sees": "total-energy", "bore": "2 mm"}
    table["opening"].append({**probe, "into": "static-manifold", "at": "2, 0, 1.5 m", "depth": "2 mm"})
    plane = airplane.from_dict(table)
    cas, altitude = np.array([60.0, 60.0, 90.0, 220.0]), np.array([0.0, 15_000.0, 8000.0, 20_000.0])
    where = truth(altitude, cas)
    mach = np.asarray(air.mach(where.impact_pressure_pa, where.static_pressure_pa))
    temperature = np.asarray(air.standard_temperature(altitude * FT))
    density = where.static_pressure_pa / (R_AIR * temperature)
    speed = mach * np.sqrt(GAMMA * R_AIR * temperature)
    wanted = where.static_pressure_pa - 0.5 * density * speed**2
    assert column(plane, "probe", where) == pytest.approx(wanted, rel=1e-12)
    assert wanted[0] == pytest.approx(
        P0 - 0.5 * 1.225 * (60.0 * KT) ** 2, rel=1e-6
    )  # at sea level CAS is TAS
