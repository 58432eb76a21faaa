"""A pressurised cabin: its pressure altitude against that of the airplane, held by an outflow valve."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any

from pydantic import ValidationInfo, field_validator, model_validator

from ramstill import air
from ramstill.airplane.element import Element
from ramstill.airplane.quantity import Lengths, PressureAboveZero, complain

if TYPE_CHECKING:
    from numpy import float64
    from numpy.typing import ArrayLike, NDArray

_ABOVE = 1.02  # a row of the schedule may ask for this much more than the difference the cabin may have


class Pressurisation(Element):
    """Cabin pressure altitude over airplane pressure altitude: linear between rows, held beyond the ends."""

    airplane_altitude: Lengths
    """rising pressure altitudes of the airplane [m]"""
    cabin_altitude: Lengths
    """pressure altitude of the cabin at each of them [m]"""
    maximum_differential: PressureAboveZero
    """cabin less static pressure that the relief valve allows [Pa]"""

    @field_validator("airplane_altitude", mode="after")
    @classmethod
    def _rising(cls, at: tuple[Any, ...]) -> tuple[Any, ...]:
        if len(at) < 2 or any(right <= left for left, right in pairwise(at)):
            raise complain(_written(at), "two or more altitudes, each above the one before")
        return at

    @field_validator("cabin_altitude", mode="after")
    @classmethod
    def _as_many(cls, cabin: tuple[Any, ...], info: ValidationInfo) -> tuple[Any, ...]:
        at = info.data.get("airplane_altitude", cabin)
        if len(cabin) != len(at):
            raise complain(
                f"{len(cabin)} values", f"{len(at)} values, one for each value of airplane_altitude"
            )
        if any(right < left for left, right in pairwise(cabin)):
            raise complain(_written(cabin), "altitudes, none below the one before")
        return cabin

    @model_validator(mode="after")
    def _within_the_differential(self) -> Pressurisation:
        for outside, cabin in zip(self.airplane_altitude, self.cabin_altitude, strict=True):
            if cabin > outside:
                raise complain(
                    f'a cabin at "{cabin.text}" in an airplane at "{outside.text}"',
                    "a cabin no higher than the airplane",
                    "inside.pressurisation.cabin_altitude",
                )
            difference = float(air.static_pressure(cabin) - air.static_pressure(outside))
            if difference > _ABOVE * self.maximum_differential:
                raise complain(
                    f'a cabin at "{cabin.text}" in an airplane at "{outside.text}", {difference:.0f} Pa',
                    f"a schedule within maximum_differential, {self.maximum_differential.text} or "
                    f"{self.maximum_differential:.0f} Pa",
                    "inside.pressurisation.cabin_altitude",
                )
        return self

    def pressure(self, static_pa: ArrayLike) -> NDArray[float64]:
        """Cabin pressure [Pa] at an outside static pressure [Pa] (scalar or any shape), once it has settled.

        The schedule's pressure, but never more than static pressure plus the maximum differential, and never
        less than static pressure: an inward relief valve lets the outside in.
        """
        import numpy as np

        static = np.asarray(static_pa, dtype=float)
        cabin_m = np.interp(air.pressure_altitude(static), self.airplane_altitude, self.cabin_altitude)
        wanted = np.asarray(air.static_pressure(cabin_m), dtype=float)
        return np.asarray(np.clip(wanted, static, static + float(self.maximum_differential)))


def _written(values: tuple[Any, ...]) -> str:
    return '"' + ", ".join(value.text for value in values) + '"'
