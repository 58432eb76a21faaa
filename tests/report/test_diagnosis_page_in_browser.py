"""The page of a diagnosis as a reader meets it: on a desk, a phone, in print, by keyboard, and its form."""

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ramstill import report
from ramstill.diagnosis.answer import Diagnosis
from ramstill.diagnosis.behaviours import BehaviourTable
from ramstill.diagnosis.checks import next_checks
from ramstill.diagnosis.reported import diagnosis_from
from ramstill.diagnosis.saying import Said, parse
from ramstill.report.behaviour_form import pack

pytestmark = pytest.mark.browser

PHONE, DESK = {"width": 390, "height": 800}, {"width": 1280, "height": 900}
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
SAW = ("climb: altimeter frozen, vsi zero, airspeed falling", "take-off roll: airspeed normal, vsi normal")


@pytest.fixture(scope="module")
def pages(
    tmp_path_factory: pytest.TempPathFactory, diagnosis: Diagnosis, table: BehaviourTable
) -> dict[str, Path]:
    """A page of a recording with its checks, one of a reported defect, and the form alone."""
    folder = tmp_path_factory.mktemp("diagnosis")
    reported = diagnosis_from(diagnosis.airplane, table, parse(diagnosis.airplane, SAW))
    return {
        "recording": report.write_diagnosis(diagnosis, next_checks(diagnosis), table, folder / "recording"),
        "reported": report.write_diagnosis(reported, (), table, folder / "reported"),
        "form": report.write_diagnosis(None, (), table, folder / "form", airplane=diagnosis.airplane),
    }


@pytest.fixture
def opened(browser: Any, pages: dict[str, Path]) -> Any:
    contexts = []

    def open_with(name: str, **settings: Any) -> Any:
        context = browser.new_context(**{"viewport": DESK, **settings})
        contexts.append(context)
        tab = context.new_page()
        tab.goto(pages[name].as_uri())
        return tab

    yield open_with
    for context in contexts:
        context.close()


def fill(tab: Any, table: BehaviourTable, said: tuple[Said, ...]) -> None:
    """Fill in the form."""
    seen: set[tuple[int, int]] = set()
    for one in said:
        p, i = table.phases.index(one.phase), table.instruments.index(one.instrument)
        tab.check(f"[data-phase-box='phase-{p}']")
        cell = f"[data-second='said-{p}-{i}']" if (p, i) in seen else f"#said-{p}-{i}"
        seen.add((p, i))
        tab.select_option(cell, label=one.behaviour)


@pytest.mark.parametrize("name", ["recording", "reported", "form"])
def test_it_asks_for_nothing_and_complains_of_nothing(
    browser: Any, pages: dict[str, Path], name: str
) -> None:
    context = browser.new_context(viewport=DESK)
    tab = context.new_page()
    asked: list[str] = []
    complaints: list[str] = []
    tab.on("request", lambda request: asked.append(request.url))
    tab.on("console", lambda message: complaints.append(message.text))
    tab.on("pageerror", lambda error: complaints.append(str(error)))
    tab.goto(pages[name].as_uri())
    tab.keyboard.press("End")
    assert asked == [pages[name].as_uri()]
    assert complaints == []
    context.close()


@pytest.mark.parametrize("script", [True, False])
def test_the_reader_chooses_what_is_drawn(opened: Any, script: bool) -> None:
    """By the style alone: it works without JavaScript too."""
    tab = opened("recording", java_script_enabled=script)

    def lines() -> list[bool]:
        return [tab.locator(f".wide .of-{i} .guessed").first.is_visible() for i in (0, 1)]

    assert lines() == [True, False]
    tab.locator("#drawn-0").focus()
    tab.keyboard.press("ArrowDown")
    assert tab.locator("#drawn-1").is_checked()
    assert lines() == [False, True]


@pytest.mark.parametrize(
    "saw",
    [
        SAW[:1],
        SAW,
        ("climb: airspeed normal, altimeter normal, vsi normal, encoder blank",),
        ("climb: airspeed frozen, altimeter jumped down and late", "take-off roll: airspeed zero"),
    ],
)
def test_the_form_answers_as_the_program_does(
    opened: Any, table: BehaviourTable, diagnosis: Diagnosis, saw: tuple[str, ...]
) -> None:
    """To 1e-6 of the same sum over the figures as the page carries them, to thousandths; and near the answer
    that the program gives from all digits."""
    said = parse(diagnosis.airplane, saw)
    tab = opened("form")
    fill(tab, table, said)
    found = tab.eval_on_selector_all("#reported-rows tr", "rows => rows.map(r => +r.dataset.probability)")
    carried = replace(
        table, probability=pack(table.probability).unpacked(), none_fits=np.round(table.none_fits, 3)
    )
    for one, near in ((carried, 1e-6), (table, 0.02)):
        weights, none = one.weigh(said)
        sums: dict[tuple[str, ...], float] = {}
        for faults, weight in zip(one.candidates, weights, strict=True):
            names = tuple(sorted(fault.name for fault in faults))
            sums[names] = sums.get(names, 0.0) + float(weight)
        told = [v for names, v in sums.items() if v >= 0.01 or not names] + [none]
        # two per cent: half a thousandth is a fortieth of a slip, 0.02, the least that a figure can be
        assert sorted(found)[-5:] == pytest.approx(sorted(told)[-5:], abs=near)
    assert sum(found) > 0.9


def test_the_form_gives_the_command_that_asks_the_same(
    opened: Any, table: BehaviourTable, diagnosis: Diagnosis
) -> None:
    said = parse(diagnosis.airplane, SAW)
    tab = opened("form")
    fill(tab, table, said)
    line = tab.locator("#reported-command").inner_text()
    assert line.startswith('ramstill diagnose high-wing-tube --saw "')
    assert parse(diagnosis.airplane, [line.split('"')[1]]) == said


def test_the_form_by_keyboard(opened: Any) -> None:
    tab = opened("form")
    box = tab.locator("[data-phase-box]").nth(1)
    box.focus()
    tab.keyboard.press("Space")
    tab.keyboard.press("Tab")
    tab.keyboard.type("frozen")
    tab.keyboard.press("Tab")  # what is typed into a list is taken when it is left
    assert tab.locator("#reported").is_visible()
    assert "airspeed frozen" in tab.locator("#reported-command").inner_text()
    tab.locator("#clear").press("Enter")
    assert not tab.locator("#reported").is_visible()
    assert tab.locator("#reported-answer").inner_text().startswith("Nothing is said yet")


def test_the_form_does_not_pretend_without_script(opened: Any) -> None:
    tab = opened("form", java_script_enabled=False)
    assert not tab.locator("#report").is_visible()
    assert tab.locator("noscript").count() == 1
    assert "--saw" in tab.locator(".report").inner_text()


@pytest.mark.parametrize(
    "settings",
    [{"color_scheme": "light"}, {"color_scheme": "dark", "viewport": PHONE}],
    ids=["light", "dark-phone"],
)
@pytest.mark.parametrize("name", ["recording", "form"])
def test_axe_finds_nothing(
    opened: Any, table: BehaviourTable, diagnosis: Diagnosis, name: str, settings: dict[str, Any]
) -> None:
    from axe_playwright_python.sync_playwright import Axe

    tab = opened(name, **settings)
    tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    fill(tab, table, parse(diagnosis.airplane, SAW))
    found = Axe().run(tab, options={"runOnly": {"type": "tag", "values": AXE_TAGS}})
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("name", ["recording", "reported", "form"])
def test_nothing_sticks_out(opened: Any, table: BehaviourTable, diagnosis: Diagnosis, name: str) -> None:
    for screen in (PHONE, DESK):
        tab = opened(name, viewport=screen)
        tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
        fill(tab, table, parse(diagnosis.airplane, SAW))
        assert tab.evaluate("document.documentElement.scrollWidth") <= screen["width"]


# Boxes of all words of the evidence that are in sight, in the units of their picture.
WORDS = """(svg) => {
  const frame = svg.getBoundingClientRect();
  const one = svg.viewBox.baseVal.width / frame.width;
  return [...svg.querySelectorAll('text')].map((t) => [t.textContent, t.getBoundingClientRect()])
    .filter(([, b]) => b.width)
    .map(([words, b]) => ({words, left: (b.left - frame.left) * one, right: (b.right - frame.left) * one,
      top: (b.top - frame.top) * one, bottom: (b.bottom - frame.top) * one,
      width: svg.viewBox.baseVal.width}));
}"""


@pytest.mark.parametrize("viewport", [DESK, PHONE], ids=["desk", "phone"])
def test_words_of_the_evidence_stay_inside_and_apart(opened: Any, viewport: dict[str, int]) -> None:
    tab = opened("recording", viewport=viewport)
    words = tab.locator("svg.evidence:visible").evaluate(WORDS)
    assert len(words) > 20
    for i, a in enumerate(words):
        # 2 px: the box of a line of text is a little larger than its ink
        assert -2 < a["left"] < a["right"] < a["width"] + 2, a
        for b in words[i + 1 :]:
            over = min(a["right"], b["right"]) - max(a["left"], b["left"])
            under = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
            assert over < 2 or under < 6, (a["words"], b["words"])


def test_print_keeps_the_answer_the_evidence_and_the_cautions(opened: Any) -> None:
    tab = opened("recording")
    tab.emulate_media(media="print")
    for selector in (".answer", ".banner", ".safety", ".wide svg.evidence", ".check.first .caution"):
        assert tab.locator(selector).first.is_visible(), selector
    assert not tab.locator("details").first.is_visible()
