"""An account, and the same in words: the sum in a sentence, the trapped air that the instrument feels, and
what the pointer will do next, which is worked out by running the engine on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from ramstill.instruments import tappings_of
from ramstill.run import phrases as say
from ramstill.run.ahead import STEP_FT, STEP_KT, ahead
from ramstill.run.kinds import Kind
from ramstill.run.parts import Kind as PartKind
from ramstill.run.parts import Tint, largest
from ramstill.run.reactions import reaction_text
from ramstill.run.record import Paragraph, Run
from ramstill.run.words import sealed_paragraph, trapped_air

SMALL = 0.03  # a part less than this beside the largest is not told


@dataclass(frozen=True, slots=True)
class Part:
    """One part of an error. name, kind, title: see docs/account.md; air: whose colour it has; value_si: what
    it puts in, m/s or m; standard_error_si: of that value, 0 where it was shared exactly; onset_s: of a
    fault, when it begins [s].
    """

    name: str
    kind: PartKind
    title: str
    air: Tint
    value_si: float
    standard_error_si: float = 0.0
    onset_s: float | None = None


@dataclass(frozen=True, slots=True)
class Account:
    """Why a pointer is off at one time: `parts`, largest first, add up to indicated less true, m/s or m.

    instrument: the pointer's name; at_s: of the sample that is meant [s]; indicated_si: NaN where nothing is
    shown, and then there are no parts; readings: how many the shares rest on.
    """

    instrument: str
    title: str
    at_s: float
    indicated_si: float
    true_si: float
    parts: tuple[Part, ...]
    unit: Kind
    readings: int
    _run: Run

    @property
    def error_si(self) -> float:
        """Indicated less true, m/s or m; NaN where nothing is shown."""
        return self.indicated_si - self.true_si

    @property
    def blank(self) -> bool:
        """Whether nothing is shown."""
        return bool(np.isnan(self.indicated_si))

    def part(self, name: str) -> Part:
        """The part of that name; KeyError when there is none."""
        for part in self.parts:
            if part.name == name:
                return part
        raise KeyError(name)

    def words(self) -> tuple[Paragraph, ...]:
        """In words: its sum, what trapped air the instrument feels, what the pointer will do next."""
        return _paragraphs(self._run, self)


def _paragraphs(run: Run, account: Account) -> tuple[Paragraph, ...]:
    """The paragraphs: the sum, trapped air that has a way to the instrument, what comes next."""
    pointer = run.pointer(account.instrument)
    name, at_s = account.instrument, account.at_s
    found = [Paragraph("pointer", say.first_up(account.title), in_a_sentence(run, account), name, at_s)]
    felt = set(tappings_of(pointer.instrument))
    for sealed in trapped_air(run):
        if sealed.since_s <= at_s <= sealed.until_s and felt & set(sealed.tappings):
            found.append(sealed_paragraph(run, sealed))
    found.append(Paragraph("pointer", "What it will do next", what_next(run, account), name, at_s))
    return tuple(found)


def in_a_line(account: Account) -> str:
    """For a list of pointers that are astray: its name, how far, and what made it, largest first."""
    parts = ", ".join(_entry(account, part) for part in told(account, most=4))
    return f"{account.instrument} {signed(account, account.error_si)} {account.unit.unit}: {parts}"


def astray(account: Account) -> bool:
    """Whether a pilot who looks would be misled by what is shown."""
    return abs(account.error_si) > account.unit.noticeable_si


def in_a_sentence(run: Run, account: Account) -> str:
    """What is shown, what is true, and what made the difference."""
    pointer = run.pointer(account.instrument)
    if account.blank:
        true = say.said(account.true_si, pointer)
        when = say.clock(account.at_s)
        return f"At {when} it shows nothing where {true} is true: there is nothing to share out."
    shown, true = (say.said(value, pointer) for value in (account.indicated_si, account.true_si))
    parts = told(account)
    made = f": {say.listed([_entry(account, part) for part in parts])}" if parts else ""
    return (
        f"At {say.clock(account.at_s)} it shows {shown} where {true} is true, "
        f"{signed(account, account.error_si)} {account.unit.unit}{made}."
    )


def what_next(run: Run, account: Account) -> str:
    """What it does in a climb, a descent and at another speed from there, each run ahead."""
    reactions = ahead(run, account.at_s)
    of_it = {change: found[account.instrument] for change, found in reactions.items()}
    text = reaction_text(run.pointer(account.instrument), of_it, STEP_FT, STEP_KT)
    if text:
        return text
    also = " and in a change of speed" if "faster" in reactions else ""
    return f"In a climb, in a descent{also} it does as it should."


def told(account: Account, most: int = 6) -> tuple[Part, ...]:
    """The parts that show once they are rounded and beside the largest, largest first."""
    values = np.array([[part.value_si] for part in account.parts])
    step = step_of(account.unit) * account.unit.size
    least = max(0.5 * step, SMALL * float(np.max(np.abs(values), initial=0.0)))
    return tuple(account.parts[i] for i in largest(values, least, most))


def _entry(account: Account, part: Part) -> str:
    """A part with its amount: "lag −12"."""
    doubt = f" ± {_figure(account, part.standard_error_si)}" if part.standard_error_si else ""
    return f"{part.title} {signed(account, part.value_si)}{doubt}"


def signed(account: Account, value_si: float) -> str:
    """A difference with its sign, in its unit."""
    return f"{'+' if value_si >= 0.0 else '−'}{_figure(account, abs(value_si))}"


def step_of(unit: Kind) -> float:
    """How finely parts are told, in units: whole knots and feet, tens of feet a minute."""
    return 10.0 if unit.unit == "ft/min" else 1.0


def _figure(account: Account, value_si: float) -> str:
    return say.number(value_si / account.unit.size, step_of(account.unit))
