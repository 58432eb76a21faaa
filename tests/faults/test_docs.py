"""docs/faults.md lists exactly the catalogue, in its words."""

from pathlib import Path

from ramstill.faults import catalogue
from ramstill.instruments import EDIT_KINDS

DOCS = Path(__file__).parents[2] / "docs"


def test_the_page_lists_exactly_the_catalogue():
    lines = (DOCS / "faults.md").read_text(encoding="utf-8").splitlines()
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in lines if line.startswith("| `")]
    expected = [
        [
            f"`{e.name}`",
            e.sentence,
            e.place_meaning,
            e.severity_meaning,
            e.comes,
            f"{e.size.meaning}; {e.size.usual}" if e.size else "",
        ]
        for e in catalogue().values()
    ]
    assert rows == expected


def test_the_page_on_instruments_lists_every_kind_of_edit():
    page = (DOCS / "instruments.md").read_text(encoding="utf-8")
    assert all(f"| `{kind}` |" in page for kind in EDIT_KINDS)
