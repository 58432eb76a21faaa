"""The instructor's page on the real server, in a real browser: what moves, what is laid, pressed and taught;
by pointer and by keyboard alone, on a phone, in the dark, zoomed.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from a_look import look
from a_server import Live, Page

pytestmark = pytest.mark.browser

DESK, PHONE = {"width": 1440, "height": 900}, {"width": 390, "height": 844}
SCREENS: dict[str, dict[str, Any]] = {
    "desk": {"viewport": DESK},
    "phone": {"viewport": PHONE, "has_touch": True, "color_scheme": "dark", "reduced_motion": "reduce"},
    "zoomed": {"viewport": {"width": 720, "height": 450}, "device_scale_factor": 2},  # 1440 x 900 at 200 %
}
PLANE = "high-wing-tube"
Open = Callable[..., Any]


@pytest.fixture
def bench(session: Live) -> Iterator[Page]:
    """Another page of the instructor's, beside the one in the browser; a fresh flight that stands still."""
    page = session.bench()
    page.act("class", open=False)
    page.act("stage", airplane=PLANE, mode="levers")
    page.act("run", on=False)
    page.act("pace", times=1.0)
    yield page
    page.act("run", on=False)
    page.socket.close()


@pytest.fixture
def opened(browser: Any, session: Live, bench: Page) -> Iterator[Open]:
    """Open the page; whatever it complains of, or asks of another machine, fails the test."""
    contexts, complaints = [], []

    def open_with(key: str = session.key, **settings: Any) -> Any:
        context = browser.new_context(**{"viewport": DESK, **settings})
        contexts.append(context)
        tab = context.new_page()
        tab.on("pageerror", lambda error: complaints.append(str(error)))
        tab.on("console", lambda said: complaints.append(said.text))
        tab.on("request", lambda asked: complaints.append(asked.url) if not ours(asked.url) else None)
        tab.goto(f"{session.origin}/bench#{key}")
        return tab

    def ours(address: str) -> bool:
        return address.startswith((session.origin, f"blob:{session.origin}", "data:"))

    yield open_with
    for context in contexts:
        context.close()
    assert complaints == []


def _there(tab: Any) -> Any:
    """The page once its drawings are there and the first frame has moved them."""
    tab.locator(".dial [data-shown='airspeed']", has_text=re.compile("[1-9]")).wait_for(state="attached")
    return tab


def _expect(locator: Any) -> Any:
    from playwright.sync_api import expect

    return expect(locator)


def _look(tab: Any, state: str, screen: str) -> None:
    look(tab, f"bench-{state}-{screen}", whole=state != "dialog")


def _lay(tab: Any, part: str = "right-port", title: str = "Static ports blocked") -> None:
    tab.select_option("#part", part)
    tab.get_by_role("radio", name=title, exact=True).check()
    tab.get_by_role("button", name="Lay it on").click()
    tab.locator(".bar-words", has_text=title).first.wait_for(state="attached")


@pytest.mark.parametrize("screen", SCREENS)
def test_axe_finds_nothing_in_any_state(opened: Open, session: Live, bench: Page, screen: str) -> None:
    tab = _there(opened(**SCREENS[screen]))
    _look(tab, "flight", screen)
    _lay(tab)
    tab.locator(".bar").first.focus()
    tab.locator("#sheet-begins").wait_for()
    tab.select_option("#part", "tube-inlet")
    tab.get_by_role("radio", name="Pitot icing", exact=True).check()
    _look(tab, "fault", screen)
    tab.get_by_role("button", name="Set up").click()
    tab.locator("dialog[open]").wait_for()
    _look(tab, "dialog", screen)
    tab.keyboard.press("Escape")
    word = session.open_class(bench)
    seats = [session.sit(word, name) for name in ("Ines", "")]
    learner = session.seat(seats[0][0])
    bench.act("ask")
    learner.act("call", fault="static-ports-blocked", since_s=1.0, would_do="Alternate source")
    tab.locator("#classroom td", has_text="Alternate source").wait_for(state="attached")
    _look(tab, "class", screen)
    tab.get_by_role("button", name="Give Ines a fault").click()
    tab.locator("#give-where").wait_for()
    _look(tab, "giving", screen)
    tab.keyboard.press("Escape")
    learner.socket.close()
    bench.act("class", open=False)
    bench.act("stage", airplane=PLANE, mode="ground")
    tab.locator(".hold").first.wait_for()
    _look(tab, "ground", screen)


def test_frames_move_everything_together_and_shift_nothing(opened: Open, bench: Page) -> None:
    tab = _there(opened())
    tab.evaluate(
        """() => {
          window.shifted = 0;
          new PerformanceObserver((list) => {
            for (const entry of list.getEntries()) window.shifted += entry.value;
          }).observe({ type: 'layout-shift', buffered: false });
        }"""
    )
    surface = tab.locator("#wall .wide [data-column='altimeter.static'] .surface")
    flow = tab.locator("#map .flow[data-node='static-low-point']").first
    before = [flow.get_attribute("stroke-dashoffset"), tab.locator(".charts .truth").first.get_attribute("d")]
    hand = tab.locator("[data-hand='altimeter.hundreds']").first
    stood = hand.get_attribute("transform")
    _move(tab, "climb_fpm", 700)
    tab.select_option("#pace", "10")
    tab.get_by_role("button", name="Run").click()
    _expect(tab.locator("#clock")).to_have_text(re.compile("0:1[0-9]"), timeout=15_000)
    _expect(hand).not_to_have_attribute("transform", stood)
    tab.get_by_role("button", name="Pause").click()
    _expect(tab.locator("#run")).to_have_text("Run")
    after = [flow.get_attribute("stroke-dashoffset"), tab.locator(".charts .truth").first.get_attribute("d")]
    assert all(a != b for a, b in zip(before, after, strict=True))
    assert surface.get_attribute("transform").startswith("translate(0 ")
    assert tab.evaluate("window.shifted") == 0.0


def _move(tab: Any, lever: str, to: float) -> None:
    """Move a lever as a hand does; the page hears of each step."""
    tab.locator(f"#lever-{lever}").fill(str(to))


def test_reduced_motion_keeps_the_lines_still(opened: Open, bench: Page) -> None:
    tab = _there(opened(reduced_motion="reduce"))
    bench.act("levers", climb_fpm=700)
    bench.act("step", seconds=10.0)
    _expect(tab.locator("#clock")).to_have_text("0:10")
    assert tab.locator("#map .flow[stroke-dashoffset]").count() == 0


def test_a_fault_is_laid_moved_and_lifted_by_keyboard_alone(opened: Open, bench: Page) -> None:
    bench.act("step", seconds=20.0)
    tab = _there(opened())
    tab.locator("#part").focus()
    tab.keyboard.type("C")  # the letter on the map
    tab.keyboard.press("Tab")
    tab.keyboard.press("Space")
    assert tab.evaluate("document.activeElement.matches('[name=happening]:focus-visible')")
    tab.keyboard.press("ArrowDown")
    tab.keyboard.press("ArrowUp")
    while tab.evaluate("document.activeElement.textContent") != "Lay it on":
        tab.keyboard.press("Tab")
    tab.keyboard.press("Enter")
    bar = tab.locator(".bar")
    _expect(bar).to_have_attribute("aria-label", re.compile("^1 Static ports blocked"))
    _expect(tab.locator("#told")).to_contain_text("Static ports blocked")
    _expect(tab.locator("#map .laid .fault-number")).to_have_text("1")
    bench.act("step", seconds=1.0)  # it comes with the next tick
    _expect(tab.locator("#trapped")).to_contain_text("Lids")
    assert tab.locator("#wall .wide [data-lid][visibility='visible']").count() > 5
    while not tab.evaluate("document.activeElement.classList.contains('bar')"):
        tab.keyboard.press("Shift+Tab")
    outline = tab.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline == "solid"
    begin = int(bar.get_attribute("aria-valuenow"))
    for key in ("ArrowLeft", "ArrowLeft", "PageDown"):
        tab.keyboard.press(key)
    _expect(bar).to_have_attribute("aria-valuenow", str(begin - 12))
    while _onset(bench) != begin - 12.0:  # the server has it too: what it tells says so
        bench.until("timeline")
    tab.keyboard.press("Tab")
    tab.keyboard.press("ArrowLeft")
    _expect(tab.locator(".grip")).to_have_attribute("aria-valuetext", re.compile(r"\d:\d\d"))
    tab.keyboard.press("Shift+Tab")
    tab.keyboard.press("Delete")
    _expect(bar).to_have_attribute("aria-valuetext", re.compile(" to "))


def _onset(bench: Page) -> float | None:
    lines = [m for m in bench.heard if m["say"] == "timeline" and m["faults"]]
    return round(lines[-1]["faults"][0]["onset_s"]) if lines else None


def test_a_fault_is_dragged(opened: Open, bench: Page) -> None:
    bench.act("step", seconds=60.0)
    bench.act("fault", name="static-ports-blocked", onset_s=120.0)
    tab = _there(opened())
    bar = tab.locator(".bar")
    _expect(bar).to_have_attribute("aria-valuetext", "from 2:00 on")
    box, wide = bar.bounding_box(), tab.locator(".faults").bounding_box()["width"]
    tab.mouse.move(box["x"] + 20, box["y"] + 10)
    tab.mouse.down()
    tab.mouse.move(box["x"] + 20 + wide / 10, box["y"] + 10, steps=5)  # five minutes wide: half a minute
    tab.mouse.up()
    told = bench.until("timeline")
    while told["faults"][0]["onset_s"] == 120.0:
        told = bench.until("timeline")
    assert told["faults"][0]["onset_s"] == pytest.approx(150.0, abs=2.0)  # a pixel is half a second


def test_a_part_is_chosen_on_the_map(opened: Open) -> None:
    tab = _there(opened())
    port = tab.locator("#map [data-part='right-port']").first.bounding_box()
    tab.mouse.click(port["x"] + port["width"] / 2, port["y"] + port["height"] / 2)
    _expect(tab.locator("#part")).to_have_value("right-port")
    assert tab.locator("#map .picked").is_visible()
    _expect(tab.locator(".happenings legend")).to_have_text("What can happen at: right port")


def test_going_back_and_acting_otherwise_makes_a_branch(opened: Open, bench: Page) -> None:
    bench.act("step", seconds=30.0)
    tab = _there(opened())
    tab.fill("#back-to", "0:10")
    tab.keyboard.press("Enter")
    _expect(tab.locator("#clock")).to_have_text("0:10")
    _move(tab, "speed_kt", 90)
    tab.get_by_role("button", name="+1 s").click()
    tab.locator("#branches-part summary").click()
    _expect(tab.locator("#branches li", has_text="you are here")).to_contain_text("from 0:10")
    tab.locator("#branches button").first.click()
    _expect(tab.locator("#clock")).to_have_text("0:30")


def test_an_opening_is_pressed_while_it_is_held(opened: Open, session: Live, bench: Page) -> None:
    bench.act("stage", airplane=PLANE, mode="ground")
    bench.act("run", on=True)
    tab = opened()
    blow = tab.get_by_role("button", name="Blow")
    blow.wait_for()
    _expect(tab.locator("#ground output")).to_contain_text("kt")
    shown = tab.locator(".dial [data-shown='airspeed']")
    box = blow.bounding_box()
    tab.mouse.move(box["x"] + 10, box["y"] + 10)
    tab.mouse.down()
    _expect(blow).to_have_attribute("aria-pressed", "true")
    _expect(shown).to_have_text(re.compile(r"^1\d\d kt$"))  # eight inches of water are 111 kt
    tab.mouse.up()
    _expect(blow).to_have_attribute("aria-pressed", "false")
    _expect(shown).to_have_text(re.compile(r"^\d kt$"))
    blow.focus()
    tab.keyboard.down(" ")
    _expect(shown).to_have_text(re.compile(r"^1\d\d kt$"))
    tab.keyboard.up(" ")
    _expect(shown).to_have_text(re.compile(r"^\d kt$"))
    assert tab.locator(".limits meter").count() >= 5


def test_the_account_of_a_reading_is_a_ledger(opened: Open, bench: Page) -> None:
    bench.act("levers", climb_fpm=700)
    bench.act("fault", name="static-ports-blocked", onset_s=1.0)
    bench.act("step", seconds=20.0)
    tab = _there(opened())
    ask = tab.get_by_role("button", name="Why the altimeter reads what it reads")
    ask.click()
    tab.locator("dialog svg.ledger").wait_for(timeout=60_000)
    assert "static ports blocked" in tab.locator("dialog svg.ledger").text_content()
    tab.keyboard.press("Escape")
    assert not tab.locator("dialog").is_visible()
    assert ask.evaluate("(button) => button === document.activeElement")


def test_what_was_flown_is_handed_over_as_a_file(opened: Open, bench: Page) -> None:
    bench.act("step", seconds=2.0)
    tab = _there(opened())
    tab.locator("#keep").click()
    tab.fill("#save-title", "An <b>odd</b> name")
    with tab.expect_download() as coming:
        tab.keyboard.press("Enter")
    assert coming.value.suggested_filename.endswith(".toml")
    text = Path(coming.value.path()).read_text(encoding="utf-8")
    assert f'airplane = "{PLANE}"' in text
    assert "An <b>odd</b> name" in text


def test_the_class_is_opened_asked_and_told_apart(opened: Open, session: Live, bench: Page) -> None:
    tab = _there(opened())
    tab.get_by_role("button", name="Open a class").click()
    word = tab.locator("#classroom .word").inner_text()
    assert tab.locator("svg.qr").is_visible()
    seats = [session.sit(word, name) for name in ("Ines", "<i>Bo</i>")]
    rows = tab.locator("#classroom tbody tr")
    _expect(rows).to_have_count(2)
    _expect(rows.nth(1).locator("th")).to_have_text("<i>Bo</i>")
    tab.get_by_role("button", name="A different one to each").click()
    _expect(tab.locator("#told")).to_contain_text("2 learners have a fault of their own")
    for i in (0, 1):  # the roll follows within a moment
        _expect(rows.nth(i)).not_to_contain_text("as on the bench")
    given = rows.locator("td:nth-of-type(2)").all_text_contents()
    assert given[0].split(" from")[0] != given[1].split(" from")[0]
    ask = tab.get_by_role("button", name="Ask: what is wrong?")
    ask.click()
    _expect(ask).to_be_disabled()
    learner = session.seat(seats[0][0])
    learner.act("call", fault="none", since_s=None, would_do="")
    _expect(rows.nth(0)).to_contain_text("nothing is wrong")
    _expect(tab.locator(".called .call")).to_have_text("I")
    tab.get_by_role("button", name="Hold their panels").click()
    _expect(tab.get_by_role("button", name="Hold their panels")).to_have_attribute("aria-pressed", "true")
    learner.socket.close()
    tab.get_by_role("button", name="Close the class").click()
    tab.get_by_role("button", name="Open a class").wait_for()


def test_another_airplane_comes_with_its_own_drawings(opened: Open) -> None:
    tab = _there(opened())
    tab.get_by_role("button", name="Set up").click()
    tab.select_option("#set-airplane", "pressurised-turboprop")
    tab.get_by_role("button", name="Begin").click()
    _expect(tab.locator("#systems label")).to_have_count(2)
    assert tab.locator("#wall .system:visible").count() == 1
    tab.get_by_role("radio", name="right inlet").check()
    assert tab.locator("#wall .wide [data-column='airspeed-right.pitot']").is_visible()
    _expect(tab.locator("#dials .dial-cell")).to_have_count(7)


def test_readings_are_said_when_asked_for_and_not_by_themselves(opened: Open, bench: Page) -> None:
    tab = _there(opened())
    bench.act("step", seconds=5.0)
    _expect(tab.locator("#clock")).to_have_text("0:05")
    assert tab.locator("#told").inner_text() == ""
    tab.get_by_role("button", name="Say the readings").click()
    _expect(tab.locator("#told")).to_contain_text("Airspeed indicator")
    _expect(tab.locator("#told")).to_contain_text("true")


def test_the_pace_is_right_after_a_reload(opened: Open, bench: Page) -> None:
    bench.act("pace", times=30.0)
    tab = _there(opened())
    _expect(tab.locator("#pace")).to_have_value("30")
    bench.act("pace", times=2.0)
    _expect(tab.locator("#pace")).to_have_value("2")


def test_a_wrong_key_is_told_and_shows_nothing(opened: Open) -> None:
    tab = opened(key="not-the-key")
    _expect(tab.locator("#state")).to_contain_text("does not let this page in")
    assert tab.locator("#wall svg").count() == 0
