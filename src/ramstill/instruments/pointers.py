"""What an airplane's instruments show, one by one, and the truth that each is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Literal

import numpy as np

from ramstill.air.constants import G0

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments.mechanics import Array
    from ramstill.pneumatics.truth import Truth

Shown = Literal["airspeed", "altitude", "vertical-speed"]

# The last part of each tapping's name, by kind of instrument.
_PORTS = {
    "airspeed-indicator": ("pitot", "static"),
    "altimeter": ("static",),
    "vertical-speed-indicator": ("static", "case"),
    "encoder": ("static",),
    "variometer": ("probe", "flask"),
    "air-data-computer": ("pitot", "static"),
}
_TRUTH = {
    "airspeed": "cas_m_s",
    "altitude": "geometric_altitude_m",
    "vertical-speed": "climb_m_s",
}
_WORDS = {"airspeed": "airspeed", "altitude": "altitude", "vertical-speed": "vertical speed"}


@dataclass(frozen=True, slots=True)
class Pointer:
    """One thing that an instrument shows, by a pointer or in digits.

    name: as in `read`: the instrument's own, "air-data.airspeed" where it shows several; title: in words;
    shows: the quantity; instrument: the airplane's; compensated: a variometer that feels a total-energy
    probe, so that it shows what height and speed gain together.
    """

    name: str
    title: str
    shows: Shown
    instrument: Any
    compensated: bool = False

    @property
    def kind(self) -> str:
        """The kind of the instrument."""
        return str(self.instrument.kind)


def pointers_of(airplane: Airplane) -> tuple[Pointer, ...]:
    """Return everything the instruments of an airplane show, in the order of its file."""
    found = []
    for instrument in airplane.instruments:
        readings, title = instrument.readings, instrument.title or instrument.name
        compensated = instrument.kind == "variometer" and _on_probe(airplane, f"{instrument.name}.probe")
        for name, shows in readings.items():
            words = f"{title}: {_WORDS[shows]}" if len(readings) > 1 else title
            found.append(Pointer(name, words, shows, instrument, compensated))
    return tuple(found)


def tappings_of(instrument: Any) -> tuple[str, ...]:
    """Return the names of the tappings that `instrument` of an airplane reads, capsule first."""
    return tuple(f"{instrument.name}.{port}" for port in _PORTS[instrument.kind])


def truth_for(pointer: Any, truth: Truth) -> Array:
    """Return what a `Pointer`, or an instrument with one reading, ought to show [m/s or m], (t,).

    Airspeed: calibrated airspeed. Altimeter: geometric altitude above sea level, so that a wrong setting and
    a day off standard count as its errors. Vertical speed: true rate of climb. Encoder: pressure altitude.
    A variometer on a total-energy probe: the rate of h + V^2 / 2g, from true airspeed.
    """
    if getattr(pointer, "compensated", False):
        return np.asarray(truth.climb_m_s + _slope(truth.time_s, truth.tas_m_s**2 / (2.0 * G0)), dtype=float)
    return np.asarray(getattr(truth, quantity_for(pointer)), dtype=float)


def quantity_for(pointer: Any) -> str:
    """Return the quantity of `Truth` that a `Pointer`, or an instrument with one reading, ought to show; of a
    compensated variometer that without the part of its speed, see `truth_for`.
    """
    if pointer.kind == "encoder":
        return "pressure_altitude_m"
    shows = pointer.shows if isinstance(pointer, Pointer) else next(iter(pointer.readings.values()))
    return _TRUTH[shows]


def _slope(time_s: Array, value: Array) -> Array:
    """d value / d time; zero where two samples share a time, a jump having no rate."""
    if len(time_s) < 2 or (np.diff(time_s) <= 0.0).any():
        steps = np.diff(time_s)
        between = np.divide(np.diff(value), steps, out=np.zeros_like(steps), where=steps > 0.0)
        return np.concatenate([between[:1], between]) if len(between) else np.zeros_like(value)
    return np.asarray(np.gradient(value, time_s))


def _on_probe(airplane: Airplane, port: str) -> bool:
    """Whether air gets from a total-energy probe to a port through lines and open valves."""
    mouths = {opening.into for opening in airplane.openings if opening.kind == "total-energy-probe"}
    shut = {valve.name for valve in airplane.valves if valve.normally == "closed"}
    seen, queue = {port}, [port]
    while queue:
        for link, other in airplane.neighbours.get(queue.pop(), ()):
            if other not in seen and link not in shut:
                seen.add(other)
                queue.append(other)
    return bool(mouths & seen)
