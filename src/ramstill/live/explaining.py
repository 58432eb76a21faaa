"""The account of a reading, for a page: the ledger as a drawing, as figures, and in words."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ramstill.run import Run


def explained(run_of: Callable[[], Run], pointer: str, at_s: float) -> dict[str, Any]:
    """Why a pointer reads what it reads at a time [s] of a run; takes seconds.

    Raises InputError for a pointer that is not on the panel.
    """
    from ramstill.pictures import account_ledger

    run = run_of()
    account = run.account(pointer, at_s)
    size, unit = account.unit.size, account.unit.unit
    return {
        "at_s": account.at_s,
        "svg": account_ledger(run, pointer, at_s, key="account"),
        "lines": [
            {
                "title": part.title,
                "amount": round(part.value_si / size, 2),
                "words": f"{part.value_si / size:+.1f} {unit}".replace("-", "−"),
            }
            for part in account.parts
        ],
        "words": [f"{paragraph.title}: {paragraph.text}" for paragraph in account.words()],
    }
