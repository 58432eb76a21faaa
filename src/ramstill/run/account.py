"""The account of a reading: what is shown less what is true, split into named parts that add up.

What each part is, and what taking it out means: docs/account.md. The shares are Shapley's (sharing.py), the
readings without some parts are worked out by running the engine without them (airs.py, shown_without.py).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ramstill.errors import InputError
from ramstill.run import sharing
from ramstill.run.accounted import Account, Part
from ramstill.run.airs import Airs, Case
from ramstill.run.column import SET_RIGHT_M
from ramstill.run.kinds import kind_of
from ramstill.run.parts import OF_THE_AIR, Named, of_pointer, sorted_faults
from ramstill.run.record import FloatArray, Run
from ramstill.run.shown_without import Shown, Without

if TYPE_CHECKING:
    from ramstill.instruments import Pointer

# Shared exactly up to so many parts that need the engine, and so many in all; from orders drawn beyond.
EXACT_AIR, EXACT = 8, 11
ORDERS = 48


@dataclass(frozen=True, eq=False)
class Ledger:
    """The parts of one pointer's error at some rows of a run's time: values and standard errors (part, k)."""

    pointer: Pointer
    rows: tuple[int, ...]
    parts: tuple[Named, ...]
    value_si: FloatArray
    standard_error_si: FloatArray
    readings: int


def account(run: Run, instrument: str, at_s: float) -> Account:
    """Account for what a pointer shows at the sample nearest to a time [s].

    Raises InputError for a pointer the airplane does not have, and for a time outside the run.
    """
    found = ledger_at(run, instrument, at_s)
    return at_row(run, found, found.rows[0])


def accounts(run: Run, times_s: Sequence[float]) -> tuple[tuple[Account, ...], ...]:
    """For each time [s] the accounts of all pointers; what they share is worked out once.

    Raises InputError for a time outside the run.
    """
    rows = [_row(run, at_s) for at_s in times_s]
    found = ledgers(run, sorted(set(rows))) if rows else ()
    return tuple(tuple(at_row(run, one, row) for one in found) for row in rows)


def ledger_at(run: Run, instrument: str, at_s: float) -> Ledger:
    """The ledger of one pointer at the sample nearest to a time [s]; see `account`."""
    names = [pointer.name for pointer in run.panel]
    if instrument not in names:
        raise InputError("account", "instrument", repr(instrument), f"one of {', '.join(names)}")
    row = _row(run, at_s)
    return ledger(Airs(run, row), run.pointer(instrument), [row])


def _row(run: Run, at_s: float) -> int:
    start, end = float(run.time_s[0]), float(run.time_s[-1])
    if not start <= at_s <= end:
        allowed = f"a time of the run, from {start:g} s to {end:g} s"
        raise InputError("account", "at_s", f"{at_s:g} s", allowed)
    return run.index(at_s)


def ledgers(run: Run, rows: Sequence[int]) -> tuple[Ledger, ...]:
    """One ledger for each pointer, at rows of the run's time that rise."""
    airs = Airs(run, max(rows))
    return tuple(ledger(airs, pointer, rows) for pointer in run.panel)


def ledger(airs: Airs, pointer: Pointer, rows: Sequence[int]) -> Ledger:
    """The parts of a pointer's error at some rows, which rise."""
    game = _Game(airs, pointer, rows)
    named = of_pointer(airs.run, pointer)
    present = [i for i, part in enumerate(named) if game.matters(part)]
    game.play_with([named[i] for i in present])
    count = len(present)
    value, error = np.zeros((len(named), len(rows))), np.zeros((len(named), len(rows)))
    if count <= EXACT and sum(named[i].kind in OF_THE_AIR for i in present) <= EXACT_AIR:
        value[present] = sharing.exact(game.value, count)
    else:
        value[present], error[present] = sharing.sampled(game.value, count, ORDERS)
    return Ledger(pointer, tuple(rows), named, value, error, len(game.known))


def at_row(run: Run, ledger: Ledger, row: int) -> Account:
    """The account of one of a ledger's rows."""
    name, column = ledger.pointer.name, ledger.rows.index(row)
    indicated, faults = float(run.pointers[name][row]), sorted_faults(run)
    parts = [
        Part(
            name=part.name,
            kind=part.kind,
            title=part.title,
            air=part.air,
            value_si=float(ledger.value_si[i, column]),
            standard_error_si=float(ledger.standard_error_si[i, column]),
            onset_s=faults[part.fault].onset_s if part.fault >= 0 else None,
        )
        for i, part in enumerate(ledger.parts)
    ]
    shown = not np.isnan(indicated)
    return Account(
        instrument=name,
        title=ledger.pointer.title,
        at_s=float(run.time_s[row]),
        indicated_si=indicated,
        true_si=float(run.true(name)[row]),
        parts=tuple(sorted(parts, key=lambda p: (-abs(p.value_si), p.name))) if shown else (),
        unit=kind_of(ledger.pointer),
        readings=ledger.readings,
        _run=run,
    )


class _Key(NamedTuple):
    """What a reading depends on, so that the same is never worked out twice."""

    airs: tuple[int, ...]
    edits: object
    left: Without


class _Game:
    """What a pointer shows with any of its parts there (`value`), by the bits of a mask over `there`."""

    def __init__(self, airs: Airs, pointer: Pointer, rows: Sequence[int]) -> None:
        self.airs, self.pointer, self.rows = airs, pointer, list(rows)
        self.shown = Shown(airs.run, airs, pointer, self.rows)
        self.there: list[Named] = []
        self.known: dict[_Key, FloatArray] = {}
        indicated = airs.run.pointers[pointer.name][self.rows]
        lowest, highest = self.shown.stops
        self.stopped = (indicated <= lowest) | (indicated >= highest)
        self._know(airs.complete, Without(), indicated)

    def value(self, mask: int) -> FloatArray:
        """What is shown with these parts there, SI (k,)."""
        case, left, stop = self._taken([part for i, part in enumerate(self.there) if mask >> i & 1])
        found = self._unstopped(case, left)
        if stop and self.stopped.any():
            return np.where(self.stopped, np.clip(found, *self.shown.stops), found)
        return found

    def play_with(self, parts: list[Named]) -> None:
        """Take these parts as there; with none of them the pointer shows what is true."""
        self.there = parts
        case, left, _ = self._taken([])
        self.known[self._key(case, left)] = self.shown.true

    def matters(self, part: Named) -> bool:
        """Whether a part can be anything but nothing: told from what it would change, not from a result."""
        airs, run, column = self.airs, self.airs.run, self.shown.column
        if part.kind in ("position", "applied"):
            which = [part.air == "ram"] if part.name != part.kind else [True, False]
            return any(airs.outside.has_error(ram) for ram in which)
        if part.kind == "cabin":
            return airs.reaches_inside(self.shown.tappings)
        if part.kind == "fault":
            fault = airs.faults[part.fault]
            return bool(fault.severity > 0.0 and fault.onset_s < float(airs.time_s[-1]))
        if part.kind == "instrument":
            return self._has_error()
        if part.kind == "stop":
            return bool(self.stopped.any())
        if part.kind == "setting":
            off = np.abs(column.right_setting_m - self.shown.set_to_m)
            return bool(np.any(off > SET_RIGHT_M))
        if part.kind == "temperature":
            return bool(column.warmer_k.any())
        if part.kind == "gravity":
            return bool(np.any(run.truth.geometric_altitude_m[: len(airs.time_s)] != 0.0))
        return True

    def _has_error(self) -> bool:
        instrument = self.pointer.instrument
        if instrument.kind in ("encoder", "air-data-computer") or self.pointer.shows == "vertical-speed":
            return True
        own = (float(instrument.friction), float(getattr(instrument, "hysteresis", 0.0)))
        return any(own) or bool(instrument.scale_error) or self.pointer.shows == "altitude"

    def _taken(self, parts: list[Named]) -> tuple[Case, Without, bool]:
        """The case, what else is there, and whether its scale has an end, with these parts there.

        Parts that turned out to be nothing are taken as they are in the run.
        """
        gone = {part.name: part for part in self.there}
        for part in parts:
            del gone[part.name]
        kinds = {part.kind for part in gone.values()}
        tints = {part.air for part in gone.values() if part.kind in ("position", "applied")}
        one = "position" in gone or "applied" in gone
        case = Case(
            ram=not (one or "ram" in tints),
            still=not (one or "still" in tints),
            cabin="cabin" not in kinds,
            faults=self.airs.complete.faults - {p.fault for p in gone.values() if p.kind == "fault"},
        )
        names = ("lag", "instrument", "setting", "temperature", "gravity")
        return case, Without(**{name: name not in kinds for name in names}), "stop" not in kinds

    def _unstopped(self, case: Case, left: Without) -> FloatArray:
        key = self._key(case, left)
        if key not in self.known:
            self.known[key] = self.shown.value(case, left)
        return self.known[key]

    def _key(self, case: Case, left: Without) -> _Key:
        airs = tuple(id(self.airs.air(case, tapping)) for tapping in self.shown.tappings)
        edits = tuple((e.what, e.schedule) for e in self.shown.edits(case))
        return _Key(airs, edits, left)

    def _know(self, case: Case, left: Without, indicated: FloatArray) -> None:
        """What the run shows is what is shown with all parts there; against a stop it is told no more."""
        found = indicated
        if self.stopped.any():
            found = np.where(self.stopped, self.shown.value(case, left), indicated)
        self.known[self._key(case, left)] = found
