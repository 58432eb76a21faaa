"""A diagnosis as one page of HTML that needs nothing but itself."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from ramstill import __version__, pictures
from ramstill.pictures import of_diagnosis
from ramstill.pictures.placemap import place_map
from ramstill.pictures.scales import clock, spoken, thinned
from ramstill.report import diagnosis_words as words
from ramstill.report.assets import policy_hash, template, text_of
from ramstill.report.behaviour_form import form_content, form_data
from ramstill.report.check_cards import card, grouped
from ramstill.report.frames import embedded
from ramstill.report.tables import Table
from ramstill.run.phrases import first_down, first_up, listed
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis import Diagnosis, Finding
    from ramstill.diagnosis.behaviours import BehaviourTable
    from ramstill.diagnosis.checks import Check

PAGE = "diagnosis.html"
LIGHT = 1_500_000  # letters; a page of a recording with the form weighs no more
MOST_PLACES = 6  # on the map
SHOWN = 0.01  # findings less likely than this are told together
_TABLE_ROWS = 24


def diagnosis_page(
    diagnosis: Diagnosis | None,
    checks: Sequence[Check] = (),
    table: BehaviourTable | None = None,
    *,
    airplane: Airplane | None = None,
) -> str:
    """Return the page: self-contained HTML, no outside address; all but the form readable without JavaScript.

    diagnosis: None for a page that only has the form for a reported defect, which needs `table`; airplane:
    where there is no diagnosis. The page of a recording carries the form too where it stays light with it.
    """
    plane = diagnosis.airplane if diagnosis is not None else airplane
    if plane is None or (diagnosis is None and table is None):
        raise ValueError("a page needs a diagnosis, or an airplane and its table of behaviours")
    content = _nothing() if diagnosis is None else _content(diagnosis, checks)
    text = _rendered(plane, content, table)
    if table is not None and diagnosis is not None and diagnosis.evidence is not None and len(text) > LIGHT:
        return _rendered(plane, content, None)
    return text


def write_diagnosis(
    diagnosis: Diagnosis | None,
    checks: Sequence[Check],
    table: BehaviourTable | None,
    out: str | Path,
    option: str = "--out",
    *,
    airplane: Airplane | None = None,
) -> Path:
    """Write the page into the folder `out`, whole or not at all; return the path of the page.

    See `diagnosis_page`. An `out` that exists is replaced only if it is empty or was written by this program;
    InputError, naming `option`, otherwise.
    """
    from ramstill.run import check_replaceable, whole_folder

    check_replaceable(out, option)
    text = diagnosis_page(diagnosis, checks, table, airplane=airplane)
    with whole_folder(out, option) as folder:
        (folder / PAGE).write_text(text, encoding="utf-8")
    return Path(out) / PAGE


def _rendered(plane: Airplane, content: dict[str, Any], table: BehaviourTable | None) -> str:
    style = pictures.style() + of_diagnosis.style() + text_of("diagnosis.css")
    script = text_of("behaviours.js") if table is not None else ""
    return template("diagnosis.html.j2").render(
        style=style,
        style_hash=policy_hash(style),
        script=script,
        script_hash=policy_hash(script),
        form=form_content(plane, table) if table is not None else None,
        embedded=embedded(form_data(table)) if table is not None else "",
        version=__version__,
        safety=SAFETY,
        governs=words.GOVERNS,
        none_fits=words.NONE_FITS,
        percent=words.percent,
        airplane=plane,
        fly_first=words.fly_first(plane),
        **content,
    )


def _nothing() -> dict[str, Any]:
    """A page before anything is known."""
    return {
        "title": "What was seen, and what it may be",
        "answer": "",
        **dict.fromkeys(("timed", "places", "picture", "next"), None),
        **dict.fromkeys(("rows", "alike", "notes", "groups"), ()),
    }


def _content(diagnosis: Diagnosis, checks: Sequence[Check]) -> dict[str, Any]:
    evidence = diagnosis.evidence
    start = None if evidence is None else float(evidence.time_s[0])
    return {
        "title": "What is wrong with it",
        "asked": diagnosis.asked,
        "checked": diagnosis.checked,
        "answer": words.answer(diagnosis),
        "rows": ranking_rows(diagnosis, start),
        "timed": evidence is not None,
        "places": places_of(diagnosis),
        "picture": _picture(diagnosis),
        "alike": [
            (first_up(listed([first_down(of_diagnosis.finding_words(n)) for n in one.findings])), one.why)
            for one in diagnosis.alike
        ],
        "notes": diagnosis.notes,
        "next": card(checks[0]) if checks else None,
        "groups": grouped(checks),
    }


def ranking_rows(diagnosis: Diagnosis, start_s: float | None) -> list[dict[str, Any]]:
    """A row for each finding worth one, then always no fault and none of these, and what is left."""
    silent = words.unseen(diagnosis)
    named = [f for f in diagnosis.ranking if f.faults and f not in silent]
    told = [f for f in named if f.probability >= SHOWN] or ([] if silent else named[:1])
    rows = [_row(one, start_s) for one in told]
    sound = sum(f.probability for f in diagnosis.ranking if not f.faults)
    rows.append(_plain_row(words.NO_FAULT, sound))
    if silent:
        rows.append(_plain_row(words.unseen_words(silent), sum(f.probability for f in silent)))
    rows.append(_plain_row(words.NONE_FITS, diagnosis.none_fits))
    rows.sort(key=lambda row: -row["probability"])
    left = named[len(told) :]
    if left:
        what = (
            f"All {len(left)} others together" if len(left) > 1 else of_diagnosis.finding_words(left[0].names)
        )
        rows.append(_plain_row(what, sum(f.probability for f in left)))
    return rows


def _row(finding: Finding, start_s: float | None) -> dict[str, Any]:
    from ramstill.faults import catalogue

    return _plain_row(of_diagnosis.finding_words(finding.names), finding.probability) | {
        "sentences": [catalogue()[name].sentence for name in finding.names],
        "since": words.onset(finding, start_s),
        "bad": words.how_bad(finding.faults),
    }


def _plain_row(what: str, probability: float) -> dict[str, Any]:
    return {
        "what": what,
        "probability": probability,
        "percent": words.percent(probability),
        "bar": f"{100.0 * probability:.1f}",
        "sentences": [],
        "since": "",
        "bad": "",
    }


def places_of(diagnosis: Diagnosis) -> dict[str, Any] | None:
    """The places of the likeliest finding that has faults: the map, and (place, share) by its numbers."""
    first = next((f for f in diagnosis.ranking if f.faults), None)
    if first is None or first.probability < SHOWN or diagnosis.none_fits > first.probability:
        return None
    likely = [place for place in first.places if place[1] >= SHOWN][:MOST_PLACES]
    by_place = {tuple(f.where for f in c.faults): c.faults for c in reversed(diagnosis.candidates)
                if c.names == first.names}  # fmt: skip
    return {
        "of": first_down(of_diagnosis.finding_words(first.names)),
        "map": place_map(diagnosis.airplane, [by_place[where] for where, _ in likely]),
        "rows": [(words.where_words(where), words.percent(share)) for where, share in likely],
        "whole": pictures.line_map(diagnosis.airplane, first.faults, key="map-wide"),
        "whole_narrow": pictures.line_map(diagnosis.airplane, first.faults, compact=True, key="map-narrow"),
    }


def _picture(diagnosis: Diagnosis) -> dict[str, Any] | None:
    evidence = diagnosis.evidence
    if evidence is None or not evidence.predictions:
        return None
    ranked = {f.names: f for f in diagnosis.ranking}
    choices = []
    for prediction in evidence.predictions:
        finding = ranked.get(prediction.names)
        chance = f" ({words.percent(finding.probability)})" if finding else ""
        choices.append(f"{of_diagnosis.finding_words(prediction.names)}{chance}")
    decided = ""
    if evidence.decided_s is not None and evidence.against is not None:
        decided = (
            f"Up to {clock(evidence.decided_s)} it could as well have been "
            f"{first_down(of_diagnosis.finding_words(evidence.against))}; the readings around then decided."
        )
    return {
        "choices": choices,
        "decided": decided,
        "wide": of_diagnosis.evidence_picture(diagnosis, key="evidence-wide"),
        "narrow": of_diagnosis.evidence_picture(diagnosis, compact=True, key="evidence-narrow"),
        "table": evidence_table(diagnosis),
    }


def evidence_table(diagnosis: Diagnosis) -> Table:
    """Some times of the picture in figures: what was recorded, and what each finding predicts."""
    evidence = diagnosis.evidence
    assert evidence is not None
    lanes = of_diagnosis.lanes_of(diagnosis.airplane, evidence)
    guesses = of_diagnosis.guesses_of(diagnosis, evidence)
    heads, columns = ["Time"], []
    for i, lane in enumerate(lanes):
        heads += [f"{lane.title}, recorded [{lane.unit}]"]
        heads += [f"{lane.title}, {first_down(guess.label)} [{lane.unit}]" for guess in guesses]
        columns += [lane.recorded, *(guess.predicted[i] for guess in guesses)]
    rows = [
        (clock(float(evidence.time_s[at])), *(spoken(float(np.asarray(c)[at])) for c in columns))
        for at in thinned(len(evidence.time_s), _TABLE_ROWS)
    ]
    return Table("Recorded and predicted", tuple(heads), tuple(rows))
