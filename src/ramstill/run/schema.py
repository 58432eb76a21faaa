"""The scenario file format as JSON Schema, for editors and for other programs."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from ramstill.run.scenario import KINDS, ScenarioFile

# Plain numbers in a scenario file: counts and the version of the format. All else has a unit in a text.
_QUANTITY = {
    "description": 'a quantity with its unit, such as "2000 ft", "95 kt"; a share may be a plain number',
    "type": ["string", "number"],
}


def json_schema() -> dict[str, Any]:
    """JSON Schema (draft 2020-12) of a scenario file, read as JSON."""
    schema = _written(ScenarioFile.model_json_schema(by_alias=True, mode="validation"))
    schema["oneOf"] = [{"required": [kind]} for kind in KINDS]
    for kind in ("day", *KINDS):  # a table that is there or not; TOML has no null
        schema["properties"][kind] = _without_null(schema["properties"][kind])
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema}


def write_json_schema(path: str | Path) -> None:
    """Write the schema: `write_json_schema("docs/scenario.schema.json")` after a change to the format."""
    text = json.dumps(json_schema(), indent=1, ensure_ascii=False, allow_nan=False)
    Path(path).write_text(text + "\n", encoding="utf-8")


def _written(node: Any) -> Any:
    """Put texts with units where the models, which hold SI, have numbers; defaults in SI are left out."""
    if isinstance(node, list):
        return [_written(part) for part in node]
    if not isinstance(node, dict):
        return node
    if node.get("type") == "number":
        return dict(_QUANTITY)
    if node.get("type") == "array" and node.get("title") == "Opening":  # one name may stand without brackets
        return {"anyOf": [{"type": "string"}, node]}
    kept = {k: v for k, v in node.items() if not (k == "default" and isinstance(v, float | type(None)))}
    return {key: _written(value) for key, value in kept.items()}


def _without_null(node: dict[str, Any]) -> dict[str, Any]:
    choices = [choice for choice in node.get("anyOf", []) if choice.get("type") != "null"]
    return choices[0] if len(choices) == 1 else node
