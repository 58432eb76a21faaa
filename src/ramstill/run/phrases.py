"""Figures and times as words: shared by the account, its moments and the command line."""

from __future__ import annotations

from math import isnan
from typing import TYPE_CHECKING, Any

from ramstill.air import units
from ramstill.run.kinds import kind_of

if TYPE_CHECKING:
    from collections.abc import Sequence


def clock(at_s: float) -> str:
    """A time of the run as "4 min 05 s"."""
    whole = round(at_s)
    minutes, seconds = divmod(abs(whole), 60)
    text = f"{minutes} min {seconds:02d} s" if minutes else f"{seconds} s"
    return f"−{text}" if whole < 0 else text


def said(value: float, instrument: Any) -> str:
    """A reading (SI) in the instrument's unit: knots to one, feet and feet a minute to ten. NaN: none."""
    if isnan(value):
        return "nothing"
    kind = kind_of(instrument)
    return f"{number(value / kind.size, 1 if kind.unit == 'kt' else 10)} {kind.unit}"


def number(value: float, step: float) -> str:
    """A figure rounded to a step, thousands apart, a true minus sign, never minus zero."""
    if isnan(value):
        return "nothing"
    rounded = round(value / step) * step
    return f"{rounded + 0.0:,.0f}".replace("-", "−")


def knots(speed_m_s: float) -> str:
    """A speed in knots."""
    return f"{number(speed_m_s / units.KT, 1)} kt"


def feet(height_m: float) -> str:
    """A height in feet, to ten."""
    return f"{number(height_m / units.FT, 10)} ft"


def hpa(pressure_pa: float) -> str:
    """A pressure in hectopascal, to a tenth."""
    return f"{pressure_pa / units.HPA:,.1f} hPa"


def listed(parts: Sequence[str]) -> str:
    """ "a, b and c"."""
    if len(parts) < 2:
        return "".join(parts)
    return f"{', '.join(parts[:-1])} and {parts[-1]}"


def first_up(text: str) -> str:
    """The text with a capital letter first."""
    return text[:1].upper() + text[1:]


def first_down(text: str) -> str:
    """The text with a small letter first, unless it starts with an abbreviation."""
    return text if text[1:2].isupper() else text[:1].lower() + text[1:]
