"""What a pointer would show if some parts of its error were not there."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from ramstill.instruments import airspeed, altimeter, encoder, tappings_of, vertical_speed
from ramstill.instruments.air_data import filtered, in_steps, sample_times, slope
from ramstill.instruments.altimeter import altitude_of_setting, pressure_altitude
from ramstill.instruments.edits import Edited
from ramstill.instruments.hysteresis import with_hysteresis
from ramstill.run.airs import BACK_S, Air, Airs, Case
from ramstill.run.column import SET_RIGHT_M, Column
from ramstill.run.leak_rates import LeakRates
from ramstill.run.outside_without import OUTSIDE
from ramstill.run.record import FloatArray, Run

if TYPE_CHECKING:
    from ramstill.instruments import Pointer
    from ramstill.instruments.mechanics import Mechanism
    from ramstill.pneumatics import Truth

_ALL_SETTINGS_PA = (1.0, 1e7)


class Without(NamedTuple):
    """What of an instrument and of what is made of its pressures is there: see `parts.Kind`."""

    lag: bool = True
    instrument: bool = True
    setting: bool = True
    temperature: bool = True
    gravity: bool = True


@dataclass(frozen=True, eq=False)
class Shown:
    """One pointer of a run at some rows of its time (k,), in any case and without any of its own parts."""

    run: Run
    airs: Airs
    pointer: Pointer
    rows: Sequence[int]

    def value(self, case: Case, left: Without) -> FloatArray:
        """What it would show at the rows, SI (k,), were there no end to its scale and nothing blanked."""
        airs = [self.airs.air(case, tapping) for tapping in self.tappings]
        edited = Edited.of(self.pointer.instrument.name, self.edits(case), self.time_s)
        if self.pointer.kind == "air-data-computer":
            return self._computed(airs, edited, left)
        if self.pointer.kind == "encoder":
            return self._encoded(airs[0], edited, left)
        return self._pointed(airs, edited, left)

    def edits(self, case: Case) -> tuple[Any, ...]:
        """What faults do to the instrument itself in a case."""
        name = self.pointer.instrument.name
        return tuple(e for e in self.airs.applied(case).pointer_edits if e.instrument == name)

    @cached_property
    def tappings(self) -> tuple[str, ...]:
        """Those that matter to the reading: of an air-data computer's altitude the static one only."""
        there: tuple[str, ...] = tappings_of(self.pointer.instrument)
        if self.pointer.kind == "air-data-computer" and self.pointer.shows != "airspeed":
            return there[1:]
        return there

    @cached_property
    def time_s(self) -> FloatArray:
        return self.airs.time_s

    @cached_property
    def truth(self) -> Truth:
        return self.run.truth.at(self.time_s)

    @cached_property
    def column(self) -> Column:
        """The day's air, over time."""
        return Column.of(self.truth)

    @cached_property
    def true(self) -> FloatArray:
        """What it ought to show at the rows, SI (k,)."""
        return self.run.true(self.pointer.name)[list(self.rows)]

    @cached_property
    def right_setting_m(self) -> FloatArray:
        """Pressure altitude of the right setting (t,) [m]; of what is set where that is as good as right."""
        right = self.column.right_setting_m
        return np.where(np.abs(right - self.set_to_m) < SET_RIGHT_M, self.set_to_m, right)

    @cached_property
    def set_to_m(self) -> FloatArray:
        """Pressure altitude of what is set, () or (t,) [m]."""
        return np.asarray(altitude_of_setting(self.truth.altimeter_setting_pa))

    @cached_property
    def stops(self) -> tuple[float, float]:
        """The two ends of its scale, SI; infinite for what has none, or only blanks."""
        if self.pointer.kind in ("air-data-computer", "encoder"):
            return -np.inf, np.inf
        whole = Edited.of(self.pointer.instrument.name, (), self.time_s)
        mechanism = self._mechanism(self.pointer.instrument, whole, Without())
        return mechanism.lowest, mechanism.highest

    def _setting_pa(self, left: Without) -> FloatArray:
        from ramstill import air

        if left.setting:
            return np.asarray(self.truth.altimeter_setting_pa)
        right, known = self.right_setting_m, self.truth.altimeter_setting_pa
        return np.where(right == self.set_to_m, known, np.asarray(air.static_pressure(right)))

    def _factor(self, left: Without) -> FloatArray:
        """What a rate of pressure altitude is multiplied by, (t,)."""

        def factor() -> FloatArray:
            warmth = np.ones(len(self.time_s)) if left.temperature else self.column.warmth
            return warmth if left.gravity else warmth * self.column.lightness

        return self._once((f"factor {left.temperature} {left.gravity}", [], None), factor)

    def _made(self, left: Without) -> Any:
        """The instrument, perfect where its error is left out."""
        instrument = self.pointer.instrument
        if left.instrument:
            return instrument
        perfect: dict[str, Any] = {"scale_error": (), "friction": 0.0, "hysteresis": 0.0}
        perfect |= dict(zip(("setting_lowest", "setting_highest"), _ALL_SETTINGS_PA, strict=True))
        there = {name: value for name, value in perfect.items() if hasattr(instrument, name)}
        return instrument.model_copy(update=there)

    # ---- instruments with a mechanism

    def _pointed(self, airs: list[Air], edited: Edited, left: Without) -> FloatArray:
        made, rows = self._made(left), list(self.rows)
        mechanism = replace(self._mechanism(made, edited, left), lowest=-np.inf, highest=np.inf)
        if not left.lag:
            mechanism = replace(mechanism, lag_s=0.0)
        bends = float(getattr(made, "hysteresis", 0.0)) > 0.0
        remembers = bends or bool(mechanism.band.any() or mechanism.stuck.any())
        if left.lag:
            if not (remembers or mechanism.lag_s):
                return _before_friction(mechanism, self._law(made, airs, left, rows), rows)
            return mechanism.pointer(self.time_s, self._law(made, airs, left))[rows]
        law = self._law(made, airs, left) if remembers else None
        x = _before_friction(mechanism, self._settled_law(made, airs, left, law), rows)
        if law is None:
            return x
        return _caught_up(mechanism, x, mechanism.movement(self.time_s, law)[1], rows)

    def _mechanism(self, made: Any, edited: Edited, left: Without) -> Mechanism:
        if made.kind == "airspeed-indicator":
            return airspeed.mechanism(made, edited)
        if made.kind == "altimeter":
            return altimeter.mechanism(made, self._setting_pa(left), edited, self.truth.power)
        return vertical_speed.mechanism(made, edited)

    def _law(self, made: Any, airs: list[Air], left: Without, rows: list[int] | None = None) -> FloatArray:
        """What stands before the mechanism over time, (t,), or at some rows only."""
        some = slice(None) if rows is None else rows
        felt = [air.column(tapping)[some] for air, tapping in zip(airs, self.tappings, strict=True)]
        if made.kind == "airspeed-indicator":
            return self._once(
                ("speed", airs, rows), lambda: airspeed.airspeed_from_difference(felt[0] - felt[1])
            )
        if made.kind == "altimeter":
            height = self._once(("height", airs, rows), lambda: pressure_altitude(felt[0]))
            return with_hysteresis(height, float(made.hysteresis)) + self._more(height, left, airs, rows)

        def behind() -> FloatArray:
            pumped = self._pumped(airs[0])
            return felt[1] + (pumped[some] if isinstance(pumped, np.ndarray) else pumped)

        case = self._once(("behind", airs, rows), behind)
        if left.instrument:
            return vertical_speed.law(made, felt[0], case) * self._factor(left)[some]
        rate = self._once(("rate", airs, rows), lambda: self._leak.rate(felt[0], case))
        return rate * self._factor(left)[some]

    def _settled_law(self, made: Any, airs: list[Air], left: Without, law: FloatArray | None) -> FloatArray:
        """The same at the rows, once nothing is late, (k,). law: as it is over time, where that matters."""
        rows, felt = list(self.rows), self._settled(airs)
        if made.kind == "airspeed-indicator":
            return airspeed.airspeed_from_difference(felt[0] - felt[1])
        if made.kind == "altimeter":
            height = pressure_altitude(felt[0])
            bent: FloatArray | float = 0.0
            if law is not None and float(made.hysteresis):
                real = self._once(
                    ("height", airs, None), lambda: pressure_altitude(airs[0].column(self.tappings[0]))
                )
                bent = (law - real - self._more(real, left, airs))[rows]
            return height + bent + self._more(height, left, None, rows)

        def behind() -> FloatArray:
            return self._leak.settled(airs[0], felt[0], felt[1], self._rates(airs[0]), rows)

        case = self._once(("settled", airs, None), behind)
        factor = self._factor(left)[rows]
        if left.instrument:
            return vertical_speed.law(made, felt[0], case) * factor
        return self._leak.rate(felt[0], case) * factor

    def _more(
        self, height: FloatArray, left: Without, airs: list[Air] | None, rows: list[int] | None = None
    ) -> FloatArray | float:
        """What comes to an altimeter's reading without the day's temperature, or gravity.

        airs: what the height is of, where it is to be kept; rows: where it is, if not over time.
        """
        if left.temperature and left.gravity:
            return 0.0
        column = self.column if rows is None else self.column.at(rows)

        def more() -> FloatArray:
            return column.added(height, left.temperature, left.gravity)

        if airs is None:
            return more()
        return self._once((f"more {left.temperature} {left.gravity}", airs, rows), more)

    @cached_property
    def _kept(self) -> dict[object, FloatArray]:
        return {}

    def _once(
        self, what: tuple[str, list[Air], list[int] | None], work: Callable[[], FloatArray]
    ) -> FloatArray:
        """What `work` gives for some airs, worked out once."""
        key = (what[0], tuple(id(air) for air in what[1]), what[2] is None)
        if key not in self._kept:
            self._kept[key] = work()
        return self._kept[key]

    @cached_property
    def _leak(self) -> LeakRates:
        return LeakRates(self.airs.outside.healthy, self.pointer.instrument)

    def _pumped(self, air: Air) -> FloatArray | float:
        """What an instantaneous vertical speed indicator's pump adds behind its leak [Pa], (t,)."""
        from ramstill.instruments import pump

        work = getattr(self.pointer.instrument, "instantaneous", None)
        if work is None or len(self.time_s) < 2:
            return 0.0
        case = self.pointer.instrument.leak_ends[1]
        inside = {name: air.column(name) for name in air.network.node_names}
        outside = dict(zip(air.around.boundary_names, air.around.at(self.time_s).T, strict=True))
        rate = pump.way_out(air.network, case, self.time_s, inside, outside)
        volume = float(air.network.volume_m3[air.network.index_of(case)])
        return pump.pumped_pressure(work, self.time_s, self.truth.load_factor, inside[case], volume, rate)

    # ---- instruments without one

    def _encoded(self, air: Air, edited: Edited, left: Without) -> FloatArray:
        rows = list(self.rows)
        felt = air.column(self.tappings[0])[rows] if left.lag else self._settled([air])[0]
        offset = edited.pointer_offset
        altitude = pressure_altitude(felt) + (offset[rows] if isinstance(offset, np.ndarray) else offset)
        if not left.instrument:
            return altitude
        return encoder.encoded_altitude(altitude, self.pointer.instrument.step)

    def _computed(self, airs: list[Air], edited: Edited, left: Without) -> FloatArray:
        """A reading of an air-data computer."""
        made, rows, shows = self._made(left), list(self.rows), self.pointer.shows
        law = self._computed_late(airs, made) if left.lag else self._computed_settled(airs)
        if shows == "altitude":
            setting = np.asarray(self._setting_pa(left), dtype=float) + edited.setting_offset_pa
            held = np.clip(setting, float(made.setting_lowest), float(made.setting_highest))
            more = self._more(law, left, None, rows)
            law = law - np.broadcast_to(altitude_of_setting(held), self.time_s.shape)[rows] + more
        elif shows == "vertical-speed":
            law = law * self._factor(left)[rows]
        if not left.instrument:
            return law
        step = {
            "airspeed": made.airspeed_step,
            "altitude": made.altitude_step,
            "vertical-speed": made.vertical_speed_step,
        }[shows]
        return in_steps(law, float(step))

    def _computed_late(self, airs: list[Air], made: Any) -> FloatArray:
        """Airspeed, pressure altitude or its rate as sampled and filtered, at the rows."""
        interval = float(made.sample_interval)
        when = sample_times(self.time_s, interval)
        felt = [
            np.interp(when, self.time_s, air.column(tapping))
            for air, tapping in zip(airs, self.tappings, strict=True)
        ]
        if self.pointer.shows == "airspeed":
            speed = airspeed.airspeed_from_difference(felt[0] - felt[1])
            found = filtered(speed, interval, float(made.filter_time))
        elif self.pointer.shows == "altitude":
            found = filtered(pressure_altitude(felt[0]), interval, float(made.filter_time))
        else:
            found = slope(pressure_altitude(felt[0]), interval, float(made.vertical_speed_filter))
        times = self.time_s[list(self.rows)]
        last = np.clip(np.searchsorted(when, times + 1e-9, side="right") - 1, 0, len(when) - 1)
        return found[last]

    def _computed_settled(self, airs: list[Air]) -> FloatArray:
        felt = self._settled(airs)
        if self.pointer.shows == "airspeed":
            return airspeed.airspeed_from_difference(felt[0] - felt[1])
        if self.pointer.shows == "altitude":
            return pressure_altitude(felt[0])
        return self._rates(airs[0])

    # ---- nothing late

    def _settled(self, airs: list[Air]) -> list[FloatArray]:
        """The pressures at its tappings once nothing is late any more, (k,) each."""
        return [
            air.settled(self.rows)[:, air.network.node_names.index(tapping)]
            for air, tapping in zip(airs, self.tappings, strict=False)
        ]

    def _rates(self, air: Air) -> FloatArray:
        """Rate of the pressure altitude at its first tapping with nothing late [m/s], (k,).

        The true one, and what the tapping's pressure altitude gains on the true one meanwhile: so that air
        which is right gives exactly what is true.
        """
        rows, some = list(self.rows), air.some(self.rows)
        node = air.network.node_names.index(self.tappings[0])
        now, before = (
            pressure_altitude(air.settled_each(some, back_s)[:, node]) - self._ideal_m(some, back_s)
            for back_s in (0.0, BACK_S)
        )
        gained = np.interp(self.time_s[rows], self.time_s[some], now - before)
        there = self.column.at(rows)
        return np.asarray(self.true / (there.warmth * there.lightness) + gained / BACK_S)

    def _ideal_m(self, rows: list[int], back_s: float) -> FloatArray:
        """Pressure altitude that its first tapping ought to feel, so much earlier [m], (k,)."""
        ideal = self.airs.outside.variant(False, False)
        boundary = OUTSIDE
        if self.pointer.compensated:
            boundary = next(o.name for o in self.run.airplane.openings if o.kind == "total-energy-probe")
        there = ideal.at(self.time_s[rows] - back_s)[:, ideal.column(boundary)]
        return pressure_altitude(there + self.airs.lift_pa[rows])


def _before_friction(mechanism: Mechanism, law: FloatArray, rows: list[int]) -> FloatArray:
    """What the law makes of the mechanism at the rows, before friction."""
    x = law - _at(mechanism.datum, rows)
    if mechanism.card.shape[1]:
        x = x + np.interp(x, mechanism.card[0], mechanism.card[1])
    return np.asarray(x + _at(mechanism.offset, rows))


def _caught_up(mechanism: Mechanism, x: FloatArray, moved: FloatArray, rows: list[int]) -> FloatArray:
    """What it shows where it has to move to x (k,) from how it stood one sample before, (t, 3)."""
    before = np.maximum(np.asarray(rows) - 1, 0)
    played, held = moved[before, 0], moved[before, 1]
    band, stuck = _at(mechanism.band, rows), _at(mechanism.stuck, rows)
    now = np.clip(played, x - band, x + band)
    found = np.where(stuck <= 0.0, now, held + (1.0 - stuck) * (now - played))
    return np.where(np.asarray(rows) == 0, x, found)


def _at(values: FloatArray, rows: list[int]) -> FloatArray:
    return values[rows] if len(values) > 1 else values
