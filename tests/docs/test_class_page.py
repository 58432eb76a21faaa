"""docs/class.md: its thresholds and its words are the program's, its example runs."""

import json
import re
import sys
from pathlib import Path

from ramstill.live.visible import thresholds

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "docs" / "class.md").read_text(encoding="utf-8")


def test_what_counts_as_seen_is_what_the_program_counts() -> None:
    table = TEXT.split("### What counts as seen")[1].split("## From Python")[0]
    rows = re.findall(r"^\| ([A-Z].+?) \| (.+?) \|$", table, re.MULTILINE)
    assert tuple(rows) == thresholds()


def test_the_example_runs() -> None:
    sys.path.insert(0, str(ROOT / "tests" / "live"))
    from a_class import RECORD

    from ramstill.live.record import as_json

    code = TEXT.split("```python\n", 1)[1].split("```", 1)[0]
    scope = {"kept": json.dumps(as_json(RECORD))}
    exec(compile(code, "class.md", "exec"), scope)
    assert "Debrief" in scope["page"]
