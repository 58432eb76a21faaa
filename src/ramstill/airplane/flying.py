"""How the airplane flies: drag, maximum lift, engine, and the book figures that these must agree with.

The laws that these figures go into are in ramstill.flight.motion and on docs/flight-model.md.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import AfterValidator, Field, field_validator

from ramstill.air.constants import G0, RHO0
from ramstill.airplane.element import Element
from ramstill.airplane.figure import Figure
from ramstill.airplane.quantity import (
    ForceAboveZero,
    Length,
    LengthAboveZero,
    NumberAboveZero,
    Power,
    Share,
    SpeedAboveZero,
    TimeAboveZero,
    VerticalSpeedAboveZero,
    complain,
)

if TYPE_CHECKING:
    from ramstill.airplane.description import Airplane

NONE = Figure(0.0, "assumed", text="0")
FULL = Figure(1.0, "assumed", text="1")
LOWEST_M, HIGHEST_M = -1500.0, 20000.0  # [m] between which the flight model has air
QUICKEST_S = 0.1  # [s] two of the flight model's steps; an engine that is quicker it cannot follow
STALLS_AGREE = 0.03  # a stall speed may be off the one in [speeds] or in the book by this share


def _at_most_one(share: Figure) -> Figure:
    if share > 1.0:
        raise complain(f'"{share.text or float(share)}"', "at most 1, the whole of it")
    return share


def _in_the_air(altitude: Figure) -> Figure:
    if not LOWEST_M <= altitude <= HIGHEST_M:
        allowed = f"an altitude from {LOWEST_M:g} m to {HIGHEST_M:g} m"
        raise complain(f'"{altitude.text or float(altitude)}"', allowed)
    return altitude


def _followed(time: Figure) -> Figure:
    if time < QUICKEST_S:
        raise complain(f'"{time.text or float(time)}"', f"{QUICKEST_S:g} s or more")
    return time


Part = Annotated[Share, AfterValidator(_at_most_one)]
Altitude = Annotated[Length, AfterValidator(_in_the_air)]
Response = Annotated[TimeAboveZero, AfterValidator(_followed)]


class Propeller(Element):
    """Engines that turn a propeller: power at the shaft, and the disc that makes thrust of it."""

    kind: Literal["propeller"]
    """what drives the airplane"""
    count: Annotated[int, Field(ge=1, le=8, strict=True)] = 1
    """how many engines, all alike and running alike"""
    shaft_power: Power
    """rated, of one engine [W]"""
    falls: Literal["piston", "turbine"]
    """how power falls in thin air: a piston engine's by Gagg and Ferrar, a turbine's with a power of the
    density"""
    critical_altitude: Altitude = Figure(0.0, "assumed", text="0 ft")
    """altitude of the standard day up to which it gives its rated power [m]"""
    density_exponent: NumberAboveZero = FULL
    """of a turbine: above its critical altitude power goes with the density to this power [-]"""
    diameter: LengthAboveZero
    """of one propeller [m]"""
    figure_of_merit: Annotated[NumberAboveZero, AfterValidator(_at_most_one)]
    """thrust power and power of its slipstream together, over power at the shaft [-]"""
    response: Response = Figure(1.0, "assumed", text="1 s")
    """time constant with which the power follows the lever [s]"""


class Jet(Element):
    """Jet engines: thrust at rest at sea level, and how it falls with height and speed."""

    kind: Literal["jet"]
    """what drives the airplane"""
    count: Annotated[int, Field(ge=1, le=8, strict=True)] = 1
    """how many engines, all alike and running alike"""
    static_thrust: ForceAboveZero
    """rated, of one engine, at rest at sea level of the standard day [N]"""
    density_exponent: NumberAboveZero
    """thrust goes with the density to this power [-]"""
    mach_fall: Share = NONE
    """share of the thrust at rest that is lost for each Mach [-]"""
    response: Response = Figure(2.0, "assumed", text="2 s")
    """time constant with which the thrust follows the lever [s]"""


class Stall(Element):
    """Book figure: where it stalls, power off, wings level, at the mass in [wing]."""

    kind: Literal["stall"]
    """what is stated"""
    flap: Part = NONE
    """0 up to 1 full"""
    speed: SpeedAboveZero
    """calibrated [m/s]"""


class Climbs(Element):
    """Book figure: the rate of climb at an altitude of the standard day, flaps and gear up."""

    kind: Literal["climb"]
    """what is stated"""
    altitude: Altitude
    """pressure altitude [m]"""
    speed: SpeedAboveZero
    """calibrated [m/s]"""
    power: Part = FULL
    """share of rated power or thrust"""
    rate: VerticalSpeedAboveZero
    """of climb, at this calibrated speed [m/s]"""


class Cruises(Element):
    """Book figure: the speed in level flight at an altitude of the standard day, flaps and gear up."""

    kind: Literal["level"]
    """what is stated"""
    altitude: Altitude
    """pressure altitude [m]"""
    power: Part
    """share of rated power or thrust"""
    speed: SpeedAboveZero
    """calibrated [m/s]"""


class Glides(Element):
    """Book figure: the rate of sinking without power, at sea level of the standard day, all up and in."""

    kind: Literal["glide"]
    """what is stated"""
    speed: SpeedAboveZero
    """calibrated [m/s]"""
    sink: VerticalSpeedAboveZero
    """rate of descent [m/s]"""


class Approaches(Element):
    """Book figure: the power for a descent at sea level of the standard day, gear down."""

    kind: Literal["approach"]
    """what is stated"""
    speed: SpeedAboveZero
    """calibrated [m/s]"""
    rate: VerticalSpeedAboveZero
    """of descent [m/s]"""
    flap: Part = FULL
    """0 up to 1 full"""
    power: Part
    """share of rated power or thrust"""


BookFigure = Annotated[Stall | Climbs | Cruises | Glides | Approaches, Field(discriminator="kind")]


class Performance(Element):
    """What makes the airplane a point of mass that flies; coefficients are on the area in [wing]."""

    zero_lift_drag: NumberAboveZero
    """drag coefficient without lift, flaps up, gear up or fixed [-]"""
    induced_drag: NumberAboveZero
    """drag coefficient gained per lift coefficient squared [-]"""
    flap_drag: Share = NONE
    """drag coefficient that full flap adds [-]"""
    gear_drag: Share = NONE
    """drag coefficient that the gear adds when down; of fixed gear nothing [-]"""
    airbrake_drag: Share = NONE
    """drag coefficient that full airbrakes add [-]"""
    critical_mach: NumberAboveZero | None = None
    """Mach number from which drag rises; without it, it does not [-]"""
    maximum_lift: NumberAboveZero
    """largest lift coefficient, flaps up [-]"""
    maximum_lift_flap: NumberAboveZero
    """the same with full flap [-]"""
    stall_warning: NumberAboveZero | None = None
    """speed at which the stall warner sounds, over the speed of the stall; without it there is none [-]"""
    engine: Annotated[Propeller | Jet, Field(discriminator="kind")] | None = None
    """what drives it; without it, it glides"""
    book: tuple[BookFigure, ...] = ()
    """figures as a handbook states them, which the others must agree with"""

    @field_validator("stall_warning", mode="after")
    @classmethod
    def _before_the_stall(cls, warning: Figure | None) -> Figure | None:
        if warning is not None and warning < 1.0:
            raise complain(f'"{warning.text or float(warning)}"', "1 or more: it sounds before the stall")
        return warning

    def largest_lift(self, flap: float) -> float:
        """Largest lift coefficient [-] with `flap` from 0 to 1, in proportion."""
        up, down = float(self.maximum_lift), float(self.maximum_lift_flap)
        return up + float(flap) * (down - up)


def stall_speed(mass_kg: float, area_m2: float, largest_lift: float, load_factor: float = 1.0) -> float:
    """Equivalent airspeed [m/s] at which the largest lift carries the weight times the load factor."""
    return float((2.0 * load_factor * mass_kg * G0 / (RHO0 * area_m2 * largest_lift)) ** 0.5)


def sound(plane: Airplane) -> None:
    """Refuse a [performance] that has no wing, or stalls where [speeds] does not."""
    performance, wing = plane.performance, plane.wing
    if performance is None:
        return
    if wing is None:
        raise complain("no [wing]", "a [wing] beside it, which says mass, area and lift", "performance")
    checks: tuple[tuple[str, str, Any], ...] = (
        ("stall_clean", "maximum_lift", 0.0),
        ("stall_landing", "maximum_lift_flap", 1.0),
    )
    for speed, field, flap in checks:
        largest, stated = performance.largest_lift(flap), getattr(plane.speeds, speed)
        found = stall_speed(wing.mass, wing.area, largest)
        if abs(found / stated - 1.0) > STALLS_AGREE:
            needed = largest * (found / stated) ** 2
            raise complain(
                f"{largest:g}, which stalls at {found / stated:.3g} times speeds.{speed}",
                f"about {needed:.3g}, as speeds.{speed} is {stated.text or f'{stated:g} m/s'}, "
                f"within {100 * STALLS_AGREE:g} % of speed",
                f"performance.{field}",
            )
