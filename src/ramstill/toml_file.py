"""Reading a TOML file, whatever is wrong with it said in one line that names the line of the file."""

import tomllib
from pathlib import Path
from typing import Any

from ramstill.errors import InputError


def read(path: Path, what: str, where_described: str) -> dict[str, Any]:
    """The tables of a TOML file.

    what: what the file should be, such as "a scenario file"; where_described: the page that says how one is
    written. Raises InputError for a file that cannot be read, is not UTF-8 or is not TOML.
    """
    source = str(path)
    try:
        data = path.read_bytes()
    except (OSError, ValueError) as error:
        why = getattr(error, "strerror", None) or str(error)
        raise InputError(source, "", f"nothing ({why})", f"{what} that can be read") from None
    try:
        text = data.decode("utf-8")
        return tomllib.loads(text)
    except UnicodeDecodeError as error:
        number = data[: error.start].count(b"\n") + 1
        raise InputError(source, f"line {number}", "bytes that are not UTF-8", "TOML text in UTF-8") from None
    except tomllib.TOMLDecodeError as error:
        words, line = place(str(error), text)
        raise InputError(source, line, f"bad TOML ({words})", f"TOML, see {where_described}") from None
    except RecursionError:
        raise InputError(source, "", "tables nested without end", f"TOML, see {where_described}") from None


def place(problem: str, text: str) -> tuple[str, str]:
    """tomllib's words and place apart: "Invalid value (at line 3, column 7)", in two: what, and "line 3"."""
    words, _, where = problem.removesuffix(")").rpartition(" (at ")
    if where.startswith("line "):
        return words, where.split(",")[0]
    return words or problem, f"line {len(text.splitlines())}"
