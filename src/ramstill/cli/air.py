"""`ramstill air`: the air at an altitude, and what a speed means there."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ramstill.cli.output import print_json, print_table
from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.air.point import Point

# "-10 degC" is a quantity and not an option
_Quantity = Annotated[str | None, Parameter(allow_leading_hyphen=True)]
_FASTEST = 5.0  # Mach; beyond it air is not a perfect gas any more


def air(
    *,
    altitude: _Quantity = None,
    height: _Quantity = None,
    static_pressure: _Quantity = None,
    setting: _Quantity = None,
    temperature_offset: _Quantity = None,
    oat: _Quantity = None,
    cas: _Quantity = None,
    tas: _Quantity = None,
    eas: _Quantity = None,
    mach: _Quantity = None,
    impact_pressure: _Quantity = None,
    water_temperature: str = "20 degC",
    recovery: str = "1",
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
) -> None:
    """The air at an altitude, and what a speed means there.

    Say where with --altitude, --height or --static-pressure; add one speed if you like. Quantities carry
    their unit: --altitude "5000 ft" --cas "100 kt". Standard day unless you say otherwise; dry air.

    Parameters
    ----------
    altitude
        Pressure altitude, such as "5000 ft": what an altimeter set to 1013.25 hPa shows.
    height
        True height above sea level on the day that --setting and --temperature-offset or --oat describe.
    static_pressure
        Static pressure, such as "843 hPa".
    setting
        Altimeter setting (QNH) at sea level, such as "1003 hPa"; standard if left out.
    temperature_offset
        How much warmer than standard the air is, such as "10 degC" or "-15 degC".
    oat
        Outside air temperature at the point itself, such as "-5 degC"; instead of --temperature-offset.
    cas
        Calibrated airspeed, such as "100 kt".
    tas
        True airspeed.
    eas
        Equivalent airspeed.
    mach
        Mach number, such as "0.78".
    impact_pressure
        Total less static pressure, such as "6.56 inH2O" (of water at 20 degC).
    water_temperature
        Temperature of the water in the manometer whose height is printed.
    recovery
        Recovery factor of the temperature probe: 1 shows total temperature.
    as_json
        Print JSON alone.
    """
    from ramstill.air.manometer import water_density

    where = {"altitude": altitude, "height": height, "static-pressure": static_pressure}
    speeds = {"cas": cas, "tas": tas, "eas": eas, "mach": mach, "impact-pressure": impact_pressure}
    sea_level = _sea_level(setting)
    point, true_height = _point(where, sea_level, temperature_offset, oat)
    point = replace(point, mach=_mach(speeds, point))
    water = _read(water_temperature, "temperature", "water-temperature")
    with _blame("water-temperature", water_temperature):
        water_density(water)
    probe = _read(recovery, "dimensionless", "recovery")
    if not 0.0 <= probe <= 1.0:
        raise InputError("air", "--recovery", recovery, "0 to 1")
    figures = true_height | point.air(sea_level) | point.speeds(water, probe)
    if as_json:
        print_json(figures)
    else:
        print_table("", ("", "SI", "", ""), _rows(figures))


def _read(text: str, dimension: str, option: str) -> float:
    from ramstill.air.quantity import parse

    return parse(text, dimension, "air", f"--{option}")


def _one_of(given: dict[str, str | None], needed: bool = False) -> tuple[str, str]:
    """The one option given and its text; two empty strings if none is and none is needed."""
    found = [(option, text) for option, text in given.items() if text is not None]
    if len(found) > 1 or (needed and not found):
        read = " and ".join(f"--{option}" for option, _ in found) or "none of them"
        names = ", ".join(f"--{option}" for option in given)
        raise InputError("air", "", read, f"{'one' if needed else 'at most one'} of {names}")
    return found[0] if found else ("", "")


@contextmanager
def _blame(option: str, text: str) -> Iterator[None]:
    """Turn a refusal of the physics, which names its range, into one line about an option."""
    try:
        yield
    except ValueError as error:
        raise InputError("air", f"--{option}", text, str(error)) from None


def _sea_level(setting: str | None) -> float:
    from ramstill.air.constants import P0

    read = P0 if setting is None else _read(setting, "pressure", "setting")
    if not 80e3 <= read <= 110e3:
        raise InputError("air", "--setting", setting, "800 hPa to 1100 hPa (23.63 inHg to 32.48 inHg)")
    return read


def _point(
    where: dict[str, str | None], sea_level: float, offset: str | None, oat: str | None
) -> tuple["Point", dict[str, float]]:
    """The air asked for, and its height in the real air if that is how it was given."""
    from ramstill.air import atmosphere
    from ramstill.air.day import Day
    from ramstill.air.point import Point
    from ramstill.air.units import FT

    option, text = _one_of(where, needed=True)
    kind, warmth = _one_of({"temperature-offset": offset, "oat": oat})
    value = _read(text, "pressure" if option == "static-pressure" else "length", option)
    day, real = Day(sea_level), None
    if kind == "temperature-offset":
        warmer = _read(warmth, "temperature difference", kind)
        with _blame(kind, warmth):
            day = Day(sea_level, warmer)
    elif kind == "oat":
        real = _read(warmth, "temperature", kind)
    with _blame(option, text):
        level = value
        if option == "static-pressure":
            level = atmosphere.pressure_altitude(value)
        elif option == "height":
            if real is not None:
                with _blame(kind, warmth):
                    day = Day.from_temperature(real, value, sea_level)
            level = day.pressure_altitude(value)
        pressure = atmosphere.static_pressure(level)
        standard = atmosphere.standard_temperature(level)
    temperature = standard + day.temperature_offset_k if real is None else real
    with _blame(kind, warmth):
        Day(sea_level, temperature - standard)
    return Point(pressure, temperature), {
        "height_m": value,
        "height_ft": value / FT,
    } if option == "height" else {}


def _mach(given: dict[str, str | None], air: "Point") -> float | None:
    from ramstill.air import airspeed

    option, text = _one_of(given)
    if not option:
        return None
    dimension = {"mach": "dimensionless", "impact-pressure": "pressure"}.get(option, "speed")
    value, p, t = _read(text, dimension, option), air.static_pressure_pa, air.temperature_k
    laws: dict[str, Callable[[], float]] = {
        "cas": lambda: airspeed.mach_from_calibrated(value, p),
        "tas": lambda: airspeed.mach_from_true_airspeed(value, t),
        "eas": lambda: airspeed.mach_from_equivalent(value, p),
        "mach": lambda: value,
        "impact-pressure": lambda: airspeed.mach(value, p),
    }
    mach = laws[option]()
    if not 0.0 <= mach <= _FASTEST:
        raise InputError("air", f"--{option}", text, f"Mach 0 to {_FASTEST:g} (here that is Mach {mach:.3g})")
    return mach


def _rows(f: dict[str, float]) -> list[tuple[str, str, str, str]]:
    def length(name: str, key: str) -> tuple[str, str, str, str]:
        return name, f"{f[f'{key}_m']:,.1f} m", f"{f[f'{key}_ft']:,.0f} ft", ""

    def pressure(name: str, key: str) -> tuple[str, str, str, str]:
        pa, hpa, inhg = f[f"{key}_pa"], f[f"{key}_hpa"], f[f"{key}_inhg"]
        return name, f"{pa:,.1f} Pa", f"{hpa:,.3f} hPa", f"{inhg:.4f} inHg"

    def speed(name: str, key: str) -> tuple[str, str, str, str]:
        return name, f"{f[f'{key}_m_s']:,.2f} m/s", f"{f[f'{key}_kt']:,.2f} kt", ""

    warm = f["temperature_above_standard_k"]
    rows = [length("Height above sea level", "height")] if "height_m" in f else []
    rows += [
        length("Pressure altitude", "pressure_altitude"),
        length(f"Altimeter set to {f['altimeter_setting_hpa']:.2f} hPa shows", "indicated_altitude"),
        pressure("Static pressure", "static_pressure"),
        (
            "Temperature",
            f"{f['temperature_k']:.2f} K",
            f"{f['temperature_c']:.2f} °C",
            f"{warm:+.2f} °C on standard",
        ),
        ("Density", f"{f['density_kg_m3']:.5f} kg/m³", "", ""),
        length("Density altitude", "density_altitude"),
        ("Viscosity", f"{f['viscosity_pa_s']:.4e} Pa s", "", ""),
        speed("Speed of sound", "speed_of_sound"),
    ]
    if "mach" in f:
        water = f"{f['impact_pressure_inh2o']:.3f} inH2O"
        rows += [
            speed("Calibrated airspeed", "calibrated_airspeed"),
            speed("Equivalent airspeed", "equivalent_airspeed"),
            speed("True airspeed", "true_airspeed"),
            ("Mach", f"{f['mach']:.5f}", "", ""),
            pressure("Impact pressure", "impact_pressure"),
            (f"  in water at {f['water_temperature_c']:.1f} °C", water, "", ""),
            (
                f"Probe temperature, recovery {f['recovery']:g}",
                f"{f['probe_temperature_k']:.2f} K",
                f"{f['probe_temperature_c']:.2f} °C",
                "",
            ),
        ]
    return rows
