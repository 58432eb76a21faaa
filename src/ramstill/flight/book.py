"""What an airplane's file states as book figures, beside what its flight model makes of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ramstill import air
from ramstill.air.units import FPM, FT, KM_H, KT, MPH
from ramstill.airplane.flying import Climbs, Cruises, Glides, Stall
from ramstill.errors import InputError
from ramstill.flight.point_mass import flyer as flyer_of
from ramstill.flight.point_mass import performance_of
from ramstill.flight.trim import AGREES, level_speed, slowest, trim

if TYPE_CHECKING:
    from ramstill.airplane import Airplane, Figure
    from ramstill.airplane.flying import BookFigure

_UNITS = {"kt": KT, "km/h": KM_H, "mph": MPH, "m/s": 1.0, "ft/min": FPM, "%": 0.01}


@dataclass(frozen=True, slots=True)
class BookRow:
    """One book figure: its kind, what it is in words, stated and worked out, both in `unit`."""

    kind: str
    what: str
    stated: float
    worked_out: float
    unit: str

    @property
    def off(self) -> float:
        """How far off the stated figure the model is, as a share [-]."""
        return self.worked_out / self.stated - 1.0

    @property
    def agrees(self) -> bool:
        """Whether the model is within 3 % of it."""
        return abs(self.off) <= AGREES


def book_figures(plane: Airplane) -> tuple[BookRow, ...]:
    """Every [[performance.book]] figure of an airplane, stated and worked out, on the standard day.

    Stalls are without power at sea level; climbs at one calibrated airspeed. Raises InputError for an
    airplane without [performance], and for a figure that the model cannot fly at all.
    """
    return tuple(_row(plane, number, stated) for number, stated in enumerate(performance_of(plane).book, 1))


def _row(plane: Airplane, number: int, stated: BookFigure) -> BookRow:
    try:
        return _worked_out(plane, stated)
    except InputError as error:
        field = f"performance.book number {number} ({stated.kind}): {error.field}"
        raise InputError(plane.name, field, error.read, error.allowed) from None


def _worked_out(plane: Airplane, stated: BookFigure) -> BookRow:
    if isinstance(stated, Stall):
        unit = _unit(stated.speed, "kt")
        found = slowest(flyer_of(plane), 0.0, stated.flap)
        return _made(stated.kind, f"stall, {_flap(stated.flap)}", stated.speed, found, unit)
    if isinstance(stated, Climbs):
        found = trim(plane, None, _height(stated.altitude), stated.speed, power=stated.power).climb_m_s
        what = f"climb at {_feet(stated.altitude)}, {_speed(stated.speed)}, {_power(stated.power)}"
        return _made(stated.kind, what, stated.rate, found, _unit(stated.rate, "ft/min"))
    if isinstance(stated, Cruises):
        found = level_speed(plane, None, _height(stated.altitude), stated.power)
        what = f"level at {_feet(stated.altitude)}, {_power(stated.power)}"
        return _made(stated.kind, what, stated.speed, found, _unit(stated.speed, "kt"))
    if isinstance(stated, Glides):
        found = -trim(plane, None, 0.0, stated.speed, power=0.0).climb_m_s
        return _made(
            stated.kind,
            f"sinking in a glide, {_speed(stated.speed)}",
            stated.sink,
            found,
            _unit(stated.sink, "ft/min"),
        )
    found = trim(plane, None, 0.0, stated.speed, climb_m_s=-stated.rate, flap=stated.flap, gear=1.0).power
    unit = _unit(stated.rate, "ft/min")
    down = f"{stated.rate / _UNITS[unit]:.4g} {unit} down"
    what = f"approach, {_speed(stated.speed)}, {down}, {_flap(stated.flap)}"
    return _made(stated.kind, what, stated.power, found, "%")


def _made(kind: str, what: str, stated: float, found: float, unit: str) -> BookRow:
    return BookRow(kind, what, float(stated) / _UNITS[unit], float(found) / _UNITS[unit], unit)


def _height(pressure_altitude_m: float) -> float:
    return float(air.geometric_from_geopotential(float(pressure_altitude_m)))


def _unit(figure: Figure, otherwise: str) -> str:
    """The unit that the file states the figure in, where that is a usual one."""
    unit = figure.text.lstrip("+-0123456789., ")
    return unit if unit in _UNITS else otherwise


def _speed(speed: Figure) -> str:
    unit = _unit(speed, "kt")
    return f"{speed / _UNITS[unit]:.4g} {unit}"


def _feet(altitude_m: float) -> str:
    return "sea level" if altitude_m == 0.0 else f"{altitude_m / FT:,.0f} ft"


def _power(power: float) -> str:
    return "full power" if power == 1.0 else f"{100.0 * power:.0f} % power"


def _flap(flap: float) -> str:
    return "flaps up" if flap == 0.0 else "full flap" if flap == 1.0 else f"{100.0 * flap:.0f} % flap"
