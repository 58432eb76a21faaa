"""`ramstill demo`: a first look with a scenario that comes with the program."""

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from ramstill.cli.run import carry_out

DEMO = "spring-afternoon"


def demo(
    *,
    out: Annotated[Path, Parameter(alias="-o")] = Path("ramstill-demo"),
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
) -> None:
    """Run a bundled scenario of our own invention: a spring afternoon, a mast, and a bug.

    Writes a page that opens without a network and a CSV of everything, and prints the path of the page last.

    Parameters
    ----------
    out
        Folder for the page and the CSV. It is replaced if this program wrote it.
    as_json
        Print the figures as JSON alone.
    """
    carry_out(DEMO, out, as_json)
