"""Recorded flights: a CSV file becomes readings in SI, or one line saying what is wrong with it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
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
LARGEST = (
    64 * 2**20
)  # a file larger than this is no flight: ten hours of all columns at 10 Hz are 25 MB [bytes]
A_DAY_S = 86400.0
UNIT_SHARE = 0.05  # share of readings that cannot be, from which on the unit is asked after, not the reading


@dataclass(frozen=True, slots=True)
class Recording:
    """Readings over time, in SI; NaN where a reading is missing.

    time_s (t,) [s], rising, as recorded; values: quantity -> (t,) (m/s, m, Pa, rad, K, or a share); steps:
    quantity -> the step its readings are written in [SI]; gaps: quantity -> how many readings are missing;
    ignored: headers that nothing was made of; notes: what had to be assumed, in sentences; columns: quantity
    (and "time") -> our name of its column, which says the unit, and its header in the file.
    """

    source: str
    time_s: Array
    values: Mapping[str, Array]
    steps: Mapping[str, float]
    gaps: Mapping[str, int]
    ignored: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    columns: Mapping[str, tuple[str, str]] = field(default_factory=dict)

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
            _check_time(written, header, table, source)
        if np.isnan(written).all():
            continue  # a column without a single reading says nothing
        si = written * column.factor + column.offset
        _check_plausible(written, name, header, table[header], source)
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
        columns={COLUMNS[name].quantity: (name, header) for name, header in chosen.items()},
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
        with path.open("rb") as file:  # a device or a pipe may never end
            raw = file.read(LARGEST + 1)
    except (OSError, ValueError) as error:  # ValueError: a null character in the name
        reason = getattr(error, "strerror", None) or str(error) or "nothing"
        raise InputError(repr(source)[1:-1], "", reason, "a readable CSV file") from None
    if len(raw) > LARGEST:
        read = f"more than {LARGEST / 2**20:.0f} MB"
        raise InputError(source, "", read, "one flight, in a smaller file; fewer readings a second will do")
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


def _check_time(time: Array, header: str, table: pl.DataFrame, source: str) -> None:
    cells = table[header]
    missing = np.flatnonzero(np.isnan(time))
    if len(missing):
        row = int(missing[0])
        raise InputError(source, f"{_line(row)}, {header}", f'"{cells[row] or ""}"', "a time in every line")
    change = np.diff(time)
    back = np.flatnonzero(change <= 0.0)
    if not len(back):
        return
    row = int(back[0]) + 1
    where, later = f"{_line(row)}, {header}", "a time later than the one before"
    if change[row - 1] < 0.0:
        midnight = abs(change[row - 1] + A_DAY_S) < 0.01 * A_DAY_S
        hint = "; a clock that passed midnight goes on from 86400 s" if midnight else ""
        raise InputError(source, where, f'"{cells[row]}" after "{cells[row - 1]}"', later + hint)
    if not change.any():
        raise InputError(source, where, f'"{cells[row]}" in every line', later)
    again = int(np.sum(change == 0.0))
    more = f", and {again - 1} more that repeat theirs" if again > 1 else ""
    if table.row(row) == table.row(row - 1):
        raise InputError(source, where, f"the line before once more{more}", f"each line once: {later}")
    raise InputError(source, where, f'"{cells[row]}" after "{cells[row - 1]}"{more}', later)


def _check_plausible(written: Array, name: str, header: str, cells: pl.Series, source: str) -> None:
    wrong = _implausible(written, name)
    if wrong.any():
        row = int(np.flatnonzero(wrong)[0])
        allowed = PLAUSIBLE[COLUMNS[name].quantity][2]
        fitting = [
            other
            for other, column in COLUMNS.items()
            if column.quantity == COLUMNS[name].quantity and not _implausible(written, other).any()
        ]
        if fitting and np.mean(wrong) > UNIT_SHARE:
            allowed += f"; the whole column would fit as {' or '.join(fitting)}"
        raise InputError(source, f"{_line(row)}, {header}", f'"{cells[row]}"', allowed)


def _implausible(written: Array, name: str) -> NDArray[np.bool_]:
    column = COLUMNS[name]
    low, high, _ = PLAUSIBLE[column.quantity]
    si = written * column.factor + column.offset
    return np.asarray((si < low) | (si > high))
