"""Steady flight and the air that has come to rest in it: what each pointer shows once all lag is over."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill import air
from ramstill.flight.course import USUAL_POWER

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import Pointer
    from ramstill.pneumatics import Network, Truth
    from ramstill.run.record import FloatArray

FREE_OF_GROUND_M = 300.0  # high enough that no opening feels the ground [m]


@dataclass(frozen=True, slots=True)
class Held:
    """A state of steady flight on the standard day, wings level and in balance.

    altitude_m: pressure altitude [m]; cas_m_s: calibrated airspeed [m/s]; flap, gear, power: 0 to 1.
    """

    altitude_m: float
    cas_m_s: float
    flap: float = 0.0
    gear: float = 0.0
    power: float = USUAL_POWER["level"]

    def truth(self, plane: Airplane) -> Truth:
        """What is true in it, (1,); the wing carries the weight and nothing more."""
        from ramstill.flight.attitude import angle_of_attack
        from ramstill.pneumatics import Truth

        static, impact = air.static_pressure(self.altitude_m), air.impact_pressure(self.cas_m_s)
        one = np.ones(1)
        mach = np.asarray(air.mach(impact, static)) * one
        angle = angle_of_attack(plane.wing, static * one, mach, one, self.flap * one)
        return Truth.steady(
            [0.0],
            pressure_altitude_m=self.altitude_m,
            static_pressure_pa=static,
            impact_pressure_pa=impact,
            cas_m_s=self.cas_m_s,
            angle_of_attack_rad=angle,
            flap=self.flap,
            gear=self.gear,
            power=self.power,
            height_over_ground_m=FREE_OF_GROUND_M,
        )


def at_rest(
    plane: Airplane, network: Network, held: Held, before: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Pressures at every tapping [Pa], by name; `before` [Pa]: what air shut off from outside held."""
    from ramstill.flight.outside import boundary_names, pressures
    from ramstill.pneumatics import settle

    outside = dict(zip(boundary_names(plane), pressures(plane, held.truth(plane))[0].tolist(), strict=True))
    start: FloatArray | None = None
    if before is not None:
        start = np.array([before[name] for name in network.node_names])
    found = settle(network, outside, start)
    return dict(zip(network.node_names, found.tolist(), strict=True))


def airspeed(instrument: Any, pressure: Mapping[str, float]) -> float:
    """What an airspeed reading shows [m/s] by the standard law, up to its stops; NaN: nothing.

    Its own scale error, friction and lag are left out: they belong to one instrument, not to the airplane.
    """
    from ramstill.instruments import airspeed_from_difference

    ends = (f"{instrument.name}.pitot", f"{instrument.name}.static")
    shown = float(airspeed_from_difference(np.asarray(pressure[ends[0]] - pressure[ends[1]])))
    if instrument.kind == "air-data-computer":
        inside = float(instrument.lowest_airspeed) <= shown <= float(instrument.highest_airspeed)
        return shown if inside else float("nan")
    return float(np.clip(shown, instrument.lowest_reading, instrument.top_mark))


def altitude(instrument: Any, pressure: Mapping[str, float]) -> float:
    """What an altitude reading shows with the standard setting [m], by the standard law."""
    return float(air.pressure_altitude(pressure[f"{instrument.name}.static"]))


def readings(plane: Airplane, shows: str) -> list[Pointer]:
    """The pointers that show airspeed, altitude or vertical speed; encoders, which show nobody, left out."""
    from ramstill.instruments import pointers_of

    return [one for one in pointers_of(plane) if one.shows == shows and one.kind != "encoder"]
