"""docs/reading-the-page.md speaks of the page that the program writes."""

import re
from pathlib import Path

import pytest

from ramstill import air
from ramstill.air.units import FT, INCH, KT
from ramstill.report.writing import PAGE, TABLE
from ramstill.safety import SAFETY

ROOT = Path(__file__).parents[2]
TEXT = (ROOT / "docs" / "reading-the-page.md").read_text(encoding="utf-8")
TEMPLATE = (ROOT / "src" / "ramstill" / "report" / "templates" / "page.html.j2").read_text(encoding="utf-8")


def test_it_has_a_section_for_every_heading_of_the_page() -> None:
    heads = re.findall(r"<h2[^>]*>([^<]+)</h2>", TEMPLATE)
    assert len(heads) >= 6
    sections = re.findall(r"^## (.+)$", TEXT, re.MULTILINE)
    assert [s for s in sections if s in heads] == heads


def test_it_names_the_files_and_says_what_it_is_not() -> None:
    assert f"`{PAGE}`" in TEXT
    assert f"`{TABLE}`" in TEXT
    assert SAFETY in " ".join(TEXT.split())


def test_its_rules_of_thumb_hold() -> None:
    """The inches of water it names, against the laws the program flies by."""
    hundred = float(air.water_height(air.impact_pressure(100.0 * KT))) / INCH
    assert hundred == pytest.approx(6.6, abs=0.05)  # one decimal is named
    climb = float(air.static_pressure(0.0)) - float(air.static_pressure(1000.0 * FT))
    assert float(air.water_height(climb)) / INCH == pytest.approx(14.5, abs=0.05)
