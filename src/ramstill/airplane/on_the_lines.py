"""What all instruments have in common: a place, ports on the lines, air in them, readings."""

from __future__ import annotations

from typing import Literal

from ramstill.airplane.element import Named
from ramstill.airplane.quantity import LengthAboveZero, Place, Volume

Shown = Literal["airspeed", "altitude", "vertical-speed"]


class OnTheLines(Named):
    """An instrument, whatever its kind."""

    at: Place
    """where it sits in the panel; its ports are taken to be there [m]"""
    case_diameter: LengthAboveZero | None = None
    """inner diameter of its case, which says how fast the air in it takes the wall's temperature [m]; if not
    given, the diameter of a case of the usual proportions"""
    surrounded_by: Literal["cabin"] = "cabin"
    """the air around the case, which comes in where its glass breaks"""

    @property
    def ports(self) -> tuple[str, ...]:
        """Ports a line can end at, such as "airspeed.pitot"."""
        return (f"{self.name}.static",)

    @property
    def volumes(self) -> dict[str, float]:
        """Air at each tapping the instrument makes, at rest [m3]."""
        raise NotImplementedError

    @property
    def readings(self) -> dict[str, Shown]:
        """What it shows: the name of each reading, and the quantity it is a reading of.

        An instrument with one pointer has one reading, named as it is; one with several names them
        "air-data.airspeed" and so on.
        """
        raise NotImplementedError


class Cased(OnTheLines):
    """An instrument whose case holds air of the static line, unless it says otherwise."""

    case_volume: Volume
    """air in the case around the capsule [m3]"""

    @property
    def volumes(self) -> dict[str, float]:
        return {f"{self.name}.static": float(self.case_volume)}
