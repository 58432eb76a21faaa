"""Openings: where outside air meets the system, and what pressure it has there."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import Field, ValidationInfo, field_validator

from ramstill.airplane.element import Element, Name, Named
from ramstill.airplane.figure import Figure
from ramstill.airplane.quantity import LengthAboveZero, Number, Numbers, Place, Power, Row, complain

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

Axis = Literal["angle-of-attack", "sideslip", "flap", "gear", "mach", "power", "height-over-ground"]
# A table's `at` is written in the unit of its axis; flap, gear and power run from 0 to 1.
AXIS_DIMENSION: dict[str, str] = {
    "angle-of-attack": "angle",
    "sideslip": "angle",
    "flap": "dimensionless",
    "gear": "dimensionless",
    "mach": "dimensionless",
    "power": "dimensionless",
    "height-over-ground": "length",
}


class CoefficientTable(Element):
    """A change of the pressure coefficient along one axis; linear between rows, held beyond the ends."""

    axis: Axis
    """what the change depends on; sideslip is positive with the wind from the right"""
    at: Annotated[tuple[Figure, ...], Row("axis")]
    """rising values along the axis, in its unit [rad, m or -]"""
    change: Numbers
    """what is added to the base coefficient at each of them [-]"""

    @field_validator("at", mode="wrap")
    @classmethod
    def _read_along_axis(cls, value: Any, _: Any, info: ValidationInfo) -> tuple[Figure, ...]:
        dimension = AXIS_DIMENSION.get(str(info.data.get("axis")), "dimensionless")
        at = Row(dimension).row(value, info)
        if len(at) < 2 or any(right <= left for left, right in pairwise(at)):
            raise complain(f'"{value}"', "two or more values, each above the one before")
        return at

    @field_validator("change", mode="after")
    @classmethod
    def _as_many(cls, change: tuple[Figure, ...], info: ValidationInfo) -> tuple[Figure, ...]:
        at = info.data.get("at", change)
        if len(change) != len(at):
            raise complain(f"{len(change)} values", f"{len(at)} values, one for each value of at")
        return change


class PressureCoefficient(Element):
    """Pressure at an opening less free-stream static pressure, per free-stream impact pressure [-].

    At a total-energy probe it is per half rho V squared, rho and V being those of the free stream.
    """

    base: Number = Figure(0.0, "assumed", text="0")
    """without the tables' changes [-]; if not given, 1 (full ram pressure) for ram, 0 for still, -1 for
    total-energy"""
    tables: Annotated[tuple[CoefficientTable, ...], Field(alias="table")] = ()
    """changes that are added to the base"""

    def at(self, state: Mapping[str, ArrayLike]) -> NDArray[float64]:
        """Coefficient [-] at a state: axis -> value or array [rad, m or -]; a missing axis adds nothing."""
        import numpy as np

        total: NDArray[float64] = np.asarray(float(self.base))
        for table in self.tables:
            if table.axis in state:
                total = total + np.interp(np.asarray(state[table.axis], float), table.at, table.change)
        return total


OpeningKind = Literal[
    "pitot-inlet", "pitot-drain", "static-port", "static-drain", "alternate-source", "total-energy-probe"
]
Sees = Literal["ram", "still", "cabin", "wing-bay", "total-energy"]
_BASE = {"ram": 1.0, "total-energy": -1.0}  # of the pressure coefficient, where the file gives none


class Opening(Named):
    """A hole to the air outside, in the cabin or in the wing."""

    kind: OpeningKind
    """what it is for"""
    into: Name
    """the fitting behind it"""
    at: Place
    """where it is: x aft of the nose, y to the right, z up from the ground [m]"""
    bore: LengthAboveZero
    """diameter of the hole [m]"""
    depth: LengthAboveZero
    """length of the hole, through the skin or the tube's wall [m]"""
    count: Annotated[int, Field(ge=1, le=100, strict=True)] = 1
    """how many equal holes lie side by side"""
    sees: Sees
    """the air before it: ram (flow stopped by it), still (flow along it), total-energy (flow past it, so that
    speed lowers its pressure), the cabin or the wing bay"""
    heated: Annotated[bool, Field(strict=True)] = False
    """whether a heater keeps it free of ice"""
    heater_power: Power | None = None
    """electric power of the heater, of a heated opening [W]"""
    probe_diameter: LengthAboveZero | None = None
    """outer diameter of the tube or probe that the opening is in, on which ice grows [m]"""
    pressure_coefficient: PressureCoefficient = Field(default_factory=PressureCoefficient)
    """of ram, still and total-energy openings"""

    @classmethod
    def completed(cls, data: dict[str, Any]) -> dict[str, Any]:
        data = super().completed(data)
        coefficient = data.get("pressure_coefficient", {})
        if isinstance(coefficient, dict) and "base" not in coefficient:
            base = _BASE.get(str(data.get("sees")), 0.0)
            data = {**data, "pressure_coefficient": {**coefficient, "base": base}}
        return data

    @field_validator("sees", mode="after")
    @classmethod
    def _fits_kind(cls, sees: str, info: ValidationInfo) -> str:
        kind = info.data.get("kind")
        if kind == "pitot-inlet" and sees != "ram":
            raise complain(f'"{sees}"', "ram, for a pitot-inlet")
        if kind in ("static-port", "static-drain") and sees == "ram":
            raise complain('"ram"', f"still, cabin or wing-bay, for a {kind}")
        if (sees == "total-energy") != (kind == "total-energy-probe"):
            allowed = "total-energy" if kind == "total-energy-probe" else "ram, still, cabin or wing-bay"
            raise complain(f'"{sees}"', f"{allowed}, for a {kind}")
        return sees
