"""The airplane around its plumbing: outline, wing, speeds, and the air inside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.airplane.element import Element
from ramstill.airplane.figure import Figure
from ramstill.airplane.pressurisation import Pressurisation
from ramstill.airplane.quantity import (
    Angle,
    Area,
    Mass,
    Number,
    PerAngle,
    Polygon,
    SpeedAboveZero,
    Temperature,
    VerticalSpeedAboveZero,
)

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray


class Outline(Element):
    """Closed polygons for drawing; the only thing computed from them is whether parts lie on the airplane."""

    plan: tuple[Polygon, ...]
    """seen from above: polygons of x (aft of the nose), y (to the right) [m]"""
    side: tuple[Polygon, ...]
    """seen from the left: polygons of x (aft of the nose), z (up from the ground) [m]"""


class Wing(Element):
    """What turns airspeed and load into an angle of attack, which the openings feel."""

    mass: Mass
    """mass of the airplane as flown [kg]"""
    area: Area
    """reference area of the wing [m2]"""
    lift_slope: PerAngle
    """lift coefficient gained per angle of attack, of the whole airplane [1/rad]"""
    zero_lift_angle: Angle
    """angle of attack of the fuselage datum at which there is no lift, flaps up [rad]"""
    flap_zero_lift_shift: Angle = Figure(0.0, "assumed", text="0 deg")
    """how far full flap moves the zero-lift angle (negative: lift at a lower angle) [rad]"""


class Speeds(Element):
    """Speeds the airplane is flown at and that its airspeed indicator is marked with: calibrated, [m/s]."""

    stall_landing: SpeedAboveZero
    """stall, flaps down: lower end of the white arc"""
    stall_clean: SpeedAboveZero
    """stall, flaps up: lower end of the green arc"""
    flap_limit: SpeedAboveZero
    """highest with flaps down: upper end of the white arc"""
    normal_operating_limit: SpeedAboveZero
    """upper end of the green arc, lower end of the yellow arc"""
    never_exceed: SpeedAboveZero
    """red radial line"""
    climb: SpeedAboveZero
    """usual in a climb"""
    cruise: SpeedAboveZero
    """usual in level flight"""
    approach: SpeedAboveZero
    """usual on the approach"""
    climb_rate: VerticalSpeedAboveZero
    """usual rate of climb [m/s]"""
    descent_rate: VerticalSpeedAboveZero
    """usual rate of descent, as a positive figure [m/s]"""


class Inside(Element):
    """The air that openings, broken glass and leaks inside the airplane meet."""

    cabin_pressure_coefficient: Number
    """of a cabin that is not pressurised: cabin pressure less static pressure, per impact pressure [-];
    mostly a little below zero"""
    wing_bay_pressure_coefficient: Number
    """the same inside the wing [-]"""
    cabin_temperature: Temperature
    """temperature of the air in the lines and cases [K]"""
    pressurisation: Pressurisation | None = None
    """of a cabin that is pressurised"""

    def cabin_pressure(
        self, static_pa: ArrayLike, impact_pa: ArrayLike, pressurised: bool = True
    ) -> NDArray[float64]:
        """Cabin pressure [Pa] at outside static and impact pressures [Pa], scalars or of one shape.

        A pressurised cabin follows its schedule (`Pressurisation.pressure`), with a settled outflow valve:
        how fast it may change is left out. Any other, or one that has lost its pressure (`pressurised`
        false), has static pressure plus its coefficient times impact pressure.
        """
        import numpy as np

        static, impact = np.asarray(static_pa, dtype=float), np.asarray(impact_pa, dtype=float)
        if self.pressurisation is not None and pressurised:
            return np.asarray(self.pressurisation.pressure(static) + 0.0 * impact)
        return np.asarray(static + float(self.cabin_pressure_coefficient) * impact)

    def wing_bay_pressure(self, static_pa: ArrayLike, impact_pa: ArrayLike) -> NDArray[float64]:
        """Pressure inside the wing [Pa] at outside static and impact pressures [Pa]."""
        import numpy as np

        static, impact = np.asarray(static_pa, dtype=float), np.asarray(impact_pa, dtype=float)
        return np.asarray(static + float(self.wing_bay_pressure_coefficient) * impact)
