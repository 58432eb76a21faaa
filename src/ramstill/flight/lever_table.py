"""The [levers] table of a scenario: where a flight by levers begins, and what is moved when.

Read into a `LeverPlan`, and written from one.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, model_validator

from ramstill import air
from ramstill.air.units import FPM, FT, HPA, INHG, KT
from ramstill.errors import InputError
from ramstill.flight.lever_plan import LeverPlan, Levers, Start
from ramstill.flight.tables import (
    AbsolutePressure,
    Altitude,
    Elevation,
    Share,
    Span,
    Speed,
    SpeedOrRest,
    Strict,
    Time,
    parse_table,
    reader,
)

_POWER = reader("dimensionless", low=0.0, high=1.0, words='a share from 0 to 1, 0% to 100%, or "fits"')
SignedRate = Annotated[float, BeforeValidator(reader("vertical speed"))]
Power = Annotated[
    float | Literal["fits"], BeforeValidator(lambda value: value if value == "fits" else _POWER(value))
]


class MoveTable(Strict):
    """[[levers.move]]: at a time, any of the levers; see `Levers`."""

    at: Time
    speed: SpeedOrRest | None = None
    climb: SignedRate | None = None
    altitude: Altitude | None = None
    flap: Share | None = None
    gear: Literal["up", "down"] | None = None
    power: Power | None = None
    altimeter_setting: AbsolutePressure | None = None

    @model_validator(mode="after")
    def _something(self) -> MoveTable:
        if self.model_fields_set <= {"at"}:
            names = ", ".join(name for name in MoveTable.model_fields if name != "at")
            raise ValueError(f"a move of one lever or more: {names}")
        return self

    def levers(self) -> Levers:
        """What is moved."""
        return Levers(
            self.speed,
            self.climb,
            self.altitude,
            self.flap,
            None if self.gear is None else float(self.gear == "down"),
            self.power,
            self.altimeter_setting,
        )


class LeversTable(Strict):
    """[levers]: the start, on the field unless `start_altitude` is given, and the moves in their order."""

    field_elevation: Elevation = 0.0
    altimeter_setting: AbsolutePressure | None = None
    start_altitude: Altitude | None = None
    start_speed: Speed | None = None
    duration: Span
    move: tuple[MoveTable, ...] = ()


def parse_levers(table: object, source: str) -> LeverPlan:
    """Read the [levers] table of the file `source`. Raises InputError, and nothing else."""
    read = parse_table(LeversTable, table, source, "levers")
    if read.start_altitude is None and read.start_speed is not None:
        allowed = "none without a start_altitude: it starts standing on the field"
        raise InputError(source, "levers.start_speed", f"{read.start_speed / KT:.0f} kt", allowed)
    start = Start(
        altitude_m=0.0 if read.start_altitude is None else read.start_altitude,
        speed_m_s=read.start_speed,
        field_elevation_m=read.field_elevation,
        setting_pa=read.altimeter_setting,
        on_ground=read.start_altitude is None,
    )
    return LeverPlan(start, tuple((move.at, move.levers()) for move in read.move), read.duration)


def written(plan: LeverPlan) -> dict[str, Any]:
    """The [levers] table that reads back as the same flight, to the last bit."""
    start, found = plan.start, dict[str, Any]()
    if start.field_elevation_m:
        found["field_elevation"] = _said(start.field_elevation_m, "length")
    if start.setting_pa is not None:
        found["altimeter_setting"] = _said(start.setting_pa, "pressure")
    if not start.on_ground:
        found["start_altitude"] = _said(start.altitude_m, "length")
        if start.speed_m_s is not None:
            found["start_speed"] = _said(start.speed_m_s, "speed")
    found["duration"] = _tick(plan.duration_s)
    if plan.moves:
        found["move"] = [_move(at, levers) for at, levers in plan.moves]
    return found


def _move(at_s: float, levers: Levers) -> dict[str, Any]:
    gear = None if levers.gear is None else "down" if levers.gear else "up"
    found: dict[str, Any] = {
        "at": _tick(at_s),
        "speed": _said(levers.speed_m_s, "speed"),
        "climb": _said(levers.climb_m_s, "vertical speed"),
        "altitude": _said(levers.altitude_m, "length"),
        "flap": levers.flap,
        "gear": gear,
        "power": levers.power,
        "altimeter_setting": _said(levers.setting_pa, "pressure"),
    }
    return {key: value for key, value in found.items() if value is not None}


# For each kind of quantity, what a reader would like best, then SI.
_UNITS = {
    "length": (("ft", FT), ("m", 1.0)),
    "speed": (("kt", KT), ("m/s", 1.0)),
    "vertical speed": (("ft/min", FPM), ("m/s", 1.0)),
    "pressure": (("inHg", INHG), ("hPa", HPA), ("Pa", 1.0)),
}


def _said(value: float | None, dimension: str) -> str | None:
    """A figure with the first of its units in which a few digits are all of it."""
    if value is None:
        return None
    for unit, size in _UNITS[dimension]:
        text = f"{value / size:.6g} {unit}"
        if float(air.parse(text, dimension, "", "")) == value:
            return text
    return f"{value!r} {_UNITS[dimension][-1][0]}"


def _tick(time_s: float) -> str:
    """A time, as that of the step it is felt at."""
    from ramstill.flight.hand import STEP_S, step_at

    return f"{step_at(time_s) * STEP_S:.2f}".rstrip("0").rstrip(".") + " s"
