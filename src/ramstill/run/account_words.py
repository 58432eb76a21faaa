"""An account in words: the sum in a sentence, the trapped air that the instrument feels, and what the pointer
will do next, which is worked out by running the engine on.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.instruments import tappings_of
from ramstill.run import phrases as say
from ramstill.run.ahead import STEP_FT, STEP_KT, ahead
from ramstill.run.reactions import reaction_text
from ramstill.run.record import Paragraph, Run
from ramstill.run.words import sealed_paragraph, trapped_air

if TYPE_CHECKING:
    from ramstill.run.account import Account, Part
    from ramstill.run.kinds import Kind

SMALL = 0.03  # a part less than this beside the largest is not told


def words(run: Run, account: Account) -> tuple[Paragraph, ...]:
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
    largest = abs(account.parts[0].value_si) if account.parts else 0.0
    smallest = max(0.5 * step_of(account.unit) * account.unit.size, SMALL * largest)
    return tuple(part for part in account.parts if abs(part.value_si) >= smallest)[:most]


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
