"""The air-data computer: pressure transducers, sampled and filtered, shown as digits."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from ramstill.air.units import FPM, FT, KT
from ramstill.airplane.figure import Figure
from ramstill.airplane.on_the_lines import OnTheLines, Shown
from ramstill.airplane.quantity import (
    LengthAboveZero,
    PressureAboveZero,
    SpeedAboveZero,
    Time,
    TimeAboveZero,
    VerticalSpeedAboveZero,
    Volume,
)

_NO_FILTER = Figure(0.0, "assumed", text="0 s")


class AirDataComputer(OnTheLines):
    """Two pressure transducers and what is worked out from them; no capsule, no calibrated leak, no glass.

    Every sample_interval it takes both pressures; the airspeed and the altitude go through a first-order
    filter, the vertical speed is the slope of the altitude through another. Below and above the limits it
    shows nothing, which is not the same as zero.
    """

    kind: Literal["air-data-computer"]
    """what it is"""
    pitot_volume: Volume
    """air in the pitot transducer and its fitting [m3]"""
    static_volume: Volume
    """air in the static transducer and its fitting [m3]"""
    shows: Annotated[tuple[Shown, ...], Field(min_length=1)] = ("airspeed", "altitude", "vertical-speed")
    """what it shows, as digits"""
    sample_interval: TimeAboveZero
    """time between samples [s]"""
    filter_time: Time = _NO_FILTER
    """time constant of the filter of airspeed and altitude [s]"""
    vertical_speed_filter: TimeAboveZero
    """time constant of the filter of the slope of altitude, shown as vertical speed [s]"""
    lowest_airspeed: SpeedAboveZero
    """lowest airspeed shown; nothing below it [m/s]"""
    highest_airspeed: SpeedAboveZero
    """highest airspeed shown [m/s]"""
    highest_altitude: LengthAboveZero
    """highest altitude shown [m]"""
    highest_vertical_speed: VerticalSpeedAboveZero
    """highest climb and descent shown [m/s]"""
    airspeed_step: SpeedAboveZero = Figure(KT, "common practice", text="1 kt")
    """step of the airspeed's digits [m/s]"""
    altitude_step: LengthAboveZero = Figure(10.0 * FT, "common practice", text="10 ft")
    """step of the altitude's digits [m]"""
    vertical_speed_step: SpeedAboveZero = Figure(50.0 * FPM, "common practice", text="50 ft/min")
    """step of the vertical speed's digits [m/s]"""
    setting_lowest: PressureAboveZero
    """lowest setting that can be set [Pa]"""
    setting_highest: PressureAboveZero
    """highest setting that can be set [Pa]"""
    setting_unit: Literal["inHg", "hPa"] = "inHg"
    """what the setting is shown in"""
    unit: Literal["kt", "mph", "km/h"] = "kt"
    """what the airspeed is shown in"""

    @property
    def ports(self) -> tuple[str, ...]:
        return (f"{self.name}.pitot", f"{self.name}.static")

    @property
    def volumes(self) -> dict[str, float]:
        return {
            f"{self.name}.pitot": float(self.pitot_volume),
            f"{self.name}.static": float(self.static_volume),
        }

    @property
    def readings(self) -> dict[str, Shown]:
        return {f"{self.name}.{what}": what for what in self.shows}
