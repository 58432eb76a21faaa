"""What the pointers show, a little at a time: for a pilot, or a class, that acts on what is shown."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from ramstill.errors import InputError
from ramstill.instruments import _panel as panel
from ramstill.instruments.altimeter import LOWEST_M, SHAKEN_SHARE, SHAKING_POWER
from ramstill.instruments.edits import EDIT_KINDS, SHARES, PointerEdit
from ramstill.instruments.encoder import span_of_codes
from ramstill.instruments.hysteresis import HALF_WIDTHS, weight_of
from ramstill.instruments.pointers import pointers_of, tappings_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics import Network
    from ramstill.pneumatics.network import IntArray
    from ramstill.pneumatics.schedule import Schedule

_KINDS = {
    "airspeed-indicator": panel.SPEED,
    "altimeter": panel.HEIGHT,
    "vertical-speed-indicator": panel.RATE,
    "variometer": panel.RATE,
    "encoder": panel.ENCODER,
    "air-data-computer": panel.COMPUTER,
}
_SHOWS = {
    "airspeed": panel.SHOWS_SPEED,
    "altitude": panel.SHOWS_HEIGHT,
    "vertical-speed": panel.SHOWS_RATE,
}
# Where each kind of edit is among the columns of the kernel.
_COLUMNS = {
    "setting offset": panel.SETTING_OFFSET,
    "pointer offset": panel.OFFSET,
    "friction": panel.ROUGH,
    "vibrator lost": panel.NO_VIBRATOR,
    "blank": panel.DEAD,
    "stuck": panel.STUCK,
}


@dataclass(frozen=True, slots=True, eq=False)
class Glance:
    """How a `Watching` stands after a look, for `Watching.restore`: nothing in it is to be changed."""

    start_s: float
    time_s: float
    setting_pa: float
    memory: Array
    shown: Array
    network: Network
    edits: tuple[PointerEdit, ...]


class Watching:
    """The panel of one airplane, looked at again and again: what `read` shows, as far as it can be known.

    network: the air that it is on, for the order of the pressures and for how a pumped case empties;
    setting_pa: the altimeter setting as the pilot set it [Pa]; edits: as for `read`. `names`: what `show`
    returns, in the order of `pointers_of`. Raises InputError for an edit of an instrument that is not there,
    ValueError for a network without what the panel feels.
    """

    def __init__(
        self,
        airplane: Airplane,
        network: Network,
        setting_pa: float,
        edits: Iterable[PointerEdit] = (),
    ) -> None:
        self.airplane = airplane
        self.set_altimeter(setting_pa)
        self.names = tuple(pointer.name for pointer in pointers_of(airplane))
        self._place = {name: i for i, name in enumerate(network.node_names)}
        self._wiring, self._figures, self._cards = _laid_out(airplane, self.names, self._place)
        self._memory = np.zeros((len(self._wiring), panel.MEMORY))
        self._edits = np.zeros((len(self._wiring), len(EDIT_KINDS)))
        self._shown = np.full(len(self.names), np.nan)
        self._start, self._time = np.nan, np.nan
        self.exchange(network, edits)

    @property
    def network(self) -> Network:
        """The air that the panel is on."""
        return self._network

    @property
    def edits(self) -> tuple[PointerEdit, ...]:
        """What is edited of the instruments' own parts."""
        return self._edited

    def exchange(self, network: Network | None = None, edits: Iterable[PointerEdit] | None = None) -> None:
        """Go on with other air of the same volumes, other edits, or both: a fault laid on, or taken off.

        Raises ValueError for other volumes, InputError for an edit of an instrument that is not there.
        """
        if edits is not None:
            self._edited, self._scheduled = self._planned(tuple(edits))
            self._edits[:] = 0.0
        if network is not None:
            if {name: i for i, name in enumerate(network.node_names)} != self._place:
                raise ValueError("what is exchanged has the same volumes")
            self._network = network
            self._ways, self._opening = _ways_out(self.airplane, network, self._figures)
            self._beyond = np.full(len(network.boundary_names), np.nan)

    def _planned(
        self, edits: tuple[PointerEdit, ...]
    ) -> tuple[tuple[PointerEdit, ...], tuple[tuple[int, int, bool, Schedule], ...]]:
        """The edits, and for each its instrument, its column, whether it is a share, and its schedule."""
        names = [instrument.name for instrument in self.airplane.instruments]
        found = []
        for edit in edits:
            if edit.instrument not in names:
                raise InputError("pointer edit", "instrument", edit.instrument, ", ".join(names))
            place = names.index(edit.instrument)
            found.append((place, _COLUMNS[edit.what], edit.what in SHARES, edit.schedule))
        return edits, tuple(found)

    def set_altimeter(self, setting_pa: float) -> None:
        """Turn all settings to this [Pa], as far as their knobs go; it shows at the next look.

        Raises ValueError for what is no pressure.
        """
        if not 0.0 < setting_pa < inf:
            raise ValueError(f"an altimeter setting is a pressure above zero, not {setting_pa} Pa")
        self.setting_pa = float(setting_pa)

    def show(
        self,
        time_s: float,
        pressure_pa: npt.ArrayLike,
        outside_pa: npt.ArrayLike | Mapping[str, float] | None = None,
        load_factor: float = 1.0,
        power: float = 0.0,
    ) -> Array:
        """Look at the panel at a time [s], after the looks before: what is shown, SI (m/s or m), NaN for
        nothing, in the order of `names`.

        pressure_pa (n,): at the network's volumes [Pa]; they, and the load factor [-], moved straight from
        where they were at the last look. outside_pa (b,) or by name: at its boundaries [Pa], for pumped cases
        only; what is not given counts as level with the case. power: the engine's [0 to 1], which shakes. The
        first look finds pointers tapped and at rest; a computer's rate is zero until its second sample.
        Raises ValueError for a time that lies behind.
        """
        now, pressure = float(time_s), np.ascontiguousarray(pressure_pa, dtype=np.float64)
        if pressure.shape != (len(self._place),):
            raise ValueError("one pressure is needed for each volume")
        if not now >= self._time:
            if self._time == self._time or now != now:
                raise ValueError(
                    f"the panel was looked at at {self._time:.6g} s, which {now:.6g} s is not after"
                )
            self._start = self._time = now
            self._memory[:] = 0.0
        if self._scheduled:
            self._edit(now)
        for row, schedule in self._opening:
            self._ways[row, panel.OPEN] = schedule.at(now)
        if outside_pa is not None and len(self._ways):
            self._hear(outside_pa)
        panel.look(
            self._start,
            self._time,
            now,
            pressure,
            self._beyond,
            self.setting_pa,
            float(load_factor),
            min(max(power / SHAKING_POWER, 0.0), 1.0),
            SHAKEN_SHARE,
            self._wiring,
            self._figures,
            self._cards,
            HALF_WIDTHS,
            self._ways,
            self._edits,
            self._memory,
            self._shown,
        )
        self._time = now
        return self._shown.copy()

    def _edit(self, now: float) -> None:
        """What the edits come to at a time: sums, or of shares the largest, as in `Edited`."""
        table = self._edits
        for place, column, _, _ in self._scheduled:
            table[place, column] = 0.0
        for place, column, share, schedule in self._scheduled:
            value = schedule.at(now)
            if share:
                table[place, column] = max(table[place, column], min(max(value, 0.0), 1.0))
            else:
                table[place, column] += value

    def _hear(self, outside_pa: npt.ArrayLike | Mapping[str, float]) -> None:
        if isinstance(outside_pa, Mapping):
            self._beyond[:] = [outside_pa.get(name, np.nan) for name in self._network.boundary_names]
        else:
            beyond = np.asarray(outside_pa, dtype=np.float64)
            if beyond.shape != self._beyond.shape:
                raise ValueError("one pressure is needed for each boundary")
            self._beyond[:] = beyond

    def state(self) -> Glance:
        """How everything stands after the last look: to come back to, or to look ahead from."""
        memory, shown = self._memory.copy(), self._shown.copy()
        return Glance(self._start, self._time, self.setting_pa, memory, shown, self._network, self._edited)

    def restore(self, state: Glance) -> None:
        """Stand as it, or another watching of the same airplane, stood."""
        network = None if state.network is self._network else state.network
        edits = None if state.edits is self._edited else state.edits
        if network is not None or edits is not None:
            self.exchange(network, edits)
        self._start, self._time, self.setting_pa = state.start_s, state.time_s, state.setting_pa
        self._memory[:], self._shown[:] = state.memory, state.shown


def _laid_out(
    airplane: Airplane, names: tuple[str, ...], place: Mapping[str, int]
) -> tuple[IntArray, Array, Array]:
    """Wiring, figures and cards as the kernel has them."""
    count = len(airplane.instruments)
    wiring = np.full((count, panel.SHOWS_RATE + 1), -1, dtype=np.int64)
    figures, cards = np.zeros((count, panel.FIGURES)), np.zeros((2, 0))
    for i, instrument in enumerate(airplane.instruments):
        missing = [name for name in tappings_of(instrument) if name not in place]
        if missing:
            raise ValueError(f"the network has no volume {missing[0]!r} for the panel to feel")
        felt = [place[name] for name in tappings_of(instrument)]
        card = np.array(sorted(getattr(instrument, "scale_error", ())), dtype=float).reshape(-1, 2).T
        wiring[i, panel.KIND], wiring[i, panel.FIRST], wiring[i, panel.SECOND] = (
            _KINDS[instrument.kind],
            felt[0],
            felt[-1],
        )
        wiring[i, panel.CARD], wiring[i, panel.CARD_END] = cards.shape[1], cards.shape[1] + card.shape[1]
        cards = np.concatenate([cards, card], axis=1)
        for name, what in instrument.readings.items():
            wiring[i, _SHOWS[what]] = names.index(name)
        for column, value in _figures_of(instrument).items():
            figures[i, column] = value
    return wiring, figures, cards


def _figures_of(instrument: Any) -> dict[int, float]:
    """The columns of one instrument's row of figures, each as its own module has it."""
    kind = _KINDS[instrument.kind]
    if kind == panel.ENCODER:
        step = float(instrument.step)
        lowest, highest = span_of_codes(step)
        return {panel.STEP: step, panel.LOWEST: lowest * step, panel.HIGHEST: highest * step}
    if kind == panel.COMPUTER:
        return _of_computer(instrument)
    of = {panel.FRICTION: float(instrument.friction), panel.LAG: float(instrument.lag)}
    if kind == panel.SPEED:
        stops = float(instrument.lowest_reading), float(instrument.top_mark)
    elif kind == panel.HEIGHT:
        stops = LOWEST_M, float(instrument.top_mark)
        of[panel.SETTING_LOWEST] = float(instrument.setting_lowest)
        of[panel.SETTING_HIGHEST] = float(instrument.setting_highest)
        of[panel.WEIGHT] = weight_of(float(instrument.hysteresis))
        of[panel.VIBRATED] = float(instrument.vibrator)
    else:
        full, pump = float(instrument.full_scale), getattr(instrument, "instantaneous", None)
        stops = -full, full
        of[panel.FULL], of[panel.FULL_PA] = full, float(instrument.leak.full_scale_difference)
        of[panel.ORIFICE] = float(instrument.leak.law == "capillary-and-orifice")
        if pump is not None:
            of[panel.TRAVEL], of[panel.SETTLING] = float(pump.travel_per_g), float(pump.settling_time)
            of[panel.AREA] = float(pump.piston_area)
    return of | {panel.LOWEST: stops[0], panel.HIGHEST: stops[1]}


def _of_computer(instrument: Any) -> dict[int, float]:
    interval = float(instrument.sample_interval)

    def share(filter_s: float) -> float:
        return float(-np.expm1(-interval / filter_s)) if filter_s > 0.0 else 1.0

    return {
        panel.INTERVAL: interval,
        panel.SHARE: share(float(instrument.filter_time)),
        panel.RATE_SHARE: share(float(instrument.vertical_speed_filter)),
        panel.SPEED_STEP: float(instrument.airspeed_step),
        panel.HEIGHT_STEP: float(instrument.altitude_step),
        panel.RATE_STEP: float(instrument.vertical_speed_step),
        panel.LEAST_SPEED: float(instrument.lowest_airspeed),
        panel.MOST_SPEED: float(instrument.highest_airspeed),
        panel.MOST_HEIGHT: float(instrument.highest_altitude),
        panel.MOST_RATE: float(instrument.highest_vertical_speed),
        panel.SETTING_LOWEST: float(instrument.setting_lowest),
        panel.SETTING_HIGHEST: float(instrument.setting_highest),
    }


def _ways_out(
    airplane: Airplane, network: Network, figures: Array
) -> tuple[Array, tuple[tuple[int, Schedule], ...]]:
    """The ways out of pumped cases (w, 6), and which of them open and shut, by what schedule: see pump.py.

    Fills in how large the cases are.
    """
    from ramstill.instruments.pump import ways_out

    rows: list[tuple[float, ...]] = []
    moving: list[tuple[int, Schedule]] = []
    for i, instrument in enumerate(airplane.instruments):
        if getattr(instrument, "instantaneous", None) is None:
            continue
        case = network.index_of(instrument.leak_ends[1])
        figures[i, panel.ROOM], figures[i, panel.HOLDS] = network.volume_m3[case], network.capacity[case]
        for way in ways_out(network, instrument.leak_ends[1]):
            if way.schedule is not None:
                moving.append((len(rows), way.schedule))
            passes = way.conductance, way.inertia, float(way.compensated)
            rows.append((float(i), float(way.beyond), *passes, 1.0))
    return np.array(rows).reshape(-1, panel.OPEN + 1), tuple(moving)
