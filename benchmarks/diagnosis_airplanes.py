"""An airplane of the hangar as it really is: no volume, bore, port or cabin quite as in its file."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ramstill import air
from ramstill.airplane import Airplane
from ramstill.airplane.figure import Figure

if TYPE_CHECKING:
    from numpy.random import Generator

HANGAR = (
    "low-wing-mast",
    "high-wing-tube",
    "twin-two-ports",
    "pressurised-turboprop",
    "business-jet",
    "sailplane",
    "glass-trainer",
)
VOLUME, BORE = 0.20, 0.10  # largest share by which a volume or a bore is off
COEFFICIENT = 0.02  # largest change of the coefficient of a port [-]
INLET = 0.005  # largest loss of an inlet [-]
LOWEST_CABIN_PA = -80.0  # cabin less static pressure at cruise, of an open cabin
CABIN_HEIGHT_M = 100.0  # by which a pressurised cabin's schedule is off
LAG, FRICTION = (0.7, 1.5), (0.5, 1.4)
_VOLUMES = ("case_volume", "capsule_volume", "flask_volume", "pitot_volume", "static_volume")


def perturbed(nominal: Airplane, rng: Generator) -> Airplane:
    """The airplane that is really flown; `nominal` is what the diagnosis is told."""

    def off(figure: float, share: float) -> Figure:
        return Figure(float(figure) * (1.0 + rng.uniform(-share, share)))

    def bored(part: Any) -> Any:
        return part.model_copy(update={"bore": off(part.bore, BORE)})

    def opening(part: Any) -> Any:
        coefficient = part.pressure_coefficient
        change = -rng.uniform(0.0, INLET) if part.sees == "ram" else rng.uniform(-COEFFICIENT, COEFFICIENT)
        base = Figure(float(coefficient.base) + change)
        changed = coefficient.model_copy(update={"base": base})
        return bored(part).model_copy(update={"pressure_coefficient": changed})

    def instrument(part: Any) -> Any:
        update = {name: off(getattr(part, name), VOLUME) for name in _VOLUMES if hasattr(part, name)}
        for name, (low, high) in (("lag", LAG), ("friction", FRICTION)):
            if hasattr(part, name):
                update[name] = Figure(float(getattr(part, name)) * rng.uniform(low, high))
        return part.model_copy(update=update)

    return nominal.model_copy(
        update={
            "openings": tuple(opening(o) for o in nominal.openings),
            "fittings": tuple(
                f.model_copy(update={"volume": off(f.volume, VOLUME)}) for f in nominal.fittings
            ),
            "lines": tuple(bored(line) for line in nominal.lines),
            "valves": tuple(bored(valve) for valve in nominal.valves),
            "instruments": tuple(instrument(i) for i in nominal.instruments),
            "inside": _inside(nominal, rng),
        }
    )


def _inside(nominal: Airplane, rng: Generator) -> Any:
    inside, cruise = nominal.inside, float(air.impact_pressure(float(nominal.speeds.cruise)))
    cabin = Figure(rng.uniform(LOWEST_CABIN_PA, 0.0) / cruise)
    bay = Figure(float(inside.wing_bay_pressure_coefficient) * rng.uniform(0.5, 1.5))
    update: dict[str, Any] = {"cabin_pressure_coefficient": cabin, "wing_bay_pressure_coefficient": bay}
    held = inside.pressurisation
    if held is not None:
        by = rng.uniform(-CABIN_HEIGHT_M, CABIN_HEIGHT_M)
        heights = tuple(Figure(float(h) + by) for h in held.cabin_altitude)
        update["pressurisation"] = held.model_copy(update={"cabin_altitude": heights})
    return inside.model_copy(update=update)
