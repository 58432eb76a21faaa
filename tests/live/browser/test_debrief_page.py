"""The debrief as an instructor meets it: from the disk, on a phone, in the dark, zoomed, on paper."""

import io
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pypdf
import pytest
from a_class import RECORD
from a_look import look

from ramstill.live.debrief import debrief_page

pytestmark = pytest.mark.browser

SCREENS: dict[str, dict[str, Any]] = {
    "desk": {"viewport": {"width": 1100, "height": 850}},
    "phone": {"viewport": {"width": 390, "height": 844}},
    "dark": {"viewport": {"width": 1100, "height": 850}, "color_scheme": "dark"},
    "zoomed": {"viewport": {"width": 640, "height": 400}, "device_scale_factor": 2},
}


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("debrief") / "debrief.html"
    file.write_text(debrief_page(RECORD), encoding="utf-8")
    return file


@pytest.fixture
def opened(browser: Any, page: Path) -> Iterator[Callable[..., Any]]:
    """Open it; what it complains of, or asks of anybody, fails the test."""
    contexts, complaints = [], []

    def open_with(**settings: Any) -> Any:
        contexts.append(browser.new_context(**settings))
        tab = contexts[-1].new_page()
        tab.on("console", lambda said: complaints.append(said.text))
        tab.on("request", lambda one: complaints.append(one.url) if one.url != page.as_uri() else None)
        tab.goto(page.as_uri())
        return tab

    yield open_with
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.mark.parametrize("screen", SCREENS)
def test_axe_finds_nothing_and_nothing_sticks_out(opened: Callable[..., Any], screen: str) -> None:
    look(opened(**SCREENS[screen]), f"debrief-{screen}")


def test_one_of_the_two_drawings_is_seen(opened: Callable[..., Any]) -> None:
    for screen, seen in (("desk", "wide"), ("phone", "narrow")):
        tab = opened(**SCREENS[screen])
        shown = tab.evaluate(
            "[...document.querySelectorAll('svg.class-line')].filter(e => e.getBoundingClientRect().width)"
            ".map(e => e.parentElement.className)"
        )
        assert set(shown) == {seen}


def test_words_of_the_time_line_do_not_stick_out_of_it(opened: Callable[..., Any]) -> None:
    for screen in ("desk", "phone"):
        assert opened(**SCREENS[screen]).evaluate(
            """[...document.querySelectorAll('svg.class-line')].filter(e => e.getBoundingClientRect().width)
            .every(e => { const box = e.getBoundingClientRect();
              return [...e.querySelectorAll('text')].every(t => { const at = t.getBoundingClientRect();
                return at.left >= box.left - 1 && at.right <= box.right + 1; }); })"""
        )


def test_it_prints_with_every_answer_and_the_warning(opened: Callable[..., Any]) -> None:
    printed = pypdf.PdfReader(io.BytesIO(opened(**SCREENS["phone"]).pdf(prefer_css_page_size=True)))
    words = " ".join(one.extract_text() for one in printed.pages)
    assert "Invented example, not your airplane" in printed.pages[0].extract_text()
    for name in ("Ines", "Tomasz", "Adaeze", "Quirin"):
        assert name in words
    assert len(printed.pages) <= 6
