"""A learner's page on the real server, in a real browser: at the door, at the panel, answering, and when it
ends; by keyboard alone, on a phone, in the dark, zoomed.
"""

import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest
from a_look import look
from a_server import Live, Page, serving

pytestmark = pytest.mark.browser

DESK, PHONE = {"width": 1200, "height": 850}, {"width": 390, "height": 844}
SCREENS: dict[str, dict[str, Any]] = {
    "desk": {"viewport": DESK},
    "phone": {"viewport": PHONE, "has_touch": True},
    "dark": {"viewport": PHONE, "color_scheme": "dark", "reduced_motion": "reduce"},
    "zoomed": {"viewport": {"width": 640, "height": 400}, "device_scale_factor": 2},  # 1280 x 800 at 200 %
}
Open = Callable[..., Any]


@pytest.fixture
def opened(browser: Any, session: Live) -> Iterator[Open]:
    """Open the learner's page; whatever it complains of, or asks of another machine, fails the test."""
    contexts, complaints = [], []

    def open_with(address: str = "", context: Any = None, **settings: Any) -> Any:
        if context is None:
            context = browser.new_context(**{"viewport": DESK, **settings})
            contexts.append(context)
        tab = context.new_page()
        tab.on("pageerror", lambda error: complaints.append(str(error)))
        tab.on(
            "console", lambda said: complaints.append(said.text) if "status of 4" not in said.text else None
        )
        tab.on(
            "request", lambda asked: complaints.append(asked.url) if not _ours(asked.url, session) else None
        )
        tab.goto(address or session.origin)
        return tab

    yield open_with
    for context in contexts:
        context.close()
    assert complaints == []


def _ours(address: str, live: Live) -> bool:
    return address.startswith(live.origin)


@pytest.fixture
def bench(session: Live) -> Iterator[Page]:
    """The instructor's page, with a flight of its own that stands still."""
    page = session.bench()
    assert page.act("stage", airplane="low-wing-mast", mode="levers")["say"] == "done"
    yield page
    page.socket.close()


def _seated(tab: Any, word: str, name: str = "Ines") -> None:
    tab.fill("#word", word)
    tab.fill("#name", name)
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#seat:not([hidden]) .dial-cell")


def _until(tab: Any, selector: str, words: str) -> None:
    """Wait for words; a function to wait for is not allowed by the page's security policy."""
    tab.locator(selector, has_text=words).first.wait_for(state="attached")


def _look(tab: Any, state: str, screen: str) -> None:
    look(tab, f"learner-{state}-{screen}")


def _write_down(tab: Any, title: str = "Pitot inlet blocked", since: bool = True, doing: str = "") -> None:
    tab.select_option("#which", label=title)
    if since:
        tab.get_by_role("button", name="Now", exact=True).click()
    tab.fill("#doing", doing)
    tab.locator("#answer button.main").click()
    tab.wait_for_selector(".written:not([hidden])")


@pytest.mark.parametrize("screen", SCREENS)
def test_axe_finds_nothing_in_any_state(opened: Open, session: Live, bench: Page, screen: str) -> None:
    word = session.open_class(bench)
    tab = opened(**SCREENS[screen])
    tab.wait_for_selector("#joining:not([hidden])")
    _look(tab, "joining", screen)
    tab.fill("#word", "no such")
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#join-wrong:not([hidden])")
    _look(tab, "refused", screen)
    _seated(tab, word)
    _look(tab, "panel", screen)
    bench.act("ask")
    tab.wait_for_selector("#answer fieldset:not([disabled])")
    _look(tab, "asked", screen)
    tab.locator("#answer button.main").click()
    tab.wait_for_selector("#answer-wrong:not([hidden])")
    _look(tab, "not-answered", screen)
    _write_down(tab, doing="Pitch and power")
    _look(tab, "answered", screen)
    bench.act("hold", on=True)
    tab.wait_for_selector("[data-matter=held]")
    _look(tab, "held", screen)
    bench.act("hold", on=False)
    bench.act("fault", name="pitot-inlet-blocked")
    for what in ("faults", "truth", "wall"):
        bench.act("reveal", what=what)
    tab.wait_for_selector("#revealed table")
    tab.wait_for_selector("svg.wall:visible")
    _look(tab, "revealed", screen)
    bench.act("class", open=False)
    tab.wait_for_selector("[data-matter=over]")
    _look(tab, "over", screen)


def test_the_door_says_why_it_stays_shut_and_opens_by_keyboard_alone(
    opened: Open, session: Live, bench: Page
) -> None:
    word = session.open_class(bench)
    tab = opened()
    assert tab.evaluate("document.activeElement.id") == "word"
    tab.keyboard.press("Enter")
    assert "Write the class word first" in tab.inner_text("#join-wrong")
    tab.keyboard.type("not that")
    tab.keyboard.press("Enter")
    _until(tab, "#join-wrong", "No class has this word")
    assert tab.evaluate("document.activeElement.id") == "word"
    tab.keyboard.press("Control+A")
    tab.keyboard.type(word)
    tab.keyboard.press("Tab")
    tab.keyboard.type("Ines")
    tab.keyboard.press("Tab")
    tab.keyboard.press("Enter")
    tab.wait_for_selector("#seat:not([hidden])")


def test_the_code_fills_in_the_word(opened: Open, session: Live, bench: Page) -> None:
    word = session.open_class(bench)
    tab = opened(f"{session.origin}/#{word.replace(' ', '-')}")
    assert tab.input_value("#word") == word
    assert tab.evaluate("document.activeElement.id") == "name"
    assert tab.evaluate("location.hash") == ""


def test_an_answer_reaches_the_instructor_may_be_changed_and_taken_back(
    opened: Open, session: Live, bench: Page
) -> None:
    tab = opened()
    _seated(tab, session.open_class(bench), "Adaeze")
    assert "Nothing is asked yet" in tab.inner_text("#answer")
    assert tab.is_disabled("#which")
    assert bench.act("step", seconds=60)["say"] == "done"
    assert (at_s := session.room.deck.now_s) >= 60.0
    bench.act("ask")
    tab.wait_for_selector("#answer fieldset:not([disabled])")
    _write_down(tab, doing="<b>Pitch</b> & power")
    assert "<b>Pitch</b> & power" in tab.inner_text(".written")
    (call,) = _calls(session, "Adaeze")
    assert (call.fault, call.since_s) == ("pitot-inlet-blocked", pytest.approx(at_s, abs=0.6))
    assert call.would_do == "<b>Pitch</b> & power"
    tab.get_by_role("button", name="10 s earlier").click()
    tab.select_option("#which", label="Nothing is wrong")
    tab.locator("#answer button.main").click()
    _until(tab, ".written .call", "Nothing is wrong")
    assert _calls(session, "Adaeze")[-1].since_s == pytest.approx(at_s - 10.0, abs=0.6)
    tab.get_by_role("button", name="Take it back").click()
    tab.wait_for_selector(".written[hidden]", state="attached")
    assert _calls(session, "Adaeze")[-1].fault is None


def _calls(session: Live, name: str) -> list[Any]:
    school = session.room.school
    seat = next(one.seat for one in school.seats.values() if one.name == name)
    return [call for call in school.rounds[-1].calls if call.seat == seat]


def test_a_time_that_is_none_or_later_than_now_is_sent_back_to_its_field(
    opened: Open, session: Live, bench: Page
) -> None:
    tab = opened()
    _seated(tab, session.open_class(bench), "Bo")
    bench.act("ask")
    tab.wait_for_selector("#answer fieldset:not([disabled])")
    tab.select_option("#which", label="Nothing is wrong")
    for wrong, why in (("soon", "minutes:seconds"), ("99:00", "later than now")):
        tab.fill("#since", wrong)
        tab.keyboard.press("Enter")
        tab.wait_for_selector("#answer-wrong:not([hidden])")
        assert why in tab.inner_text("#answer-wrong")
        assert tab.evaluate("document.activeElement.id") == "since"
        assert tab.get_attribute("#since", "aria-invalid") == "true"
    assert _calls(session, "Bo") == []


def test_a_learner_who_reloads_or_opens_another_window_is_where_they_were(
    opened: Open, session: Live, bench: Page
) -> None:
    tab = opened()
    _seated(tab, session.open_class(bench), "Quirin")
    bench.act("ask")
    tab.wait_for_selector("#answer fieldset:not([disabled])")
    _write_down(tab, "Static ports blocked", since=False)
    tab.reload()
    tab.wait_for_selector(".written .call")
    assert "Static ports blocked" in tab.inner_text(".written")
    assert tab.input_value("#which") == "static-ports-blocked"
    other = opened(context=tab.context)  # as a phone does that closed the first: by what the browser kept
    other.wait_for_selector(".written .call")
    tab.wait_for_selector("[data-matter=elsewhere]")
    assert len(session.room.school.seats) == 1


def test_what_is_shown_is_what_the_frames_say_and_stands_still_while_held(
    opened: Open, session: Live, bench: Page
) -> None:
    tab = opened()
    _seated(tab, session.open_class(bench), "Mirel")
    bench.act("levers", speed_kt=100)
    bench.act("step", seconds=60)
    _until(tab, "[data-shown=airspeed]", "100 kt")
    tab.locator("#aloud").click()
    _until(tab, "#told", "Airspeed indicator 100 kt")
    bench.act("hold", on=True)
    tab.wait_for_selector("[data-matter=held]")
    bench.act("levers", speed_kt=80)
    bench.act("step", seconds=60)
    assert tab.locator("[data-shown=airspeed]").first.text_content() == "100 kt"
    bench.act("hold", on=False)
    _until(tab, "[data-shown=airspeed]", "80 kt")
    tab.wait_for_selector("[data-matter=held]", state="detached")


def test_two_learners_see_their_own_panel_and_their_own_reveal(
    opened: Open, session: Live, bench: Page
) -> None:
    word = session.open_class(bench)
    one, two = opened(), opened(**SCREENS["phone"])
    _seated(one, word, "Sanna")
    _seated(two, word, "")
    seats = list(session.room.school.seats)
    assert (
        bench.act("give", seat=seats[1], faults=[{"name": "pointer-stuck", "where": "altimeter"}])["say"]
        == "done"
    )
    bench.act("ask")
    two.wait_for_selector("#answer fieldset:not([disabled])")
    _write_down(two, "Pointer stuck", since=False)
    bench.act("reveal", what="faults")
    one.wait_for_selector("#revealed:not([hidden])")
    two.wait_for_selector("#revealed:not([hidden])")
    assert "Pointer stuck" not in one.inner_text("#revealed")
    assert "You wrote nothing down" in one.inner_text("#revealed")
    assert "Pointer stuck, altimeter" in two.inner_text("#revealed")
    assert two.locator("#answer form").is_hidden()
    assert "nothing can be changed" in two.inner_text("#answer")
    assert one.locator("svg.wall").count() == 0
    assert one.locator("[data-true]").count() == 0


def test_every_control_is_reached_by_keyboard_and_shows_it(opened: Open, session: Live, bench: Page) -> None:
    tab = opened()
    _seated(tab, session.open_class(bench), "Otto")
    bench.act("ask")
    tab.wait_for_selector("#answer fieldset:not([disabled])")
    seen = []
    tab.evaluate("document.activeElement.blur()")
    for _ in range(12):
        tab.keyboard.press("Tab")
        seen.append(
            tab.evaluate(
                "(() => { const e = document.activeElement; const s = getComputedStyle(e);"
                " return [e.id || e.textContent, s.outlineStyle, parseFloat(s.outlineWidth)]; })()"
            )
        )
        if seen[-1][0] == "Leave this seat":
            break
    reached = [name for name, _, _ in seen]
    wanted = [
        "aloud",
        "which",
        "since",
        "Now",
        "10 s earlier",
        "10 s later",
        "doing",
        "Write it down",
        "Leave this seat",
    ]
    assert reached == wanted
    assert all(style == "solid" and width >= 2.0 for _, style, width in seen)


def test_nothing_moves_but_what_is_flown(opened: Open, session: Live, bench: Page) -> None:
    tab = opened(reduced_motion="reduce")
    _seated(tab, session.open_class(bench), "Yara")
    assert tab.evaluate("document.getAnimations().length") == 0
    slow = "e => parseFloat(getComputedStyle(e).transitionDuration) > 0"
    assert tab.evaluate(f"[...document.querySelectorAll('*')].filter({slow}).length") == 0


def test_leaving_gives_the_seat_up_and_the_end_says_so(opened: Open, session: Live, bench: Page) -> None:
    word = session.open_class(bench)
    tab = opened()
    _seated(tab, word, "Jun")
    tab.get_by_role("button", name="Leave this seat").click()
    tab.wait_for_selector("#joining:not([hidden])")
    _seated(tab, word, "Jun again")
    bench.act("class", open=False)
    tab.wait_for_selector("[data-matter=over]")
    assert "The class is over" in tab.inner_text("[data-matter=over]")
    tab.reload()
    tab.wait_for_selector("#joining:not([hidden])")


def test_a_seat_of_a_class_that_is_gone_leads_back_to_the_door(
    opened: Open, session: Live, bench: Page
) -> None:
    session.open_class(bench)
    tab = opened()
    tab.evaluate("localStorage.setItem('seat-token', 'of another class')")
    tab.reload()
    tab.wait_for_selector("#join-wrong:not([hidden])")
    assert re.search("not known any more", tab.inner_text("#join-wrong"))


def test_a_lost_link_is_said_and_axe_finds_nothing_in_it(browser: Any, tmp_path: Path) -> None:
    context = browser.new_context(viewport=PHONE)
    with serving(tmp_path / "kept", {"do": "stage", "airplane": "glass-trainer"}) as live:
        tab = context.new_page()
        tab.goto(live.origin)
        _seated(tab, live.open_class(live.bench()), "Ines")
    tab.wait_for_selector("[data-matter=lost]")
    _look(tab, "lost", "phone")
    assert "tries again by itself" in tab.inner_text("[data-matter=lost]")
    context.close()
