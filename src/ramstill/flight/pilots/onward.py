"""A step of the airplane and the pressures outside it then, compiled: what the loop does between two looks.

Importing this brings Numba in: import it inside the function that flies.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

import numpy as np
from numpy.typing import NDArray

from ramstill.air.constants import GAMMA, P0
from ramstill.airplane.openings import AXIS_DIMENSION
from ramstill.flight.motion import advance_into, look_into
from ramstill.flight.outside import INSIDE
from ramstill.flight.point_mass import (
    ANGLE,
    CONTROLS,
    FLAP,
    GEAR,
    HEIGHT,
    IMPACT,
    LOOKS,
    MACH,
    POWER,
    STATES,
    STATIC,
)
from ramstill.pneumatics._compiled import jit

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

Array = NDArray[np.float64]
Integers = NDArray[np.int64]

# Columns of a row: what motion.look tells, then the state, then the controls.
ROW_STATE = LOOKS
ROW_CONTROLS = LOOKS + STATES
ROW = LOOKS + STATES + CONTROLS

AXES = tuple(AXIS_DIMENSION)
BY_IMPACT, BY_DYNAMIC, CABIN, WING_BAY, OUTSIDE = range(5)
_SEES = {"total-energy": BY_DYNAMIC, "cabin": CABIN, "wing-bay": WING_BAY, "outside": OUTSIDE}
_CABIN_STEPS = 8000  # of a pressurised cabin's table: 14 Pa apart, the schedule's kinks are 1 Pa off at most
_LOWEST_PA, _HIGHEST_PA = 1000.0, 1.2 * P0


class Layout(NamedTuple):
    """The boundaries of an airplane in the order of `flight.outside.boundary_names`, for compiled code.

    sees (b,): which law; base (b,): pressure coefficient without its tables; first (b + 1,): where the
    tables of each begin; axis (t,): of AXES; start (t + 1,): where the rows of each table begin; at, change
    (r,): its rows; bay (2,): coefficients of cabin and wing bay; cabin (c,): pressure of a pressurised cabin
    at even steps of static pressure [Pa], empty where it is not pressurised.
    """

    sees: Integers
    base: Array
    first: Integers
    axis: Integers
    start: Integers
    at: Array
    change: Array
    bay: Array
    cabin: Array


def layout(airplane: Airplane) -> Layout:
    """Lay the openings of an airplane out."""
    sees, base, first, axis, start = [], [], [0], [], [0]
    at: list[float] = []
    change: list[float] = []
    for opening in airplane.openings:
        sees.append(_SEES.get(opening.sees, BY_IMPACT))
        base.append(float(opening.pressure_coefficient.base))
        for table in opening.pressure_coefficient.tables:
            axis.append(AXES.index(table.axis))
            at += [float(x) for x in table.at]
            change += [float(x) for x in table.change]
            start.append(len(at))
        first.append(len(axis))
    sees += [_SEES[name] for name in INSIDE]
    inside = airplane.inside
    cabin = np.empty(0)
    if inside.pressurisation is not None:
        cabin = inside.cabin_pressure(np.linspace(_LOWEST_PA, _HIGHEST_PA, _CABIN_STEPS + 1), 0.0)
    return Layout(
        np.array(sees, dtype=np.int64),
        np.array(base, dtype=np.float64),
        np.array(first, dtype=np.int64),
        np.array(axis, dtype=np.int64),
        np.array(start, dtype=np.int64),
        np.array(at, dtype=np.float64),
        np.array(change, dtype=np.float64),
        np.array([inside.cabin_pressure_coefficient, inside.wing_bay_pressure_coefficient], dtype=np.float64),
        np.ascontiguousarray(cabin, dtype=np.float64),
    )


@jit
def fly_on(
    flyer: Array,
    openings: Layout,
    state: Array,
    controls: Array,
    dt: float,
    ground_m: float,
    rows: Array,
    outside_pa: Array,
    i: int,
) -> None:
    """Fly dt [s] with steady controls, and write row i of what there is then and of the pressures outside."""
    if dt > 0.0:
        advance_into(flyer, state, controls, dt, state)
    row = rows[i]
    look_into(flyer, state, controls, row[:LOOKS])
    row[ROW_STATE:ROW_CONTROLS] = state
    row[ROW_CONTROLS:] = controls
    met = np.empty(len(AXES))
    met[0], met[1], met[2], met[3] = row[ANGLE], 0.0, controls[FLAP], controls[GEAR]
    met[4], met[5], met[6] = row[MACH], state[POWER], max(state[HEIGHT] - ground_m, 0.0)
    pressures(openings, row[STATIC], row[IMPACT], met, outside_pa[i])


@jit
def pressures(openings: Layout, static: float, impact: float, met: Array, out: Array) -> None:
    """The pressures outside (b,) [Pa] into `out`: `flight.outside.pressures` for one moment.

    met: the state that coefficients depend on, in the order of AXES.
    """
    dynamic = 0.5 * GAMMA * static * met[4] * met[4]
    for b in range(len(openings.sees)):
        sees = openings.sees[b]
        if sees == OUTSIDE:
            out[b] = static
        elif sees == WING_BAY:
            out[b] = static + openings.bay[1] * impact
        elif sees == CABIN:
            out[b] = _cabin(openings, static, impact)
        else:
            total = openings.base[b]
            for t in range(openings.first[b], openings.first[b + 1]):
                total += _along(openings, t, met[openings.axis[t]])
            out[b] = static + total * (dynamic if sees == BY_DYNAMIC else impact)


@jit
def _along(openings: Layout, table: int, value: float) -> float:
    low, high = openings.start[table], openings.start[table + 1] - 1
    if value <= openings.at[low]:
        return float(openings.change[low])
    if value >= openings.at[high]:
        return float(openings.change[high])
    while openings.at[low + 1] < value:
        low += 1
    share = (value - openings.at[low]) / (openings.at[low + 1] - openings.at[low])
    return float(openings.change[low] + share * (openings.change[low + 1] - openings.change[low]))


@jit
def _cabin(openings: Layout, static: float, impact: float) -> float:
    last = len(openings.cabin) - 1
    if last < 0:
        return float(static + openings.bay[0] * impact)
    along = min(max((static - _LOWEST_PA) / (_HIGHEST_PA - _LOWEST_PA) * last, 0.0), float(last))
    i = min(int(along), last - 1)
    return float(openings.cabin[i] + (along - i) * (openings.cabin[i + 1] - openings.cabin[i]))
