"""What each pointer would do next: the engine run ahead from one moment of a run, faults held as they were.

From that moment the airplane climbs or descends 1,000 ft at 1,000 ft/min at a steady calibrated airspeed, or
flies 10 kt faster or slower at a steady altitude, and holds; beside it the same without the change, so that
what was moving anyway (lag, a slow leak) does not count. Assumption: every opening keeps its pressure
coefficient of that moment.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill import air
from ramstill.air import units
from ramstill.run.record import FloatArray, Run
from ramstill.run.simulating import at_boundaries

if TYPE_CHECKING:
    from ramstill.instruments import PointerEdit
    from ramstill.pneumatics import Inside, Network, Schedule, Surroundings

STEP_FT, STEP_KT = 1000.0, 10.0
SETTLE_S, RAMP_S, HOLD_S = (
    60.0,
    60.0,
    60.0,
)  # hold first, change, hold again; 1,000 ft in 60 s is 1,000 ft/min
SLOWEST_KT = 30.0  # below this no change of airspeed is asked for
TOLERANCE_PA = 0.2  # Pa; a tenth of a knot at 60 kt, 0.05 ft: words need no more
_NEAR_STOP = 0.003  # share of the scale: half a knot on an ordinary airspeed indicator
CHANGES: Mapping[str, tuple[float, float]] = {
    "up": (STEP_FT, 0.0),
    "down": (-STEP_FT, 0.0),
    "faster": (0.0, STEP_KT),
    "slower": (0.0, -STEP_KT),
}


@dataclass(frozen=True, slots=True)
class Reaction:
    """What one pointer does because of one change, SI (m/s or m): faulty airplane and healthy one.

    moved, right: once everything has been still for 60 s; during, right_during: at the end of the change,
    while it still goes on; stopped: the faulty pointer has come to rest at an end of its scale.
    """

    moved: float
    right: float
    during: float
    right_during: float
    stopped: bool = False


def ahead(run: Run, at_s: float) -> dict[str, dict[str, Reaction]]:
    """Reactions by change ("up", "down", "faster", "slower"; the last two in flight only) and instrument."""
    from ramstill.pneumatics import Schedule, settle

    def still(schedule: Schedule) -> Schedule:
        return Schedule.constant(float(schedule.at(at_s)))

    around = run.applied.surroundings
    edits = [replace(edit, schedule=still(edit.schedule)) for edit in run.applied.pointer_edits]
    faulty = replace(
        run.applied.network, openness=tuple(s and still(s) for s in run.applied.network.openness)
    )
    healthy = run.healthy_network
    start = inside_at(run, healthy, at_s)
    settled = settle(healthy, at_boundaries(run.surroundings, at_s))
    shut = {name: still(schedule) for name, schedule in around.openness.items()}
    free = {name: still(schedule) for name, schedule in run.surroundings.openness.items()}

    def react(change: tuple[float, float]) -> tuple[dict[str, FloatArray], dict[str, FloatArray]]:
        broken = _changed(around, at_s, change, shut)
        whole = _changed(run.surroundings, at_s, change, free)
        return (_pointers(run, faulty, broken, start, edits), _pointers(run, healthy, whole, settled, ()))

    kept, kept_right = react((0.0, 0.0))
    in_flight = float(run.truth.cas_m_s[run.index(at_s)]) > SLOWEST_KT * units.KT
    found: dict[str, dict[str, Reaction]] = {}
    for change, steps in CHANGES.items():
        if steps[1] and not in_flight:
            continue
        moved, right = react(steps)
        found[change] = {
            name: Reaction(
                moved=float(moved[name][1] - kept[name][1]),
                right=float(right[name][1] - kept_right[name][1]),
                during=float(moved[name][0] - kept[name][0]),
                right_during=float(right[name][0] - kept_right[name][0]),
                stopped=at_stop(run.pointer(name), float(moved[name][1])),
            )
            for name in moved
        }
    return found


def inside_at(run: Run, healthy: Network, at_s: float) -> Inside:
    """The air inside at the sample nearest to a time [s], as warm as it is then.

    A run keeps pressures only, so it is worked out again up to then.
    """
    from ramstill.pneumatics import solve
    from ramstill.run.preparing import start_inside

    network, around = run.applied.network, run.applied.surroundings
    begin, now = float(run.time_s[0]), float(run.time_s[run.index(at_s)])
    start = start_inside(network, around, healthy, run.tolerance_pa)
    if now <= begin:
        return start
    return solve(network, around, [now], run.tolerance_pa, start, begin).end


def at_stop(pointer: Any, value: float) -> bool:
    """Whether a pointer (SI) stands at an end of its scale."""
    instrument = pointer.instrument
    if instrument.kind == "airspeed-indicator":
        top = float(instrument.top_mark)
        lowest = instrument.lowest_reading
        return not lowest + _NEAR_STOP * top < value < top - _NEAR_STOP * top
    if instrument.kind in ("vertical-speed-indicator", "variometer"):
        return abs(value) > (1.0 - _NEAR_STOP) * float(instrument.full_scale)
    return False


def _changed(
    around: Surroundings, at_s: float, change: tuple[float, float], openness: Mapping[str, Schedule]
) -> Surroundings:
    """Surroundings held at one time, changed by (feet, knots) between 60 s and 120 s, and held again."""
    from ramstill.pneumatics import Surroundings

    ramp = np.linspace(0.0, 1.0, 31)
    times = np.concatenate([[0.0], SETTLE_S + RAMP_S * ramp, [SETTLE_S + RAMP_S + HOLD_S]])
    share = np.concatenate([[0.0], ramp, [1.0]])
    truth = replace(around.truth.at(np.full(len(times), at_s)), time_s=times)
    static = truth.static_pressure_pa
    new_static = np.asarray(
        air.static_pressure(air.pressure_altitude(static) + change[0] * units.FT * share), dtype=np.float64
    )
    impact = truth.impact_pressure_pa
    new_cas = truth.cas_m_s + change[1] * units.KT * share
    ratio = np.asarray(air.impact_pressure(new_cas)) / impact if change[1] else np.ones(len(times))
    pressure = new_static[:, None] + (around.at([at_s]) - static[0]) * ratio[:, None]
    return Surroundings.from_samples(
        times,
        around.boundary_names,
        pressure,
        truth,
        kinks_s=(SETTLE_S, SETTLE_S + RAMP_S),
        openness=openness,
    )


def _pointers(
    run: Run,
    network: Network,
    around: Surroundings,
    start: FloatArray | Inside,
    edits: Sequence[PointerEdit],
) -> dict[str, FloatArray]:
    """What the pointers show (2,): at the end of the change, and after the hold."""
    from ramstill.instruments import read
    from ramstill.pneumatics.integrate import integrate

    times = np.arange(0.0, SETTLE_S + RAMP_S + HOLD_S + 0.5, 1.0)
    pressure = integrate(network, around, times, TOLERANCE_PA, initial_pa=start)
    by_name = {name: pressure[:, i] for i, name in enumerate(network.node_names)}
    shown = read(run.airplane, times, by_name, around.truth.altimeter_setting_pa[0], edits)
    picked = [int(SETTLE_S + RAMP_S), len(times) - 1]
    return {name: np.asarray(values[picked], dtype=np.float64) for name, values in shown.items()}
