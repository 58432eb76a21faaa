"""A hand at a few levers flies the airplane: speed, climb, altitude, flap, gear, power, altimeter setting.

A point that does what the levers ask: wings level, in still air, smoothly and within what is usual, with no
weighing of thrust against drag. So it needs no [performance], and it may climb as no engine would make it.
Twenty steps a second; `HandFlight` is such a flight while it is flown, `surroundings` a planned one as a
whole, and both are the same at each step, to the last bit.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf, isinf
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.units import FPM, FT, KT
from ramstill.errors import InputError
from ramstill.flight import hand
from ramstill.flight.hand import STEPS_A_SECOND, Phase, step_at
from ramstill.flight.lever_plan import LeverPlan, Levers, Ranges, Start
from ramstill.flight.outside import boundary_names
from ramstill.flight.path import chosen_setting, right_setting
from ramstill.flight.tables import LONGEST_S
from ramstill.pneumatics import Surroundings, Truth
from ramstill.pneumatics.truth import quantities

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

__all__ = [
    "HandFlight",
    "HandState",
    "LeverPlan",
    "Levers",
    "Ranges",
    "Start",
    "ranges",
    "step_at",
    "surroundings",
]

Array = NDArray[np.float64]

RATES_OVER_USUAL = 2.0  # the climb lever goes to this many times the usual rates; common practice, no source


@dataclass(frozen=True, slots=True)
class HandState:
    """How a flight by levers stands: to come back to."""

    tick: int
    figures: tuple[float, ...]


def ranges(airplane: Airplane, field_elevation_m: float = 0.0) -> Ranges:
    """How far an airplane's levers go over ground at an elevation [m].

    Up to the speed never to exceed (less high up, where Mach limits it: see `hand.highest_mach`), to twice
    the usual rates, and to the top of its altimeters' scales.
    """
    speeds = airplane.speeds
    return Ranges(
        (0.0, float(speeds.never_exceed)),
        (-RATES_OVER_USUAL * speeds.descent_rate, RATES_OVER_USUAL * speeds.climb_rate),
        (field_elevation_m, max(hand.top_of(airplane), field_elevation_m)),
        hand.retracts(airplane),
    )


class HandFlight:
    """One flight by levers while it is flown. Deterministic; raises InputError, and nothing else.

    boundary_names: of `outside_pa`. Everything it tells is of the step it stands at.
    """

    def __init__(
        self, airplane: Airplane, start: Start, day: air.Day | None = None, source: str = "levers"
    ) -> None:
        from ramstill.flight.hand_motion import fly_on, look_into
        from ramstill.flight.pilots.onward import layout

        self.airplane, self.start, self.day, self.source = airplane, start, day or air.Day(), source
        right = right_setting(self.day, start.field_elevation_m, source, "levers.field_elevation")
        setting = chosen_setting(start.setting_pa, right, source, "levers.altimeter_setting")
        self.ranges = ranges(airplane, start.field_elevation_m)
        self.boundary_names = boundary_names(airplane)
        self.figures = hand.figures(airplane, self.day, start.field_elevation_m, right)
        self.openings = layout(airplane)
        self._fly_on, self._look_into = fly_on, look_into
        self._state = self._begin(setting)
        self._row = np.empty(len(quantities()))
        self._outside = np.empty(len(self.boundary_names))
        self.tick = 0
        self._look()

    def _begin(self, setting_pa: float) -> Array:
        start, found = self.start, np.zeros(hand.STATES)
        found[hand.HEIGHT_LEVER] = found[hand.POWER_LEVER] = inf
        found[hand.SETTING] = setting_pa
        gear = float(start.on_ground or not self.ranges.retracts)
        found[hand.GEAR] = found[hand.GEAR_LEVER] = gear
        found[hand.SHOWN] = start.field_elevation_m
        if start.on_ground:
            found[hand.GROUNDED] = found[hand.WHEELS] = 1.0
            return found
        if not start.field_elevation_m < start.altitude_m <= self.ranges.altitude_m[1]:
            allowed = (
                f"above the field at {_ft(start.field_elevation_m)}, up to {_ft(self.ranges.altitude_m[1])}"
            )
            raise InputError(self.source, "levers.start_altitude", _ft(start.altitude_m), allowed)
        speed = float(self.airplane.speeds.cruise if start.speed_m_s is None else start.speed_m_s)
        slowest, fastest = float(self.airplane.speeds.stall_clean), self._fastest(start.altitude_m)
        if start.speed_m_s is None:
            speed = min(speed, fastest)
        if not slowest <= speed <= fastest:
            allowed = f"from {_kt(slowest)} (the stall) to {_kt(fastest)} at that altitude"
            raise InputError(self.source, "levers.start_speed", _kt(speed), allowed)
        found[hand.SHOWN] = start.altitude_m
        found[hand.SPEED] = found[hand.SPEED_LEVER] = speed
        found[hand.POWER] = self.figures[hand.LEVEL_POWER]
        found[hand.PHASE] = float(Phase.LEVEL)
        return found

    def _fastest(self, shown_m: float) -> float:
        """The highest speed at an altitude [m/s], below the Mach number that is not passed."""
        static = float(air.static_pressure(shown_m + self.figures[hand.SHOWN_OFFSET]))
        impact = float(air.impact_pressure_from_mach(self.figures[hand.HIGHEST_MACH], static))
        return min(self.ranges.speed_m_s[1], float(air.calibrated_airspeed(impact)))

    def _look(self) -> None:
        self._look_into(self.figures, self.openings, self._state, self._row, self._outside)

    @property
    def time_s(self) -> float:
        """Time flown [s]."""
        return self.tick / STEPS_A_SECOND

    @property
    def outside_pa(self) -> Array:
        """The air outside, (b,) [Pa], in the order of `boundary_names`."""
        return self._outside.copy()

    @property
    def truth(self) -> dict[str, float]:
        """Everything of `pneumatics.Truth` at this moment, by name."""
        return dict(zip(quantities(), self._row.tolist(), strict=True))

    @property
    def row(self) -> Array:
        """The same without the names, (q,), in the order of `pneumatics.truth.quantities`."""
        return self._row.copy()

    @property
    def phase(self) -> Phase:
        """What the airplane is doing."""
        return Phase(int(self._state[hand.PHASE]))

    @property
    def levers(self) -> Levers:
        """How the levers stand; altitude None: none is asked for."""
        stand = self._state.tolist()
        to, power = stand[hand.HEIGHT_LEVER], stand[hand.POWER_LEVER]
        return Levers(
            stand[hand.SPEED_LEVER],
            stand[hand.CLIMB_LEVER],
            None if isinf(to) else to,
            stand[hand.FLAP_LEVER],
            stand[hand.GEAR_LEVER],
            "fits" if isinf(power) else power,
            stand[hand.SETTING],
        )

    def move(self, levers: Levers, where: str = "levers") -> None:
        """From the next step on. InputError, its field after `where`, for what no lever goes to; then
        none is moved.
        """
        _check(levers, self.ranges, self.source, where)
        state = self._state
        if levers.climb_m_s is not None:
            state[hand.CLIMB_LEVER], state[hand.HEIGHT_LEVER] = levers.climb_m_s, inf
        for column, to in (
            (hand.SPEED_LEVER, levers.speed_m_s),
            (hand.HEIGHT_LEVER, levers.altitude_m),
            (hand.FLAP_LEVER, levers.flap),
            (hand.GEAR_LEVER, levers.gear),
            (hand.POWER_LEVER, inf if levers.power == "fits" else levers.power),
            (hand.SETTING, levers.setting_pa),
        ):
            if to is not None:
                state[column] = to

    def step(self) -> None:
        """STEP_S further."""
        self._fly_on(self.figures, self.openings, self._state, self._row, self._outside)
        self.tick += 1

    def state(self) -> HandState:
        """How it stands."""
        return HandState(self.tick, tuple(self._state.tolist()))

    def restore(self, state: HandState) -> None:
        """Stand as it, or another flight of the same airplane and start, stood."""
        self.tick, self._state[:] = state.tick, state.figures
        self._look()

    def through(self, steps: int) -> tuple[Array, Array, list[Phase]]:
        """So many steps at once: rows (k, q), pressures outside (k, b) [Pa] and phases after each."""
        from ramstill.flight.hand_motion import fly_through

        rows, phases = np.empty((steps, len(self._row))), np.empty(steps)
        outside = np.empty((steps, len(self._outside)))
        fly_through(self.figures, self.openings, self._state, rows, outside, phases)
        self.tick += steps
        self._look()
        return rows, outside, [Phase(int(phase)) for phase in phases]


def surroundings(
    airplane: Airplane, plan: LeverPlan, day: air.Day | None = None, source: str = "levers"
) -> Surroundings:
    """The pressures outside along a whole flight by levers: at each step those of a `HandFlight`, straight
    in between. Raises InputError, naming the move that cannot be made.
    """
    if not 0.0 < plan.duration_s <= LONGEST_S:
        allowed = f"above 0 s, up to {LONGEST_S / 3600.0:g} h"
        raise InputError(source, "levers.duration", f"{plan.duration_s:g} s", allowed)
    flight = HandFlight(airplane, plan.start, day, source)
    steps = step_at(plan.duration_s)
    rows, outside, phases = [flight.row[None]], [flight.outside_pa[None]], [flight.phase]
    at_s = 0.0
    for number, (at, levers) in enumerate(plan.moves, 1):
        where = f"levers.move[{number}]"
        if not at_s <= at <= plan.duration_s:
            allowed = f"from {at_s:g} s (the move before) to {plan.duration_s:g} s (the end)"
            raise InputError(source, f"{where}.at", f"{at:g} s", allowed)
        at_s = at
        _on(flight, step_at(at), rows, outside, phases)
        flight.move(levers, where)
    _on(flight, steps, rows, outside, phases)
    return _surroundings(flight, np.concatenate(rows), np.concatenate(outside), phases)


def _on(flight: HandFlight, to: int, rows: list[Array], outside: list[Array], phases: list[Phase]) -> None:
    if to > flight.tick:
        more_rows, more_outside, more_phases = flight.through(to - flight.tick)
        rows.append(more_rows)
        outside.append(more_outside)
        phases += more_phases


def _surroundings(flight: HandFlight, rows: Array, outside: Array, phases: list[Phase]) -> Surroundings:
    time = np.arange(len(rows)) / STEPS_A_SECOND  # the same doubles as their decimals in a file
    changes = [0, *(i for i in range(1, len(phases)) if phases[i] != phases[i - 1])]
    truth = Truth(
        time_s=time,
        phases=tuple((float(time[i]), phases[i].title) for i in changes),
        **dict(zip(quantities(), np.ascontiguousarray(rows.T), strict=True)),
    )
    found = Surroundings.from_samples(
        time, flight.boundary_names, outside, truth, title="flight by levers", curve="straight"
    )
    # while it is flown nobody knows how cold it will be on average
    return replace(found, walls_k=float(truth.outside_temperature_k[0]))


def _check(levers: Levers, within: Ranges, source: str, where: str) -> None:
    for name, to, pair, said in (
        ("speed", levers.speed_m_s, within.speed_m_s, _kt),
        ("climb", levers.climb_m_s, within.climb_m_s, _fpm),
        ("altitude", levers.altitude_m, within.altitude_m, _ft),
        ("flap", levers.flap, (0.0, 1.0), _share),
        ("gear", levers.gear, (0.0, 1.0), _share),
        ("power", None if levers.power == "fits" else levers.power, (0.0, 1.0), _share),
    ):
        if to is not None and not pair[0] <= to <= pair[1]:
            raise InputError(source, f"{where}.{name}", said(to), f"from {said(pair[0])} to {said(pair[1])}")
    if levers.gear is not None and levers.gear != 1.0:
        if not within.retracts:
            raise InputError(source, f"{where}.gear", _share(levers.gear), "1, down: this gear is fixed")
        if levers.gear != 0.0:
            raise InputError(source, f"{where}.gear", _share(levers.gear), "0, up, or 1, down")
    if levers.setting_pa is not None:
        chosen_setting(levers.setting_pa, 0.0, source, f"{where}.altimeter_setting")


def _kt(speed_m_s: float) -> str:
    return f"{speed_m_s / KT:.0f} kt"


def _ft(altitude_m: float) -> str:
    return f"{altitude_m / FT:,.0f} ft"


def _fpm(rate_m_s: float) -> str:
    return f"{rate_m_s / FPM:,.0f} ft/min"


def _share(share: float) -> str:
    return f"{share:g}"
