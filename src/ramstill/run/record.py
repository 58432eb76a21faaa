"""What a run leaves behind: time, pressures, pointers and truth, and the ways to read them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal

import numpy as np
from numpy.typing import NDArray

from ramstill.air import units
from ramstill.run.kinds import kind_of

if TYPE_CHECKING:
    import polars

    from ramstill.airplane import Airplane
    from ramstill.faults import Applied, Fault
    from ramstill.flight.pilots import Flown
    from ramstill.instruments import Pointer
    from ramstill.pneumatics import Network, Surroundings, Truth
    from ramstill.run.accounted import Account

FloatArray = NDArray[np.float64]
TOLERANCE_PA = 0.05  # error control unless asked otherwise [Pa]

_TRUE_COLUMNS = {
    "cas_m_s": ("true_airspeed_kt", units.KT, 3),  # calibrated airspeed: what the indicator ought to show
    "geometric_altitude_m": ("true_altitude_ft", units.FT, 2),
    "climb_m_s": ("true_climb_fpm", units.FPM, 2),
    "pressure_altitude_m": ("true_pressure_altitude_ft", units.FT, 2),
    "static_pressure_pa": ("true_static_pa", 1.0, 3),
    "impact_pressure_pa": ("true_impact_pa", 1.0, 3),
    "tas_m_s": ("true_tas_kt", units.KT, 3),
    "outside_temperature_k": ("true_outside_temperature_k", 1.0, 3),
    "altimeter_setting_pa": ("altimeter_setting_inhg", units.INHG, 4),
}


@dataclass(frozen=True, slots=True)
class Moment:
    """A time worth looking at [s], a few words naming it, and why it was picked."""

    at_s: float
    title: str
    why: str


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One piece of the account in words.

    about: "fault", "pilot", "air" (trapped air), "pointer", "worst", "note" (what had to be assumed) or
    "safety"; subject: the fault, tapping or instrument it is about, or ""; at_s: the time it speaks of [s],
    or None for the whole run.
    """

    about: Literal["fault", "pilot", "air", "pointer", "worst", "note", "safety"]
    title: str
    text: str
    subject: str = ""
    at_s: float | None = None


@dataclass(frozen=True, slots=True)
class TooQuick:
    """What the engine, which knows no inertia of the air, does not show of one pointer after a quick change.

    pointer: its name; at_s, until_s: while a real pointer is off by what counts [s]; off_si: by how much it
    is off at most, real less shown, SI, about; cause: a fault's title or what was flown or applied, or "".
    """

    pointer: str
    at_s: float
    until_s: float
    off_si: float
    cause: str = ""


@dataclass(frozen=True, slots=True)
class Run:
    """One airplane, its surroundings and faults, worked out over time. Arrays are (t,) on `time_s` [s].

    surroundings, faults: as asked for; applied: the network and surroundings with the faults in them;
    pressure_pa: at every tapping [Pa]; outside_pa: at every boundary, faults included [Pa];
    pointers: by the names of `panel`, SI (m/s or m), NaN where nothing is shown;
    healthy_pointers: the same airplane in the same surroundings without the faults; truth: what is really
    so, at `time_s`; note: the scenario's story, in its own words; notes: sentences on what had to be assumed;
    tolerance_pa: the error control that was asked for [Pa]; flown: what the pilot in the loop did, where
    there was one.
    """

    airplane: Airplane
    surroundings: Surroundings
    faults: tuple[Fault, ...]
    applied: Applied
    time_s: FloatArray
    pressure_pa: Mapping[str, FloatArray]
    outside_pa: Mapping[str, FloatArray]
    pointers: Mapping[str, FloatArray]
    healthy_pointers: Mapping[str, FloatArray]
    truth: Truth
    title: str = ""
    note: str = ""
    notes: tuple[str, ...] = ()
    tolerance_pa: float = TOLERANCE_PA
    flown: Flown | None = None

    def instrument(self, name: str) -> Any:
        """The airplane's instrument of that name; KeyError when there is none."""
        for instrument in self.airplane.instruments:
            if instrument.name == name:
                return instrument
        raise KeyError(name)

    @property
    def panel(self) -> tuple[Pointer, ...]:
        """Everything the instruments show, one by one, in the order of the airplane file."""
        from ramstill.instruments import pointers_of

        found: tuple[Pointer, ...] = pointers_of(self.airplane)
        return found

    def pointer(self, name: str) -> Pointer:
        """The one of `panel` of that name; KeyError when there is none."""
        for pointer in self.panel:
            if pointer.name == name:
                return pointer
        raise KeyError(name)

    def goes_blank(self, name: str) -> NDArray[np.bool_]:
        """Where a reading shows nothing and the healthy airplane shows something, (t,)."""
        return np.asarray(np.isnan(self.pointers[name]) & ~np.isnan(self.healthy_pointers[name]))

    def index(self, at_s: float) -> int:
        """Place in `time_s` of the sample nearest to a time [s]."""
        return int(np.argmin(np.abs(self.time_s - at_s)))

    def true(self, name: str) -> FloatArray:
        """What a pointer ought to show, SI (t,): see `instruments.truth_for`."""
        from ramstill.instruments import truth_for

        return np.asarray(truth_for(self.pointer(name), self.truth), dtype=np.float64)

    def error(self, name: str) -> FloatArray:
        """Pointer less truth, SI (t,); nothing shown is no error of a size."""
        return np.nan_to_num(self.pointers[name] - self.true(name))

    def change(self, name: str) -> FloatArray:
        """Pointer less what the airplane would show without its faults, SI (t,); see `error`."""
        return np.nan_to_num(self.pointers[name] - self.healthy_pointers[name])

    def astray(self, name: str) -> FloatArray:
        """What the faults change in a reading; in a run without faults its error. SI (t,)."""
        return self.change(name) if self.faults else self.error(name)

    @property
    def healthy_network(self) -> Network:
        """The airplane's network without its faults, with the walls that this run has."""
        from ramstill.run.preparing import healthy_network

        around = self.surroundings
        return healthy_network(self.airplane, around.truth, self.applied.network.heat, around.walls_k)

    def as_flown(self, values: FloatArray) -> FloatArray:
        """Values on the flown path's times (k,), at `time_s` (t,)."""
        assert self.flown is not None
        return np.asarray(np.interp(self.time_s, self.flown.path.truth.time_s, values), dtype=np.float64)

    @property
    def on_bench(self) -> bool:
        """Whether pressures are applied at the openings of an airplane that stands still."""
        still = float(np.max(np.abs(self.truth.impact_pressure_pa))) == 0.0
        free = [o.name for o in self.airplane.openings if o.sees in ("ram", "still")]
        applied = any(np.ptp(self.outside_pa[name]) > 0.0 for name in free)
        shut = any(schedule.knots for schedule in self.surroundings.openness.values())
        return still and (applied or shut)

    def account(self, instrument: str, at_s: float) -> Account:
        """Why a pointer is off at the sample nearest to a time [s]: parts that add up to its error.

        Raises InputError for a pointer that is not on the panel, and for a time outside the run.
        """
        from ramstill.run.account import account

        return account(self, instrument, at_s)

    def accounts(self, times_s: Sequence[float]) -> tuple[tuple[Account, ...], ...]:
        """For each time [s] the accounts of all pointers; what they share is worked out once.

        Raises InputError for a time outside the run.
        """
        from ramstill.run.account import accounts

        return accounts(self, times_s)

    def moments(self) -> tuple[Moment, ...]:
        """The times worth looking at, eight at most, in order."""
        from ramstill.run.moments import find

        return find(self)

    def words(self) -> tuple[Paragraph, ...]:
        """The account: what is trapped where since when, and what that does to each pointer."""
        from ramstill.run.words import account

        return account(self)

    def too_quick(self) -> tuple[TooQuick, ...]:
        """What was too quick for the engine and would show on a real pointer, in order of time."""
        from ramstill.run.quick import find

        return find(self)

    def columns(self) -> dict[str, FloatArray]:
        """Everything by column name with its unit, in trade units, rounded to what the engine resolves."""
        out: dict[str, FloatArray] = {"time_s": np.round(self.time_s, 4)}
        for prefix, shown in (("", self.pointers), ("healthy_", self.healthy_pointers)):
            for name, values in shown.items():
                kind = kind_of(self.pointer(name))
                column = name.replace("-", "_").replace(".", "_")
                out[f"{prefix}{column}_{kind.suffix}"] = np.round(values / kind.size, kind.decimals)
        for name, (column, size, decimals) in _TRUE_COLUMNS.items():
            out[column] = np.round(getattr(self.truth, name) / size, decimals)
        if self.flown is not None:
            out["pitch_deg"] = np.round(self.as_flown(np.degrees(self.flown.pitch_rad)), 2)
            out["asked_pitch_deg"] = np.round(self.as_flown(np.degrees(self.flown.asked_pitch_rad)), 2)
            out["power_pct"] = np.round(100.0 * self.truth.power, 1)
        for name, values in self.pressure_pa.items():
            out[f"p_{name}_pa"] = np.round(values, 3)
        for name, values in self.outside_pa.items():
            out[f"outside_{name}_pa"] = np.round(values, 3)
        return out

    def to_frame(self) -> polars.DataFrame:
        """Everything as a Polars table, one row a sample, the unit at the end of each column's name.

        A reading that shows nothing is null, and an empty cell in CSV.
        """
        import polars

        return polars.DataFrame(self.columns(), nan_to_null=True)


def write_csv(run: Run, path: str | Path) -> None:
    """Write `to_frame()` as CSV. The caller sees to it that half a file never stays behind."""
    run.to_frame().write_csv(path)
