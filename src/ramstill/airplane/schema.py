"""The file format as JSON Schema, for editors and for other programs."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema

from ramstill.airplane.description import Airplane
from ramstill.airplane.figure import BASES, Figure
from ramstill.airplane.quantity import EXAMPLES, allowed

_UNSIGNED = r"\s*\+?\s*[0-9.][0-9.,/ ]*([eE][-+]?[0-9]+)?"
_SIGNED = r"\s*[-+−]?\s*[0-9.][0-9.,/ ]*([eE][-+]?[0-9]+)?"
_BARE = ("dimensionless", "slope per angle")  # may be written as plain numbers

Json = dict[str, Any]


class _WithFigures(GenerateJsonSchema):
    def encode_default(self, dft: Any) -> Any:
        return dft.text if isinstance(dft, Figure) else super().encode_default(dft)


def json_schema() -> Json:
    """JSON Schema (draft 2020-12) of an airplane file, read as JSON."""
    schema = Airplane.model_json_schema(by_alias=True, mode="validation", schema_generator=_WithFigures)
    definitions: Json = {}
    schema = _filled(schema, definitions)
    schema["$defs"] = dict(sorted({**schema["$defs"], **definitions}.items()))
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def write_json_schema(path: str | Path) -> None:
    """Write the schema: `write_json_schema("docs/airplane.schema.json")` after a change to the format."""
    text = json.dumps(json_schema(), indent=1, ensure_ascii=False, allow_nan=False)
    Path(path).write_text(text + "\n", encoding="utf-8")


def keys_at(model: type[BaseModel], path: Sequence[str | int]) -> list[str]:
    """The keys that the table at pydantic's `path` may have."""
    for step in path:
        fields = {field.alias or name: field for name, field in model.model_fields.items()}
        if step not in fields:
            continue  # an index, or the kind that chose among models
        among = _models(fields[str(step)].annotation)
        chosen = [one for one in among if any(_is_kind(one, later) for later in path)]
        model = (chosen or among or [model])[0]
    return [field.alias or name for name, field in model.model_fields.items()]


def kinds_at(model: type[BaseModel], path: Sequence[str | int]) -> list[str]:
    """The kinds among which a table at pydantic's `path` chooses."""
    *before, last = [step for step in path if isinstance(step, str)]
    for step in before:
        field = next(f for name, f in model.model_fields.items() if (f.alias or name) == step)
        model = _models(field.annotation)[0]
    field = next(f for name, f in model.model_fields.items() if (f.alias or name) == last)
    return [get_args(one.model_fields["kind"].annotation)[0] for one in _models(field.annotation)]


def _is_kind(model: type[BaseModel], step: str | int) -> bool:
    kind = model.model_fields.get("kind")
    return kind is not None and get_args(kind.annotation) == (step,)


def _models(annotation: Any) -> list[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return [annotation]
    return [model for part in get_args(annotation) for model in _models(part)]


def _filled(node: Any, definitions: Json) -> Any:
    """Put a reference to a definition in where quantity.py left a mark."""
    if isinstance(node, list):
        return [_filled(part, definitions) for part in node]
    if not isinstance(node, dict):
        return node
    rest = {key: _filled(value, definitions) for key, value in node.items() if key != "x-figure"}
    return rest | _reference(definitions, *node["x-figure"]) if "x-figure" in node else rest


def _reference(definitions: Json, shape: str, dimension: str, sign: str, count: int | None = None) -> Json:
    """One definition for each shape, dimension and sign; not one for each field."""
    words = (shape, "of", count, dimension, "" if sign == "any" else sign)
    name = " ".join(str(word) for word in words if word).replace(" ", "-")
    if name not in definitions:
        if shape == "figure":
            definitions[name] = _figure(dimension, sign)
        elif shape == "row":
            definitions[name] = _row(definitions, dimension, sign, count)
        else:
            points = {"type": "array", "items": _reference(definitions, "row", dimension, sign, count)}
            text = _text(",", 'the points in one text, the unit at its end: "1.2, 0.4; 1.6, 0.5 m"')
            definitions[name] = {"description": "points", "anyOf": [points, text]}
    return {"$ref": f"#/$defs/{name}"}


def _figure(dimension: str, sign: str) -> Json:
    number = _SIGNED if sign == "any" else _UNSIGNED
    unit = r"\s*([^\s0-9].*)?" if dimension in _BARE else r"\s*[^\s0-9.].*"
    text = _text(f"^{number}{unit}$", f"such as {EXAMPLES[dimension]}")
    written = [text, {"type": "number"}] if dimension in _BARE else [text]
    table = {
        "type": "object",
        "properties": {
            "value": {"anyOf": written},
            "basis": {"enum": list(BASES), "description": "how the figure is known"},
            "date": {"type": "string", "format": "date", "description": "day it was measured"},
            "source": {"type": "string", "description": "where it comes from, or how it was measured"},
        },
        "required": ["value"],
        "additionalProperties": False,
    }
    ends = "" if sign == "any" else f", {sign}"
    return {"description": allowed(dimension) + ends, "anyOf": [*written, table]}


def _row(definitions: Json, dimension: str, sign: str, count: int | None) -> Json:
    if dimension == "axis":
        along = [_reference(definitions, "figure", one, sign) for one in ("angle", "length", "dimensionless")]
        one, words = {"anyOf": along}, "values in the unit of the axis"
    else:
        one, words = _reference(definitions, "figure", dimension, sign), f"each {allowed(dimension)}"
    array: Json = {"type": "array", "items": one}
    if count:
        array |= {"minItems": count, "maxItems": count}
    text = _text(",", 'the values in one text, the unit at its end: "1.2, 0.4, 1.6 m"')
    return {"description": words, "anyOf": [array, text]}


def _text(pattern: str, words: str) -> Json:
    return {"type": "string", "pattern": pattern, "description": words}
