"""What a flight keeps of itself while it is flown: the loop writes it, and ending.py makes a path of it."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.flight.pilots.faulty import Faulty
    from ramstill.flight.pilots.flown import Event
    from ramstill.flight.pilots.seeing import Followed
    from ramstill.flight.pilots.table import PilotPlan
    from ramstill.instruments import Watching

Array = NDArray[np.float64]
STEP_S = 0.25  # of the loop [s]


class Logged:
    """A flight as far as it is flown: up to row `i` of its arrays.

    flyer: see point_mass.py; offset_m [m]: pressure altitude less altitude with the right setting; setting_pa
    [Pa]: the one that is set; warned (11,): see `warned_speeds`; time_s (k,) [s]; rows (k, ROW): see
    onward.py; shown (k, p): the pointers, SI; lever (k,); phases: (start [s], task).
    """

    airplane: Airplane
    plan: PilotPlan
    source: str
    flyer: Array
    follows: Followed
    faulty: Faulty
    watching: Watching
    offset_m: float
    setting_pa: float
    warned: Array
    time_s: Array
    rows: Array
    shown: Array
    lever: Array
    i: int
    events: list[Event]
    phases: list[tuple[float, str]]
