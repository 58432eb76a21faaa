"""What a healthy airplane would write down: its pointers without friction and stops.

A recorder has no pointer that hangs back and none that meets a stop; scale error and lag of the instrument
remain.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.instruments import mechanics
from ramstill.instruments.airspeed import airspeed_from_difference
from ramstill.instruments.altimeter import altitude_shown
from ramstill.instruments.vertical_speed import vertical_speed_shown
from ramstill.pneumatics import compile_network
from ramstill.pneumatics.integrate import integrate

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.pneumatics import Network, Surroundings

Array = NDArray[np.float64]
FINE_S = 0.25  # a pointer's lag is worked out on times no further apart than this [s]

# Quantity of a recording -> kinds of instrument that show it, the first found counts.
SHOWN_BY = {
    "ias": ("airspeed-indicator",),
    "altitude": ("altimeter", "encoder"),
    "vertical speed": ("vertical-speed-indicator",),
}


@dataclass(frozen=True, slots=True)
class Replay:
    """Readings [m/s or m] by quantity, (t,) at the record's times; one no instrument shows is missing."""

    time_s: Array
    values: dict[str, Array]


def instrument_for(airplane: Airplane, quantity: str) -> Any:
    """Return the airplane's instrument that shows a recorded quantity, or None."""
    for kind in SHOWN_BY[quantity]:
        for instrument in airplane.instruments:
            if instrument.kind == kind:
                return instrument
    return None


def replay(
    airplane: Airplane,
    outside: Surroundings,
    time_s: Array,
    setting_pa: Array,
    network: Network | None = None,
    tolerance_pa: float = 0.05,
) -> Replay:
    """Fly a healthy airplane through `outside` and return what it would write down at `time_s` (t,) [s].

    setting_pa (t,) [Pa]: the altimeter setting at those times.
    """
    network = network or compile_network(airplane)
    gaps = np.diff(time_s)
    parts = np.maximum(np.ceil(gaps / FINE_S).astype(int), 1)
    fine = np.concatenate(
        [time_s[i] + gaps[i] / parts[i] * np.arange(parts[i]) for i in range(len(gaps))] + [time_s[-1:]]
    )
    rows = np.concatenate([[0], np.cumsum(parts)])
    pressure = integrate(network, outside, fine, tolerance_pa=tolerance_pa)
    setting = np.interp(fine, time_s, setting_pa)
    values: dict[str, Array] = {}
    for quantity in SHOWN_BY:
        instrument = instrument_for(airplane, quantity)
        if instrument is not None:
            values[quantity] = _law(instrument, network, pressure, fine, setting)[rows]
    return Replay(time_s, values)


def _law(instrument: Any, network: Network, pressure: Array, time: Array, setting: Array) -> Array:
    def at(port: str) -> Array:
        return np.asarray(pressure[:, network.index_of(f"{instrument.name}.{port}")])

    if instrument.kind == "airspeed-indicator":
        reading = airspeed_from_difference(at("pitot") - at("static"))
    elif instrument.kind == "vertical-speed-indicator":
        leak = instrument.leak
        reading = vertical_speed_shown(
            at("static") - at("case"), instrument.full_scale, leak.full_scale_difference
        )
    elif instrument.kind == "altimeter":
        reading = altitude_shown(at("static"), setting)
    else:
        # an encoder's own rounding is the recorder's step, which the record has already
        return altitude_shown(at("static"), setting)
    reading = mechanics.with_scale_error(reading, getattr(instrument, "scale_error", ()))
    # the pointer has been following before the record begins, as the air in the lines has
    before = 10.0 * float(instrument.lag)
    slope = (reading[1] - reading[0]) / (time[1] - time[0])
    time = np.concatenate([[time[0] - before], time])
    reading = np.concatenate([[reading[0] - before * slope], reading])
    return mechanics.first_order_lag(time, reading, instrument.lag)[1:]
