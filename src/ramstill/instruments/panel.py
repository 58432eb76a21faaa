"""All instruments of one airplane at once."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.errors import InputError
from ramstill.instruments import air_data, airspeed, altimeter, encoder, pump, vertical_speed
from ramstill.instruments.edits import Edited, PointerEdit
from ramstill.instruments.mechanics import Mechanism
from ramstill.instruments.pointers import tappings_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics import Network, Truth


@dataclass(frozen=True, slots=True)
class Felt:
    """What one reading of a panel is made from: see `read`."""

    time_s: Array
    pressure_pa: Mapping[str, Array]
    setting_pa: Array | float
    truth: Truth | None = None
    network: Network | None = None
    outside_pa: Mapping[str, Array] = field(default_factory=dict)

    def at(self, instrument: Any) -> list[Array]:
        """The pressures at its tappings [Pa], capsule first."""
        return [np.asarray(self.pressure_pa[name], dtype=float) for name in tappings_of(instrument)]

    @property
    def power(self) -> Array | float:
        """How hard the engine works [0 to 1]."""
        return 0.0 if self.truth is None else self.truth.power


@dataclass(frozen=True, slots=True)
class Kept:
    """One pointer worked out: what it shows, and the mechanism that did and how it stood, (t, 3).

    mechanism: None for an encoder, which remembers nothing.
    """

    shown: Array
    mechanism: Mechanism | None
    moved: Array


def read(
    airplane: Airplane,
    time_s: Array,
    pressure_pa: Mapping[str, Array],
    setting_pa: Array | float,
    edits: Iterable[PointerEdit] = (),
    *,
    truth: Truth | None = None,
    network: Network | None = None,
    outside_pa: Mapping[str, Array] | None = None,
) -> dict[str, Array]:
    """Return what every pointer of `airplane` shows over time, SI (m/s or m), each (t,).

    By the names of `pointers_of`: an instrument with several readings has one entry each, and what shows
    nothing is NaN. `pressure_pa` holds the pressure at each tapping [Pa], each (t,) on `time_s` [s];
    `setting_pa` (scalar or (t,)) is the altimeter setting as the pilot set it [Pa]. What an instrument feels
    besides pressures, the load factor that works a pump and an engine that shakes, is read from `truth` on
    the same times; without it the airplane flies straight with its engine off. `network`, by default the
    healthy one, and `outside_pa` [Pa] at its boundaries say how a pumped case empties. Edits naming an
    instrument that the airplane does not have raise InputError.
    """
    time = np.asarray(time_s, dtype=float)
    felt = Felt(time, pressure_pa, setting_pa, truth, network, outside_pa or {})
    return read_on(airplane, felt, tuple(edits), {}, 0)


def kept(airplane: Airplane, felt: Felt) -> dict[str, Kept]:
    """Return the pointers that can go on from any time, by name, as they are without edits.

    The others (of an air-data computer, a pumped case, capsules with hysteresis) remember more than that.
    """
    found = {}
    for instrument in airplane.instruments:
        if instrument.kind == "encoder":
            shown = _shown(airplane, instrument, felt, Edited())[instrument.name]
            found[instrument.name] = Kept(shown, None, np.empty((0, 3)))
        elif goes_on(instrument):
            made = _mechanism(instrument, felt, Edited())
            shown, moved = made.movement(felt.time_s, _law(airplane, instrument, felt))
            found[instrument.name] = Kept(shown, made, moved)
    return found


def goes_on(instrument: Any) -> bool:
    """Whether all that an instrument remembers is how its mechanism stands."""
    if instrument.kind in ("airspeed-indicator", "variometer"):
        return True
    if instrument.kind == "vertical-speed-indicator":
        return getattr(instrument, "instantaneous", None) is None
    return instrument.kind == "altimeter" and float(instrument.hysteresis) == 0.0


def read_on(
    airplane: Airplane,
    felt: Felt,
    edits: tuple[PointerEdit, ...],
    before: Mapping[str, Kept],
    row: int,
    only: Collection[str] | None = None,
) -> dict[str, Array]:
    """As `read`, but the first `row` rows are as in `before`, where a pointer is there, as far as it goes.

    only: names of the instruments that are read, by default all.
    """
    names = [instrument.name for instrument in airplane.instruments]
    for edit in edits:
        if edit.instrument not in names:
            raise InputError("pointer edit", "instrument", edit.instrument, ", ".join(names))
    pointers: dict[str, Array] = {}
    touched = {edit.instrument for edit in edits}
    for instrument in airplane.instruments:
        if only is not None and instrument.name not in only:
            continue
        edited = Edited.of(instrument.name, edits, felt.time_s) if instrument.name in touched else None
        known = before.get(instrument.name)
        if known is None:
            shown = _shown(airplane, instrument, felt, edited or Edited())
        else:
            shown = {instrument.name: _gone_on(airplane, instrument, felt, edited, known, row)}
        if edited is not None:
            dead = np.asarray(edited.blank) >= 0.5
            shown = {name: np.where(dead, np.nan, value) for name, value in shown.items()}
        pointers |= shown
    return pointers


def _gone_on(
    airplane: Airplane, instrument: Any, felt: Felt, edited: Edited | None, known: Kept, row: int
) -> Array:
    """A pointer that is as it was known for some rows, and goes on from there."""
    if edited is not None:
        row = min(row, edited.first_row())
    if row >= len(felt.time_s):
        return known.shown
    if row == 0:
        return _shown(airplane, instrument, felt, edited or Edited())[instrument.name]
    last = row - 1  # its movement is known, and the next goes on from there
    pressure = {name: felt.pressure_pa[name][last:] for name in tappings_of(instrument)}
    some = Felt(felt.time_s[last:], pressure, felt.setting_pa, felt.truth, felt.network)
    shown = np.empty(len(felt.time_s))
    if known.mechanism is None:
        on = Edited() if edited is None else edited.since(last)
        shown[last:] = _shown(airplane, instrument, some, on)[instrument.name]
    else:
        mechanism = known.mechanism if edited is None else _mechanism(instrument, felt, edited)
        law = _law(airplane, instrument, some)
        shown[last:] = mechanism.since(last).pointer(some.time_s, law, known.moved[last])
    shown[:row] = known.shown[:row]
    return shown


def _law(airplane: Airplane, instrument: Any, felt: Felt) -> Array:
    """What an instrument with a mechanism would show without it."""
    at = felt.at(instrument)
    if instrument.kind == "airspeed-indicator":
        return airspeed.airspeed_from_difference(at[0] - at[1])
    if instrument.kind == "altimeter":
        return altimeter.law(instrument, at[0])
    return vertical_speed.law(instrument, at[0], at[1] + _pumped(airplane, instrument, felt))


def _mechanism(instrument: Any, felt: Felt, edited: Edited) -> Mechanism:
    if instrument.kind == "airspeed-indicator":
        return airspeed.mechanism(instrument, edited)
    if instrument.kind == "altimeter":
        return altimeter.mechanism(instrument, felt.setting_pa, edited, felt.power)
    return vertical_speed.mechanism(instrument, edited)


def _shown(airplane: Airplane, instrument: Any, felt: Felt, edited: Edited) -> dict[str, Array]:
    """What one instrument shows, by the name of each reading."""
    at = felt.at(instrument)
    if instrument.kind == "air-data-computer":
        return air_data.shown(instrument, felt.time_s, at[0], at[1], felt.setting_pa, edited)
    if instrument.kind == "encoder":
        return {instrument.name: encoder.shown(instrument, at[0], edited)}
    law = _law(airplane, instrument, felt)
    return {instrument.name: _mechanism(instrument, felt, edited).pointer(felt.time_s, law)}


def _pumped(airplane: Airplane, instrument: Any, felt: Felt) -> Array | float:
    """What an instantaneous vertical speed indicator's pump adds behind its leak [Pa]."""
    from ramstill.pneumatics import compile_network

    work = getattr(instrument, "instantaneous", None)
    if work is None or felt.truth is None or len(felt.time_s) < 2:
        return 0.0
    case = instrument.leak_ends[1]
    network = compile_network(airplane) if felt.network is None else felt.network
    rate = pump.way_out(network, case, felt.time_s, felt.pressure_pa, felt.outside_pa)
    volume = float(network.volume_m3[network.index_of(case)])
    there = np.asarray(felt.pressure_pa[case], dtype=float)
    return pump.pumped_pressure(work, felt.time_s, felt.truth.load_factor, there, volume, rate)
