"""Quantities in words: what is read, what is refused, and that Pint would read the same."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.air import quantity, units
from ramstill.air.manometer import water_pressure
from ramstill.air.quantity import DIMENSIONS, parse
from ramstill.errors import InputError

SPELLINGS = [
    (name, unit, factor)
    for name, d in quantity._DIMENSIONS.items()
    if d.pint is not None
    for unit, factor in d.table.items()
]


def test_pint_reads_every_spelling_of_the_table_the_same():
    for name, unit, factor in SPELLINGS:
        assert quantity.by_pint(1.0, unit, name) == pytest.approx(factor, rel=1e-12), (name, unit)
    for celsius in (-40.0, 0.0, 15.0):
        for unit in ("degC", "°C"):
            assert quantity.by_pint(celsius, unit, "temperature") == pytest.approx(
                celsius + 273.15, rel=1e-12
            )


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("3.1 m", "length", 3.1),
        ("0.18 in", "length", 0.18 * units.INCH),
        ("0.18in", "length", 0.18 * units.INCH),
        ("3/16 in", "length", 3 / 16 * units.INCH),
        ("1 3/8 in", "length", 1.375 * units.INCH),
        ("5,000 ft", "length", 5000 * units.FT),
        ("2e3 mm", "length", 2.0),
        ("30 feet", "length", 30 * units.FT),
        ("2 inches", "length", 2 * units.INCH),
        (" -7 mm ", "length", -0.007),
        ("−7 mm", "length", -0.007),
        (".5 m", "length", 0.5),
        ("5. m", "length", 5.0),
        ("100 kt", "speed", 100 * units.KT),
        ("100 knots", "speed", 100 * units.KT),
        ("100 mph", "speed", 100 * units.MPH),
        ("-500 fpm", "vertical speed", -500 * units.FPM),
        ("500 ft/min", "vertical speed", 500 * units.FPM),
        ("29.92 inHg", "pressure", 29.92 * units.INHG),
        ("1013.25 hPa", "pressure", 101325.0),
        ("1013.25 mbar", "pressure", 101325.0),
        ("1 psi", "pressure", 6894.757293168362),
        ("1 lbf/in**2", "pressure", 6894.757293168362),
        ("1 inH2O", "pressure", water_pressure(units.INCH, 293.15)),
        ("15 degC", "temperature", 288.15),
        ("59 degF", "temperature", 288.15),
        ("-40 °F", "temperature", 233.15),
        ("288.15 K", "temperature", 288.15),
        ("10 degC", "temperature difference", 10.0),
        ("-10 °C", "temperature difference", -10.0),
        ("18 degF", "temperature difference", 10.0),
        ("10 delta_degC", "temperature difference", 10.0),
        ("10 K", "temperature difference", 10.0),
        ("80 cm3", "volume", 80e-6),
        ("0.25 l", "volume", 0.25e-3),
        ("5 cm^3", "volume", 5e-6),
        ("2 min", "time", 120.0),
        ("90 deg", "angle", math.pi / 2),
        ("3 deg/s", "angular rate", math.radians(3.0)),
        ("12 g/s", "mass flow", 0.012),
        ("2 mm2", "area", 2e-6),
        ("8 Hz", "frequency", 8.0),
        ("60 /min", "frequency", 1.0),
        ("1 hp", "power", 745.6998715822702),
        ("1 inHg/min", "pressure rate", units.INHG / 60),
        ("3 mm3/Pa", "volume per pressure", 3e-9),
        ("0.5", "dimensionless", 0.5),
        (0.5, "dimensionless", 0.5),
        (3, "dimensionless", 3.0),
        ("50 %", "dimensionless", 0.5),
        ("50%", "dimensionless", 0.5),
    ],
)
def test_read(text, dimension, si):
    assert parse(text, dimension, "a.toml", "field") == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "dimension"),
    [
        ("3.1", "length"),
        (3.1, "length"),
        (3, "pressure"),
        ("3,1 m", "length"),
        ("1,00 m", "length"),
        ("nan m", "length"),
        ("inf m", "length"),
        ("1e999 m", "length"),
        ("3 kg", "length"),
        ("3 m/s", "length"),
        ("3 furlongsss", "length"),
        ("m", "length"),
        ("", "length"),
        ("3 m 4", "length"),
        ("3--4 m", "length"),
        ("1 m; import os", "length"),
        ("1 m**99999999", "length"),
        ("1 m/0", "length"),
        ("3 (m", "length"),
        ("1 __class__", "length"),
        ("1/0 in", "length"),
        ("1" * 200 + " m", "length"),
        (None, "length"),
        (True, "length"),
        (["3 m"], "length"),
        (True, "dimensionless"),
        (math.nan, "dimensionless"),
        (10**400, "dimensionless"),
        ("1 deg", "dimensionless"),
        ("5 %", "angle"),
        ("5", "angle"),
        ("5 rad/s", "frequency"),
        ("-300 degC", "temperature"),
        ("-1 K", "temperature"),
        ("10 degC degC", "temperature"),
        ("10 degC/s", "temperature difference"),
        ("1 m", "temperature difference"),
    ],
)
def test_refused_in_one_line(text, dimension):
    with pytest.raises(InputError) as caught:
        parse(text, dimension, "plane.toml", "lines.pitot.length")
    line = caught.value.line()
    assert "\n" not in line
    assert len(line) < 300
    assert line.startswith("plane.toml: lines.pitot.length: read ")
    assert quantity.allowed(dimension) in line


def test_what_is_offered_is_read():
    for name in DIMENSIONS:
        d = quantity._DIMENSIONS[name]
        if not d.bare:
            for unit in d.show.split(", "):
                assert math.isfinite(parse(f"1 {unit}", name, "s", "f")), (name, unit)


@settings(deadline=None, derandomize=True, max_examples=200)
@given(
    st.text(max_size=40) | st.from_regex(r"[-+]?[0-9./, e]{1,8} ?[a-zA-Z/*^()0-9°%]{0,10}", fullmatch=True),
    st.sampled_from(DIMENSIONS),
)
def test_any_text_gives_a_finite_number_or_one_line(text, dimension):
    try:
        assert math.isfinite(parse(text, dimension, "s", "f"))
    except InputError as error:
        line = error.line()
    else:
        return
    assert line.isprintable()


def test_plain_spellings_do_not_wait_for_pint():
    import subprocess
    import sys

    code = (
        "import sys; from ramstill.air import parse; parse('3/16 in', 'length', 's', 'f'); "
        "assert 'pint' not in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)


@pytest.mark.parametrize("dimension", [d for d in quantity.DIMENSIONS if d != "temperature"])
def test_a_unit_of_another_kind_needs_no_pint(dimension: str) -> None:
    # what is refused without asking Pint is what Pint would refuse
    tables = {name: set(quantity._DIMENSIONS[name].table) for name in quantity.DIMENSIONS}
    others = set().union(*tables.values()) - tables[dimension] - {""}
    if quantity._DIMENSIONS[dimension].pint is not None:
        assert all(quantity.by_pint(1.0, unit, dimension) is None for unit in others)
