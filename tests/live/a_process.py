"""`ramstill live` in a process of its own, as a user starts it, and as a machine may kill it."""

from __future__ import annotations

import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from a_server import Live


@dataclass
class Started(Live):
    """A running command; said: what it printed at its start."""

    said: str = ""


@contextmanager
def command(folder: Path, *more: str, port: int = 0) -> Iterator[tuple[subprocess.Popen[str], Started]]:
    """The command, keeping its session in a folder; killed by its number if it is still there."""
    line = [sys.executable, "-m", "ramstill", "live", "--port", str(port), "--keep", str(folder), *more]
    process = subprocess.Popen(line, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    try:
        assert process.stdout is not None
        said = ""
        for text in process.stdout:
            said += text
            if text.startswith("Kept in"):
                break
        found = re.search(r"http://127\.0\.0\.1:(\d+)/bench#(\S+)", said)
        assert found is not None, (said, process.stderr and process.stderr.read())
        live = Started(int(found[1]), found[2], said=said)
        yield process, live
        live.open_pages.close()
    finally:
        if process.poll() is None:
            process.kill()
        process.communicate()
