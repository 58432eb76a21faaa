"""A figure of an airplane file: a number in SI that remembers how well it is known."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date as Date
from typing import Any, Literal, get_args

Basis = Literal["measured", "common practice", "assumed"]
BASES: tuple[str, ...] = get_args(Basis)


@dataclass(frozen=True, slots=True)
class Provenance:
    """How a figure is known: its basis, the source of it, and the day it was measured (ISO 8601)."""

    basis: Basis = "assumed"
    source: str = ""
    date: str = ""

    def under(self, table: Mapping[str, Any]) -> Provenance:
        """What holds inside `table`, whose own `basis`, `source` and `date` win over what surrounds it.

        A table that names another basis starts afresh, as the source and date outside belong to the other.
        """
        basis = table.get("basis")
        start = Provenance(basis) if basis in BASES and basis != self.basis else self
        source, date = table.get("source"), table.get("date")
        return Provenance(
            start.basis,
            source if isinstance(source, str) else start.source,
            iso_date(date) if isinstance(date, str | Date) else start.date,
        )


def iso_date(value: str | Date) -> str:
    """The day as text; raises ValueError where it is none."""
    return Date.fromisoformat(value[:10]).isoformat() if isinstance(value, str) else value.isoformat()[:10]


class Figure(float):
    """A float in SI that carries its basis, source, date and the text it was read from.

    Arithmetic gives plain floats: a sum of figures has no single basis.
    """

    __slots__ = ("basis", "date", "source", "text")
    basis: Basis
    source: str
    date: str
    text: str

    def __new__(
        cls, value: float, basis: Basis = "assumed", source: str = "", date: str = "", text: str = ""
    ) -> Figure:
        figure = super().__new__(cls, value)
        figure.basis, figure.source, figure.date, figure.text = basis, source, date, text
        return figure

    def __reduce__(self) -> tuple[Any, ...]:
        return Figure, (float(self), self.basis, self.source, self.date, self.text)

    def __repr__(self) -> str:
        return f"Figure({float(self)!r}, {self.basis!r}, text={self.text!r})"

    def known(self) -> str:
        """In words: "measured 2026-03-01 (tape)", "common practice", "assumed"."""
        words = f"{self.basis} {self.date}".strip()
        return f"{words} ({self.source})" if self.source else words

    def as_table(self) -> dict[str, str | float]:
        """The figure as an airplane file writes it in full."""
        table: dict[str, str | float] = {"value": self.text or float(self), "basis": self.basis}
        if self.source:
            table["source"] = self.source
        if self.date:
            table["date"] = self.date
        return table
