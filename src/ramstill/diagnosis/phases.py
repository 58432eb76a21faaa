"""The standard flight of an airplane, in which every reported defect is tried, phase after phase."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.saying import PHASES

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.answer import Situation
    from ramstill.faults import Fault
    from ramstill.pneumatics import Surroundings

NAMES = tuple(word.name for word in PHASES)
GROUND, ROLL, CLIMB, LEVELLED, SPEEDING, LEVEL, SLIP, SLOWING, DESCENT, CLOUD = NAMES

FIELD_M = 1000.0 * FT  # elevation of the field, so that no altimeter rightly shows nothing [m]
FIRST_CLIMB_M = 500.0 * FT  # where the phase called climb begins, over the field [m]
LOWEST_M = 700.0 * FT  # where the descent ends, over the field [m]
SLOWER = 0.85  # the climb's speed is no more than this share of cruise, so that there is a speed to change
COLD_K = 258.15  # at the bottom of the descent, where the icing cloud is: ice grows on what is not warmed [K]
# Nobody holds an altitude to the foot by hand: for how long [s], up or down [m/s], at what speed over cruise.
WANDER = ((12.0, 300.0 * FPM, -5.0 * KT), (20.0, -300.0 * FPM, 5.0 * KT), (12.0, 300.0 * FPM, 0.0))


@dataclass(frozen=True, slots=True)
class StandardFlight:
    """One flight through the phases.

    spans: phase -> (begin, end) [s], in the order of flight; cloud: faults that go with those of the heat:
    the freezing cloud about what is heated, in the phase that is named after it.
    """

    surroundings: Surroundings
    spans: Mapping[str, tuple[float, float]]
    cloud: tuple[Fault, ...]

    def situation(self, phase: str) -> Situation:
        """The flight at the end of a phase."""
        from ramstill.diagnosis.answer import Situation

        truth = self.surroundings.truth.at([self.spans[phase][1]])
        return Situation(
            airborne=phase not in (GROUND, ROLL),
            cas_m_s=float(truth.cas_m_s[0]),
            pressure_altitude_m=float(truth.pressure_altitude_m[0]),
        )


def standard_flight(plane: Airplane, last: str = CLOUD) -> StandardFlight:
    """The standard flight of an airplane, up to the end of the phase `last`.

    Take-off from a field at 1,000 ft, climb for 150 s at the airplane's rate, level off, speed up, cruise by
    hand with a wander of some 40 ft and 5 kt, ten degrees of sideslip, slow down, descend to 700 ft over the
    field, and there a cloud at -15 degrees Celsius for six minutes level and one climbing. Rates and cruise
    are the airplane's own; the climb's speed too, but no more than 0.85 of cruise. All the rest is assumed.
    KeyError for an unknown phase.
    """
    from ramstill import air, flight

    offset = COLD_K - float(air.standard_temperature(FIELD_M + LOWEST_M))
    table = {"field_elevation": f"{FIELD_M} m", "leg": _legs(plane, last)}
    planned = flight.parse_flight(table, "standard flight")
    around = flight.surroundings(plane, flight.plan(planned, plane, air.Day(temperature_offset_k=offset)))
    spans = _spans(around, last)
    return StandardFlight(around, spans, _cloud(plane, spans[CLOUD][0]) if CLOUD in spans else ())


def _legs(plane: Airplane, last: str) -> list[dict[str, Any]]:
    cruise = float(plane.speeds.cruise)
    fast, slow = f"{cruise} m/s", f"{min(float(plane.speeds.climb), SLOWER * cruise)} m/s"
    wander = [
        {
            "kind": "climb" if rate > 0.0 else "descent",
            "duration": f"{length} s",
            "rate": f"{abs(rate)} m/s",
            "speed": f"{cruise + more} m/s",
        }
        for length, rate, more in WANDER
    ]
    change = {"kind": "speed-change", "acceleration": "0.8 m/s2"}
    laid: dict[str, list[dict[str, Any]]] = {
        GROUND: [{"kind": "take-off", "wait": "25 s", "speed": slow, "to": f"{FIELD_M + FIRST_CLIMB_M} m"}],
        ROLL: [],  # part of the take-off
        CLIMB: [{"kind": "climb", "duration": "150 s", "speed": slow}],
        LEVELLED: [{"kind": "level", "duration": "30 s"}],
        SPEEDING: [{**change, "speed": fast}],
        LEVEL: [{"kind": "level", "duration": "15 s"}, *wander],
        SLIP: [{"kind": "level", "duration": "30 s", "sideslip": "10 deg"}],
        SLOWING: [{**change, "speed": slow}],
        DESCENT: [{"kind": "descent", "to": f"{FIELD_M + LOWEST_M} m", "speed": slow}],
        CLOUD: [{"kind": "level", "duration": "360 s"}, {"kind": "climb", "duration": "60 s", "speed": slow}],
    }
    wanted = list(laid)[: list(laid).index(last) + 1] if last in laid else _no_phase(last)
    return [
        {"name": phase if i == 0 else "wander", **leg}
        for phase in wanted
        for i, leg in enumerate(laid[phase])
    ]


def _no_phase(name: str) -> list[str]:
    raise KeyError(name)


def _spans(around: Surroundings, last: str) -> dict[str, tuple[float, float]]:
    starts = {name: at for at, name in around.truth.phases}
    standing = around.truth.time_s[around.truth.cas_m_s <= 0.0]
    begins = {name: starts[name] for name in NAMES if name in starts}
    begins[ROLL] = float(standing[-1])
    order = [name for name in NAMES[: NAMES.index(last) + 1] if name in begins]
    ends = [begins[name] for name in order[1:]] + [around.end_s]
    spans = {name: (begins[name], end) for name, end in zip(order, ends, strict=True)}
    if ROLL in spans:
        spans[ROLL] = (begins[ROLL], starts["lift-off"])
    return spans


def _cloud(plane: Airplane, from_s: float) -> tuple[Fault, ...]:
    from ramstill.faults import Fault

    kinds = {"pitot-inlet": "pitot-icing", "pitot-drain": "pitot-icing", "total-energy-probe": "pitot-icing"}
    kinds["static-port"] = "static-icing"
    return tuple(
        Fault(kinds[opening.kind], opening.name, onset_s=from_s)
        for opening in plane.openings
        if opening.heated and opening.kind in kinds
    )
