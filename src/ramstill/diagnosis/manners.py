"""How the instruments follow the air outside once a fault is there: found by trying, on a short flight.

The airplane climbs a step, speeds up a step and climbs on, with each fault in it from the start. What its
cases and pointers then do says which share of a change outside gets to them, and how soon.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.diagnosis import _columns as c
from ramstill.diagnosis.reference import usual_power

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.panel import Panel
    from ramstill.faults import Fault
    from ramstill.pneumatics import Surroundings

Array = NDArray[np.float64]
STEP_M, STEP_SHARE, RATE_M_S = 150.0, 0.10, 5.0  # height, share of the airspeed, rate of climb
# The flight: rest, up within 10 s, rest, faster within 10 s, rest, climb to the top and rest there, where the
# pressure inside the airplane changes [s].
UP, FASTER, CLIMB, TOP, END = 60.0, 200.0, 340.0, 460.0, 560.0
EACH = 10.0
INSIDE, INSIDE_PA = 500.0, 40.0  # when, within 2 s, and by how much
FIRST, SECOND = 40.0, 80.0  # after the middle of a step, where its answer is looked at [s]
FELT = 0.2  # share of a step outside that has to reach a case for its pointer to be judged
NOTHING = 0.004  # share of a step that counts as none


@dataclass(frozen=True, slots=True)
class Manners:
    """Of one fault: `following` (MANNERS, see _columns: shares, and time constants [s] for what is left),
    and what its altimeter and airspeed pointers make of the pressure in their cases beside sound ones."""

    following: Array
    altitude_share: float
    airspeed_share: float

    def after(self, step_s: float) -> Array:
        """The manners with what is left of an old difference after a knot in place of time constants."""
        found = self.following.copy()
        for place in (c.A_LEFT, c.S_LEFT, c.P_LEFT, c.R_LEFT):
            tau = found[place]
            found[place] = 1.0 if np.isinf(tau) else float(np.exp(-step_s / max(tau, 1e-3)))
        return found


def manners(
    airplane: Airplane,
    panel: Panel,
    altitude_m: float,
    airspeed_m_s: float,
    faults: Sequence[tuple[Fault, ...]],
    workers: int | None = None,
) -> list[Manners]:
    """Return the manners of each set of faults in flight at an altitude [m] and airspeed [m/s].

    The faults' onsets are set before the start of that flight.
    """
    from dataclasses import replace

    from ramstill.run import simulate_batch

    outside = _flight(airplane, altitude_m, airspeed_m_s)
    cases = [tuple(replace(f, onset_s=-1.0, end_s=None, gradual_s=0.0) for f in each) for each in faults]
    batch = simulate_batch(
        airplane,
        outside,
        [(), *cases],
        output_hz=1.0,
        tolerance_pa=0.2,
        pointers=panel.pointers,
        tappings=sorted(panel.tappings),
        dtype=np.float64,
        workers=workers,
        progress=False,
    )
    truth = batch.truth
    static, impact = truth.static_pressure_pa, truth.impact_pressure_pa
    sound = None
    found = []
    for values in batch.values:
        columns = {one.name: values[:, i] for i, one in enumerate(batch.channels)}
        one = _of(panel, columns, static, impact)
        if sound is None:
            sound = one
            continue
        shares = [
            float(np.clip(share / beside, 0.0, 1.3)) if np.isfinite(share) and beside else 1.0
            for share, beside in zip(one[1], sound[1], strict=True)
        ]
        found.append(Manners(one[0], *shares))
    assert sound is not None
    return [Manners(sound[0], 1.0, 1.0), *found]


def _of(panel: Panel, columns: dict[str, Array], static: Array, impact: Array) -> tuple[Array, list[float]]:
    following = np.zeros(c.MANNERS)
    following[: c.A_CABIN] = [1.0, 0.0, 0.1, 1.0, 0.0, 0.1, 1.0, 1.0, 0.1, 1.0, 5.0]
    still, moved_by = int(INSIDE) - 2, int(INSIDE + FIRST)
    shares = [np.nan, np.nan]  # of a pointer whose case feels next to nothing nobody can say
    tapping = (panel.altimeter_static, panel.airspeed_static, panel.airspeed_pitot)
    for i, name in enumerate(tapping):
        if name is None:
            continue
        pressure = columns[name]
        up, tau = _step(pressure, static, UP)
        fast, other = _step(pressure, impact, FASTER)
        if up == 0.0:
            tau = other if fast else np.inf
        following[3 * i : 3 * i + 3] = up, fast, tau
        following[c.A_CABIN + i] = np.nan_to_num(pressure[moved_by] - pressure[still]) / INSIDE_PA
    for i, (pointer, names) in enumerate(
        ((panel.altitude, tapping[:1]), (panel.airspeed, (tapping[2], tapping[1])))
    ):
        if pointer is None or names[0] is None:
            continue
        moved, at = columns[pointer], int(FASTER if i else UP)
        before, after = at - 5, at + 100
        felt = columns[str(names[0])]
        if i:
            felt = felt - columns[str(names[1])]
        change = float(felt[after] - felt[before])
        outside = impact if i else static
        if abs(change) > FELT * abs(float(outside[after] - outside[before])):
            ought = _law(felt[after], i) - _law(felt[before], i)
            shares[i] = float(moved[after] - moved[before]) / ought if abs(ought) > 1e-6 else np.nan
    if panel.rate is not None:
        rate = columns[panel.rate]
        following[c.R_SHARE], following[c.R_LEFT] = _ramp(rate)
        following[c.R_CABIN] = np.nan_to_num(rate[moved_by] - rate[still]) / INSIDE_PA
    return following, shares


def _law(pressure: float, of_airspeed: int) -> float:
    """What a pressure, or a difference, is to show [m or m/s]."""
    if of_airspeed:
        return float(air.calibrated_airspeed(max(pressure, 0.0)))
    return float(air.pressure_altitude(max(pressure, 1000.0)))


def _step(pressure: Array, outside: Array, at: float) -> tuple[float, float]:
    """Share of a step outside that arrives, and its time constant [s]; (0, inf) where nothing does."""
    before, middle = int(at) - 2, int(at + EACH / 2.0)
    whole = float(outside[middle + int(SECOND)] - outside[before])
    first, second = (float(pressure[middle + int(t)] - pressure[before]) / whole for t in (FIRST, SECOND))
    if not (np.isfinite(first) and np.isfinite(second)) or max(abs(first), abs(second)) < NOTHING:
        return 0.0, np.inf
    still = min(max(second / first - 1.0, 0.0), 0.98) if first else 0.98
    share = first / (1.0 - still)
    if abs(share) > 1.5:
        return second, 0.1  # it does not settle: taken as it stands
    return share, (-(SECOND - FIRST) / float(np.log(still)) if still > 1e-6 else 0.1)


def _ramp(rate: Array) -> tuple[float, float]:
    """Share of a rate of climb that the pointer shows in the end, and its time constant [s]."""
    at = int(CLIMB)
    rest = float(rate[at - 2])
    end = float(rate[int(TOP) - 2]) - rest
    if not np.isfinite(end) or abs(end) < 0.02 * RATE_M_S:
        return 0.0, 5.0
    risen = np.flatnonzero((rate[at : int(TOP)] - rest) / end > 0.632)
    return end / RATE_M_S, max(float(risen[0]) if len(risen) else 60.0, 0.5)


def _flight(airplane: Airplane, altitude_m: float, airspeed_m_s: float) -> Surroundings:
    from ramstill.flight.attitude import angle_of_attack
    from ramstill.flight.outside import boundary_names, pressures
    from ramstill.pneumatics import Surroundings, Truth

    steps = [np.array([t, t + EACH]) for t in (UP, FASTER)]
    time = np.unique(np.concatenate([[0.0, END], *steps, [CLIMB, TOP, INSIDE, INSIDE + 2.0]]))
    top = STEP_M + RATE_M_S * (TOP - CLIMB)
    rise = np.interp(time, [UP, UP + EACH, CLIMB, TOP], [0.0, STEP_M, STEP_M, top])
    gain = np.interp(time, [FASTER, FASTER + EACH], [0.0, STEP_SHARE * airspeed_m_s])
    altitude, airspeed = altitude_m + rise, airspeed_m_s + gain
    static, warmth = (np.asarray(law(altitude)) for law in (air.static_pressure, air.standard_temperature))
    mach = np.asarray(air.mach_from_calibrated(airspeed, static))
    steady = np.ones(len(time))
    tas = np.asarray(air.true_airspeed(mach, warmth))
    truth = Truth.steady(
        time,
        pressure_altitude_m=altitude,
        geometric_altitude_m=altitude,
        static_pressure_pa=static,
        impact_pressure_pa=np.asarray(air.impact_pressure(airspeed)),
        cas_m_s=airspeed,
        tas_m_s=tas,
        climb_m_s=np.where((time >= CLIMB) & (time < TOP), RATE_M_S, 0.0),
        outside_temperature_k=warmth,
        angle_of_attack_rad=angle_of_attack(airplane.wing, static, mach, steady, 0.0 * steady),
        power=usual_power(airplane),
        height_over_ground_m=1000.0,
        ground_speed_m_s=tas,
        load_factor=1.0,
    )
    names, pressure = boundary_names(airplane), pressures(airplane, truth)
    for name in ("cabin", "wing-bay"):
        pressure[:, names.index(name)] += np.where(time > INSIDE, INSIDE_PA, 0.0)
    return Surroundings.from_samples(time, names, pressure, truth, curve="straight")
