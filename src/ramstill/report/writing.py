"""A run written into a folder that is either whole or not there."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from ramstill.report.pages import page

if TYPE_CHECKING:
    from ramstill.run import Run

PAGE, TABLE = "page.html", "run.csv"


def write(run: Run, out: str | Path) -> Path:
    """Write the page and the table of everything into the folder `out`; return the path of the page.

    An `out` that exists is replaced only if it is empty or was written by this program; InputError otherwise,
    and nothing is touched.
    """
    from ramstill.run import whole_folder, write_csv

    text = page(run)
    with whole_folder(out) as folder:
        (folder / PAGE).write_text(text, encoding="utf-8")
        write_csv(run, folder / TABLE)
    return Path(out) / PAGE
