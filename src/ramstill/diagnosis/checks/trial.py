"""A check before it is known what it tells: what it is, what it looks at, and how to work it out."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from ramstill.diagnosis.checks.check import Where
    from ramstill.diagnosis.checks.witness import Witness

Array = NDArray[np.float64]

SHOWS = 0.2  # chance that something outside the catalogue shows in what a check looks at; assumed


@dataclass(frozen=True, slots=True)
class Trial:
    """One check of one airplane.

    key, title, where, how, cautions, minutes, risk: as `Check` has them. work_out(): probability of each bin
    of each witness, (history, way, bins), under each of the histories, whose weights (history,) sum to 1.
    """

    key: str
    title: str
    where: Where
    how: str
    cautions: str
    minutes: float
    risk: float
    witnesses: tuple[Witness, ...]
    work_out: Callable[[], tuple[Array, ...]]
    weights: Array

    def with_none_fits(self) -> tuple[Array, ...]:
        """What `work_out` gives, with one way more: something outside the catalogue. Now and then it shows,
        anyhow; else it looks as the sound airplane does (way 0).
        """
        found = []
        for chances in self.work_out():
            outside = (1.0 - SHOWS) * chances[:, :1] + SHOWS / chances.shape[-1]
            found.append(np.concatenate([chances, outside], axis=1))
        return tuple(found)
