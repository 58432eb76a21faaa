"""All instruments of one airplane at once."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.errors import InputError
from ramstill.instruments import air_data, airspeed, altimeter, encoder, pump, vertical_speed
from ramstill.instruments.edits import Edited, PointerEdit
from ramstill.instruments.pointers import tappings_of

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics import Network, Truth


@dataclass(frozen=True, slots=True)
class _Felt:
    """What one reading of a panel is made from."""

    time_s: Array
    pressure_pa: Mapping[str, Array]
    setting_pa: Array | float
    truth: Truth | None
    network: Network | None
    outside_pa: Mapping[str, Array] = field(default_factory=dict)

    def at(self, instrument: Any) -> list[Array]:
        return [np.asarray(self.pressure_pa[name], dtype=float) for name in tappings_of(instrument)]


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
    time, edits = np.asarray(time_s, dtype=float), tuple(edits)
    names = [instrument.name for instrument in airplane.instruments]
    for edit in edits:
        if edit.instrument not in names:
            raise InputError("pointer edit", "instrument", edit.instrument, ", ".join(names))
    felt = _Felt(time, pressure_pa, setting_pa, truth, network, outside_pa or {})
    pointers: dict[str, Array] = {}
    for instrument in airplane.instruments:
        edited = Edited.of(instrument.name, edits, time)
        shown = _shown(airplane, instrument, felt, edited)
        dead = np.asarray(edited.blank) >= 0.5
        pointers |= {
            name: np.where(dead, np.nan, value) if dead.any() else value for name, value in shown.items()
        }
    return pointers


def _shown(airplane: Airplane, instrument: Any, felt: _Felt, edited: Edited) -> dict[str, Array]:
    """What one instrument shows, by the name of each reading."""
    time, at = felt.time_s, felt.at(instrument)
    if instrument.kind == "air-data-computer":
        return air_data.shown(instrument, time, at[0], at[1], felt.setting_pa, edited)
    if instrument.kind == "airspeed-indicator":
        pointer = airspeed.shown(instrument, time, at[0], at[1], edited)
    elif instrument.kind == "altimeter":
        power = 0.0 if felt.truth is None else felt.truth.power
        pointer = altimeter.shown(instrument, time, at[0], felt.setting_pa, edited, power)
    elif instrument.kind == "encoder":
        pointer = encoder.shown(instrument, at[0], edited)
    else:
        behind = at[1] + _pumped(airplane, instrument, felt)
        pointer = vertical_speed.shown(instrument, time, at[0], behind, edited)
    return {instrument.name: pointer}


def _pumped(airplane: Airplane, instrument: Any, felt: _Felt) -> Array | float:
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
