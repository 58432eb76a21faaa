"""What the airplane and the air around it really do, against which readings are judged."""

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Self

import numpy as np
from numpy.typing import ArrayLike, NDArray

from ramstill.air.constants import G0, P0, T0

FloatArray = NDArray[np.float64]

# A parked airplane at sea level on the standard day: what `Truth.steady` takes where nothing is said.
_PARKED: Mapping[str, float] = {
    "static_pressure_pa": P0,
    "outside_temperature_k": T0,
    "altimeter_setting_pa": P0,
}


@dataclass(frozen=True, slots=True)
class Truth:
    """State of flight over time; every array is shaped (k,) like `time_s`.

    time_s [s], never falling (a repeated time is a jump); pressure_altitude_m, geometric_altitude_m [m];
    static_pressure_pa, impact_pressure_pa [Pa]; cas_m_s, tas_m_s, climb_m_s, ground_speed_m_s [m/s];
    outside_temperature_k [K]; altimeter_setting_pa [Pa], as the pilot set it; angle_of_attack_rad,
    sideslip_rad [rad]; flap, gear, power [0 to 1]; height_over_ground_m [m]; load_factor [-], lift (or what
    the wheels carry) over weight;
    phases: (start [s], name) in order.
    """

    time_s: FloatArray
    pressure_altitude_m: FloatArray
    geometric_altitude_m: FloatArray
    static_pressure_pa: FloatArray
    impact_pressure_pa: FloatArray
    cas_m_s: FloatArray
    tas_m_s: FloatArray
    climb_m_s: FloatArray
    outside_temperature_k: FloatArray
    altimeter_setting_pa: FloatArray
    angle_of_attack_rad: FloatArray
    sideslip_rad: FloatArray
    flap: FloatArray
    gear: FloatArray
    power: FloatArray
    height_over_ground_m: FloatArray
    ground_speed_m_s: FloatArray
    load_factor: FloatArray
    phases: tuple[tuple[float, str], ...] = ()

    def __post_init__(self) -> None:
        for name in quantities():
            if np.shape(getattr(self, name)) != np.shape(self.time_s):
                raise ValueError(f"truth: {name} is not shaped as time_s")

    @classmethod
    def steady(
        cls, time_s: ArrayLike, phases: tuple[tuple[float, str], ...] = (), **values: ArrayLike
    ) -> Self:
        """Truth from scalars or arrays; what is not given is a parked airplane at standard sea level.

        A load factor that is not given is that of flight without a turn: 1 + d(climb)/dt / g.
        """
        when = np.asarray(time_s, dtype=np.float64)
        if "load_factor" not in values:
            climb = np.asarray(values.get("climb_m_s", 0.0), dtype=np.float64)
            values["load_factor"] = _straight(when, climb)
        filled = {
            name: np.array(
                np.broadcast_to(np.asarray(values.pop(name, _PARKED.get(name, 0.0)), float), when.shape)
            )
            for name in quantities()
        }
        if values:
            raise ValueError(f"truth has no {', '.join(values)}")
        return cls(time_s=when, phases=phases, **filled)

    def at(self, times_s: ArrayLike) -> "Truth":
        """Linearly interpolated at `times_s` [s], held at the ends, the right value at a jump."""
        return self._taken(np.atleast_1d(np.asarray(times_s, dtype=np.float64)), "right")

    def at_left(self, times_s: ArrayLike) -> "Truth":
        """As `at`, but what held just before each time; differs at a jump only."""
        return self._taken(np.atleast_1d(np.asarray(times_s, dtype=np.float64)), "left")

    def _taken(self, when: FloatArray, side: str) -> "Truth":
        from ramstill.pneumatics.curves import plain, straight_at

        rows = self._rows()
        found = np.empty((len(rows), len(when)))
        straight_at(plain(self.time_s), rows, plain(when), side == "left", found)
        return Truth(time_s=when, phases=self.phases, **dict(zip(_QUANTITIES, found, strict=True)))

    def with_knots(self, times: FloatArray) -> "Truth":
        """The same with a knot more at each of some times [s], which rise; none of them is at a jump."""
        order = np.argsort(np.concatenate([self.time_s, times]), kind="stable")
        found, added = self._rows(), self.at(times)._rows()
        rows = np.concatenate([found, added], axis=1)[:, order]
        when = np.concatenate([self.time_s, times])[order]
        return Truth(time_s=when, phases=self.phases, **dict(zip(_QUANTITIES, rows, strict=True)))

    def _rows(self) -> FloatArray:
        """All quantities, (q, k)."""
        return np.stack([getattr(self, name) for name in _QUANTITIES])


def _straight(when: FloatArray, climb: FloatArray) -> FloatArray:
    """Load factor of a path that does not turn; a jump in the climb has none of its own."""
    steps = np.diff(when)
    if climb.ndim == 0 or not (steps > 0.0).any():
        return np.ones(when.shape)
    if (steps > 0.0).all():
        return np.asarray(1.0 + np.gradient(climb, when) / G0)
    slope = np.divide(np.diff(climb), steps, out=np.zeros_like(steps), where=steps > 0.0)
    return np.asarray(1.0 + np.concatenate([slope[:1], slope]) / G0)


def quantities() -> tuple[str, ...]:
    """Names of the arrays of a `Truth` other than its time."""
    return _QUANTITIES


_QUANTITIES = tuple(f.name for f in fields(Truth) if f.name not in ("time_s", "phases"))
