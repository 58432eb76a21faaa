"""What every command prints with: JSON alone on stdout, tables for people, progress on stderr."""

import json
import math
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from typing import Any


def _plain(value: Any) -> Any:
    """Return `value` as JSON can hold it: arrays become lists, a number that is not finite becomes null."""
    if hasattr(value, "tolist"):
        value = value.tolist()
    if isinstance(value, float):
        return float(value) if math.isfinite(value) else None
    if isinstance(value, dict):
        return {str(key): _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    return value


def print_json(data: Any) -> None:
    """Print `data` as JSON, and nothing else, on stdout."""
    print(json.dumps(_plain(data), indent=2, ensure_ascii=False, allow_nan=False))


def print_table(title: str, headings: Sequence[str], rows: Sequence[Sequence[object]]) -> None:
    """Print a table on stdout; columns whose cells are all figures stand to the right.

    Where stdout is not a terminal nothing is cut: the table is as wide as it needs to be.
    """
    from rich import box
    from rich.console import Console
    from rich.table import Table

    table = Table(
        title=title or None, title_justify="left", title_style="bold", box=box.SIMPLE_HEAD, pad_edge=False
    )
    for column, heading in enumerate(headings):
        figures = bool(rows) and all(_is_figure(str(row[column])) for row in rows)
        table.add_column(heading, justify="right" if figures else "left", overflow="fold")
    for row in rows:
        table.add_row(*(str(cell) for cell in row))
    console = Console(file=sys.stdout, highlight=False, markup=False, emoji=False)
    if not console.is_terminal:
        console.width = 1000
        console.width = max(console.measure(table).maximum, 40)
    console.print(table)


def wrapped(text: str, indent: str = "") -> str:
    """A paragraph in lines as long as the window is wide; all but the first begin with `indent`."""
    import shutil
    import textwrap

    width = min(shutil.get_terminal_size((88, 24)).columns, 100)
    return textwrap.fill(text, width, subsequent_indent=indent)


def _is_figure(cell: str) -> bool:
    return cell[:1] in "+-−.0123456789" if cell else True


@contextmanager
def progress(what: str) -> Iterator[None]:
    """Say on stderr that `what` is going on, if stderr is a terminal."""
    from rich.console import Console

    console = Console(stderr=True, highlight=False)
    if not console.is_terminal:
        yield
        return
    with console.status(what):
        yield


def warn(line: str) -> None:
    """Print one line on stderr."""
    print(f"ramstill: {' '.join(line.split())}", file=sys.stderr)
