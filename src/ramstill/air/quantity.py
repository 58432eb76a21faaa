"""Quantities as people write them, "3.1 m" or "3/16 in" or "29.92 inHg", read into SI.

Plain spellings of the trade are looked up in a table; any other unit is Pint's to understand. The table holds
nothing that Pint would read differently (the tests compare them); it only spares files with hundreds of
figures the wait.
"""

import math
import re
from functools import lru_cache
from typing import Any, NamedTuple

from ramstill.air import units
from ramstill.air.manometer import WATER_REFERENCE_K, water_pressure
from ramstill.errors import InputError

INH2O = water_pressure(units.INCH, WATER_REFERENCE_K)  # inch of water at 20 degC [Pa]
PSI = units.POUND * units.POUND_FORCE_PER_POUND / units.INCH**2  # pound-force per square inch [Pa]

_LENGTH = {"m": 1.0, "mm": 1e-3, "cm": 1e-2, "km": 1e3, "in": units.INCH, "ft": units.FT, "nmi": units.NMI}
_TIME = {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0}
_PRESSURE = {
    "Pa": 1.0,
    "hPa": units.HPA,
    "mbar": units.HPA,
    "kPa": 1e3,
    "bar": 1e5,
    "psi": PSI,
    "inHg": units.INHG,
    "mmHg": units.INHG / 25.4,
    "inH2O": INH2O,
    "cmH2O": INH2O / 2.54,
    "mmH2O": INH2O / 25.4,
}
_SPEED = {
    "m/s": 1.0,
    "kt": units.KT,
    "km/h": units.KM_H,
    "mph": units.MPH,
    "ft/s": units.FT,
    "ft/min": units.FPM,
    "fpm": units.FPM,
}
_VOLUME = {
    "m3": 1.0,
    "cm3": 1e-6,
    "mm3": 1e-9,
    "l": units.LITRE,
    "L": units.LITRE,
    "ml": 1e-6,
    "mL": 1e-6,
    "in3": units.INCH**3,
    "ft3": units.FT**3,
}
_MASS = {"kg": 1.0, "g": 1e-3, "mg": 1e-6, "lb": units.POUND}
_ANGLE = {"rad": 1.0, "deg": math.pi / 180.0, "°": math.pi / 180.0}


def _per(top: dict[str, float], bottom: dict[str, float]) -> dict[str, float]:
    return {f"{a}/{b}": top[a] / bottom[b] for a in top for b in bottom}


class _Dimension(NamedTuple):
    table: dict[str, float]  # spelling -> factor to SI
    pint: str | None  # SI unit Pint converts to; None where Pint cannot tell the dimension from a bare number
    show: str  # what an error line offers
    bare: bool = False  # a number without a unit is allowed


_DIMENSIONS = {
    "length": _Dimension(_LENGTH, "m", "mm, cm, m, km, in, ft, nmi"),
    "area": _Dimension(
        {"m2": 1.0, "cm2": 1e-4, "mm2": 1e-6, "in2": units.INCH**2, "ft2": units.FT**2},
        "m**2",
        "mm2, cm2, m2, in2, ft2",
    ),
    "volume": _Dimension(_VOLUME, "m**3", "mm3, cm3, ml, l, m3, in3"),
    "time": _Dimension(_TIME, "s", "ms, s, min, h"),
    "frequency": _Dimension({"Hz": 1.0, "kHz": 1e3, "/s": 1.0, "/min": 1 / 60}, None, "Hz, kHz, /s, /min"),
    "speed": _Dimension(_SPEED, "m/s", "kt, mph, km/h, m/s, ft/s, fpm"),
    "vertical speed": _Dimension(_SPEED, "m/s", "fpm, ft/min, m/s, kt"),
    "acceleration": _Dimension(
        {"m/s2": 1.0, "ft/s2": units.FT, "kt/s": units.KT}, "m/s**2", "m/s2, kt/s, ft/s2"
    ),
    "mass": _Dimension(_MASS, "kg", "mg, g, kg, lb"),
    "mass flow": _Dimension(_per(_MASS, _TIME), "kg/s", "kg/s, g/s, mg/s, kg/h, lb/min"),
    "volume flow": _Dimension(_per(_VOLUME, _TIME), "m**3/s", "l/min, cm3/s, cm3/min, m3/s, in3/min"),
    "density": _Dimension({"kg/m3": 1.0, "g/cm3": 1e3, "g/l": 1.0}, "kg/m**3", "kg/m3, g/l, g/cm3"),
    "pressure": _Dimension(_PRESSURE, "Pa", "Pa, hPa, mbar, kPa, psi, inHg, mmHg, inH2O, cmH2O"),
    "pressure rate": _Dimension(_per(_PRESSURE, _TIME), "Pa/s", "Pa/s, hPa/s, hPa/min, inHg/min, inHg/s"),
    "volume per pressure": _Dimension(
        _per(_VOLUME, _PRESSURE), "m**3/Pa", "mm3/Pa, mm3/hPa, cm3/hPa, cm3/kPa, cm3/inHg"
    ),
    "temperature": _Dimension({"K": 1.0}, "K", "degC, °C, degF, K"),
    "temperature difference": _Dimension(
        {"K": 1.0, "degC": 1.0, "°C": 1.0, "degF": 5 / 9, "°F": 5 / 9}, "delta_degC", "degC, °C, degF, K"
    ),
    "power": _Dimension({"W": 1.0, "kW": 1e3}, "W", "W, kW, hp"),
    "force": _Dimension(
        {"N": 1.0, "kN": 1e3, "lbf": units.POUND * units.POUND_FORCE_PER_POUND}, "N", "N, kN, lbf"
    ),
    "angle": _Dimension(_ANGLE, None, "deg, rad"),
    "angular rate": _Dimension(_per(_ANGLE, _TIME), None, "deg/s, deg/min, rad/s"),
    "dimensionless": _Dimension(
        {"": 1.0, "%": 1e-2, "percent": 1e-2}, None, "a plain number, or %", bare=True
    ),
}
DIMENSIONS = tuple(_DIMENSIONS)

_NUMBER = re.compile(
    r"""\s*(?P<sign>[-+−]?)\s*
    (?: (?:(?P<whole>\d{1,4})[ ])?(?P<over>\d{1,4})/(?P<under>\d{1,4})(?=[^\d.]|$)
      | (?P<thousands>\d{1,3}(?:,\d{3})+(?:\.\d*)?)
      | (?P<plain>(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d{1,3})?) )
    \s*(?P<unit>[^\s\d.,+−-](?:.*\S)?)?\s*""",
    re.VERBOSE,
)
_LONGEST = 60  # characters; nobody writes a longer quantity


def allowed(dimension: str) -> str:
    """What may be written for a `dimension`, in words for an error line."""
    d = _DIMENSIONS[dimension]
    return d.show if d.bare else f"a number and a unit of {dimension} ({d.show})"


def parse(text: object, dimension: str, source: str, field: str) -> float:
    """Read one quantity, such as "5,000 ft", "3/16 in" or "-10 degC", and return it in SI.

    `dimension` is one of `DIMENSIONS`. A "temperature" knows where zero is (and stays above absolute zero); a
    "temperature difference" does not. Inches of water are at 20 degC, inches of mercury at 0 degC.
    Numbers without a unit are read only where `dimension` is "dimensionless".
    Raises InputError, naming `source` and `field`, for anything else: no unit, another kind of unit, NaN.
    """
    d = _DIMENSIONS[dimension]
    value: float | None = None
    if d.bare and isinstance(text, int | float) and not isinstance(text, bool):
        value = _float(text)
    elif isinstance(text, str) and len(text) <= _LONGEST and (found := _NUMBER.fullmatch(text)):
        value = _in_si(_magnitude(found), found["unit"] or "", dimension)
    if value is None or not math.isfinite(value) or (dimension == "temperature" and value < 0.0):
        raise InputError(source, field, _quoted(text), allowed(dimension))
    return value


def _float(number: int | float) -> float:
    try:
        return float(number)
    except OverflowError:
        return math.inf


def _magnitude(found: re.Match[str]) -> float:
    if found["over"]:
        under = float(found["under"])
        value = float(found["whole"] or 0) + float(found["over"]) / under if under else math.nan
    else:
        value = float((found["thousands"] or found["plain"]).replace(",", ""))
    return -value if found["sign"] in ("-", "−") else value


def _in_si(value: float, unit: str, dimension: str) -> float | None:
    d = _DIMENSIONS[dimension]
    factor = d.table.get(unit)
    if factor is not None:
        return value * factor
    if dimension == "temperature" and unit in ("degC", "°C"):
        return value + units.CELSIUS_ZERO
    if d.pint is None or not unit or _of_another_kind(unit, dimension):
        return None
    return by_pint(value, unit, dimension)


def _of_another_kind(unit: str, dimension: str) -> bool:
    """Whether a unit is known to measure something else, so that Pint, slow to wake, need not be asked."""
    return dimension != "temperature" and any(unit in other.table for other in _DIMENSIONS.values())


def by_pint(value: float, unit: str, dimension: str) -> float | None:
    """The same figure by Pint alone, or None where Pint finds no such unit or another dimension."""
    registry, target = _registry(), _DIMENSIONS[dimension].pint
    try:
        read = registry.Quantity(value, registry.parse_units(unit))
        if dimension == "temperature difference":
            # "10 degC" as a difference: the size of the degree counts, its zero does not
            zero = registry.Quantity(0.0, read.units)
            return float(read.to("K").magnitude - zero.to("K").magnitude)
        return float(read.to(target).magnitude)
    except (
        Exception
    ):  # Pint lets a dozen kinds of error out, from tokenizer to arithmetic; all mean "not a unit"
        return None


@lru_cache(maxsize=1)
def _registry() -> Any:
    import pint

    # ours replace Pint's own, so that both ways of reading agree to the last digit
    registry: Any = pint.UnitRegistry(cache_folder=None, on_redefinition="ignore")
    for name, factor in (("inHg", units.INHG), ("mmHg", units.INHG / 25.4)):
        registry.define(f"{name} = {factor!r} pascal")
    for name, factor in (("inH2O", INH2O), ("cmH2O", INH2O / 2.54), ("mmH2O", INH2O / 25.4)):
        registry.define(f"{name} = {factor!r} pascal")
    registry.define(f"fpm = {units.FPM!r} meter / second")
    for base in ("mm", "cm", "m", "km", "in", "ft"):
        registry.define(f"{base}2 = {base}**2")
        registry.define(f"{base}3 = {base}**3")
    registry.define("s2 = s**2")
    return registry


def _quoted(text: object) -> str:
    # repr spells out what a terminal cannot show or would obey
    shown = f'"{text}"' if isinstance(text, str) and text.isprintable() else repr(text)
    return shown if len(shown) <= _LONGEST + 2 else shown[:_LONGEST] + "…"
