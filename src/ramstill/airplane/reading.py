"""From a file to an airplane."""

from __future__ import annotations

from collections.abc import Mapping
from os import PathLike
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ramstill import toml_file
from ramstill.airplane.checks import spelt
from ramstill.airplane.complaints import one_line
from ramstill.airplane.description import Airplane
from ramstill.airplane.quantity import Reading
from ramstill.errors import InputError

HANGAR = Path(__file__).with_name("hangar")


def hangar() -> list[str]:
    """Names of the airplanes that come with the program."""
    return sorted(path.stem for path in HANGAR.glob("*.toml"))


def load(name_or_path: str | PathLike[str]) -> Airplane:
    """The airplane of a hangar name, or of a TOML file.

    Raises InputError for what is not there, not readable or not sound.
    """
    return from_dict(table(name_or_path), str(name_or_path))


def table(name_or_path: str | PathLike[str]) -> dict[str, Any]:
    """The file's tables as they stand, unchecked: to change one in Python and give it to `from_dict`."""
    source = str(name_or_path)
    path = Path(name_or_path)
    if source in hangar():
        path = HANGAR / f"{source}.toml"
    elif not path.suffix and len(path.parts) < 2 and not path.is_file():
        raise InputError(
            source, "airplane", f'"{source}"', f"{spelt(source, hangar())}; or the path of a .toml file"
        )
    return toml_file.read(path, "an airplane file", "docs/airplane-files.md")


def from_dict(data: Mapping[str, Any], source: str = "airplane") -> Airplane:
    """The airplane of a file's tables; `source` is what error lines call it."""
    try:
        return Airplane.model_validate(dict(data), context=Reading(source))
    except ValidationError as error:
        raise one_line(error, data, source) from None
