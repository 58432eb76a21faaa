"""The page of a diagnosis: what it says, that it is one file, and what it refuses to hide."""

import dataclasses
import re
from html import unescape
from pathlib import Path

import numpy as np
import pytest

from ramstill import airplane
from ramstill.diagnosis.answer import (
    Candidate,
    Diagnosis,
    ranked,
)
from ramstill.diagnosis.behaviours import BehaviourTable
from ramstill.diagnosis.checks import Check, Outcome
from ramstill.errors import InputError
from ramstill.faults import Fault, catalogue
from ramstill.report import write_diagnosis
from ramstill.report.behaviour_form import FINEST, form_data, pack
from ramstill.report.check_cards import grouped
from ramstill.report.diagnosis_page import LIGHT, PAGE, diagnosis_page, ranking_rows
from ramstill.report.diagnosis_words import NO_FAULT, NONE_FITS, answer, clause, onset, percent
from ramstill.safety import SAFETY

PLANE = airplane.load("high-wing-tube")
BLOCKED = Fault("static-ports-blocked", "all", 1.0, 160.0)  # as the fixture has it


def check(key: str, where: str, cautions: str, *outcomes: Outcome) -> Check:
    return Check(key, f"Do {key}", where, "Look.", cautions, 5.0, 0.0, 0.3, 0.1, outcomes)  # type: ignore[arg-type]


CHECKS = (
    check(
        "alternate-open",
        "in the air",
        "Fly first. Mind the jump.",
        Outcome("airspeed jumps", 0.995, "Leaves much."),
        Outcome("nothing moves", 0.005, "Leaves little."),
    ),
    check("heat-on", "in the air", "Fly first.", Outcome("it is warm", 1.0, "Leaves all.")),
    check("shop", "rated shop", "Rated people."),
)


def test_it_answers_in_a_sentence_before_anything_else(diagnosis: Diagnosis) -> None:
    text = diagnosis_page(diagnosis, CHECKS)
    said = "Most likely the static ports have been blocked since 2:40 (70 %)."
    assert said.replace(" %", "\u00a0%") in text
    assert text.index("Fly first, diagnose second.") < text.index("Most likely") < text.index("<table")


def test_it_is_one_file_that_asks_nobody(diagnosis: Diagnosis, table: BehaviourTable) -> None:
    text = diagnosis_page(diagnosis, CHECKS, table)
    assert "default-src 'none'" in text
    outside = re.findall(r"(?:src|href|url)\s*[=(]\s*[\"']?(?!#)([a-z]+:[^\"')\s]*)", text)
    assert outside == []
    assert not re.findall(r"\sstyle=", text)  # which the policy would drop
    assert unescape(text).count(SAFETY) == 2
    assert "Invented example, not your airplane." in text
    assert "tuesday &lt;b&gt;.csv" in text


def test_a_table_row_for_all_that_is_likely_and_for_no_fault_and_none(diagnosis: Diagnosis) -> None:
    rows = ranking_rows(diagnosis, 0.0)
    titles = [row["what"] for row in rows]
    assert titles == [
        "Static ports blocked",
        "Line crushed or kinked",
        NO_FAULT,
        NONE_FITS,
        "All 2 others together",
    ]
    assert sum(row["probability"] for row in rows) == pytest.approx(1.0)
    assert rows[0]["since"] == "2:40 ± 18 s"
    assert rows[0]["bad"] == f"severity 1, {catalogue()[BLOCKED.name].severity_meaning}"


def test_the_first_check_is_prominent_and_its_cautions_are_shown(diagnosis: Diagnosis) -> None:
    text = diagnosis_page(diagnosis, CHECKS)
    first = text.index("Do alternate-open", text.index("What to check next"))
    assert text.index('class="check first"') < first < text.index("Do heat-on")
    assert "Fly first. Mind the jump." in text
    assert "Not expected: nothing moves." in text
    assert "For the rated shop" in text
    groups = grouped(CHECKS)
    assert [group.where for group in groups] == ["in the air", "rated shop"]
    assert groups[0].cautions == "Fly first."
    assert [card.cautions for card in groups[0].cards] == ["Mind the jump.", ""]
    assert groups[1].cards[0].cautions == "Rated people."  # alone: it stays on its card


def test_what_cannot_be_told_apart_is_said_as_one_answer(diagnosis: Diagnosis) -> None:
    pairs = zip(diagnosis.candidates, (0.45, 0.25, 0.1), strict=False)
    halves = [dataclasses.replace(c, probability=p) for c, p in pairs]
    both = dataclasses.replace(diagnosis, candidates=tuple(halves), ranking=ranked(halves), none_fits=0.2)
    assert answer(both).replace("\u00a0", " ") == (
        "Most likely one of these, which this cannot tell apart: static ports blocked or line crushed or "
        "kinked (80 % together)."
    )
    apart = dataclasses.replace(both, alike=())
    assert answer(apart).startswith("Perhaps the static ports have been blocked since 2:40")


def test_it_says_so_when_nothing_fits_and_when_nothing_is_wrong(diagnosis: Diagnosis) -> None:
    lost = dataclasses.replace(diagnosis, none_fits=0.9)
    assert answer(lost).startswith("No fault of the catalogue explains this")
    assert "Where: " not in diagnosis_page(lost)
    sound = [Candidate((), 0.97)]
    well = dataclasses.replace(diagnosis, candidates=tuple(sound), ranking=ranked(sound), none_fits=0.03)
    assert answer(well).replace("\u00a0", " ") == "Most likely nothing is wrong (97 %)."
    assert NO_FAULT in diagnosis_page(well)


def test_every_fault_makes_a_clause() -> None:
    for name, entry in catalogue().items():
        for since in ("", "since 2:40"):
            said = clause(name, since)
            last = entry.title.split()[-1].lower()
            assert last in said.lower()
            assert re.search(r"\b(is|are|has|have|was)\b", said)
            assert not re.search(r"\ba [aeio]", said)
    assert clause("lines-crossed", "since 2:40") == "the lines have been crossed since 2:40"
    assert clause("insect-nest") == "there is an insect nest"


def test_what_was_there_from_the_start_has_no_time() -> None:
    early = ranked([Candidate((Fault("heater-failed", onset_s=-5.0),), 1.0)])[0]
    assert onset(early, 0.0) == "before the readings began"
    assert onset(dataclasses.replace(early, faults=(BLOCKED,)), 0.0) == "not told by this"


def test_probabilities_are_never_rounded_to_certainty() -> None:
    said = [percent(p).replace("\u00a0", " ") for p in (0.0, 1e-9, 0.0099, 0.25, 0.996, 1.0)]
    assert said == ["0 %", "< 1 %", "< 1 %", "25 %", "> 99 %", "> 99 %"]


def test_a_packed_table_is_the_table_to_a_thousandth(table: BehaviourTable) -> None:
    packed = pack(table.probability)
    # a half in the last place; the arithmetic of floats is far below it
    assert np.abs(packed.unpacked() - table.probability).max() <= 0.5 / FINEST + 1e-9
    assert len(packed.rows) < 0.5 * table.probability[..., 0].size
    data = form_data(table)
    assert len(data["findings"]) == len({tuple(f.name for f in c) for c in table.candidates})
    assert data["findings"][0]["title"] == NO_FAULT


def test_a_page_without_readings_is_the_form(table: BehaviourTable) -> None:
    text = diagnosis_page(None, (), table, airplane=PLANE)
    assert 'id="report"' in text
    assert "How likely is what" not in text
    assert "script-src 'sha256-" in text
    assert "<noscript>" in text
    with pytest.raises(ValueError, match="table of behaviours"):
        diagnosis_page(None, airplane=PLANE)


def test_a_heavy_page_of_a_recording_goes_without_the_form(
    diagnosis: Diagnosis, table: BehaviourTable, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = diagnosis_page(diagnosis, CHECKS, table)
    assert 'id="report"' in whole
    assert len(whole) < LIGHT
    monkeypatch.setattr("ramstill.report.diagnosis_page.LIGHT", len(whole) - 1)
    assert 'id="report"' not in diagnosis_page(diagnosis, CHECKS, table)


def test_it_is_written_whole_or_not_at_all(diagnosis: Diagnosis, tmp_path: Path) -> None:
    page = write_diagnosis(diagnosis, CHECKS, None, tmp_path / "out")
    assert page == tmp_path / "out" / PAGE
    assert page.read_text(encoding="utf-8").startswith("<!DOCTYPE html>")
    assert write_diagnosis(diagnosis, (), None, tmp_path / "out").exists()  # ours, so it may be replaced
    other = tmp_path / "other"
    other.mkdir()
    (other / "mine.txt").write_text("mine")
    with pytest.raises(InputError, match="--out"):
        write_diagnosis(diagnosis, CHECKS, None, other)
    assert [p.name for p in other.iterdir()] == ["mine.txt"]
