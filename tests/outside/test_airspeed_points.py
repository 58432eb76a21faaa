"""Airspeeds at points of the flight envelope, and worked examples.

Points: computed apart from this package with the subsonic and Rayleigh relations of the SFTE handbook,
section 4. Worked examples: Anderson, Introduction to Flight, chapter 4 (from memory); SFTE handbook,
section 4; US Navy training publication P-203.
"""

import math

import pytest

from ramstill import air
from ramstill.air.constants import A0, P0
from ramstill.air.manometer import WATER_REFERENCE_K
from ramstill.air.units import FT, INCH, INHG, KT

PSF = 4.4482216152605 / FT**2  # pound-force a square foot [Pa]; exact by definition of the pound-force
RANKINE = 5.0 / 9.0


def test_impact_pressures(read, residual):
    off = []
    for r in read("cas_qc_computed"):
        q = air.impact_pressure(float(r["cas_kt"]) * KT)
        off.append(abs(q / float(r["qc_Pa"]) - 1.0))
        assert q / INHG == pytest.approx(float(r["qc_inHg"]), abs=6e-5)
        assert air.water_height(q, WATER_REFERENCE_K) / INCH == pytest.approx(
            float(r["qc_inH2O_20C"]), abs=2.1e-3
        )
    residual("impact pressure [-]", max(off), 1e-4)


def test_points(read, residual):
    worst = dict.fromkeys(("qc", "mach", "eas", "tas", "total temperature"), 0.0)
    for r in read("cas_mach_tas_points"):
        h, cas = float(r["pressure_altitude_ft"]) * FT, float(r["cas_kt"]) * KT
        p, t = air.static_pressure(h), air.standard_temperature(h)
        m = air.mach_from_calibrated(cas, p)
        found = {
            "qc": air.impact_pressure(cas) / float(r["qc_Pa"]),
            "mach": m / float(r["mach"]),
            "eas": air.equivalent_airspeed(m, p) / (float(r["eas_kt"]) * KT),
            "tas": air.true_from_calibrated(cas, p, t) / (float(r["tas_kt"]) * KT),
            "total temperature": air.total_temperature(t, m) / float(r["total_temperature_K"]),
        }
        worst = {k: max(worst[k], abs(v - 1.0)) for k, v in found.items()}
    for k, v in worst.items():
        residual(f"{k} [-]", v, 1e-4)  # the digits given


def _worked():
    """What this package gives for each published case, in its unit, by (case, quantity)."""
    p = 2.65e4
    m = air.mach(4.24e4 - p, p)
    book_p0 = 1.01e5  # the book's sea level
    a_cas = air.mach(4.24e4 - p, book_p0) * A0
    rho = air.density(1761 * PSF, 505 * RANKINE)
    b_tas = math.sqrt(2 * (1818 - 1761) * PSF / rho)  # the example is incompressible on purpose
    c_mach = air.mach_from_true_airspeed(4400 * FT, 390 * RANKINE)
    half = 0.5
    return {
        ("Introduction to Flight ch. 4 example A: pitot at 10 km", "mach"): m,
        ("example A", "true airspeed"): air.true_airspeed(m, 230.0),
        ("example A", "calibrated airspeed"): a_cas,
        ("Introduction to Flight ch. 4 example B: altimeter 5000 ft", "true airspeed"): b_tas / FT,
        ("example B", "equivalent airspeed"): b_tas * math.sqrt(rho / 1.225) / FT,
        ("Introduction to Flight ch. 4 example C: 3000 mph, p 151 psf, T 390 R", "mach"): c_mach,
        ("example C", "pitot pressure"): (air.impact_pressure_from_mach(c_mach, 151 * PSF) / PSF) + 151,
        ("flight school notes: CAS formula factor", "k"): A0 * math.sqrt(5) / KT,
        ("flight-test handbook: supersonic limit", "qc_over_p"): air.impact_pressure_from_mach(1.0, 1.0),
        ("flight-test handbook: dynamic-pressure series at M 0.5", "qc_over_q"): (
            air.impact_pressure_from_mach(half, 1.0) / (0.7 * half**2)
        ),
        # the trainee's rule, counted from 29.92 inHg, says 8,800 ft; the standard law differs by 108 ft
        ("US Navy training publication P-203: pressure altitude", "pressure altitude"): (
            10000.0 + air.indicated_altitude(31.12 * INHG, 29.92 * INHG) / FT
        ),
    }


def test_worked_examples(read):
    ours = _worked()
    rows = read("airspeed_altitude_worked_examples")
    cases = {(r["case"], r["quantity"]): r for r in rows}
    assert set(cases) == set(ours)
    for key, r in cases.items():
        navy = key[1] == "pressure altitude"
        published = float(r["recomputed_exact"] if navy else r["published"])
        tolerance = 0.6 if navy else float(r["tolerance"])
        assert ours[key] == pytest.approx(published, abs=tolerance), key


def test_sea_level_speed_of_sound():
    # 661.4788 kt, ICAO Doc 7488/3 value 340.294 m/s
    assert pytest.approx(340.294, abs=5e-4) == A0
    assert air.calibrated_airspeed(0.892929158737855 * P0) == pytest.approx(A0, rel=1e-9)
