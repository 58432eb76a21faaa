"""Instruments: what hangs on the lines and turns pressures into pointers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from ramstill.air.units import KT
from ramstill.airplane.air_data import AirDataComputer
from ramstill.airplane.figure import Figure
from ramstill.airplane.on_the_lines import Cased, Shown
from ramstill.airplane.quantity import (
    Compliance,
    Length,
    LengthAboveZero,
    LengthOrZero,
    PressureAboveZero,
    Share,
    Speed,
    SpeedAboveZero,
    SpeedOrZero,
    Time,
    Volume,
)
from ramstill.airplane.rates import NO_LAG, STIFF, Variometer, VerticalSpeedIndicator

_BELOW_ZERO_STOP = Figure(20.0 * KT, "assumed", text="20 kt")
_NO_FRICTION_SPEED = Figure(0.0, "assumed", text="0 kt")
_NO_FRICTION_HEIGHT = Figure(0.0, "assumed", text="0 ft")
_NO_SHARE = Figure(0.0, "assumed", text="0")


class AirspeedIndicator(Cased):
    """A capsule on the pitot line in a case on the static line; shows their difference as airspeed."""

    kind: Literal["airspeed-indicator"]
    """what it is"""
    capsule_volume: Volume
    """air in the capsule [m3]"""
    capsule_compliance: Compliance = STIFF
    """how much the capsule grows, and the case loses, per pressure difference; 0 for one taken as stiff
    [m3/Pa]"""
    top_mark: SpeedAboveZero
    """highest mark [m/s]"""
    lowest_mark: SpeedOrZero
    """lowest mark above zero [m/s]"""
    unit: Literal["kt", "mph", "km/h"] = "kt"
    """what the dial is marked in"""
    below_zero: Literal["pins", "goes-below"] = "pins"
    """what the pointer does when static is above pitot: rests on its pin at zero, or goes below"""
    below_zero_stop: SpeedAboveZero = _BELOW_ZERO_STOP
    """how far below zero the stop is of a pointer that goes below [m/s]"""
    lag: Time = NO_LAG
    """time constant of the pointer [s]"""
    friction: SpeedOrZero = _NO_FRICTION_SPEED
    """how far the pointer may stick short [m/s]"""
    scale_error: tuple[tuple[Speed, Speed], ...] = ()
    """rows of a true and the amount the pointer shows above it there [m/s]"""

    @property
    def lowest_reading(self) -> float:
        """The stop at the lower end of the scale [m/s]."""
        return 0.0 if self.below_zero == "pins" else -float(self.below_zero_stop)

    @property
    def ports(self) -> tuple[str, ...]:
        return (f"{self.name}.pitot", f"{self.name}.static")

    @property
    def volumes(self) -> dict[str, float]:
        return {
            f"{self.name}.pitot": float(self.capsule_volume),
            f"{self.name}.static": float(self.case_volume),
        }

    @property
    def readings(self) -> dict[str, Shown]:
        return {self.name: "airspeed"}


class Altimeter(Cased):
    """A sealed capsule in a case fed by the static line, with a setting."""

    kind: Literal["altimeter"]
    """what it is"""
    capsule_compliance: Compliance = STIFF
    """how much the sealed capsules grow, and the case loses, as the pressure around them falls; 0 for ones
    taken as stiff [m3/Pa]"""
    top_mark: LengthAboveZero
    """highest altitude it can show [m]"""
    setting_lowest: PressureAboveZero
    """lowest setting the window can show [Pa]"""
    setting_highest: PressureAboveZero
    """highest setting the window can show [Pa]"""
    setting_unit: Literal["inHg", "hPa"] = "inHg"
    """what the window is marked in"""
    lag: Time = NO_LAG
    """time constant of the pointer [s]"""
    friction: LengthOrZero = _NO_FRICTION_HEIGHT
    """how far the pointer may stick short, not vibrated [m]"""
    vibrator: Annotated[bool, Field(strict=True)] = False
    """whether a vibrator in it frees the pointer from friction; an engine's shaking may do the same"""
    hysteresis: Share = _NO_SHARE
    """largest gap between its readings on the way up and on the way down, per altitude reached [-]"""
    scale_error: tuple[tuple[Length, Length], ...] = ()
    """rows of a true and the amount the pointer shows above it there [m]"""

    @property
    def readings(self) -> dict[str, Shown]:
        return {self.name: "altitude"}


class Encoder(Cased):
    """Reports pressure altitude in steps to the transponder; has no setting and no pointer."""

    kind: Literal["encoder"]
    """what it is"""
    step: LengthAboveZero
    """size of a reported step [m]"""

    @property
    def readings(self) -> dict[str, Shown]:
        return {self.name: "altitude"}


Instrument = Annotated[
    AirspeedIndicator | Altimeter | VerticalSpeedIndicator | Encoder | Variometer | AirDataComputer,
    Field(discriminator="kind"),
]
