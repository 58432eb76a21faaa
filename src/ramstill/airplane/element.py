"""What every table has in common: frozen, no unknown keys, a basis handed down to its figures."""

from __future__ import annotations

from contextlib import suppress
from datetime import date as Date
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, Field, ModelWrapValidatorHandler, ValidationInfo, model_validator

from ramstill.airplane.figure import Basis
from ramstill.airplane.quantity import Reading

# Small letters, digits and single hyphens, starting with a letter.
Name = Annotated[str, Field(pattern=r"^[a-z][a-z0-9]*(-[a-z0-9]+)*$", max_length=60)]


class Element(BaseModel):
    """A table. Its `basis`, `source` and `date` hold for the figures in it that do not say otherwise."""

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        serialize_by_alias=True,
        allow_inf_nan=False,
        use_attribute_docstrings=True,
    )

    basis: Basis | None = None
    """how the figures in this table are known; taken from the table around it where absent"""
    source: str = ""
    """where the figures in this table come from"""
    date: Date | None = None
    """day on which the figures in this table were measured"""

    @classmethod
    def completed(cls, data: dict[str, Any]) -> dict[str, Any]:
        """The table with defaults that depend on its other entries."""
        return data

    @model_validator(mode="wrap")
    @classmethod
    def _hand_down(cls, data: Any, handler: ModelWrapValidatorHandler[Any], info: ValidationInfo) -> Any:
        if not isinstance(data, dict):
            return handler(data)
        data = cls.completed(data)
        reading = info.context
        if not isinstance(reading, Reading):
            return handler(data)
        around = reading.provenance
        with suppress(ValueError):  # a date that is none: the field's own check says so
            reading.provenance = around.under(data)
        try:
            return handler(data)
        finally:
            reading.provenance = around


class Named(Element):
    """A table with a name that other tables use, and a title for people (else the name in plain words)."""

    name: Name
    """what other tables call it: small letters, digits and single hyphens, starting with a letter"""
    title: str = ""
    """what people call it"""

    @classmethod
    def completed(cls, data: dict[str, Any]) -> dict[str, Any]:
        if not data.get("title") and isinstance(data.get("name"), str):
            return {**data, "title": data["name"].replace("-", " ")}
        return data
