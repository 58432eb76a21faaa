"""`ramstill air`, as a user types it."""

import json

import pytest

from ramstill.cli import main


def figures(capsys, *arguments):
    assert main(["air", *arguments, "--json"]) == 0
    out = capsys.readouterr()
    assert out.err == ""
    return json.loads(out.out)


def test_standard_day_and_a_speed(capsys):
    f = figures(capsys, "--altitude", "10000 ft", "--cas", "250 kt")
    # published points, tests/outside/data/cas_mach_tas_points.csv
    assert f["mach"] == pytest.approx(0.45228, abs=1e-5)
    assert f["true_airspeed_kt"] == pytest.approx(288.70, abs=0.006)
    assert f["equivalent_airspeed_kt"] == pytest.approx(248.10, abs=0.006)
    assert f["static_pressure_inhg"] == pytest.approx(20.577, abs=0.0006)
    assert f["impact_pressure_inh2o"] == pytest.approx(42.22, abs=0.006)
    assert f["density_altitude_ft"] == pytest.approx(10000.0, abs=1e-6)


@pytest.mark.parametrize(
    ("option", "key", "unit"),
    [
        ("--cas", "calibrated_airspeed_kt", "kt"),
        ("--tas", "true_airspeed_kt", "kt"),
        ("--eas", "equivalent_airspeed_kt", "kt"),
        ("--mach", "mach", ""),
        ("--impact-pressure", "impact_pressure_inhg", "inHg"),
    ],
)
def test_any_speed_gives_the_same_point(capsys, option, key, unit):
    place = ("--altitude", "-500 ft", "--temperature-offset", "-12 degC")
    first = figures(capsys, *place, "--cas", "143 kt")
    again = figures(capsys, *place, option, f"{first[key]!r} {unit}".strip())
    assert again == pytest.approx(first, rel=1e-9)


def test_height_on_a_day_is_where_the_day_puts_it(capsys):
    f = figures(capsys, "--height", "5000 ft", "--setting", "1003 hPa", "--oat", "30 degC")
    assert f["temperature_c"] == pytest.approx(30.0, abs=1e-9)
    assert f["height_ft"] == pytest.approx(5000.0)
    assert f["indicated_altitude_ft"] < 5000.0  # warm air: the altimeter reads low
    offset = f"{f['temperature_above_standard_k']!r} K"
    again = figures(capsys, "--height", "5000 ft", "--setting", "1003 hPa", "--temperature-offset", offset)
    assert again == pytest.approx(f, rel=1e-9)
    back = figures(capsys, "--static-pressure", f"{f['static_pressure_pa']!r} Pa", "--oat", "30 degC")
    assert back["density_altitude_ft"] == pytest.approx(f["density_altitude_ft"], rel=1e-9)


def test_without_a_speed_no_speeds(capsys):
    f = figures(capsys, "--altitude", "0 ft")
    assert "mach" not in f
    assert f["static_pressure_pa"] == 101325.0


def test_table(capsys):
    assert main(["air", "--altitude", "0 ft", "--cas", "100 kt", "--water-temperature", "30 degC"]) == 0
    out = capsys.readouterr().out
    for piece in ("101,325.0 Pa", "29.9213 inHg", "15.00 °C", "661.48 kt", "6.574 inH2O", "100.00 kt"):
        assert piece in out, piece


@pytest.mark.parametrize(
    ("arguments", "piece"),
    [
        ([], "one of --altitude, --height, --static-pressure"),
        (["--altitude", "5000"], '--altitude: read "5000"; allowed: a number and a unit of length'),
        (["--altitude", "-9000 ft"], "-2000 m and 47000 m"),
        (["--altitude", "0 ft", "--height", "3 m"], "read --altitude and --height"),
        (["--altitude", "0 ft", "--cas", "9 kt", "--tas", "9 kt"], "at most one of --cas"),
        (["--altitude", "0 ft", "--cas", "9 kg"], "unit of speed"),
        (["--altitude", "0 ft", "--cas", "-9 kt"], "Mach 0 to 5"),
        (["--altitude", "0 ft", "--mach", "7"], "Mach 0 to 5"),
        (["--altitude", "0 ft", "--oat", "200 degC"], "--oat: read 200 degC"),
        (["--altitude", "0 ft", "--oat", "2 degC", "--temperature-offset", "3 K"], "at most one of"),
        (["--height", "3000 ft", "--oat", "200 degC"], "--oat: read 200 degC"),
        (["--height", "3000 ft", "--temperature-offset", "-101 K"], "--temperature-offset"),
        (["--height", "200000 ft"], "--height"),
        (["--static-pressure", "-3 Pa"], "110.91 Pa"),
        (["--static-pressure", "3 bar"], "--static-pressure"),
        (["--altitude", "0 ft", "--setting", "29.92 hPa"], "800 hPa to 1100 hPa"),
        (["--altitude", "0 ft", "--cas", "9 kt", "--water-temperature", "-3 degC"], "--water-temperature"),
        (["--altitude", "0 ft", "--recovery", "2"], "0 to 1"),
    ],
)
def test_bad_input_is_one_line_and_exit_2(capsys, arguments, piece):
    assert main(["air", *arguments]) == 2
    out = capsys.readouterr()
    assert out.out == ""
    assert out.err.count("\n") == 1
    assert piece in out.err
