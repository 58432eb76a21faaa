"""Instruments: what hangs on the lines and turns pressures into pointers."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from ramstill.airplane.element import Element, Named
from ramstill.airplane.figure import Figure
from ramstill.airplane.quantity import (
    Length,
    LengthAboveZero,
    LengthOrZero,
    Place,
    PressureAboveZero,
    Speed,
    SpeedAboveZero,
    SpeedOrZero,
    Time,
    TimeAboveZero,
    VerticalSpeedAboveZero,
    Volume,
)

_NO_LAG = Figure(0.0, "assumed", text="0 s")
_NO_FRICTION_SPEED = Figure(0.0, "assumed", text="0 kt")
_NO_FRICTION_HEIGHT = Figure(0.0, "assumed", text="0 ft")


class _OnTheLines(Named):
    at: Place
    """where it sits in the panel; its ports are taken to be there [m]"""
    case_volume: Volume
    """air in the case around the capsule [m3]"""
    surrounded_by: Literal["cabin"] = "cabin"
    """the air around the case, which comes in where its glass breaks"""

    @property
    def ports(self) -> tuple[str, ...]:
        """Ports a line can end at, such as "airspeed.pitot"."""
        return (f"{self.name}.static",)

    @property
    def volumes(self) -> dict[str, float]:
        """Air at each tapping the instrument makes, at rest [m3]."""
        return {f"{self.name}.static": float(self.case_volume)}


class AirspeedIndicator(_OnTheLines):
    """A capsule on the pitot line in a case on the static line; shows their difference as airspeed."""

    kind: Literal["airspeed-indicator"]
    """what it is"""
    capsule_volume: Volume
    """air in the capsule [m3]"""
    top_mark: SpeedAboveZero
    """highest mark [m/s]"""
    lowest_mark: SpeedOrZero
    """lowest mark above zero [m/s]"""
    unit: Literal["kt", "mph", "km/h"] = "kt"
    """what the dial is marked in"""
    below_zero: Literal["pins", "goes-below"] = "pins"
    """what the pointer does when static is above pitot: rests on its pin at zero, or goes below"""
    lag: Time = _NO_LAG
    """time constant of the pointer [s]"""
    friction: SpeedOrZero = _NO_FRICTION_SPEED
    """how far the pointer may stick short [m/s]"""
    scale_error: tuple[tuple[Speed, Speed], ...] = ()
    """rows of a true and the amount the pointer shows above it there [m/s]"""

    @property
    def ports(self) -> tuple[str, ...]:
        return (f"{self.name}.pitot", f"{self.name}.static")

    @property
    def volumes(self) -> dict[str, float]:
        return {
            f"{self.name}.pitot": float(self.capsule_volume),
            f"{self.name}.static": float(self.case_volume),
        }


class Altimeter(_OnTheLines):
    """A sealed capsule in a case fed by the static line, with a setting."""

    kind: Literal["altimeter"]
    """what it is"""
    top_mark: LengthAboveZero
    """highest altitude it can show [m]"""
    setting_lowest: PressureAboveZero
    """lowest setting the window can show [Pa]"""
    setting_highest: PressureAboveZero
    """highest setting the window can show [Pa]"""
    setting_unit: Literal["inHg", "hPa"] = "inHg"
    """what the window is marked in"""
    lag: Time = _NO_LAG
    """time constant of the pointer [s]"""
    friction: LengthOrZero = _NO_FRICTION_HEIGHT
    """how far the pointer may stick short [m]"""
    scale_error: tuple[tuple[Length, Length], ...] = ()
    """rows of a true and the amount the pointer shows above it there [m]"""


class CalibratedLeak(Element):
    """The narrow passage between the static line and the vertical speed indicator's case."""

    law: Literal["compensated-laminar", "capillary-and-orifice"]
    """how it flows: made so that the needle is right at any height, or a capillary and an orifice in a row"""
    time_constant: TimeAboveZero
    """how late the case is in a steady climb at full scale, at sea level [s]"""
    full_scale_difference: PressureAboveZero
    """capsule to case, with the pointer at full scale [Pa]"""


class VerticalSpeedIndicator(_OnTheLines):
    """A capsule on the static line in a case that follows through a calibrated leak."""

    kind: Literal["vertical-speed-indicator"]
    """what it is"""
    capsule_volume: Volume
    """air in the capsule [m3]"""
    full_scale: VerticalSpeedAboveZero
    """highest climb and descent it can show [m/s]"""
    leak: CalibratedLeak
    """the calibrated leak"""
    lag: Time = _NO_LAG
    """time constant of the pointer, beyond that of the leak [s]"""
    friction: SpeedOrZero = Figure(0.0, "assumed", text="0 ft/min")
    """how far the pointer may stick short [m/s]"""

    @property
    def volumes(self) -> dict[str, float]:
        return {
            f"{self.name}.static": float(self.capsule_volume),
            f"{self.name}.case": float(self.case_volume),
        }


class Encoder(_OnTheLines):
    """Reports pressure altitude in steps to the transponder; has no setting and no pointer."""

    kind: Literal["encoder"]
    """what it is"""
    step: LengthAboveZero
    """size of a reported step [m]"""


Instrument = Annotated[
    AirspeedIndicator | Altimeter | VerticalSpeedIndicator | Encoder, Field(discriminator="kind")
]
