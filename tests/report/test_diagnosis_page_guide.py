"""docs/reading-the-diagnosis.md speaks of the page that the program writes."""

import re
from pathlib import Path
from typing import Any

import pytest

from ramstill import report
from ramstill.diagnosis.answer import Diagnosis
from ramstill.diagnosis.behaviours import BehaviourTable
from ramstill.diagnosis.checks import next_checks
from ramstill.pictures.evidence_lanes import BAND, FAR
from ramstill.report import diagnosis_words
from ramstill.report.behaviour_form import FINEST
from ramstill.report.diagnosis_page import LIGHT, PAGE, SHOWN, diagnosis_page
from ramstill.safety import SAFETY

TEXT = (Path(__file__).parents[2] / "docs" / "reading-the-diagnosis.md").read_text(encoding="utf-8")
WORDS = " ".join(TEXT.split())


def heads(page: str) -> list[str]:
    return [" ".join(head.split()) for head in re.findall(r"<h2[^>]*>([^<]+)</h2>", page)]


def test_it_has_a_section_for_every_heading_of_the_page(diagnosis: Diagnosis, table: BehaviourTable) -> None:
    found = heads(diagnosis_page(diagnosis, next_checks(diagnosis), table))
    alone = heads(diagnosis_page(None, (), table, airplane=diagnosis.airplane))
    sections = re.findall(r"^## (.+)$", TEXT, re.MULTILINE)
    assert alone == ["What was seen"]
    assert [head.replace("Tried with words: what", "What") for head in found] == sections
    assert "Tried with words: what was seen" in WORDS


def test_its_figures_are_those_of_the_program() -> None:
    assert f"`{PAGE}`" in TEXT
    assert (BAND, FAR) == (2.0, 6.0)
    assert "two standard deviations" in WORDS
    assert "cut at six" in WORDS
    assert FINEST == 1000
    assert "kept to thousandths" in WORDS
    assert f"{LIGHT / 1e6:.1f} MB" in WORDS
    assert SHOWN == 0.01
    assert "a hundredth or more" in WORDS
    assert diagnosis_words.CLEAR == 0.5
    assert SAFETY in WORDS


@pytest.mark.full
def test_its_example_runs(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    code = re.findall(r"```python\n(.+?)```", TEXT, re.DOTALL)[0]
    names: dict[str, Any] = {}
    exec(code, names)
    assert (tmp_path / "defect" / PAGE).exists()
    assert (tmp_path / "form" / PAGE).stat().st_size < LIGHT
    assert names["report"] is report
