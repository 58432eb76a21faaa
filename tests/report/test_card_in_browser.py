"""The card as a reader meets it: on a desk, a phone, in the dark, on paper."""

import io
from pathlib import Path
from typing import Any

import pypdf
import pytest

from ramstill import airplane, report

pytestmark = pytest.mark.browser

AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
DESK, PHONE = {"width": 1000, "height": 800}, {"width": 390, "height": 800}
NAMES = ("high-wing-tube", "pressurised-turboprop", "sailplane")


@pytest.fixture(scope="module")
def cards(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("cards")
    for name in airplane.hangar():
        report.write_card(airplane.load(name), folder / f"{name}.html")
    return {path.stem: path for path in folder.glob("*.html")}


@pytest.fixture
def opened(browser: Any, cards: dict[str, Path]) -> Any:
    contexts = []

    def open_with(name: str, **settings: Any) -> Any:
        context = browser.new_context(**{"viewport": DESK, **settings})
        contexts.append(context)
        tab = context.new_page()
        tab.goto(cards[name].as_uri())
        return tab

    yield open_with
    for context in contexts:
        context.close()


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize(
    "settings",
    [{}, {"color_scheme": "dark"}, {"viewport": PHONE}],
    ids=["light", "dark", "phone"],
)
def test_axe_finds_nothing(opened: Any, name: str, settings: dict[str, Any]) -> None:
    from axe_playwright_python.sync_playwright import Axe

    options = {"runOnly": {"type": "tag", "values": AXE_TAGS}}
    found = Axe().run(opened(name, **settings), options=options)
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize("name", airplane.hangar())
def test_nothing_sticks_out(opened: Any, name: str) -> None:
    for screen in (PHONE, DESK):
        tab = opened(name, viewport=screen)
        assert tab.evaluate("document.documentElement.scrollWidth") <= screen["width"]
        assert tab.evaluate(
            "[...document.querySelectorAll('.scroll')].every(e => e.scrollWidth <= e.clientWidth)"
        )


def test_it_asks_for_nothing(browser: Any, cards: dict[str, Path]) -> None:
    context = browser.new_context(viewport=DESK)
    tab = context.new_page()
    asked: list[str] = []
    said: list[str] = []
    tab.on("request", lambda request: asked.append(request.url))
    tab.on("console", lambda message: said.append(message.text))
    tab.goto(cards["high-wing-tube"].as_uri())
    assert asked == [cards["high-wing-tube"].as_uri()]
    assert said == []
    context.close()


def test_the_page_prints_on_one_sheet_with_the_words_across(opened: Any, cards: dict[str, Path]) -> None:
    for name in cards:
        printed = pypdf.PdfReader(io.BytesIO(opened(name).pdf(prefer_css_page_size=True)))
        assert len(printed.pages) == 1, name
        assert "Example, not your airplane" in printed.pages[0].extract_text()


def test_the_words_across_cover_the_whole_page(opened: Any) -> None:
    for settings, media in (({}, "screen"), ({"viewport": PHONE}, "screen"), ({}, "print")):
        tab = opened("high-wing-tube", **settings)
        tab.emulate_media(media=media)
        box = tab.locator("svg.across").bounding_box()
        assert box["height"] >= tab.evaluate("document.body.scrollHeight") - 1
        assert box["width"] >= settings.get("viewport", DESK)["width"] - 60
