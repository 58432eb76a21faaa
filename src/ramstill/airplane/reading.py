"""From a file to an airplane."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from importlib import resources
from os import PathLike
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from ramstill.airplane.checks import spelt
from ramstill.airplane.complaints import one_line
from ramstill.airplane.description import Airplane
from ramstill.airplane.quantity import Reading
from ramstill.errors import InputError


def hangar() -> list[str]:
    """Names of the airplanes that come with the program."""
    folder = resources.files("ramstill.airplane") / "hangar"
    files = (entry.name for entry in folder.iterdir())
    return sorted(name.removesuffix(".toml") for name in files if name.endswith(".toml"))


def load(name_or_path: str | PathLike[str]) -> Airplane:
    """The airplane of a hangar name, or of a TOML file.

    Raises InputError for what is not there, not readable or not sound.
    """
    return from_dict(table(name_or_path), str(name_or_path))


def table(name_or_path: str | PathLike[str]) -> dict[str, Any]:
    """The file's tables as they stand, unchecked: to change one in Python and give it to `from_dict`."""
    source = str(name_or_path)
    path = Path(name_or_path)
    try:
        if source in hangar():
            data = (resources.files("ramstill.airplane") / "hangar" / f"{source}.toml").read_bytes()
        elif path.suffix or path.exists() or len(path.parts) > 1:
            data = path.read_bytes()
        else:
            raise InputError(source, "airplane", f'"{source}"', f"{spelt(source, hangar())}; or a .toml file")
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise InputError(
            source, "airplane", f"an unreadable file ({why})", "a TOML file, or a hangar name"
        ) from None
    try:
        return tomllib.loads(data.decode("utf-8"))
    except UnicodeDecodeError as error:
        line = data[: error.start].count(b"\n") + 1
        raise InputError(source, f"line {line}", "bytes that are not UTF-8", "TOML text in UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        problem, place = _place(str(error), data.decode("utf-8"))
        raise InputError(
            source, place, f"bad TOML ({problem})", "TOML, as in docs/airplane-files.md"
        ) from None
    except RecursionError:
        raise InputError(
            source, "", "tables nested without end", "TOML, as in docs/airplane-files.md"
        ) from None


def from_dict(data: Mapping[str, Any], source: str = "airplane") -> Airplane:
    """The airplane of a file's tables; `source` is what error lines call it."""
    try:
        return Airplane.model_validate(dict(data), context=Reading(source))
    except ValidationError as error:
        raise one_line(error, data, source) from None


def _place(problem: str, text: str) -> tuple[str, str]:
    """Words and place apart: "Invalid value (at line 3, column 7)" -> ("Invalid value", "line 3")."""
    words, _, place = problem.removesuffix(")").rpartition(" (at ")
    if place.startswith("line "):
        return words, place.split(",")[0]
    return words or problem, f"line {text.count(chr(10)) + 1}"
