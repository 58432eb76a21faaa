"""14 CFR Part 43 Appendix E (Amdt 43-49): altimeter test tables, as stored from the eCFR."""

from ramstill import air
from ramstill.air.units import FT, INHG


def test_table_1_pressures(read, residual):
    rows = read("part43_appE_table1_scale_error")
    assert len(rows) == 23
    off = [
        abs(air.static_pressure(float(r["altitude_ft"]) * FT) / INHG - float(r["pressure_inHg_printed"]))
        for r in rows
    ]
    residual("Table I [inHg]", max(off), 0.0006)  # printed to 0.001 inHg


def test_table_1_altitudes(read, residual):
    # 0.0005 inHg of rounding is 0.5 ft at sea level, 1.2 ft at 35,000 ft and 2.4 ft at 50,000 ft
    rows = read("part43_appE_table1_scale_error")
    for top, tolerance in ((35000, 1.3), (50000, 2.4)):
        off = [
            abs(
                air.pressure_altitude(float(r["pressure_inHg_printed"]) * INHG) / FT - float(r["altitude_ft"])
            )
            for r in rows
            if float(r["altitude_ft"]) <= top
        ]
        residual(f"Table I to {top} ft [ft]", max(off), tolerance)


def test_table_4_is_the_altimeter_law(read, residual):
    """A setting moves the pointer by minus its own pressure altitude.

    The row 29.92 is printed as 0: its zero is the setting 29.92, the other rows' zero is 29.9213 inHg. So it
    is compared with 29.92, and the largest difference against that zero is stated as well.
    """
    off, off_from_2992 = [], []
    fixed = air.static_pressure(1000.0)
    base = air.indicated_altitude(fixed, 29.92 * INHG)
    for r in read("part43_appE_table4_baro_scale"):
        setting, printed = float(r["baro_setting_inHg"]), float(r["altitude_difference_ft_printed"])
        shown = air.indicated_altitude(fixed, setting * INHG)
        off_from_2992.append(abs((shown - base) / FT - printed))
        if setting != 29.92:
            off.append(abs((shown - 1000.0) / FT - printed))
    assert len(off) == 7
    residual("Table IV from 29.9213 inHg [ft]", max(off), 0.6)  # printed to 1 ft
    residual("Table IV from 29.92 inHg [ft]", max(off_from_2992), 1.7)  # the rule allows 25 ft


def test_tables_2_and_3_read_and_rise(read):
    """Tolerances only, no standard law to compare: the figures must be whole and in order."""
    friction = [
        (float(r["altitude_ft"]), float(r["tolerance_ft"])) for r in read("part43_appE_table3_friction")
    ]
    assert len(friction) == 12
    assert friction == sorted(friction)
    assert [t for _, t in friction] == sorted(t for _, t in friction)
    tests = {r["test"]: float(r["tolerance_ft"]) for r in read("part43_appE_table2_tests")}
    assert tests == {
        "case_leak": 100,
        "hysteresis_first_point": 75,
        "hysteresis_second_point": 75,
        "after_effect": 30,
    }
