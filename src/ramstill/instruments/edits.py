"""Edits of one instrument's own part over time: a wrong setting, a shifted pointer, a sticking one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, fields
from typing import TYPE_CHECKING

import numpy as np

from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics.schedule import Schedule

EDIT_KINDS = {
    "setting offset": "added to the altimeter setting the pilot believes is set [Pa]",
    "pointer offset": "added to what the mechanism says [unit of the pointer: m/s or m]",
    "friction": "added to the dead band of the mechanism [unit of the pointer: m/s or m]",
    "vibrator lost": "share of an altimeter's vibrator that does not work [0 to 1]",
    "blank": "from a half on, the instrument shows or reports nothing [0 to 1]",
    "stuck": "share of every movement that the pointer does not make (0 free, 1 does not move)",
}
SHARES = ("stuck", "vibrator lost", "blank")  # of two at once the larger holds
_FIELDS = {
    "setting offset": "setting_offset_pa",
    "pointer offset": "pointer_offset",
    "vibrator lost": "vibrator_lost",
}


@dataclass(frozen=True, slots=True)
class PointerEdit:
    """One edit: `instrument` is its name on the airplane, `what` one of EDIT_KINDS, `schedule` its value."""

    instrument: str
    what: str
    schedule: Schedule

    def __post_init__(self) -> None:
        if self.what not in EDIT_KINDS:
            raise InputError("pointer edit", "what", self.what, ", ".join(EDIT_KINDS))


@dataclass(frozen=True, slots=True)
class Edited:
    """All edits of one instrument worked out over time, each (t,) or a plain 0."""

    setting_offset_pa: Array | float = 0.0
    pointer_offset: Array | float = 0.0
    friction: Array | float = 0.0
    vibrator_lost: Array | float = 0.0
    blank: Array | float = 0.0
    stuck: Array | float = 0.0

    @classmethod
    def of(cls, instrument: str, edits: Iterable[PointerEdit], time_s: Array) -> Edited:
        """Sum the edits of `instrument` at `time_s`; of two shares of one thing the larger holds."""
        total: dict[str, Array | float] = dict.fromkeys(EDIT_KINDS, 0.0)
        for edit in edits:
            if edit.instrument != instrument:
                continue
            value = np.asarray(edit.schedule.at(time_s), dtype=float)
            if edit.what in SHARES:
                total[edit.what] = np.maximum(total[edit.what], np.clip(value, 0.0, 1.0))
            else:
                total[edit.what] = total[edit.what] + value
        return cls(**{_FIELDS.get(what, what): value for what, value in total.items()})

    def since(self, row: int) -> Edited:
        """The same from a row on."""
        over_time = {field.name: getattr(self, field.name) for field in fields(self)}
        return Edited(**{k: v[row:] if isinstance(v, np.ndarray) else v for k, v in over_time.items()})

    def first_row(self) -> int:
        """The first time at which anything is edited; as many as there are times where nothing ever is."""
        changed = [np.asarray(getattr(self, field.name)) != 0.0 for field in fields(self)]
        over_time = [values for values in changed if values.ndim]
        if not over_time:
            return 0
        rows = np.flatnonzero(np.logical_or.reduce(over_time))
        return int(rows[0]) if len(rows) else len(over_time[0])
