"""A whole class in real browsers: the instructor at the bench, learners at a laptop and a phone; by pointer,
by keyboard alone, and over the death of the server, which is the command in a process of its own.
"""

import os
import re
import signal
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from a_look import focus, look, tab_to
from a_process import command
from a_server import Live

pytestmark = [pytest.mark.browser, pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")]

DESK, LAPTOP, PHONE = (
    {"width": 1440, "height": 900},
    {"width": 1200, "height": 850},
    {"width": 390, "height": 844},
)
SCREENS: dict[str, dict[str, Any]] = {
    "dark": {"viewport": DESK, "color_scheme": "dark"},
    "phone": {"viewport": PHONE, "has_touch": True, "is_mobile": True},
    "phone-dark": {"viewport": PHONE, "has_touch": True, "is_mobile": True, "color_scheme": "dark"},
    "zoomed": {"viewport": {"width": 720, "height": 450}, "device_scale_factor": 2},  # 1440 x 900 at 200 %
}
PLANE = "high-wing-tube"
LOST = ("connection", "Failed to load", "WebSocket")  # what a browser says by itself of a server that is gone
Open = Callable[..., Any]


@pytest.fixture
def opened(browser: Any) -> Iterator[Open]:
    """Pages in contexts of their own, as on machines of their own; a script that fails, fails the test."""
    contexts, complaints = [], []

    def open_with(address: str, **settings: Any) -> Any:
        context = browser.new_context(**{"viewport": DESK, **settings})
        contexts.append(context)
        tab = context.new_page()
        tab.on("pageerror", lambda error: complaints.append(str(error)))
        tab.on("console", lambda said: None if _lost(said.text) else complaints.append(said.text))
        tab.goto(address)
        return tab

    def _lost(text: str) -> bool:
        return any(word in text for word in LOST)

    yield open_with
    for context in contexts:
        context.close()
    assert complaints == []


@pytest.fixture
def live(session: Live) -> Live:
    """The shared server, with a fresh flight and no class."""
    page = session.bench()
    page.act("class", open=False)
    assert page.act("stage", airplane=PLANE, mode="levers")["say"] == "done"
    page.act("pace", times=1.0)
    page.socket.close()
    return session


def expect(locator: Any) -> Any:
    from playwright.sync_api import expect as expected

    return expected(locator)


def bench_of(opened: Open, live: Live, **settings: Any) -> Any:
    """The instructor's page, once the first frame has moved its drawings."""
    tab = opened(f"{live.origin}/bench#{live.key}", **settings)
    tab.locator(".dial [data-shown='airspeed']", has_text=re.compile("[1-9]")).wait_for(state="attached")
    return tab


def press(tab: Any, name: str) -> None:
    tab.get_by_role("button", name=name, exact=True).click()


def take_seat(tab: Any, word: str, name: str) -> None:
    if word:
        tab.fill("#word", word)
    tab.fill("#name", name)
    press(tab, "Take a seat")
    tab.locator("#seat .dial-cell").first.wait_for()


def answer(tab: Any, title: str, doing: str = "") -> None:
    tab.locator("#answer fieldset:not([disabled])").wait_for()
    tab.select_option("#which", label=title)
    press(tab, "Now")
    tab.fill("#doing", doing)
    press(tab, "Write it down")
    expect(tab.locator(".written .call")).to_contain_text(title)


def shown(tab: Any, pointer: str) -> str:
    return str(tab.locator(f".dial [data-shown='{pointer}']").first.text_content())


def lay(tab: Any, part: str, title: str) -> None:
    tab.select_option("#part", part)
    tab.get_by_role("radio", name=title, exact=True).check()
    press(tab, "Lay it on")
    tab.locator(".bar-words", has_text=title).first.wait_for(state="attached")


def test_a_class_from_its_word_to_its_end_over_the_death_of_the_server(opened: Open, tmp_path: Path) -> None:
    with command(tmp_path, "--airplane", PLANE) as (process, live):
        bench = bench_of(opened, live)
        press(bench, "Open a class")
        word = bench.locator("#classroom .word").inner_text()
        ines = opened(live.origin, viewport=LAPTOP)
        take_seat(ines, word, "Ines")
        bo = opened(f"{live.origin}/#{word.replace(' ', '-')}", **SCREENS["phone"], reduced_motion="reduce")
        take_seat(bo, "", "Bo")
        rows = bench.locator("#classroom tbody tr")
        expect(rows).to_have_count(2)

        lay(bench, "right-port", "Static ports blocked")
        press(bench, "Give Bo a fault")
        bench.select_option("#give-fault", label="Pitot inlet and drain blocked")
        press(bench, "Give it")
        expect(rows.nth(1)).to_contain_text("Pitot inlet and drain blocked")
        bench.locator("#lever-climb_fpm").fill("700")
        bench.select_option("#pace", "10")
        press(bench, "Run")
        expect(bench.locator("#clock")).to_have_text(re.compile("0:[3-5][0-9]"), timeout=30_000)
        press(bench, "Pause")
        expect(bench.locator("#run")).to_have_text("Run")
        for tab in (ines, bo):
            expect(tab.locator("#clock")).to_have_text(bench.locator("#clock").inner_text())
        assert shown(ines, "altimeter") == shown(bench, "altimeter"), "a seat without faults of its own"
        assert shown(bo, "altimeter") != shown(ines, "altimeter"), "one climbs, the other is shut in"
        assert ines.locator("[data-true], svg.wall").count() == 0, "nothing of the truth before the reveal"
        assert bo.evaluate("document.getAnimations().length") == 0

        press(bench, "Ask: what is wrong?")
        answer(ines, "Static ports blocked", "Alternate source")
        expect(rows.nth(0)).to_contain_text("Alternate source")
        expect(bench.locator(".called .call")).to_have_text("I")
        press(bench, "Say the readings")
        expect(bench.locator("#told")).to_contain_text("Altimeter")
        before = bench.locator("#told").inner_text()
        os.kill(process.pid, signal.SIGKILL)
        process.wait(30)
        for tab in (ines, bo):
            tab.locator("[data-matter=lost]").wait_for()
        expect(bench.locator("#state")).to_contain_text("joins again by itself")
        look(bench, "class-lost-bench")
        look(bo, "class-lost-phone")

    with command(tmp_path, port=live.port) as (_, again):
        assert "Taken up again" in again.said
        for tab in (ines, bo):
            tab.locator("[data-matter=lost]").wait_for(state="detached", timeout=30_000)
        expect(bench.locator("#state")).to_be_hidden(timeout=30_000)
        press(bench, "Say the readings")
        expect(bench.locator("#told")).to_have_text(before)  # to the last figure
        expect(rows.nth(0)).to_contain_text("Alternate source")
        assert "Alternate source" in ines.locator(".written").inner_text()
        answer(bo, "Pitot inlet blocked", "Pitch and power")
        expect(bench.locator(".called .call")).to_have_text("I +1")  # at the same moment of the flight

        press(bench, "What was wrong")
        expect(ines.locator("#revealed")).to_contain_text("Static ports blocked")
        expect(bo.locator("#revealed")).to_contain_text("Pitot inlet and drain blocked")
        expect(bo.locator("#revealed")).to_contain_text("You wrote down")
        assert "Pitot" not in ines.locator("#revealed").inner_text()
        press(bench, "The pressure wall")
        bo.locator("svg.wall:visible").wait_for()
        look(bench, "class-revealed-bench")
        look(ines, "class-revealed-laptop")
        look(bo, "class-revealed-phone")

        bench.fill("#back-to", "0:10")
        bench.keyboard.press("Enter")
        for tab in (bench, ines, bo):
            expect(tab.locator("#clock")).to_have_text("0:10")
        bench.locator("#lever-speed_kt").fill("90")
        press(bench, "+1 s, a step")
        bench.locator("#branches-part summary").click()
        expect(bench.locator("#branches li", has_text="you are here")).to_contain_text("from 0:10")
        bench.locator("#branches button").first.click()
        expect(bo.locator("#clock")).to_have_text(re.compile("0:[3-9][0-9]"))

        with bench.expect_download(timeout=60_000) as coming:
            press(bench, "Debrief page")
        page = opened(Path(coming.value.path()).as_uri())
        for name in ("Ines", "Bo", "Alternate source"):
            assert name in page.locator("body").inner_text()
        press(bench, "Close the class")
        for tab in (ines, bo):
            tab.locator("[data-matter=over]").wait_for()


def test_a_class_by_keyboard_alone(opened: Open, live: Live) -> None:
    bench = bench_of(opened, live, reduced_motion="reduce")
    keys = bench.keyboard
    tab_to(bench, "Open a class")
    keys.press("Enter")
    word = bench.locator("#classroom .word").inner_text()
    seat = opened(live.origin, viewport=LAPTOP)
    seat.keyboard.type(word)  # the field has the focus at once
    seat.keyboard.press("Enter")
    seat.locator("#seat .dial-cell").first.wait_for()
    bench.locator("body").evaluate("() => document.activeElement.blur()")
    tab_to(bench, "part")
    keys.type("A")  # the letter on the line map
    keys.press("Tab")
    keys.press("Space")
    tab_to(bench, "Lay it on")
    keys.press("Enter")
    expect(bench.locator(".bar-words")).to_have_count(1)
    tab_to(bench, "Ask: what is wrong?")
    keys.press("Enter")
    seat.locator("#answer fieldset:not([disabled])").wait_for()
    tab_to(seat, "which")
    seat.keyboard.type("Unsure")
    seat.keyboard.press("End")
    tab_to(seat, "doing")
    seat.keyboard.type("Alternate source")
    tab_to(seat, "Write it down")
    seat.keyboard.press("Enter")
    seat.locator(".written .call").wait_for()
    expect(bench.locator("#classroom tbody tr")).to_contain_text("Alternate source")
    tab_to(bench, "What was wrong")
    keys.press("Enter")
    expect(seat.locator("#revealed")).to_contain_text("What it was")
    tab_to(bench, "Close the class")
    keys.press("Enter")
    seat.locator("[data-matter=over]").wait_for()


@pytest.mark.parametrize("screen", [None, "zoomed"])
def test_every_control_of_the_bench_is_reached_in_sight_and_shows_it(
    opened: Open, live: Live, screen: str | None
) -> None:
    bench = bench_of(opened, live, **SCREENS.get(screen or "", {}))
    press(bench, "Open a class")
    word = bench.locator("#classroom .word").inner_text()
    live.sit(word, "Ines")
    lay(bench, "right-port", "Static ports blocked")
    expect(bench.locator("#classroom tbody tr")).to_have_count(1)
    bench.locator(".skip").focus()  # from there on
    reached: list[dict[str, Any]] = []
    for _ in range(150):
        bench.keyboard.press("Tab")
        there = focus(bench)
        if there["tag"] == "BODY" or there["name"] == "To the pressure wall":
            break
        reached.append(there)
    assert reached[-1]["name"] == "Give Ines a fault"
    assert [one["name"] for one in reached if not one["ring"]] == []
    assert [one["name"] for one in reached if not one["inSight"]] == []
    names = {one["name"] for one in reached}
    for wanted in ("run", "pace", "lever-speed_kt", "part", "Lay it on", "back-to", "Ask: what is wrong?"):
        assert wanted in names


def _states(tab: Any) -> Iterator[str]:
    """States of the bench that tests/live/browser/test_bench_page.py has not, one after the other."""
    lay(tab, "right-port", "Static ports blocked")
    tab.locator("#branches-part summary").click()
    yield "branches"
    press(tab, "Why the altimeter reads what it reads")
    tab.locator("dialog svg.ledger").wait_for(timeout=60_000)
    yield "account"
    tab.keyboard.press("Escape")
    tab.locator("#keep").click()
    yield "saving"
    tab.keyboard.press("Escape")
    press(tab, "Set up")
    tab.get_by_role("radio", name=re.compile("file of your own")).check()
    yield "own-file"
    tab.keyboard.press("Escape")
    press(tab, "Open a class")
    yield "empty-class"


@pytest.mark.parametrize(
    "screen", [pytest.param(one, marks=[pytest.mark.full] if one != "dark" else []) for one in SCREENS]
)
def test_axe_finds_nothing_in_any_other_state(opened: Open, live: Live, screen: str) -> None:
    tab = bench_of(opened, live, **SCREENS[screen])
    page = live.bench()
    page.act("levers", climb_fpm=700)
    page.act("step", seconds=20.0)
    for state in _states(tab):
        look(tab, f"bench-{state}-{screen}", whole=not tab.locator("dialog[open]").count())
    other = opened(f"{live.origin}/bench#not-the-key", **SCREENS[screen])
    expect(other.locator("#state")).to_contain_text("does not let this page in")
    look(other, f"bench-shut-{screen}")
    page.socket.close()


def test_a_phone_that_was_turned_and_had_no_network_is_where_it_was(opened: Open, live: Live) -> None:
    page = live.bench()
    word = live.open_class(page)
    phone = opened(live.origin, **SCREENS["phone-dark"])
    take_seat(phone, word, "")
    page.act("ask")
    answer(phone, "Nothing is wrong")
    phone.context.set_offline(True)
    page.act("levers", speed_kt=95)
    page.act("step", seconds=30.0)
    phone.context.set_offline(False)
    phone.set_viewport_size({"width": 844, "height": 390})
    look(phone, "learner-turned")
    phone.reload()
    expect(phone.locator("#clock")).to_have_text("0:30")
    expect(phone.locator(".written .call")).to_contain_text("Nothing is wrong")
    page.socket.close()
