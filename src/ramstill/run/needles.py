"""How a little more pressure at its tappings moves a pointer: its law, its lag, its stops."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill.run.kinds import kind_of
from ramstill.run.record import FloatArray, Run

if TYPE_CHECKING:
    from ramstill.instruments import Pointer


def unsaid_si(pointer: Pointer) -> float:
    """How far a pointer may be off without a word, SI: too little to tell from none, or its friction."""
    return max(kind_of(pointer).still_si, float(getattr(pointer.instrument, "friction", 0.0)))


def needle_change(
    run: Run, pointer: Pointer, time_s: FloatArray, added_pa: Mapping[str, FloatArray]
) -> FloatArray:
    """What pressures added at its tappings [Pa], (t,) each, do to a pointer, SI (t,), about what it felt.

    0 where it shows nothing, and only between its lowest mark and its stops. Friction is left out.
    """
    from ramstill.instruments.mechanics import first_order_lag
    from ramstill.instruments.pointers import tappings_of

    instrument = pointer.instrument
    felt = [np.interp(time_s, run.time_s, run.pressure_pa[name]) for name in tappings_of(instrument)]
    added = [_sampled(instrument, time_s, added_pa[name]) for name in tappings_of(instrument)]
    more = [one + extra for one, extra in zip(felt, added, strict=True)]
    law = _law(pointer)
    lag = float(getattr(instrument, "lag", getattr(instrument, "filter_time", 0.0)))
    if instrument.kind == "air-data-computer" and pointer.shows == "vertical-speed":
        # its filtered slope: what the altitude has gained on its own lag
        lag = float(instrument.vertical_speed_filter)
        risen = law(*more) - law(*felt)
        off = (risen - first_order_lag(time_s, risen, lag)) / lag if lag else np.gradient(risen, time_s)
    else:
        off = first_order_lag(time_s, law(*more) - law(*felt), lag)
    shown = np.interp(time_s, run.time_s, run.pointers[pointer.name])
    lowest, highest = _stops(pointer)
    real = np.clip(shown + off * _free(run, instrument.name, time_s), lowest, highest)
    return np.asarray(np.nan_to_num(real - np.clip(shown, lowest, highest)))


def _sampled(instrument: Any, time_s: FloatArray, value: FloatArray) -> FloatArray:
    """What samples see of a value on average: its mean over their interval; all of it without samples."""
    width = round(float(getattr(instrument, "sample_interval", 0.0)) / float(time_s[1] - time_s[0]))
    if width < 2:
        return value
    summed = np.cumsum(np.concatenate([np.zeros(width), value]))
    return np.asarray((summed[width:] - summed[:-width]) / width)


def _law(pointer: Pointer) -> Callable[..., FloatArray]:
    from ramstill.instruments.airspeed import airspeed_from_difference
    from ramstill.instruments.altimeter import pressure_altitude
    from ramstill.instruments.vertical_speed import vertical_speed_shown

    instrument = pointer.instrument
    if pointer.shows == "airspeed":
        return lambda pitot, static: airspeed_from_difference(pitot - static)
    if instrument.kind == "air-data-computer":
        return lambda _, static: pressure_altitude(static)
    if pointer.shows == "altitude":
        return pressure_altitude
    leak, full = instrument.leak, float(instrument.full_scale)
    return lambda inner, outer: vertical_speed_shown(
        inner - outer, full, float(leak.full_scale_difference), leak.law
    )


def _stops(pointer: Pointer) -> tuple[float, float]:
    """Where there is something to read, SI: near no airspeed a pascal is worth knots, below the marks."""
    instrument: Any = pointer.instrument
    if instrument.kind == "airspeed-indicator":
        return float(instrument.lowest_mark), float(instrument.top_mark)
    if instrument.kind == "air-data-computer":
        if pointer.shows == "airspeed":
            return float(instrument.lowest_airspeed), float(instrument.highest_airspeed)
        if pointer.shows == "vertical-speed":
            return -float(instrument.highest_vertical_speed), float(instrument.highest_vertical_speed)
    if pointer.shows == "vertical-speed":
        return -float(instrument.full_scale), float(instrument.full_scale)
    return -np.inf, float(getattr(instrument, "top_mark", np.inf))


def _free(run: Run, name: str, time_s: FloatArray) -> FloatArray:
    """Share of each movement that a pointer makes, (t,): 0 where it is stuck."""
    from ramstill.instruments.edits import Edited

    edited = Edited.of(name, run.applied.pointer_edits, time_s)
    return np.asarray(1.0 - np.asarray(edited.stuck))
