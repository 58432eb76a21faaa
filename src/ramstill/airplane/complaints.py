"""A validation error as the one line a user gets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from ramstill.airplane.checks import spelt
from ramstill.errors import InputError

# What pydantic says in a programmer's words.
WORDS = {
    "tuple_type": "an array",
    "too_short": "at least one",
    "too_long": "fewer values",
    "model_type": "a table",
    "dict_type": "a table",
    "model_attributes_type": "a table",
    "string_type": "a text",
    "bool_type": "true or false",
    "int_type": "a whole number",
    "string_pattern_mismatch": "small letters, digits and single hyphens, starting with a letter",
    "string_too_long": "60 characters at most",
    "date_type": "a day such as 2026-03-01",
    "date_from_datetime_parsing": "a day such as 2026-03-01",
}
ARRAYS = ("opening", "fitting", "line", "valve", "instrument")


def one_line(error: ValidationError, data: Mapping[str, Any], source: str) -> InputError:
    """The first thing wrong, a misspelt key before what is missing because of it."""
    details = error.errors(include_url=False)
    unknown = [detail for detail in details if detail["type"] == "extra_forbidden"]
    detail = (unknown or details)[0]
    field = where(detail["loc"], data)
    context = detail.get("ctx", {})
    if detail["type"] == "ramstill":
        return InputError(source, context["field"] or field, context["read"], context["allowed"])
    if detail["type"] == "extra_forbidden":
        missing = [
            str(d["loc"][-1])
            for d in details
            if d["type"] == "missing" and d["loc"][:-1] == detail["loc"][:-1]
        ]
        key = str(detail["loc"][-1])
        return InputError(source, field, f'a key "{key}" that is not known', _keys(key, detail, missing))
    return InputError(source, field, _read(detail), _allowed(detail))


def where(loc: Sequence[str | int], data: Any) -> str:
    """A path in the file's own words: ("line", 2, "bore") -> 'line "pitot-wing": bore'."""
    field = ""
    for step in loc:
        inside = data.get(step) if isinstance(data, Mapping) else None
        if isinstance(step, int):
            data = data[step] if isinstance(data, Sequence) and step < len(data) else None
            name = data.get("name") if isinstance(data, Mapping) else None
            if field in ARRAYS:
                field = f'{field} "{name}"' if isinstance(name, str) else f"{field} number {step + 1}"
            elif isinstance(data, Mapping):
                field += f" number {step + 1}"
            continue
        if inside is None and isinstance(data, Mapping) and step == data.get("kind") and step not in data:
            continue  # the kind of an instrument, which pydantic puts into the path
        data = inside
        separator = "" if not field else ": " if field.endswith('"') or field[-1].isdigit() else "."
        field += f"{separator}{step}"
    return field


def _keys(key: str, detail: ErrorDetails, missing: Sequence[str]) -> str:
    from ramstill.airplane.description import Airplane
    from ramstill.airplane.schema import keys_at

    return spelt(key, missing if len(missing) == 1 else keys_at(Airplane, detail["loc"][:-1]))


def _read(detail: ErrorDetails) -> str:
    if detail["type"] == "missing":
        return "nothing"
    if detail["type"] == "union_tag_not_found":
        return "no kind"
    value = detail["input"]
    if isinstance(value, Mapping):
        value = value.get("kind", "a table") if detail["type"] == "union_tag_invalid" else "a table"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _kinds(detail: ErrorDetails) -> list[str]:
    """The kinds that the table may be of: what pydantic expects, or, where there is no kind, not told."""
    from ramstill.airplane.description import Airplane
    from ramstill.airplane.schema import kinds_at

    return kinds_at(Airplane, detail["loc"])


def _allowed(detail: ErrorDetails) -> str:
    context = detail.get("ctx", {})
    kind = detail["type"]
    if kind == "missing":
        row = isinstance(detail["loc"][-1], int)
        return "one more value in the row" if row else "this key, which has no default"
    if kind in ("union_tag_invalid", "union_tag_not_found"):
        return spelt(str(context.get("tag", "")), _kinds(detail))
    if kind == "literal_error":
        options = context["expected"].replace(" or ", ", ").split(", ")
        return spelt(str(detail["input"]), [option.strip(" '") for option in options])
    if kind == "string_pattern_mismatch" and "pitot" in context["pattern"]:
        return 'a fitting, or an instrument\'s port such as "airspeed.pitot"'
    if kind == "greater_than_equal":
        return f"{context['ge']} or more"
    return WORDS.get(kind) or detail["msg"][0].lower() + detail["msg"][1:]
