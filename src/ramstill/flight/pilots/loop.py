"""The loop: pointers, pilot, airplane, air outside, air inside, and round again four times a second."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill import air
from ramstill.air.constants import G0, R_AIR
from ramstill.air.units import FT
from ramstill.errors import InputError
from ramstill.flight import point_mass
from ramstill.flight.legs import FLAP_TRAVEL_S, GEAR_TRAVEL_S
from ramstill.flight.path import chosen_setting, right_setting
from ramstill.flight.pilots.checking import ALTERNATE_AFTER_S, BY_NUMBERS_S, HEAT_AFTER_S, OTHER, Checking
from ramstill.flight.pilots.ending import FLAPS, flown, seen_at, warned_speeds
from ramstill.flight.pilots.faulty import Faulty
from ramstill.flight.pilots.flown import CUES, Event, Flown
from ramstill.flight.pilots.hands import Autopilot, Hands, no_further, reached
from ramstill.flight.pilots.known import Knowing, Known
from ramstill.flight.pilots.logged import STEP_S, Logged
from ramstill.flight.pilots.onward import ROW, fly_on, layout
from ramstill.flight.pilots.seeing import Eyes, followed
from ramstill.flight.tables import LONGEST_S
from ramstill.instruments import Watching, pointers_of
from ramstill.pneumatics import (
    STEADY_M_S,
    Session,
    SolverError,
    Surroundings,
    Truth,
    compile_network,
    spun_up,
    too_quick,
)

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.flight.pilots.flown import Kind
    from ramstill.flight.pilots.table import PilotPlan
    from ramstill.pneumatics import Inside, Network

Array = NDArray[np.float64]


def fly(
    airplane: Airplane,
    plan: PilotPlan,
    day: air.Day | None = None,
    faults: Iterable[Fault] = (),
    source: str = "pilot",
) -> Flown:
    """Fly an airplane with its faults closed loop: the pilot sees nothing but what the instruments show.

    Deterministic for a given plan, seed and all. Raises InputError for an airplane without [performance], a
    pilot without an instrument to follow, and tasks that cannot be flown.
    """
    try:
        return Loop(airplane, plan, day or air.Day(), tuple(faults), source).fly()
    except SolverError as error:
        raise too_quick(airplane.name, error) from None


class Loop(Logged):
    """One flight while it is being flown."""

    def __init__(
        self, airplane: Airplane, plan: PilotPlan, day: air.Day, faults: tuple[Fault, ...], source: str
    ) -> None:
        self.airplane, self.plan, self.day, self.source = airplane, plan, day, source
        try:
            point_mass.performance_of(airplane)
        except InputError as error:
            read = f"{airplane.name} without [performance]"
            raise InputError(source, "airplane", read, error.allowed) from None
        self.flyer = point_mass.flyer(airplane, day, headwind_m_s=plan.headwind)
        self.follows = followed(airplane, plan, source)
        self._set(day, plan)
        self.knowing = Knowing(airplane, day, self.flyer, self.offset_m, source)
        self.tasks: tuple[Known, ...] = self.knowing.tasks(plan)
        longest = sum(task.duration_s for task in self.tasks)
        if longest > LONGEST_S:
            hours = f"{LONGEST_S / 3600.0:g} h at most"
            raise InputError(source, "pilot.task", f"up to {longest / 3600.0:.3g} h of flight", hours)
        self.openings = layout(airplane)
        self.warned = warned_speeds(self.flyer, plan.start_altitude)
        steps = round(longest / STEP_S) + len(self.tasks) + 2
        self.healthy: Network = compile_network(airplane, outside_temperature_k=self._outside_k())
        self.faulty = Faulty(airplane, self.healthy, faults, source)
        self._room(steps)
        self.events, self.phases = [], []

    def _set(self, day: air.Day, plan: PilotPlan) -> None:
        """The altimeter setting, and what it makes of pressure altitude."""
        correct = right_setting(day, plan.field_elevation, self.source, "pilot.field_elevation")
        if plan.start_altitude <= plan.field_elevation:
            allowed = f"above the field at {plan.field_elevation / FT:,.0f} ft"
            read = f"{plan.start_altitude / FT:,.0f} ft"
            raise InputError(self.source, "pilot.start_altitude", read, allowed)
        field = "pilot.altimeter_setting"
        self.setting_pa = chosen_setting(plan.altimeter_setting, correct, self.source, field)
        self.offset_m = float(air.pressure_altitude(correct))  # of shown altitude, with the right setting
        self.set_offset_m = float(air.pressure_altitude(self.setting_pa))

    def _outside_k(self) -> float:
        """About how cold it will be outside on average: what lines outside the cabin are as cold as [K]."""
        heights = [self.plan.start_altitude, *(h for task in self.tasks for h in task.altitudes)]
        static = np.asarray(air.static_pressure(np.array(heights) + self.offset_m))
        return float(np.mean(self.day.temperature(self.day.height(static))))

    def _room(self, steps: int) -> None:
        self.time_s = np.arange(steps, dtype=np.float64) * STEP_S
        self.rows = np.zeros((steps, ROW))
        self.outside = np.zeros((steps, len(self.healthy.boundary_names)))
        self.shown = np.full((steps, len(pointers_of(self.airplane))), np.nan)
        self.lever = np.zeros(steps)

    def fly(self) -> Flown:
        """Fly all tasks, or until the ground, or until some time after the stall."""
        trimmed, _ = self.knowing.start(self.plan)
        self.state = trimmed.state()
        self.controls = trimmed.controls()
        self.hands = Hands(self.plan.style, self.plan.gain, trimmed.pitch_rad, trimmed.power)
        self._begin()
        self.i = 0
        for task in self.tasks:
            if not self._task(task):
                break
        if self.i == 0:
            read, allowed = "a flight that is over as it begins", f"tasks of {STEP_S:g} s or more in all"
            raise InputError(self.source, "pilot.task", read, allowed)
        return flown(self)

    def _begin(self) -> None:
        """The first row, the air inside, the instruments, the eyes."""
        ground = self.plan.field_elevation
        fly_on(self.flyer, self.openings, self.state, self.controls, 0.0, ground, self.rows, self.outside, 0)
        network = self.faulty.network(self.time_s[:1], self.rows[:1])
        self.faulty.outside(0.0, self.rows[0], self.outside[0])
        inside = self._settled(network)
        self.session = Session(network, self.outside[0], 0.0, inside=inside)
        self.watching = Watching(self.airplane, network, self.setting_pa, self.faulty.edits)
        self.pumped = any(getattr(one, "instantaneous", None) for one in self.airplane.instruments)
        self._show(0, self.session.pressure_pa)
        start = self.rows[0]
        self.eyes = Eyes(self.plan, float(start[point_mass.CALIBRATED]), self.plan.start_altitude)
        self.autopilot = Autopilot(self.set_offset_m) if self.plan.style == "altitude-hold" else None
        checks = self.plan.style == "cross-check"
        self.checking = Checking(self.flyer, self.plan.recognition) if checks else None
        self.recognised_s, self.to_do, self.stop_s = np.inf, list[str](), np.inf
        self.told = ""
        tappings = network.node_names
        altimeter = self.watching.names[max(self.follows.altimeter, 0)].partition(".")[0]
        self.static_at = tappings.index(f"{altimeter}.static") if f"{altimeter}.static" in tappings else 0

    def _settled(self, network: Network) -> Inside:
        """The air inside at the start, as `simulate` has it."""
        row = self.rows[0]
        climb = float(row[point_mass.CLIMB])
        carried_on = abs(climb) > STEADY_M_S
        # a second of the same: every pressure outside moves about as the static pressure does
        rate = -row[point_mass.STATIC] / (R_AIR * row[point_mass.TEMPERATURE]) * G0 * climb
        times = np.array([0.0, 1.0])
        pressure = np.stack([self.outside[0], self.outside[0] + (rate if carried_on else 0.0)])
        around = Surroundings.from_samples(times, network.boundary_names, pressure, Truth.steady(times))
        return spun_up(network, around, settled_as=self.healthy, carried_on=carried_on)

    def _show(self, i: int, pressure: Array) -> None:
        row = self.rows[i]
        beyond = dict(zip(self.healthy.boundary_names, self.outside[i], strict=True)) if self.pumped else None
        self.shown[i] = self.watching.show(
            float(self.time_s[i]),
            pressure,
            beyond,
            float(row[point_mass.LOAD_FACTOR]),
            float(self.state[point_mass.POWER]),
        )
        self.pressure = pressure

    def _task(self, task: Known) -> bool:
        """Fly one task. False where the flight is over."""
        begins = self.i
        self.phases.append((float(self.time_s[self.i]), task.title))
        self.hands.take_up(task, self.eyes.altitude)
        if self.autopilot is not None:
            self.autopilot.feel(float(self.pressure[self.static_at]), 0.0)
            if task.to is None:
                self.hands.level_altitude = self.autopilot.altitude
        last = begins + round(task.duration_s / STEP_S)
        while self.i < last:
            if self._done(task):
                words = f"the altimeter shows {task.to / FT:,.0f} ft" if task.to is not None else ""
                self._note("task", f"{task.title} ends: {words}")
                return True
            if not self._step(task):
                return False
        if task.to is not None and task.kind != "level":
            self._note("late", f"{task.title}: the altimeter never showed {task.to / FT:,.0f} ft")
            return False
        return True

    def _done(self, task: Known) -> bool:
        if self.hands.by_numbers:
            return False
        if self.autopilot is not None:
            return reached(task, self.autopilot.altitude, self.autopilot.trend)
        return reached(task, self.eyes.altitude, self.eyes.altitude_trend)

    def _step(self, task: Known) -> bool:
        """One round of the loop. False where the flight is over."""
        i, now = self.i, float(self.time_s[self.i])
        self._see(task, i, now)
        self.hands.move(task, self.eyes, self.autopilot, STEP_S)
        controls = self.controls
        controls[point_mass.ATTITUDE], controls[point_mass.LEVER] = self.hands.pitch, self.hands.lever
        for place, to, travel in (
            (point_mass.FLAP, task.flap, FLAP_TRAVEL_S),
            (point_mass.GEAR, task.gear, GEAR_TRAVEL_S),
        ):
            controls[place] += no_further(to - controls[place], STEP_S / travel)
        j, then = i + 1, float(self.time_s[i + 1])
        ground = self.plan.field_elevation
        fly_on(self.flyer, self.openings, self.state, controls, STEP_S, ground, self.rows, self.outside, j)
        if self.faulty.due(now):
            self._exchange()
        self.faulty.outside(then, self.rows[j], self.outside[j])
        self._show(j, self.session.advance(then, self.outside[j]))
        if self.autopilot is not None:
            self.autopilot.feel(float(self.pressure[self.static_at]), STEP_S)
        self.lever[j], self.i = self.hands.lever, j
        return self._goes_on(j, then)

    def _goes_on(self, j: int, then: float) -> bool:
        row = self.rows[j]
        if self.state[point_mass.HEIGHT] <= self.plan.field_elevation:
            self._note("ground", "the airplane reaches the ground: the run ends here")
            return False
        if then > self.recognised_s + BY_NUMBERS_S:
            self._note("ends", "flown on without the pointers: the run ends here")
            return False
        over = row[point_mass.STALL_MARGIN] < 1.0 and row[point_mass.ANGLE] > 0.0
        over = over or row[point_mass.CALIBRATED] > self.airplane.speeds.never_exceed
        if over and self.stop_s == np.inf:
            self.stop_s = then + self.plan.after_stall
        return then < self.stop_s

    def _see(self, task: Known, i: int, now: float) -> None:
        eyes, follows = self.eyes, self.follows
        if eyes.due(now):
            shown = self.shown[i]
            airspeed = float(shown[follows.airspeed]) if follows.airspeed >= 0 else float("nan")
            altitude = float(shown[follows.altimeter]) if follows.altimeter >= 0 else float("nan")
            eyes.look(now, airspeed, altitude, seen_at(self, slice(i, i + 1))[0])
        look = eyes.know(now)
        if self.checking is None or look is None:
            return
        cue = self.checking.compare(
            look, float(np.interp(self.controls[point_mass.FLAP], FLAPS, self.warned)), now
        )
        if not self.hands.by_numbers and cue >= 0:
            name = list(CUES)[cue]
            self._note("recognised", f"the pilot no longer believes the pointers: {CUES[name]} told", name)
            self.hands.let_go(True)
            self.told = name
            self._note("action", "level flight by pitch and power that are known to fit")
            self.recognised_s = now
            self.to_do = ["heat", "alternate"]
        elif self.hands.by_numbers and not self.to_do and self.checking.agrees(now):
            but = ", but for the one that disagreed" if self.told == OTHER else ""
            words = f"everything agrees again: the pointers are trusted{but}, and the {task.title} goes on"
            self._note("trusts", words)
            self.hands.let_go(False)
            self.recognised_s = np.inf
            self.checking.begin_again(self.told)
            self.hands.take_up(task, self.eyes.altitude)
        self._act(now)

    def _act(self, now: float) -> None:
        if not self.to_do:
            return
        after = {"heat": HEAT_AFTER_S, "alternate": ALTERNATE_AFTER_S}[self.to_do[0]]
        if now < self.recognised_s + after:
            return
        changed = False
        if self.to_do.pop(0) == "heat":
            if changed := self.faulty.heat_on(now):
                self._note("action", "heat on")
        elif changed := self.faulty.alternate_open(now):
            self._note("action", "alternate static source open")
        if changed:
            self._exchange()

    def _exchange(self) -> None:
        """Go on with the faults as they are now."""
        flown = self.i + 1
        network = self.faulty.network(self.time_s[:flown], self.rows[:flown])
        self.session.exchange(network)
        self.watching.exchange(network, self.faulty.edits)

    def _note(self, kind: Kind, text: str, cue: str = "") -> None:
        self.events.append(Event(kind, float(self.time_s[self.i]), text, cue))
