"""Which openings a step means."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

# Words that stand for every opening of one kind.
GROUPS = {
    "static-ports": "static-port",
    "pitot-inlet": "pitot-inlet",
    "pitot-drain": "pitot-drain",
    "static-drains": "static-drain",
    "alternate-source": "alternate-source",
}


def resolve(airplane: Airplane, written: str, source: str, field: str) -> tuple[str, ...]:
    """Return the names of the openings that `written` means: one by name, or all of one kind.

    Raises InputError listing what the airplane has when it means none.
    """
    names = [opening.name for opening in airplane.openings]
    if written in names:
        return (written,)
    kind = GROUPS.get(written)
    of_kind = tuple(opening.name for opening in airplane.openings if opening.kind == kind)
    if of_kind:
        return of_kind
    kinds = {opening.kind for opening in airplane.openings}
    groups = [word for word, kind in GROUPS.items() if kind in kinds and word not in names]
    raise InputError(source, field, f'"{written}"', f"one of {', '.join([*names, *groups])}")
