"""Instruments that show a rate: what flows through a calibrated leak into a closed space behind it."""

from __future__ import annotations

from typing import Literal

from ramstill.air import constants
from ramstill.airplane.element import Element
from ramstill.airplane.figure import Figure
from ramstill.airplane.on_the_lines import Cased, Shown
from ramstill.airplane.quantity import (
    Area,
    Compliance,
    LengthAboveZero,
    PressureAboveZero,
    SpeedOrZero,
    Time,
    TimeAboveZero,
    VerticalSpeedAboveZero,
    Volume,
)

NO_LAG = Figure(0.0, "assumed", text="0 s")
NO_FRICTION = Figure(0.0, "assumed", text="0 ft/min")
STIFF = Figure(0.0, "assumed", text="0 cm3/hPa")


class CalibratedLeak(Element):
    """The narrow passage between the static line and the vertical speed indicator's case."""

    law: Literal["compensated-laminar", "capillary-and-orifice"]
    """how it flows: made so that the needle is right at any height, or a capillary and an orifice in a row"""
    time_constant: TimeAboveZero
    """how late the case is in a steady climb at full scale, at sea level [s]"""
    full_scale_difference: PressureAboveZero
    """capsule to case, with the pointer at full scale [Pa]"""


class AccelerationPump(Element):
    """The pump of an instantaneous vertical speed indicator: a weighted piston that acceleration moves.

    Upward acceleration a drives the piston so that it pushes air into the case, behind the leak: the pointer
    goes up before the static pressure has had time to fall. The piston is a weight on a spring in a dashpot,
    x' = (travel_per_g * a / g0 - x) / settling_time, and pushes piston_area * x out of its cylinder. It
    cannot tell a climb from a turn: at a steady 2 g it moves too, and the pointer shows a false climb until
    the air it pushed has gone through the leak.
    """

    piston_area: Area
    """of the piston [m2]"""
    travel_per_g: LengthAboveZero
    """how far a lasting acceleration of 1 g moves the piston: its weight over its spring's stiffness [m]"""
    settling_time: TimeAboveZero
    """time constant of the piston: its dashpot's damping over its spring's stiffness [s]"""

    @property
    def flow_per_acceleration(self) -> float:
        """Volume pushed into the case in a second, per upward acceleration, before the spring tells
        [m3/s per m/s2]."""
        return float(self.piston_area) * float(self.travel_per_g) / (constants.G0 * float(self.settling_time))


class VerticalSpeedIndicator(Cased):
    """A capsule on the static line in a case that follows through a calibrated leak."""

    kind: Literal["vertical-speed-indicator"]
    """what it is"""
    capsule_volume: Volume
    """air in the capsule [m3]"""
    capsule_compliance: Compliance = STIFF
    """how much the capsule grows, and the case loses, per pressure difference; 0 for one taken as stiff
    [m3/Pa]"""
    full_scale: VerticalSpeedAboveZero
    """highest climb and descent it can show [m/s]"""
    leak: CalibratedLeak
    """the calibrated leak"""
    instantaneous: AccelerationPump | None = None
    """the pump that makes it an instantaneous vertical speed indicator; without it the pointer is late"""
    lag: Time = NO_LAG
    """time constant of the pointer, beyond that of the leak [s]"""
    friction: SpeedOrZero = NO_FRICTION
    """how far the pointer may stick short [m/s]"""

    @property
    def volumes(self) -> dict[str, float]:
        return {
            f"{self.name}.static": float(self.capsule_volume),
            f"{self.name}.case": float(self.case_volume),
        }

    @property
    def leak_ends(self) -> tuple[str, str]:
        """The tappings before and behind the calibrated leak."""
        return f"{self.name}.static", f"{self.name}.case"

    @property
    def readings(self) -> dict[str, Shown]:
        return {self.name: "vertical-speed"}

    @property
    def made_up_share(self) -> float:
        """How much of the leak's lateness the pump makes up for, at sea level [-]; 0 without a pump.

        In an acceleration a the case must keep rho0 g0 a tau more each second than it has; the pump raises it
        by p0 times its flow over the case's volume.
        """
        if self.instantaneous is None:
            return 0.0
        raised = constants.P0 * self.instantaneous.flow_per_acceleration / float(self.case_volume)
        return raised / (constants.RHO0 * constants.G0 * float(self.leak.time_constant))


class Variometer(Cased):
    """A meter between the outside and a flask: what leaks out of the flask as the sailplane climbs.

    With its probe port on a static line it shows the rate of climb; on a total-energy probe, the rate at
    which height and speed together are gained.
    """

    kind: Literal["variometer"]
    """what it is"""
    case_volume: Volume
    """air in the meter on the probe's side [m3]"""
    flask_volume: Volume
    """air in the flask, its tube and the meter's other side [m3]"""
    full_scale: VerticalSpeedAboveZero
    """highest climb and sink it can show [m/s]"""
    unit: Literal["m/s", "kt", "ft/min"] = "m/s"
    """what the dial is marked in"""
    leak: CalibratedLeak
    """the calibrated leak, from the probe's side into the flask"""
    lag: Time = NO_LAG
    """time constant of the pointer, beyond that of the leak [s]"""
    friction: SpeedOrZero = NO_FRICTION
    """how far the pointer may stick short [m/s]"""

    @property
    def ports(self) -> tuple[str, ...]:
        return (f"{self.name}.probe",)

    @property
    def volumes(self) -> dict[str, float]:
        return {
            f"{self.name}.probe": float(self.case_volume),
            f"{self.name}.flask": float(self.flask_volume),
        }

    @property
    def leak_ends(self) -> tuple[str, str]:
        """The tappings before and behind the calibrated leak."""
        return f"{self.name}.probe", f"{self.name}.flask"

    @property
    def readings(self) -> dict[str, Shown]:
        return {self.name: "vertical-speed"}
