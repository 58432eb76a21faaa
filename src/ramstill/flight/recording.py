"""Recorded flights: a CSV file becomes readings in SI, or one line saying what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.errors import InputError
from ramstill.flight.columns import COLUMNS, INSTRUMENTS, PLAUSIBLE
from ramstill.flight.reconstruct import reconstruct
from ramstill.flight.steps import step_of

if TYPE_CHECKING:
    import polars as pl

__all__ = ["Recording", "read", "reconstruct"]

Array = NDArray[np.float64]
FEWEST = 5  # rows that make a flight


@dataclass(frozen=True, slots=True)
class Recording:
    """Readings over time, in SI; NaN where a reading is missing.

    time_s (t,) [s], rising, as recorded; values: quantity -> (t,) (m/s, m, Pa, rad, K, or a share); steps:
    quantity -> the step its readings are written in [SI]; gaps: quantity -> how many readings are missing;
    ignored: headers that nothing was made of; notes: what had to be assumed, in sentences.
    """

    source: str
    time_s: Array
    values: Mapping[str, Array]
    steps: Mapping[str, float]
    gaps: Mapping[str, int]
    ignored: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    def has(self, quantity: str) -> bool:
        """Whether there is any reading of `quantity`."""
        return quantity in self.values


def read(path: str | Path, columns: Mapping[str, str] | None = None) -> Recording:
    """Read a recorded flight.

    `columns` says which header of the file stands for which of our names (`{"ias_kt": "IAS"}`); the unit is
    that of our name. Missing readings of an instrument are allowed and counted; a missing, repeated or
    backward time is not. Raises InputError naming the line and column.
    """
    source = str(path)
    table = _table(Path(path), source)
    chosen = _choose(table.columns, columns or {}, source)
    values: dict[str, Array] = {}
    steps: dict[str, float] = {}
    for name, header in chosen.items():
        column = COLUMNS[name]
        written = _numbers(table[header], header, source)
        if column.quantity == "time":
            _check_time(written, header, table[header], source)
        if np.isnan(written).all():
            continue  # a column without a single reading says nothing
        si = written * column.factor + column.offset
        _check_plausible(si, column.quantity, header, table[header], source)
        values[column.quantity] = si
        if column.step:
            steps[column.quantity] = step_of(written, column.step) * column.factor
    time = values.pop("time", np.empty(0))
    if not any(quantity in values for quantity in INSTRUMENTS):
        wanted = ", ".join(n for n, c in COLUMNS.items() if c.quantity in INSTRUMENTS)
        raise InputError(
            source, "columns", ", ".join(table.columns), f"at least one of {wanted} with readings"
        )
    gaps = {quantity: int(np.isnan(value).sum()) for quantity, value in values.items()}
    return Recording(
        source=source,
        time_s=time,
        values=values,
        steps=steps,
        gaps=gaps,
        ignored=tuple(h for h in table.columns if h not in chosen.values()),
        notes=_notes(values, gaps),
    )


def _notes(values: Mapping[str, Array], gaps: Mapping[str, int]) -> tuple[str, ...]:
    notes = []
    if "altitude" in values and "altimeter setting" not in values:
        notes.append(
            "There is no altimeter setting in the record: its altitude is taken as pressure altitude."
        )
    notes += [f"{n} readings of {quantity} are missing." for quantity, n in gaps.items() if n]
    return tuple(notes)


def _table(path: Path, source: str) -> pl.DataFrame:
    """The file as text cells. One row a line, so that errors can name the line."""
    import polars as pl

    try:
        raw = path.read_bytes()
    except OSError as error:
        raise InputError(source, "", error.strerror or "nothing", "a readable CSV file") from None
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        raise InputError(
            source, f"line {line}", "bytes that are not UTF-8 text", "a CSV file in UTF-8"
        ) from None
    if "\0" in text:
        raise InputError(source, "", "a file with zero bytes in it", "a CSV file in UTF-8")
    text = text.rstrip() + "\n"  # empty lines at the end are no rows
    first = text.partition("\n")[0]
    if not first.strip():
        raise InputError(source, "line 1", "an empty file", "a line of headers, then a line for each time")
    separator = max(",;\t", key=first.count)
    try:
        table = pl.read_csv(BytesIO(text.encode()), separator=separator, infer_schema=False)
    except pl.exceptions.PolarsError as error:
        reason = str(error).strip().splitlines()[0]
        raise InputError(source, "", reason, "a CSV file, each line with as many cells as headers") from None
    table = table.rename({header: header.strip() for header in table.columns})
    if len(table) < FEWEST:
        raise InputError(source, "", f"{len(table)} rows", f"a line of headers and {FEWEST} rows or more")
    return table


def _choose(headers: list[str], columns: Mapping[str, str], source: str) -> dict[str, str]:
    """Our name -> header of the file."""
    for ours, header in columns.items():
        if ours not in COLUMNS:
            raise InputError(source, "columns", f'"{ours}"', f"one of {', '.join(COLUMNS)}")
        if header not in headers:
            raise InputError(
                source, f"columns.{ours}", f'"{header}"', f"a header of the file: {', '.join(headers)}"
            )
    mapped = {COLUMNS[name].quantity for name in columns}
    chosen = {h: h for h in headers if h in COLUMNS and COLUMNS[h].quantity not in mapped} | dict(columns)
    seen: dict[str, str] = {}
    for name in chosen:
        quantity = COLUMNS[name].quantity
        if quantity in seen:
            allowed = f"one column of {quantity}; a column map says which"
            raise InputError(source, "line 1", f"{seen[quantity]} and {name}", allowed)
        seen[quantity] = name
    if "time" not in seen:
        raise InputError(source, "line 1", ", ".join(headers), "a column time_s (or time_ms)")
    return chosen


def _line(row: int) -> str:
    return f"line {row + 2}"


def _numbers(cells: pl.Series, header: str, source: str) -> Array:
    import polars as pl

    text = cells.str.strip_chars()
    numbers = text.cast(pl.Float64, strict=False)
    empty = text.is_null() | (text == "") | text.str.to_lowercase().is_in(["nan", "null", "na"])
    wrong = ((numbers.is_null() & ~empty) | numbers.is_infinite().fill_null(False)).to_numpy()
    if wrong.any():
        row = int(np.flatnonzero(wrong)[0])
        raise InputError(
            source, f"{_line(row)}, {header}", f'"{cells[row]}"', "a number, or nothing where it is missing"
        )
    return np.array(numbers.fill_null(np.nan).to_numpy(), dtype=np.float64)


def _check_time(time: Array, header: str, cells: pl.Series, source: str) -> None:
    missing = np.flatnonzero(np.isnan(time))
    if len(missing):
        row = int(missing[0])
        raise InputError(source, f"{_line(row)}, {header}", f'"{cells[row] or ""}"', "a time in every line")
    back = np.flatnonzero(np.diff(time) <= 0.0)
    if len(back):
        row = int(back[0]) + 1
        read = f'"{cells[row]}" after "{cells[row - 1]}"'
        raise InputError(source, f"{_line(row)}, {header}", read, "a time later than the one before")


def _check_plausible(si: Array, quantity: str, header: str, cells: pl.Series, source: str) -> None:
    low, high, words = PLAUSIBLE[quantity]
    wrong = np.flatnonzero((si < low) | (si > high))
    if len(wrong):
        row = int(wrong[0])
        raise InputError(source, f"{_line(row)}, {header}", f'"{cells[row]}"', words)
