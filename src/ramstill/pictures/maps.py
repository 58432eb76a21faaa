"""The line map of an airplane."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ramstill.pictures.linemap import draw
from ramstill.pictures.of_airplane import plumbing_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault


def line_map(
    airplane: Airplane, faults: Sequence[Fault] = (), *, compact: bool = False, key: str = "map"
) -> str:
    """Where the lines of an airplane run and where its faults are, as SVG.

    Faults are numbered in their order. Raises InputError for a fault that the airplane cannot have.
    """
    return draw(plumbing_of(airplane, faults), compact=compact, key=key)
