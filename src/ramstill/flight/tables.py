"""Reading a scenario's tables: quantities with units, and errors as one line naming the field."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Annotated, Any, TypeVar, get_args

from pydantic import BaseModel, BeforeValidator, ConfigDict, ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

from ramstill import air
from ramstill.air.atmosphere import HIGHEST, LOWEST
from ramstill.errors import InputError

Table = TypeVar("Table", bound=BaseModel)
LONGEST_S = 24.0 * 3600.0  # [s]; a flight or programme beyond this is a slip of the pen, and fills the memory


class Strict(BaseModel):
    """A table of a scenario: what is not known in it is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", populate_by_name=True)


def reader(
    dimension: str,
    low: float | None = None,
    high: float | None = None,
    positive: bool = False,
    words: str = "",
) -> Callable[[Any], float]:
    """Return a validator that reads one quantity of `dimension` into SI and keeps it between two bounds.

    `low`, `high` in SI, both allowed themselves; `positive`: zero is not allowed. `words` say so in an error.
    """

    def read(value: Any) -> float:
        try:
            number = float(air.parse(value, dimension, "", ""))
        except InputError as error:
            raise PydanticCustomError(
                "quantity", "{allowed}", {"read": str(error.read), "allowed": error.allowed}
            ) from None
        too_low = (low is not None and number < low) or (positive and number <= 0.0)
        if too_low or (high is not None and number > high):
            raise PydanticCustomError("quantity", "{allowed}", {"read": f'"{value}"', "allowed": words})
        return number

    return read


_SHARE = "a share from 0 to 1, or 0% to 100%"
Time = Annotated[float, BeforeValidator(reader("time", low=0.0, words="a time of 0 s or more"))]
Span = Annotated[float, BeforeValidator(reader("time", positive=True, words="a time above 0 s"))]
Speed = Annotated[float, BeforeValidator(reader("speed", positive=True, words="a speed above zero"))]
SpeedOrRest = Annotated[float, BeforeValidator(reader("speed", low=0.0, words="a speed of zero or more"))]
Rate = Annotated[
    float,
    BeforeValidator(
        reader("vertical speed", positive=True, words="a rate above zero; the leg says whether up or down")
    ),
]
Acceleration = Annotated[
    float, BeforeValidator(reader("acceleration", positive=True, words="an acceleration above zero"))
]
Altitude = Annotated[float, BeforeValidator(reader("length"))]
# Geometric, of a place: a little inside the geopotential ends of the atmosphere.
Elevation = Annotated[
    float,
    BeforeValidator(
        reader(
            "length",
            low=LOWEST + 1.0,
            high=HIGHEST,
            words=f"an elevation from {LOWEST + 1.0:g} m to {HIGHEST:g} m",
        )
    ),
]
Pressure = Annotated[float, BeforeValidator(reader("pressure"))]
AbsolutePressure = Annotated[
    float, BeforeValidator(reader("pressure", positive=True, words="a pressure above zero"))
]
Angle = Annotated[float, BeforeValidator(reader("angle"))]
Turned = Annotated[float, BeforeValidator(reader("angle", positive=True, words="an angle above zero"))]
Share = Annotated[float, BeforeValidator(reader("dimensionless", low=0.0, high=1.0, words=_SHARE))]
Warmth = Annotated[float, BeforeValidator(reader("temperature difference"))]


def just_one(table: Strict, one: str, other: str) -> None:
    """ValueError unless a table has just one of two entries."""
    if (getattr(table, one) is None) == (getattr(table, other) is None):
        raise ValueError(f"exactly one of {one} and {other}")


def by_word(tables: Iterable[type[Table]], word: str = "kind") -> dict[str | int, type[Table]]:
    """Tables by the word that chooses between them: see `choices` of what holds a list of them."""
    return {get_args(table.model_fields[word].annotation)[0]: table for table in tables}


def parse_table(model: type[Table], table: object, source: str, where: str) -> Table:
    """Read `table`, called `where` in the file `source`, as `model`. Raises InputError, and nothing else.

    The field of the error is dotted, and legs and steps are counted from 1: "flight.leg[2].rate".
    """
    if not isinstance(table, Mapping):
        raise InputError(source, where, repr(table), f"a table [{where}]")
    try:
        return model.model_validate(dict(table))
    except ValidationError as error:
        raise _one_line(error.errors()[0], source, where, model) from None


_WORDS = {
    "too_short": "at least one table [[{field}]]",
    "tuple_type": "tables [[{field}]]",
    "model_type": "a table",
    "model_attributes_type": "a table",
    "string_type": "text in quotes",
}


def _one_line(detail: ErrorDetails, source: str, where: str, model: type[BaseModel]) -> InputError:
    field, holder = where, model
    for part in detail["loc"]:
        if isinstance(part, int):
            field += f"[{part + 1}]"
        elif part in _tags(holder):
            holder = _tags(holder)[part]
        else:
            field += f".{part}"
            holder = _inner(holder, part)
    context, kind = detail.get("ctx", {}), detail["type"]
    read = _shown(detail["input"])
    if kind == "quantity":
        return InputError(source, field, context["read"], context["allowed"])
    if kind == "extra_forbidden":
        keys = sorted(f.alias or n for n, f in holder.model_fields.items())
        return InputError(source, field, f"{field.rpartition('.')[2]} = {read}", "one of " + ", ".join(keys))
    if kind == "missing":
        return InputError(source, field, "nothing", "an entry, which is needed here")
    if kind == "union_tag_invalid":
        return InputError(
            source,
            f"{field}.{_plain(context['discriminator'])}",
            context["tag"],
            _plain(context["expected_tags"]),
        )
    if kind == "union_tag_not_found":
        return InputError(
            source,
            field,
            "no " + _plain(context["discriminator"]),
            ", ".join(str(tag) for tag in _tags(holder)),
        )
    if kind == "literal_error":
        return InputError(source, field, read, _plain(context["expected"]))
    if kind in _WORDS:
        return InputError(source, field, read, _WORDS[kind].format(field=field))
    words = detail["msg"].removeprefix("Value error, ").removeprefix("Input should be ")
    return InputError(source, field, read, words)


def _plain(words: str) -> str:
    return words.replace("'", "")


def _shown(value: object) -> str:
    if isinstance(value, Mapping):
        return ", ".join(str(key) for key in value) or "an empty table"
    text = f'"{value}"' if isinstance(value, str) else repr(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _tags(holder: type[BaseModel]) -> dict[str | int, type[BaseModel]]:
    """The tables that a list of `holder` chooses between, by the word that chooses."""
    return getattr(holder, "choices", dict)() if isinstance(holder, type) else {}


def _inner(holder: type[BaseModel], part: str) -> type[BaseModel]:
    for name, info in holder.model_fields.items():
        if part in (name, info.alias) and isinstance(info.annotation, type):
            if issubclass(info.annotation, BaseModel):
                return info.annotation
            break
    return holder
