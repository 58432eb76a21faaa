"""What the pressure wall is made of: columns, the pairs among them, and what traps them."""

from collections.abc import Mapping
from dataclasses import dataclass
from math import inf
from typing import Literal

from ramstill import air
from ramstill.air.units import INCH

AirKind = Literal["ram", "still", "cabin"]
AIR_WORDS: Mapping[str, str] = {"ram": "ram air", "still": "still air", "cabin": "cabin air"}


@dataclass(frozen=True, slots=True)
class Trap:
    """A stretch of time [s] in which no open way joins a tapping to any outside air."""

    since_s: float
    until_s: float = inf


@dataclass(frozen=True, slots=True)
class Column:
    """One column: `role` "outside" (what stands before an opening), "line" (a fitting) or "instrument".

    `owner` is the instrument that a column of role "instrument" belongs to, `part` what of it ("capsule");
    `tag` is the letter of a fitting.
    """

    name: str
    air: AirKind
    role: Literal["outside", "line", "instrument"]
    label: str
    part: str = ""
    owner: str = ""
    traps: tuple[Trap, ...] = ()
    tag: str = ""


@dataclass(frozen=True, slots=True)
class Pair:
    """Two neighbouring columns whose difference drives a pointer; `lens` shows a small one enlarged."""

    owner: str
    left: str
    right: str
    lens: bool = False


@dataclass(frozen=True, slots=True)
class Wall:
    """Columns from left to right, the pairs among them, and the range of the scale.

    low_pa, high_pa: ends of the scale [Pa above the outside still air]; largest_pa: the largest difference of
    each pair [Pa], which the lens has to hold; feet: what the scale of heights marks [ft]; title: whose wall
    it is, where an airplane has several.
    """

    columns: tuple[Column, ...]
    pairs: tuple[Pair, ...]
    low_pa: float
    high_pa: float
    largest_pa: Mapping[str, float]
    feet: tuple[int, ...] = ()
    title: str = ""


@dataclass(frozen=True, slots=True)
class Reading:
    """What one instrument shows and what is true, ready to print."""

    shown: str
    true: str = ""


def inches_of_water(pressure_pa: float) -> float:
    """Height of a column of water at 20 degC [in] for a difference [Pa]."""
    return float(air.water_height(pressure_pa)) / INCH


def full_label(column: Column) -> str:
    return f"{column.label} {column.part}".strip()


def trapped_at(column: Column, at_s: float) -> Trap | None:
    """The trap that holds at `at_s` [s], or None."""
    return next((t for t in column.traps if t.since_s <= at_s < t.until_s), None)


def letters(wall: Wall) -> dict[str, str]:
    """Column name -> the letter under its tube, for the columns that are fittings."""
    return {c.name: c.tag for c in wall.columns if c.role == "line"}
