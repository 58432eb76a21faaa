"""What runs between the openings and the instruments: fittings, lines and valves."""

from __future__ import annotations

from itertools import pairwise
from math import copysign, dist, hypot, inf, pi
from typing import Annotated, Literal

from pydantic import Field, PrivateAttr

from ramstill.airplane.element import Name, Named
from ramstill.airplane.quantity import LengthAboveZero, Place, Places, Volume

Point = tuple[float, float, float]
FittingKind = Literal["chamber", "tee", "union", "elbow", "sump", "manifold"]
# A fitting, such as "static-tee", or an instrument's port, such as "airspeed.pitot".
LineEnd = Annotated[str, Field(pattern=r"^[a-z][a-z0-9-]*(\.(pitot|static|probe))?$")]


class Fitting(Named):
    """A place with a volume where lines, openings and valves meet."""

    kind: FittingKind
    """chamber (behind an opening), tee, union, elbow, sump (collects water) or manifold"""
    at: Place
    """where it is [m]"""
    volume: Volume
    """air in it [m3]"""


class Line(Named):
    """A tube between two ends."""

    start: Annotated[LineEnd, Field(alias="from")]
    """where it starts: a fitting, such as static-tee, or an instrument's port, such as airspeed.pitot"""
    end: Annotated[LineEnd, Field(alias="to")]
    """where it ends, likewise"""
    via: Places = ()
    """points it passes on its way [m]"""
    length: LengthAboveZero | None = None
    """length [m]; along the way points where it is not given"""
    bore: LengthAboveZero
    """inner diameter [m]"""
    material: str
    """what it is made of"""
    through: Literal["outside", "wing-bay", "cabin"]
    """the air around it, which comes in where it breaks"""
    serves: Literal["pitot", "static", "total-energy"]
    """which air it carries"""

    # Ends and way points [m]: the airplane that holds the line fills them in, as only that knows the ends.
    _way: tuple[Point, ...] = PrivateAttr(default=())

    @property
    def way(self) -> tuple[Point, ...]:
        """The points it runs through from start to end [m]."""
        return self._way

    @property
    def way_length_m(self) -> float:
        """Length along the way points [m]."""
        return sum(dist(a, b) for a, b in pairwise(self._way))

    @property
    def length_m(self) -> float:
        """Length as stated, or else along the way points [m]."""
        return float(self.length) if self.length is not None else self.way_length_m

    @property
    def volume_m3(self) -> float:
        """Air in it [m3]."""
        return pi / 4.0 * float(self.bore) ** 2 * self.length_m

    @property
    def slope(self) -> float:
        """Rise from start to end for each metre along the level [-]; infinite where it runs straight up."""
        (x0, y0, z0), (x1, y1, z1) = self._way[0], self._way[-1]
        level = hypot(x1 - x0, y1 - y0)
        if level == 0.0:
            return copysign(inf, z1 - z0) if z1 != z0 else 0.0
        return (z1 - z0) / level

    @property
    def low_point(self) -> Point:
        """The lowest of its points [m], where water gathers."""
        return min(self._way, key=lambda point: point[2])


class Valve(Named):
    """A valve between two fittings."""

    start: Annotated[Name, Field(alias="from")]
    """fitting on one side"""
    end: Annotated[Name, Field(alias="to")]
    """fitting on the other side"""
    bore: LengthAboveZero
    """diameter of the passage when open [m]"""
    normally: Literal["open", "closed"]
    """how it stands in ordinary flight"""
    opposite: Name | None = None
    """another valve, moved by the same knob, that closes when this one opens"""
