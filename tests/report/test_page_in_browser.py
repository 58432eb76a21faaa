"""The page as a reader meets it: alone on a disk, by keyboard, on a phone, in print, with a screen reader."""

import re
from pathlib import Path
from typing import Any

import pytest

pytestmark = pytest.mark.browser

PHONE = {"width": 360, "height": 740}
DESK = {"width": 1100, "height": 800}
AXE_TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


@pytest.fixture
def opened(browser: Any, page_file: Path) -> Any:
    """Open the page with the given settings of the browser; close it afterwards."""
    contexts = []

    def open_with(file: Path = page_file, **settings: Any) -> Any:
        context = browser.new_context(**{"viewport": DESK, **settings})
        contexts.append(context)
        tab = context.new_page()
        tab.goto(file.as_uri())
        return tab

    yield open_with
    for context in contexts:
        context.close()


def surface(tab: Any, column: str) -> str:
    """Where the surface of a column of the wide wall stands."""
    selector = f".show .wide svg.wall [data-column='{column}'] .surface"
    return str(tab.locator(selector).get_attribute("transform"))


def test_it_asks_for_nothing_and_complains_of_nothing(browser: Any, page_file: Path) -> None:
    context = browser.new_context(viewport=DESK)
    tab = context.new_page()
    asked: list[str] = []
    complaints: list[str] = []
    tab.on("request", lambda request: asked.append(request.url))
    tab.on("console", lambda message: complaints.append(message.text))
    tab.on("pageerror", lambda error: complaints.append(str(error)))
    tab.goto(page_file.as_uri())
    tab.keyboard.press("End")
    assert asked == [page_file.as_uri()]
    assert complaints == []
    context.close()


def test_the_time_line_moves_wall_panel_and_charts_together(opened: Any) -> None:
    tab = opened()
    slider = tab.locator("#time")
    slider.focus()
    tab.keyboard.press("Home")
    before = surface(tab, "airspeed.pitot")
    hand = tab.locator("[data-hand='airspeed']").first
    at_start = hand.get_attribute("transform")
    cursor = tab.locator(".wide svg.strip .cursor").get_attribute("x1")
    assert tab.locator("#clock").inner_text() == "0:00"
    for _ in range(4):
        tab.keyboard.press("PageUp")
    tab.keyboard.press("ArrowRight")
    assert tab.locator("#clock").inner_text() != "0:00"
    assert surface(tab, "airspeed.pitot") != before
    assert hand.get_attribute("transform") != at_start
    assert tab.locator(".wide svg.strip .cursor").get_attribute("x1") != cursor
    assert "airspeed indicator shows" in slider.get_attribute("aria-valuetext")


def test_the_marks_of_height_draw_together_in_the_climb(opened: Any) -> None:
    tab = opened()
    mark = tab.locator(".show .wide svg.wall [data-feet='1000']")
    tab.locator("#time").focus()
    tab.keyboard.press("Home")
    below = mark.get_attribute("transform")
    tab.locator(".jumps button", has_text="furthest").first.click()
    above = mark.get_attribute("transform")
    heights = [float(re.search(r"translate\(0 ([\d.]+)\)", t)[1]) for t in (below, above)]  # type: ignore[index]
    assert heights[1] > heights[0]  # lower on the page, nearer to zero: the air is thinner there


def test_a_trapped_column_gets_its_lid_when_the_time_comes(opened: Any) -> None:
    tab = opened()
    words = tab.locator(".show .wide svg.wall .trap-words")
    tab.locator("#time").focus()
    tab.keyboard.press("Home")
    assert not words.is_visible()
    tab.keyboard.press("End")
    assert words.is_visible()
    assert words.text_content() == "trapped since 3:00"


def test_the_first_frame_is_what_was_drawn_for_it(opened: Any) -> None:
    """What the script makes of the opening moment is what the page says without the script."""
    with_script, without = opened(), opened(java_script_enabled=False)
    for selector in (".show .wide .surface", ".show [data-hand]", ".show .wide .fluid"):
        for name in ("transform", "y", "height"):
            pairs = zip(with_script.locator(selector).all(), without.locator(selector).all(), strict=True)
            for moved, drawn in pairs:
                a, b = moved.get_attribute(name), drawn.get_attribute(name)
                assert (a is None) == (b is None)
                if a is not None:
                    # angles are carried to 0.1 degrees
                    assert figures(a) == pytest.approx(figures(b), abs=0.1)


def figures(attribute: str) -> list[float]:
    """The numbers in an attribute."""
    return [float(found) for found in re.findall(r"-?\d+(?:\.\d+)?", attribute)]


def test_a_moment_is_one_press_away(opened: Any) -> None:
    tab = opened()
    button = tab.locator(".jumps button").nth(1)
    button.focus()
    tab.keyboard.press("Enter")
    assert tab.locator("#clock").inner_text() == button.locator("b").inner_text()
    assert button.get_attribute("aria-current") == "true"


@pytest.mark.parametrize("motion", ["no-preference", "reduce"])
def test_it_plays_and_stops(browser: Any, page_file: Path, motion: str) -> None:
    context = browser.new_context(viewport=DESK, reduced_motion=motion)
    tab = context.new_page()
    tab.clock.install()
    tab.goto(page_file.as_uri())
    tab.locator("#time").focus()
    tab.keyboard.press("Home")
    tab.locator("#play").click()
    tab.clock.run_for(2100)
    assert tab.locator("#play").inner_text() == "Pause"
    tab.locator("#play").click()
    reached = int(tab.locator("#time").input_value())
    assert reached > 0
    tab.clock.run_for(2100)
    assert int(tab.locator("#time").input_value()) == reached
    context.close()


@pytest.mark.parametrize(
    "settings",
    [
        {"color_scheme": "light"},
        {"color_scheme": "dark", "viewport": PHONE, "reduced_motion": "reduce"},
    ],
    ids=["light", "dark-phone"],
)
def test_axe_finds_nothing(opened: Any, settings: dict[str, Any]) -> None:
    from axe_playwright_python.sync_playwright import Axe

    tab = opened(**settings)
    tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    options = {"runOnly": {"type": "tag", "values": AXE_TAGS}, "rules": {"target-size": {"enabled": True}}}
    found = Axe().run(tab, options=options)
    assert found.violations_count == 0, found.generate_report()


def test_nothing_sticks_out_of_a_phone(opened: Any) -> None:
    tab = opened(viewport=PHONE)
    tab.evaluate("document.querySelectorAll('details').forEach(d => { d.open = true })")
    assert tab.evaluate("document.documentElement.scrollWidth") <= PHONE["width"]


# Boxes of all words drawn, in the units of their picture; a word that is hidden has none.
WORDS = """(svg) => {
  const view = svg.viewBox.baseVal;
  const frame = svg.getBoundingClientRect();
  const one = view.width / frame.width;
  return [...svg.querySelectorAll('text')]
    .filter((t) => t.textContent && getComputedStyle(t).visibility === 'visible')
    .map((t) => {
      const b = t.getBoundingClientRect();
      return {
        words: t.textContent,
        left: (b.left - frame.left) * one, right: (b.right - frame.left) * one,
        top: (b.top - frame.top) * one, bottom: (b.bottom - frame.top) * one,
        width: view.width, height: view.height,
      };
    });
}"""


@pytest.mark.parametrize("viewport", [DESK, PHONE], ids=["desk", "phone"])
@pytest.mark.parametrize("scenario", ["spring-afternoon", "glass-broken", "alternate-static"])
def test_words_stay_inside_their_pictures_and_apart(
    opened: Any, run_of: Any, tmp_path: Path, scenario: str, viewport: dict[str, int]
) -> None:
    from ramstill import report

    tab = opened(report.write(run_of(scenario), tmp_path / "out"), viewport=viewport)
    seen = 0
    for picture in tab.locator("svg.picture:visible").all():
        words = picture.evaluate(WORDS)
        seen += len(words)
        for w in words:
            # 2 px: the box of a line of text is a little larger than its ink
            assert -2 < w["left"] < w["right"] < w["width"] + 2, w
            assert -2 < w["top"] < w["bottom"] < w["height"] + 4, w
        if "map" not in picture.get_attribute("class"):
            for i, a in enumerate(words):
                for b in words[i + 1 :]:
                    over = min(a["right"], b["right"]) - max(a["left"], b["left"])
                    under = min(a["bottom"], b["bottom"]) - max(a["top"], b["top"])
                    # lines of one block may share the space between their letters
                    assert over < 2 or under < 6, (a["words"], b["words"], over, under)
    assert seen > 100


def test_print_shows_the_moments(opened: Any) -> None:
    tab = opened()
    assert not tab.locator(".frozen").is_visible()
    tab.emulate_media(media="print")
    assert tab.locator(".frozen .moment .wide svg.wall").first.is_visible()
    assert tab.locator(".frozen .moment svg.panel").first.is_visible()
    assert not tab.locator("#time").is_visible()
    assert tab.locator(".banner").is_visible()
    assert tab.locator(".safety").first.is_visible()


def test_without_script_the_moments_stand_there(opened: Any) -> None:
    tab = opened(java_script_enabled=False)
    assert tab.locator(".frozen .moment svg.panel").first.is_visible()
    assert not tab.locator("#time").is_visible()
    assert tab.locator("#still-frame").is_visible()


def plain(words: str) -> float:
    """A figure as it is written, as a number."""
    return float(words.replace("−", "-").replace(",", ""))


def test_the_ledger_moves_with_the_time_line_and_adds_up(opened: Any) -> None:
    tab = opened()
    tab.locator("#time").focus()
    tab.keyboard.press("Home")
    sheet = tab.locator(".ledgers.show svg.ledger[data-ledger='airspeed']")
    bar = sheet.locator("rect.trouble-part")
    assert float(bar.get_attribute("width")) == 0.0
    tab.locator(".jumps button", has_text="furthest").first.click()
    assert float(bar.get_attribute("width")) > 50.0
    amounts = [plain(words) for words in sheet.locator("[data-amount]").all_text_contents()]
    total = plain(sheet.locator("[data-total]").text_content())
    # each is rounded to a tenth of a knot
    assert sum(amounts) == pytest.approx(total, abs=0.05 * (len(amounts) + 1))
    assert sheet.locator("[data-error]").text_content().endswith(" kt")
    assert tab.locator("#clock").inner_text() in sheet.locator("title").text_content()


def test_the_first_ledger_is_what_was_drawn_for_it(opened: Any) -> None:
    tabs = opened(), opened(java_script_enabled=False)
    for selector in ("[data-amount]", "[data-total]", "[data-both]", "[data-worth]", "desc"):
        moved, drawn = (tab.locator(f".ledgers.show {selector}").all_text_contents() for tab in tabs)
        assert moved == drawn
    pairs = zip(*(tab.locator(".ledgers.show rect[data-part]").all() for tab in tabs), strict=True)
    for pair in pairs:
        for name in ("x", "width"):
            moved, drawn = (float(bar.get_attribute(name)) for bar in pair)
            assert moved == pytest.approx(
                drawn, abs=1.5
            )  # amounts are carried to a tenth of a knot or a foot
