"""The types of figures: a dimension and a sign each, read from text with a unit and checked."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from math import isfinite
from typing import Annotated, Any, ClassVar, Literal

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import PydanticCustomError, core_schema

from ramstill.air import quantity
from ramstill.airplane.figure import BASES, Figure, Provenance, iso_date
from ramstill.errors import InputError

Sign = Literal["any", "zero or more", "above zero"]

# How a figure of each dimension is written, for error lines and for the JSON Schema.
EXAMPLES = {
    "length": "3.1 m",
    "area": "11.2 m2",
    "volume": "0.25 l",
    "mass": "720 kg",
    "speed": "95 kt",
    "vertical speed": "700 ft/min",
    "angle": "4 deg",
    "pressure": "28.1 inHg",
    "temperature": "20 degC",
    "time": "2.2 s",
    "slope per angle": "4.8 /rad",
    "volume per pressure": "0.3 cm3/hPa",
    "power": "80 W",
    "force": "12 kN",
    "dimensionless": "-0.04",
}


def allowed(dimension: str) -> str:
    """What may be written for a `dimension`, in words."""
    if dimension == "slope per angle":
        return "a number per angle (/rad, /deg)"
    return quantity.allowed(dimension)


@dataclass(slots=True)
class Reading:
    """What the validators need to know while one file is read: passed as pydantic's context."""

    source: str = "airplane"
    provenance: Provenance = field(default_factory=Provenance)


def complain(read: object, allowed: str, field: str = "") -> PydanticCustomError:
    """A validation error that complaints.py turns into one line."""
    return PydanticCustomError(
        "ramstill", "read {read}; allowed: {allowed}", {"read": str(read), "allowed": allowed, "field": field}
    )


@dataclass(frozen=True, slots=True)
class Quantity:
    """Annotation of a `Figure` with a dimension and a sign."""

    dimension: str
    sign: Sign = "any"
    shape: ClassVar[str] = "figure"

    def words(self) -> str:
        """What may stand there, in words."""
        example = EXAMPLES[self.dimension]
        if self.sign == "any":
            return f"{allowed(self.dimension)}, such as {example}"
        return f"{allowed(self.dimension)}, {self.sign}, such as {example.lstrip('-')}"

    def __get_pydantic_core_schema__(
        self, source: Any, handler: GetCoreSchemaHandler
    ) -> core_schema.CoreSchema:
        return core_schema.with_info_plain_validator_function(
            self.validate, serialization=core_schema.plain_serializer_function_ser_schema(_written)
        )

    def __get_pydantic_json_schema__(
        self, schema: core_schema.CoreSchema, handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        # schema.py puts the definition in: one for each dimension and shape, not one for each field.
        return {"x-figure": [self.shape, self.dimension, self.sign, getattr(self, "count", None)]}

    def validate(self, value: Any, info: ValidationInfo) -> Any:
        return self.figure(value, info)

    def figure(self, value: Any, info: ValidationInfo) -> Figure:
        """One figure from a text, a number without unit, or a table of value, basis, date and source."""
        if isinstance(value, Figure):
            self._check(value, value.text or float(value))
            return value
        reading = info.context if isinstance(info.context, Reading) else Reading()
        provenance = reading.provenance
        if isinstance(value, Mapping):
            provenance = _own_provenance(value, provenance)
            value = value.get("value")
        if isinstance(value, bool) or not isinstance(value, str | int | float):
            raise complain(_short(value), self.words())
        if provenance.basis == "measured" and not (provenance.date and provenance.source):
            raise complain(
                f"{value} as measured without {'a date' if not provenance.date else 'a source'}",
                'basis = "measured" together with date = 2026-03-01 and source = "how it was measured"',
            )
        si = self._si(value)
        self._check(si, value)
        text = value if isinstance(value, str) else ""
        return Figure(si, provenance.basis, provenance.source, provenance.date, text)

    def _si(self, value: str | float) -> float:
        try:
            if self.dimension == "slope per angle":
                return _slope(value)
            return quantity.parse(value, self.dimension, "", "")
        except InputError as error:
            raise complain(error.read, self.words()) from None

    def _check(self, si: float, read: object) -> None:
        wrong = not isfinite(si) or (self.sign == "above zero" and si <= 0) or (self.sign != "any" and si < 0)
        if wrong:
            raise complain(f'"{read}"', self.words())


def _slope(value: str | float) -> float:
    """ "4.8 /rad" or "0.084 /deg" or a plain number per radian."""
    if not isinstance(value, str):
        return float(value)
    number, _, angle = value.partition("/")
    per = quantity.parse(f"1 {angle.strip()}", "angle", "", "") if angle else 1.0
    return quantity.parse(number, "dimensionless", "", "") / per


def _own_provenance(table: Mapping[str, Any], around: Provenance) -> Provenance:
    unknown = sorted(set(table) - {"value", "basis", "date", "source"})
    if unknown or "value" not in table:
        raise complain(
            f"the key {unknown[0]}" if unknown else "a table without value", "value, basis, date and source"
        )
    basis, date = table.get("basis", around.basis), table.get("date")
    if basis not in BASES:
        raise complain(f'basis "{basis}"', ", ".join(BASES))
    try:
        if date is not None:
            iso_date(date)
    except (ValueError, TypeError, AttributeError):
        raise complain(f'date "{date}"', "a day such as 2026-03-01") from None
    return around.under(table)


def _written(value: Any) -> Any:
    if isinstance(value, Figure):
        return value.as_table()
    return [_written(part) for part in value] if isinstance(value, tuple) else value


def _short(value: object) -> str:
    text = "nothing" if value is None else repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


@dataclass(frozen=True, slots=True)
class Row(Quantity):
    """Annotation of a tuple of figures: a list of texts, or one text "1.2, 3.4, 5.6 m"."""

    count: int | None = None
    shape: ClassVar[str] = "row"

    def words(self) -> str:
        number, unit = EXAMPLES[self.dimension].partition(" ")[::2]
        row = f'"{", ".join([number] * (self.count or 3))} {unit}"'.replace(' "', '"')
        return f"{self.count or 'some'} values, each {allowed(self.dimension)}, such as {row}"

    def validate(self, value: Any, info: ValidationInfo) -> tuple[Figure, ...]:
        return self.row(value, info)

    def row(self, value: Any, info: ValidationInfo) -> tuple[Figure, ...]:
        parts = _split(value) if isinstance(value, str) else value
        if not isinstance(parts, list | tuple) or (self.count is not None and len(parts) != self.count):
            raise complain(f'"{value}"' if isinstance(value, str) else _short(value), self.words())
        return tuple(self.figure(part, info) for part in parts)


@dataclass(frozen=True, slots=True)
class Way(Row):
    """Annotation of a tuple of points: a list of rows, or one text "1.2, 3.4; 5.6, 7.8 m"."""

    shape: ClassVar[str] = "way"

    def validate(self, value: Any, info: ValidationInfo) -> Any:
        if isinstance(value, str):
            *others, last = value.split(";")
            unit = _split_unit(last)[1]
            value = [*(f"{point} {unit}" for point in others), last]
        if not isinstance(value, list | tuple):
            raise complain(_short(value), f"points, each {self.words()}")
        return tuple(self.row(point, info) for point in value)


_NUMBER_THEN_UNIT = re.compile(r"\s*([-+−]?[\d./ ]*[\d.](?:[eE][-+]?\d+)?)\s*(\D.*?)?\s*", re.DOTALL)


def _split_unit(text: str) -> tuple[str, str]:
    match = _NUMBER_THEN_UNIT.fullmatch(text.rpartition(",")[2])
    return (match[1], match[2] or "") if match else (text, "")


def _split(text: str) -> list[str]:
    """ "1, 2, 3 m" -> ["1 m", "2 m", "3 m"]."""
    unit = _split_unit(text)[1]
    *others, last = text.split(",")
    return [*(f"{part.strip()} {unit}" for part in others), last.strip()]


Length = Annotated[Figure, Quantity("length")]
LengthAboveZero = Annotated[Figure, Quantity("length", "above zero")]
LengthOrZero = Annotated[Figure, Quantity("length", "zero or more")]
Area = Annotated[Figure, Quantity("area", "above zero")]
Volume = Annotated[Figure, Quantity("volume", "above zero")]
Mass = Annotated[Figure, Quantity("mass", "above zero")]
Speed = Annotated[Figure, Quantity("speed")]
VerticalSpeedAboveZero = Annotated[Figure, Quantity("vertical speed", "above zero")]
SpeedAboveZero = Annotated[Figure, Quantity("speed", "above zero")]
SpeedOrZero = Annotated[Figure, Quantity("speed", "zero or more")]
Angle = Annotated[Figure, Quantity("angle")]
PerAngle = Annotated[Figure, Quantity("slope per angle", "above zero")]
PressureAboveZero = Annotated[Figure, Quantity("pressure", "above zero")]
Temperature = Annotated[Figure, Quantity("temperature")]
Time = Annotated[Figure, Quantity("time", "zero or more")]
TimeAboveZero = Annotated[Figure, Quantity("time", "above zero")]
Number = Annotated[Figure, Quantity("dimensionless")]
Share = Annotated[Figure, Quantity("dimensionless", "zero or more")]
Compliance = Annotated[Figure, Quantity("volume per pressure", "zero or more")]
Power = Annotated[Figure, Quantity("power", "above zero")]
ForceAboveZero = Annotated[Figure, Quantity("force", "above zero")]
NumberAboveZero = Annotated[Figure, Quantity("dimensionless", "above zero")]
Numbers = Annotated[tuple[Figure, ...], Row("dimensionless")]
Lengths = Annotated[tuple[Figure, ...], Row("length")]
Place = Annotated[tuple[Figure, Figure, Figure], Row("length", count=3)]
Places = Annotated[tuple[tuple[Figure, Figure, Figure], ...], Way("length", count=3)]
Polygon = Annotated[tuple[tuple[Figure, Figure], ...], Way("length", count=2)]
