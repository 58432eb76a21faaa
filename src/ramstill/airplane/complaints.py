"""A validation error as the one line a user gets."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import ValidationError
from pydantic_core import ErrorDetails

from ramstill.airplane.checks import spelt
from ramstill.errors import InputError

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
    if detail["type"] in ("union_tag_not_found",):
        return "no kind"
    value = detail["input"]
    if isinstance(value, Mapping):
        value = value.get("kind", "a table") if detail["type"].startswith("union_tag") else "a table"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 60 else text[:57] + "..."


def _allowed(detail: ErrorDetails) -> str:
    context = detail.get("ctx", {})
    match detail["type"]:
        case "missing":
            return "this key, which has no default"
        case "union_tag_invalid" | "union_tag_not_found":
            kinds = context.get(
                "expected_tags", "'airspeed-indicator', 'altimeter', 'vertical-speed-indicator', 'encoder'"
            )
            return spelt(str(context.get("tag", "")), [kind.strip(" '") for kind in kinds.split(",")])
        case "literal_error":
            options = context["expected"].replace(" or ", ", ").split(", ")
            return spelt(str(detail["input"]), [option.strip(" '") for option in options])
        case "string_pattern_mismatch":
            if "pitot" in context["pattern"]:
                return 'a fitting, or an instrument\'s port such as "airspeed.pitot"'
            return "small letters, digits and single hyphens, starting with a letter"
        case _:
            return detail["msg"][0].lower() + detail["msg"][1:]
