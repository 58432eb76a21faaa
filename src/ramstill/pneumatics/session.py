"""The pressures in a network, a little at a time: for a pilot, or a hand, that acts on what is shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import isfinite
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.pneumatics.assembly import assemble, state_of
from ramstill.pneumatics.equilibrium import settle
from ramstill.pneumatics.integrate import (
    TOLERANCE_PA,
    Inside,
    SolverError,
    gave_up,
    state_from,
    temperatures,
)
from ramstill.pneumatics.network import FloatArray, IntArray, Network, never_negative
from ramstill.pneumatics.openness import SAME_SHARE, over_pieces
from ramstill.pneumatics.output import Rows, rows_into
from ramstill.pneumatics.outside import Outside
from ramstill.pneumatics.plumbing import Plumbing
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.step import Pieces, Work, work_for
from ramstill.pneumatics.stepper import AFRESH, BENT, DONE, SMOOTH, run

MOST_STEPS = 20_000  # in one call


class Laid(NamedTuple):
    """A network laid out for the kernel, which many moments share: nothing in it is changed.

    touched: the boundaries that its links touch, as columns of all of them.
    """

    network: Network
    plumbing: Plumbing
    touched: IntArray


class Shares(NamedTuple):
    """How far each link is open over all time, in straight stretches; nothing in it is changed.

    knots (k,): where they meet [s]; openness, opening_rate (k + 1, l): where each begins [-], and its slope
    [1/s], the first of them being without slope; sudden (k,): whether something opens or shuts at once there.
    """

    knots: FloatArray
    openness: FloatArray
    opening_rate: FloatArray
    sudden: NDArray[np.bool_]

    def at(self, row: int, time_s: float) -> FloatArray:
        """How far each link is open at a time in a stretch, (l,)."""
        if row == 0:
            return np.asarray(self.openness[0])
        return np.asarray(self.openness[row] + (time_s - self.knots[row - 1]) * self.opening_rate[row])


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """How a `Session` stands at one time, for `Session.restore`: nothing in it is to be changed.

    outside_pa, slope_pa_s (b,): the air outside [Pa], and how it moved up to then [Pa/s]; state: the
    kernel's, flows and all; shares: how far each link is open over time; opened: what `open` said; row,
    step_s, afresh: how the method goes on.
    """

    time_s: float
    outside_pa: FloatArray
    slope_pa_s: FloatArray
    state: FloatArray
    laid: Laid
    shares: Shares
    opened: Mapping[str, Schedule]
    row: int
    step_s: float
    afresh: bool


class Session:
    """One network that goes on from where it stands, each time as far as is asked for.

    network: its schedules of openness hold on all the time; outside_pa (b,) in the order of its
    `boundary_names`, or by name [Pa]: where it starts; start_s [s]; tolerance_pa: error of one step in any
    volume [Pa]. inside: the air at the start, an `Inside` or pressures (n,) [Pa] as warm as the walls, by
    default settled; around: how far openings are left open from outside, as in `Surroundings`. Raises
    ValueError for what does not fit together.
    """

    def __init__(
        self,
        network: Network,
        outside_pa: ArrayLike | Mapping[str, float],
        start_s: float = 0.0,
        tolerance_pa: float = TOLERANCE_PA,
        inside: Inside | ArrayLike | None = None,
        around: Mapping[str, Schedule] | None = None,
    ) -> None:
        if not tolerance_pa > 0.0:
            raise ValueError("the tolerance is a pressure above zero")
        if not isfinite(start_s):
            raise ValueError(f"a session starts at a time, not at {start_s} s")
        self.tolerance_pa, self._time = float(tolerance_pa), float(start_s)
        self._around: Mapping[str, Schedule] = dict(around or {})
        self._opened: Mapping[str, Schedule] = {}
        self._laid = _laid(network)
        self._outside = self._held(outside_pa)
        self._slope = np.zeros_like(self._outside)
        self._tools()
        self._share_out()
        if inside is None:
            opened = _with_shares(network, self._around, self._opened)
            inside = settle(opened, self._outside, at_s=self._time)
        state = state_from(network, self._laid.plumbing, inside)
        self._y[: len(state)] = state

    def _tools(self) -> None:
        """Arrays to work in, for the network as it is."""
        plumbing, touched = self._laid.plumbing, len(self._laid.touched)
        links = len(self._laid.network.link_names)
        self._work: Work = work_for(plumbing, touched)
        self._knots = Outside(np.zeros(2), *(np.zeros((2, touched)) for _ in range(3)))
        one, none = np.zeros((1, links)), np.zeros(1, dtype=np.int64)
        self._piece = Pieces(np.zeros(2), none, none.copy(), one, one.copy())
        self._rows: Rows = rows_into(np.empty((0, 0)), np.empty(0))
        self._counts, self._reached = np.zeros(5, dtype=np.int64), np.zeros(1)
        self._y = np.zeros_like(self._work.y)

    def _share_out(self) -> None:
        """How far links are open over time; begins afresh."""
        network = _with_shares(self._laid.network, self._around, self._opened)
        self._shares = _shares_of(network)
        self._row = int(np.searchsorted(self._shares.knots, self._time, "right"))
        self._step, self._afresh = 0.0, True

    def _held(self, outside: ArrayLike | Mapping[str, float], pressures: bool = True) -> FloatArray:
        """One figure for each boundary, (b,)."""
        names = self._laid.network.boundary_names
        if isinstance(outside, Mapping):
            missing = [name for name in names if name not in outside]
            if missing:
                raise ValueError(f"one figure is needed for each boundary: {missing[0]!r} has none")
            outside = [outside[name] for name in names]
        held = np.array(outside, dtype=np.float64)
        if held.shape != (len(names),):
            raise ValueError("one figure is needed for each boundary")
        values = held.tolist()
        if not isfinite(sum(values)):
            raise ValueError("the figures for the boundaries are finite numbers")
        if pressures and values and min(values) <= 0.0:
            raise ValueError("the pressures outside are above zero")
        return held

    @property
    def network(self) -> Network:
        """The network as it was given or exchanged last."""
        return self._laid.network

    @property
    def time_s(self) -> float:
        """Where it stands [s]."""
        return self._time

    @property
    def outside_pa(self) -> FloatArray:
        """The air outside now, (b,) [Pa]."""
        return self._outside.copy()

    @property
    def pressure_pa(self) -> FloatArray:
        """Pressures now, (n,) [Pa]."""
        return self._y[: len(self.network.node_names)].copy()

    @property
    def temperature_k(self) -> FloatArray:
        """Temperatures now, (n,) [K]."""
        return np.asarray(temperatures(self._laid.plumbing, self._y[None])[0])

    @property
    def inside(self) -> Inside:
        """The air inside now."""
        return Inside(self.pressure_pa, self.temperature_k)

    def advance(
        self,
        to_s: float,
        outside_pa: ArrayLike | Mapping[str, float],
        slope_pa_s: ArrayLike | Mapping[str, float] | None = None,
        *,
        jump: bool = False,
    ) -> FloatArray:
        """Go on to `to_s` [s] and return the pressures there, (n,) [Pa].

        The air outside goes in a straight line from what it was to what is given, (b,) or by name [Pa]; with
        its slope at the end [Pa/s] on a cubic that leaves with the slope it came with. jump: it becomes what
        is given at once and stays; so it does where no time passes. Raises SolverError as `integrate` does,
        the session then standing where it stood, and ValueError for a time that lies behind and for
        what is no pressure.
        """
        to, then, span = float(to_s), self._held(outside_pa), float(to_s) - self._time
        if not isfinite(to):
            raise ValueError(f"a session goes on to a time, not to {to} s")
        if span < 0.0:
            raise ValueError(f"the session stands at {self._time:.6g} s and does not go back to {to:.6g} s")
        slope = None if slope_pa_s is None else self._held(slope_pa_s, pressures=False)
        if span == 0.0:
            self._outside, self._afresh = then, True
            self._slope = np.zeros_like(then) if slope is None else slope
            return self.pressure_pa
        if jump:
            begin = end = np.zeros_like(then) if slope is None else slope
            first = then - span * end
        else:
            first = self._outside
            straight = (then - first) / span
            begin, end = (straight, straight) if slope is None else (self._slope, slope)
        touched, knots = self._laid.touched, self._knots
        knots.knots[0], knots.knots[1] = self._time, to
        knots.pressure[0], knots.pressure[1] = first[touched], then[touched]
        knots.left[0], knots.right[0], knots.left[1] = self._slope[touched], begin[touched], end[touched]
        smooth = slope is not None and not jump
        pieces, row, how = self._stretches(to, AFRESH if jump or self._afresh else SMOOTH if smooth else BENT)
        step = run(
            self._laid.plumbing,
            knots,
            pieces,
            self._y,
            how,
            self._step,
            self._rows,
            self.tolerance_pa,
            MOST_STEPS,
            self._counts,
            self._reached,
            self._work,
        )
        if self._counts[3] != DONE:
            raise SolverError(gave_up(self.network, self._counts, MOST_STEPS, float(self._reached[0])))
        if how != AFRESH and self._counts[1] == 0 and span < self._step:
            step = max(step, self._step)  # it was cut short, not refused
        self._row, self._step, self._afresh = row, step, False
        self._time, self._outside, self._slope = to, then, end
        return self.pressure_pa

    def _stretches(self, to_s: float, how: int) -> tuple[Pieces, int, int]:
        """From now to a time, cut where links begin to open or shut; the row of shares it ends in; how it
        begins.
        """
        shares, now, row = self._shares, self._time, self._row
        knots = shares.knots
        if row < len(knots) and knots[row] <= now:
            how = AFRESH if shares.sudden[row] else min(how, BENT)
            row += 1
        if row == len(knots) or to_s <= knots[row]:
            one = self._piece
            one.begin[0], one.begin[1] = now, to_s
            one.openness[0], one.opening_rate[0] = shares.at(row, now), shares.opening_rate[row]
            return one, row, how
        end = int(np.searchsorted(knots, to_s))
        none = np.zeros(end + 1 - row, dtype=np.int64)
        begin = np.concatenate([[now], knots[row:end], [to_s]])
        openness = np.concatenate([shares.at(row, now)[None], shares.openness[row + 1 : end + 1]])
        return Pieces(begin, none, none, openness, shares.opening_rate[row : end + 1].copy()), end, how

    def open(self, link: str, share: float | Schedule | None) -> None:
        """From now on a link, or the hole of an opening, is open by a share [-], whatever the network says.

        share: a `Schedule` for one that changes; None to follow the network again. ValueError for an unknown
        link, and for less than nothing.
        """
        self.network.link_of(link)
        opened = dict(self._opened)
        opened.pop(link, None)
        if share is not None:
            schedule = share if isinstance(share, Schedule) else Schedule.constant(share)
            opened[link] = never_negative(link, schedule) or schedule
        self._opened = opened
        self._share_out()

    def exchange(self, network: Network) -> None:
        """Go on with a network of the same volumes that is joined otherwise: a fault laid on, or taken off.

        What `open` said of links that are still there holds. Where a volume is another than it was, its air
        keeps pressure and temperature. ValueError for other volumes or boundaries.
        """
        was = self.network
        if network.node_names != was.node_names or network.boundary_names != was.boundary_names:
            raise ValueError("what is exchanged has the same volumes and boundaries")
        same = all(
            np.array_equal(getattr(network, part), getattr(was, part))
            for part in ("volume_m3", "swell_a", "swell_b", "swell_m3_pa")
        )
        laid, inside = _laid(network), self.inside
        state = self._y if same else state_of(laid.plumbing, inside.pressure_pa, inside.temperature_k)
        size = 2 * len(inside.pressure_pa) + len(laid.plumbing.swell_a)  # and behind that the flows
        self._opened = {link: share for link, share in self._opened.items() if link in network.link_names}
        self._laid = laid
        self._tools()
        self._y[:size] = state[:size]
        self._share_out()

    def state(self) -> Standing:
        """How it stands now: to come back to, or to look ahead from."""
        return Standing(
            self._time,
            self._outside,
            self._slope,
            self._y.copy(),
            self._laid,
            self._shares,
            self._opened,
            self._row,
            self._step,
            self._afresh,
        )

    def restore(self, state: Standing) -> None:
        """Stand as it, or another session, stood."""
        if state.laid is not self._laid:
            self._laid = state.laid
            self._tools()
        self._time, self._outside, self._slope = state.time_s, state.outside_pa, state.slope_pa_s
        self._shares, self._opened, self._row = state.shares, state.opened, state.row
        self._step, self._afresh = state.step_s, state.afresh
        self._y[:] = state.state


def _laid(network: Network) -> Laid:
    plumbing, touched = assemble(network)
    columns = np.array([network.boundary_names.index(name) for name in touched], dtype=np.int64)
    return Laid(network, plumbing, columns)


def _with_shares(network: Network, around: Mapping[str, Schedule], opened: Mapping[str, Schedule]) -> Network:
    """The network with openings left open from outside by so much, and with what was opened by hand."""
    for name, schedule in around.items():
        network = network.with_openness(name, schedule)
    for name, schedule in opened.items():
        network = network.opened_by(name, schedule)
    return network


def _shares_of(network: Network) -> Shares:
    """How far its links are open, by their schedules."""
    knots = np.array(sorted({t for schedule in network.openness if schedule for t in schedule.knots}))
    begin = np.concatenate([[knots[0] - 1.0], knots, [knots[-1] + 1.0]]) if len(knots) else np.arange(2.0)
    openness, rate = over_pieces(begin, network.openness)
    before = openness[:-1] + np.diff(begin)[:-1, None] * rate[:-1]
    sudden = np.any(np.abs(openness[1:] - before) > SAME_SHARE, axis=1)
    return Shares(knots, openness, rate, np.asarray(sudden))
