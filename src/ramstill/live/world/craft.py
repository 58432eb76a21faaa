"""One craft: the air inside one airplane, its panel and its faults, in a flight that others may share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, NamedTuple

import numpy as np

from ramstill.faults.unfolding import EVERY_S, Unfolded, follows_the_path, unfold
from ramstill.instruments import Watching
from ramstill.live.world.moment import Array, Moment
from ramstill.live.world.placed import Placed
from ramstill.pneumatics import STEADY_M_S, Session, SolverError, Surroundings, Truth, spun_up, too_quick

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.instruments.watching import Glance
    from ramstill.pneumatics import Inside, Network, Schedule, Standing

_NONE: Mapping[str, float] = {}


class CraftState(NamedTuple):
    """How a craft stands: to come back to, or for another craft to go on from. Nothing in it changes."""

    air: Standing
    panel: Glance
    placed: tuple[Placed, ...]
    faults: tuple[Fault, ...]
    came: Mapping[str, float]
    unfolded: Unfolded
    openness: Mapping[str, Schedule]
    changed_pa: Array | None
    outside_pa: Array
    at: tuple[float, float, float]  # time [s], pressure altitude [m], when ice is looked at again [s]


class Craft:
    """The air inside, the panel and the faults of one; `step` takes it to the next moment of its flight.

    airplane; healthy: its network without faults, shared by all of one world; moment: where it starts, its
    air settled as `simulate` has it; placed: its faults from the start. shown (p,): the pointers, SI, NaN for
    nothing, in the order of `names`; pressure_pa (n,): at the network's volumes [Pa]; outside_pa (b,): at its
    boundaries, faults included. Raises InputError for faults that do not fit, and for plumbing too quick to
    follow.
    """

    def __init__(
        self, airplane: Airplane, healthy: Network, moment: Moment, placed: tuple[Placed, ...] = ()
    ) -> None:
        self.airplane, self.healthy = airplane, healthy
        self._pumped = any(getattr(one, "instantaneous", None) for one in airplane.instruments)
        self.placed, self.came = placed, _NONE
        self.faults = self.own()
        self._openness = moment.openness
        self._time, self._again_s = moment.time_s, np.inf
        self._altitude = moment.truth["pressure_altitude_m"]
        self._unfolded = self._unfold(moment)
        network = self._network()
        self.outside_pa = self._with_changes(moment, moment.outside_pa)
        self._changed = self._change(moment.outside_pa)
        inside = self._settled(moment)
        self.session = Session(network, self.outside_pa, moment.time_s, inside=inside)
        self.panel = Watching(airplane, network, moment.truth["altimeter_setting_pa"], self._unfolded.edits)
        self.names = self.panel.names
        self.pressure_pa = self.session.pressure_pa
        self.shown = self._look(moment)

    def _settled(self, moment: Moment) -> Inside:
        """The air inside at the start, as `simulate` has it."""
        climbing = abs(moment.truth["climb_m_s"]) > STEADY_M_S
        slope = moment.slope_pa_s if climbing and moment.slope_pa_s is not None else 0.0
        times = np.array([moment.time_s, moment.time_s + 1.0])
        pressure = np.stack([self.outside_pa, self.outside_pa + slope])
        around = Surroundings.from_samples(
            times, self.healthy.boundary_names, pressure, Truth.steady(times), openness=moment.openness
        )
        try:
            return spun_up(self._unfolded.network, around, settled_as=self.healthy, carried_on=climbing)
        except SolverError as error:
            raise too_quick(self.airplane.name, error) from None

    # faults

    def put(self, placed: tuple[Placed, ...], moment: Moment) -> None:
        """From `moment`, at which it stands, on it has these faults. InputError for those that do not fit."""
        before = self.placed, self.came, self.faults
        self.placed = placed
        self.came = {one.id: self.came[one.id] for one in placed if one.id in self.came} or _NONE
        self.faults = self.own()
        try:
            unfolded = self._unfold(moment)
        except Exception:
            self.placed, self.came, self.faults = before
            raise
        self._unfolded = unfolded
        self._exchange()

    def answer(self, faults: tuple[Fault, ...], moment: Moment) -> None:
        """Its faults are these now: its own, with what a pilot does about them."""
        if faults != self.faults:
            self.faults = faults
            self._unfolded = self._unfold(moment)
            self._exchange()

    def own(self) -> tuple[Fault, ...]:
        """Its faults without those that are still armed, and without what a pilot does about them."""
        return tuple(
            one.fault if one.at_altitude_m is None else replace(one.fault, onset_s=self.came[one.id])
            for one in self.placed
            if one.at_altitude_m is None or one.id in self.came
        )

    def _unfold(self, moment: Moment) -> Unfolded:
        self._again_s = np.inf
        if not self.faults:
            return Unfolded(self.healthy)
        if follows_the_path(self.faults) and not moment.met.known:
            self._again_s = moment.time_s + EVERY_S
        return unfold(self.airplane, self.healthy, self.faults, moment.met.upto(moment), "live bench")

    def _network(self) -> Network:
        network = self._unfolded.network
        for name, schedule in self._openness.items():
            network = network.with_openness(name, schedule)
        return network

    def _exchange(self) -> None:
        network = self._network()
        self.session.exchange(network)
        self.panel.exchange(network, self._unfolded.edits)

    def _arm(self, moment: Moment) -> None:
        """Let faults come whose altitude was passed since the last tick: at the next one."""
        before, self._altitude = self._altitude, moment.truth["pressure_altitude_m"]
        if all(one.at_altitude_m is None or one.id in self.came for one in self.placed):
            return
        low, high = sorted((before, self._altitude))
        passed = {
            one.id: moment.next_s
            for one in self.placed
            if one.at_altitude_m is not None
            and one.id not in self.came
            and low <= one.at_altitude_m <= high
            and low < high
        }
        if passed:
            self.came = {**self.came, **passed}
            self.faults = self.own()
            self._unfolded = self._unfold(moment)
            self._exchange()

    # going on

    def step(self, moment: Moment) -> None:
        """Go on to the next moment of the flight. Raises InputError for plumbing too quick to follow."""
        if moment.openness is not self._openness:
            self._openness = moment.openness
            self._exchange()
        try:
            self.pressure_pa = self._advance(moment)
        except SolverError as error:
            raise too_quick(self.airplane.name, error) from None
        self.shown = self._look(moment)
        self._time = moment.time_s
        self._arm(moment)
        if moment.time_s >= self._again_s - 1e-9:
            self._unfolded = self._unfold(moment)
            self._exchange()

    def _advance(self, moment: Moment) -> Array:
        session = self.session
        if not self._unfolded.changes and self._changed is None:
            for bend in moment.bends:
                session.advance(bend.time_s, bend.before_pa, bend.slope_before_pa_s)
                session.advance(bend.time_s, bend.after_pa, bend.slope_after_pa_s)
            self.outside_pa = moment.outside_pa
            return np.asarray(session.advance(moment.time_s, moment.outside_pa, moment.slope_pa_s))
        return self._advance_changed(moment)

    def _advance_changed(self, moment: Moment) -> Array:
        """The same where faults change what openings see."""
        session, unfolded, now = self.session, self._unfolded, moment.time_s
        static, impact = moment.truth["static_pressure_pa"], moment.truth["impact_pressure_pa"]
        begin = np.zeros_like(moment.outside_pa) if self._changed is None else self._changed
        arrived, span = moment.outside_pa.copy(), now - self._time
        unfolded.outside(now, static, impact, arrived, before=True)
        rate = (arrived - moment.outside_pa - begin) / span
        for bend in moment.bends:
            more = begin + (bend.time_s - self._time) * rate
            session.advance(bend.time_s, bend.before_pa + more, bend.slope_before_pa_s + rate)
            session.advance(bend.time_s, bend.after_pa + more, bend.slope_after_pa_s + rate)
        slope = None if moment.slope_pa_s is None else moment.slope_pa_s + rate
        pressure: Array = session.advance(now, arrived, slope)
        self.outside_pa = arrived
        if unfolded.jumps(now):
            self.outside_pa = self._with_changes(moment, moment.outside_pa)
            pressure = session.advance(now, self.outside_pa, slope)
        self._changed = self._change(moment.outside_pa)
        return pressure

    def _with_changes(self, moment: Moment, outside_pa: Array) -> Array:
        """The air outside as this craft's openings see it."""
        if not self._unfolded.changes:
            return outside_pa
        seen = outside_pa.copy()
        truth = moment.truth
        static, impact = truth["static_pressure_pa"], truth["impact_pressure_pa"]
        self._unfolded.outside(moment.time_s, static, impact, seen)
        return seen

    def _change(self, outside_pa: Array) -> Array | None:
        return self.outside_pa - outside_pa if self._unfolded.changes else None

    def _look(self, moment: Moment) -> Array:
        truth, panel = moment.truth, self.panel
        if truth["altimeter_setting_pa"] != panel.setting_pa:
            panel.set_altimeter(truth["altimeter_setting_pa"])
        beyond = self.outside_pa if self._pumped else None
        felt = self.pressure_pa, beyond, truth["load_factor"], truth["power"]
        return np.asarray(panel.show(moment.time_s, *felt))

    # there and back

    def state(self) -> CraftState:
        """How it stands."""
        return CraftState(
            self.session.state(),
            self.panel.state(),
            self.placed,
            self.faults,
            self.came,
            self._unfolded,
            self._openness,
            self._changed,
            self.outside_pa,
            (self._time, self._altitude, self._again_s),
        )

    def restore(self, state: CraftState) -> None:
        """Stand as it, or another craft of the same world, stood."""
        self.session.restore(state.air)
        self.panel.restore(state.panel)
        self.placed, self.faults, self.came = state.placed, state.faults, state.came
        self._unfolded, self._openness = state.unfolded, state.openness
        self._changed, self.outside_pa = state.changed_pa, state.outside_pa
        self._time, self._altitude, self._again_s = state.at
        self.pressure_pa = self.session.pressure_pa
        self.shown = state.panel.shown.copy()
