"""The file format as JSON Schema, for editors and for other programs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel

from ramstill.airplane.description import Airplane
from ramstill.airplane.figure import BASES
from ramstill.airplane.quantity import EXAMPLES, allowed

_NUMBER = r"[-+−]?[ ]*[0-9.][0-9.,/ ]*([eE][-+]?[0-9]+)?"


def json_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of an airplane file, read as JSON."""
    schema = Airplane.model_json_schema(by_alias=True, mode="validation")
    definitions: dict[str, Any] = {}
    schema = _filled(schema, definitions)
    schema["$defs"] = dict(sorted({**schema["$defs"], **definitions}.items()))
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def write_json_schema(path: str | Path) -> None:
    """Write the schema: `write_json_schema("docs/airplane.schema.json")` after a change to the format."""
    text = json.dumps(json_schema(), indent=1, ensure_ascii=False, allow_nan=False)
    Path(path).write_text(text + "\n", encoding="utf-8")


def keys_at(model: type[BaseModel], loc: Sequence[str | int]) -> list[str]:
    """The keys a table of the file may have, from pydantic's path to it."""
    keys = {field.alias or name: field.annotation for name, field in model.model_fields.items()}
    for at, step in enumerate(loc):
        if step in keys:
            inner = _models(keys[str(step)])
            wanted = (
                [m for m in inner if str(m.model_fields["kind"].annotation).find(f"'{_next(loc, at)}'") >= 0]
                if len(inner) > 1
                else inner
            )
            return keys_at(wanted[0], loc[at + 1 :]) if wanted else list(keys)
    return list(keys)


def _next(loc: Sequence[str | int], at: int) -> str:
    return next((str(step) for step in loc[at + 1 :] if isinstance(step, str)), "")


def _models(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in get_args(annotation) for model in _models(part)]


def _filled(node: Any, definitions: dict[str, Any]) -> Any:
    """Put the definitions of figures in where quantity.py left a mark."""
    if isinstance(node, list):
        return [_filled(part, definitions) for part in node]
    if not isinstance(node, dict):
        return node
    if "x-figure" in node:
        shape, dimension, sign, most, count = node["x-figure"]
        reference = _define(definitions, shape, dimension, sign, most, count)
        return {**{key: value for key, value in node.items() if key != "x-figure"}, **reference}
    return {
        key: _filled(value, definitions) for key, value in node.items() if key != "default" or _plain(value)
    }


def _plain(value: object) -> bool:
    return value is None or isinstance(value, str | int | bool)


def _define(
    definitions: dict[str, Any], shape: str, dimension: str, sign: str, most: float | None, count: int | None
) -> dict[str, str]:
    name = " ".join(filter(None, (shape if shape != "figure" else "", str(count or ""), dimension)))
    name = name if sign == "any" else f"{name}, {sign}"
    if name not in definitions:
        if shape == "figure":
            definitions[name] = _figure(dimension, sign)
        elif shape == "row":
            of = _define(definitions, "figure", dimension, sign, most, None)
            definitions[name] = _row(dimension, count, of)
        else:
            of = _define(definitions, "row", dimension, sign, most, count)
            text = {
                "type": "string",
                "description": 'points apart by ";", the unit at the end: "1.2, 0.4; 1.6, 0.5 m"',
            }
            definitions[name] = {"description": "points", "anyOf": [{"type": "array", "items": of}, text]}
    return {"$ref": f"#/$defs/{name}"}


def _figure(dimension: str, sign: str) -> dict[str, Any]:
    bare = dimension in ("dimensionless", "slope per angle")
    start = _NUMBER if sign == "any" else _NUMBER.removeprefix("[-+−]?[ ]*").replace("", "", 0)
    text = {
        "type": "string",
        "pattern": rf"^\s*{start}" + (r"\s*(\S.*)?$" if bare else r"\s*[^\s0-9.].*$"),
        "examples": [EXAMPLES[dimension]],
    }
    number = {"type": "number"}
    value = {"anyOf": [text, number]} if bare else text
    table = {
        "type": "object",
        "properties": {
            "value": value,
            "basis": {"enum": list(BASES), "description": "how the figure is known"},
            "date": {"type": "string", "format": "date", "description": "day it was measured"},
            "source": {"type": "string", "description": "where it comes from, or how it was measured"},
        },
        "required": ["value"],
        "additionalProperties": False,
    }
    ends = "" if sign == "any" else f", {sign}"
    return {
        "description": f"{allowed(dimension)}{ends}",
        "anyOf": [text, number, table] if bare else [text, table],
    }


def _row(dimension: str, count: int | None, of: dict[str, str]) -> dict[str, Any]:
    array: dict[str, Any] = {"type": "array", "items": of}
    if count:
        array |= {"minItems": count, "maxItems": count}
    text = {"type": "string", "description": 'apart by commas, the unit at the end: "1.2, 0.4, 1.6 m"'}
    return {"description": f"{count or 'some'} values, each {allowed(dimension)}", "anyOf": [array, text]}
