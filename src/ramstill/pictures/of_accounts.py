"""From the accounts of a run to its ledgers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.pictures import ledger
from ramstill.pictures.of_run import meter, readings_at
from ramstill.run.parts import Tint, largest
from ramstill.run.phrases import first_up

if TYPE_CHECKING:
    from ramstill.run import Run
    from ramstill.run.account import Ledger

FloatArray = NDArray[np.float64]
MOST = 8  # lines; what is left of the smallest is put together in one
# From where on a part gets a line of its own at all [its unit], and how far bars reach at least.
_SMALLEST = {"kt": 0.3, "mph": 0.3, "km/h": 0.5, "ft": 3.0, "ft/min": 10.0, "m/s": 0.05}
_LEAST = {"kt": 10.0, "mph": 10.0, "km/h": 20.0, "ft": 100.0, "ft/min": 200.0, "m/s": 1.0}
_DECIMALS = {"ft": 0, "ft/min": 0, "m/s": 2}
REST = "all else"


@dataclass(frozen=True, slots=True)
class Kept:
    """A pointer's ledger over the rows of a run: amounts (entry, k) in the sheet's unit, NaN for nothing."""

    sheet: ledger.Sheet
    rows: tuple[int, ...]
    amounts: FloatArray

    def at(self, row: int) -> list[float]:
        """The amounts at one of its rows."""
        return [float(amount) for amount in self.amounts[:, self.rows.index(row)]]


def ledgers_of(run: Run, rows: Sequence[int]) -> tuple[Kept, ...]:
    """A ledger for each pointer at rows of the run's time, which rise; what they share is worked out once."""
    from ramstill.run.account import ledgers

    return tuple(_kept(run, one) for one in ledgers(run, rows))


def drawn(run: Run, kept: Kept, row: int, key: str = "ledger") -> str:
    """A ledger at one of its rows, as SVG."""
    at_s = float(run.time_s[row])
    reading = readings_at(run, at_s)[kept.sheet.name]
    return ledger.draw(kept.sheet, kept.at(row), reading, at_s, key=key)


def frozen(run: Run, kept: Kept, row: int, key: str = "ledger") -> str:
    """The same for one time only: without the lines that come to nothing then."""
    amounts, finest = np.array(kept.at(row))[:, None], 0.5 * 10.0**-kept.sheet.decimals
    told = sorted(largest(amounts[:-1], finest))  # in the order of the sheet; its last line is the rest
    entries, left = _with_rest(kept.sheet.entries, amounts, told)
    if abs(left[-1, 0]) < finest:
        entries, left = entries[:-1], left[:-1]
    sheet = replace(kept.sheet, entries=entries)
    at_s = float(run.time_s[row])
    return ledger.draw(sheet, left[:, 0].tolist(), readings_at(run, at_s)[sheet.name], at_s, key=key)


def account_ledger(run: Run, instrument: str, at_s: float, *, key: str = "ledger") -> str:
    """The ledger of one pointer at the sample nearest to a time [s], as SVG.

    Raises InputError for a pointer the airplane does not have, and for a time outside the run.
    """
    from ramstill.run.account import ledger_at

    found = ledger_at(run, instrument, at_s)
    return drawn(run, _kept(run, found), found.rows[0], key)


def _kept(run: Run, one: Ledger) -> Kept:
    shown = meter(one.pointer)
    values = one.value_si / shown.one
    values[:, np.isnan(run.pointers[one.pointer.name][list(one.rows)])] = np.nan
    told = largest(values, _SMALLEST[shown.unit], MOST)
    entries, amounts = _with_rest([_entry(part.title, part.air) for part in one.parts], values, told)
    sheet = ledger.Sheet(
        name=one.pointer.name,
        title=first_up(one.pointer.title),
        unit=shown.unit,
        decimals=_DECIMALS.get(shown.unit, 1),
        entries=entries,
        least=_LEAST[shown.unit],
    )
    return Kept(sheet, one.rows, amounts)


def _with_rest(
    entries: Sequence[ledger.Entry], amounts: FloatArray, told: Sequence[int]
) -> tuple[tuple[ledger.Entry, ...], FloatArray]:
    """Some lines with their amounts (line, k), and one for all others together."""
    rest = amounts[[i for i in range(len(amounts)) if i not in told]].sum(axis=0)
    lines = (*(entries[i] for i in told), ledger.Entry(REST, "plain"))
    return lines, np.concatenate([amounts[list(told)], rest[None]])


def _entry(title: str, air: Tint) -> ledger.Entry:
    word = ledger.WORDS[air]
    known = word.split()[0] in title if word else True  # "position error of the still openings" has it
    return ledger.Entry(title, air, "" if known else word)
