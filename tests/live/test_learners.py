"""A class on a real server: learners join, answer and come back, and reach nothing that is not theirs."""

import json
import struct
from pathlib import Path
from typing import Any, get_args

import pytest
from a_server import Live, Page, serving

from ramstill.live import messages
from ramstill.live.record import NOTHING_WRONG

STAGE = {"do": "stage", "airplane": "low-wing-mast"}
# One well-formed message of every kind that the instructor's page may send.
INSTRUCTOR: list[dict[str, Any]] = [
    {"do": "enter", "key": "x"},
    {"do": "stage", "airplane": "sailplane"},
    {"do": "levers", "speed_kt": 120.0},
    {"do": "heat", "on": False},
    {"do": "alternate", "open": True},
    {"do": "fault", "name": "static-ports-blocked"},
    {"do": "move_fault", "fault": "f1", "onset_s": 1.0},
    {"do": "lift", "fault": "f1"},
    {"do": "drop", "fault": "f1"},
    {"do": "press", "opening": "mast-inlet", "how": "blow", "inh2o": 5.0},
    {"do": "run", "on": True},
    {"do": "pace", "times": 10.0},
    {"do": "step", "seconds": 5.0},
    {"do": "rewind", "to_s": 0.0},
    {"do": "branch", "branch": "1"},
    {"do": "save", "title": "mine"},
    {"do": "account", "pointer": "altimeter"},
    {"do": "class", "open": False},
    {"do": "give", "seat": "all", "faults": "bench"},
    {"do": "ask"},
    {"do": "reveal", "what": "faults"},
    {"do": "hold", "on": True},
    {"do": "debrief"},
]


def figures(raw: bytes) -> tuple[float, ...]:
    return struct.unpack_from(f"<{(len(raw) - 16) // 4}f", raw, 16)


def last(page: Page, say: str) -> dict[str, Any]:
    return next(message for message in reversed(page.heard) if message["say"] == say)


def calls_on_the_roll(bench: Page, count: int) -> list[dict[str, Any]]:
    """The calls of the first seat, once there are so many."""
    while True:
        calls: list[dict[str, Any]] = bench.until("roll")["seats"][0]["calls"]
        if len(calls) == count:
            return calls


def test_every_kind_of_message_is_among_those_that_are_tried() -> None:
    union = get_args(get_args(messages.BenchMessage)[0])
    kinds = {get_args(kind.model_fields["do"].annotation)[0] for kind in union}
    assert kinds == {message["do"] for message in INSTRUCTOR}
    for message in INSTRUCTOR:
        messages.read(messages.BENCH, json.dumps(message))


def test_with_a_token_nothing_of_the_instructor_s_is_reached(
    session: Live, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(messages, "SEAT_PER_S", 1000.0)  # so that it takes no second
    bench = session.bench()
    token, seat = session.sit(session.open_class(bench))
    wrong = session.page("/bench/socket")
    wrong.say(do="enter", key=token)
    assert wrong.closed() == 4403
    assert wrong.heard == []
    learner = session.seat(token)
    room = session.room
    room.clock.running = False
    before = room.deck.tick, room.deck.text(""), room.kept.count, room.school.open, room.clock.pace
    for message in INSTRUCTOR:
        if message["do"] == "enter":
            continue
        learner.socket.send(json.dumps(message | {"id": 7}))
        answer = learner.until("refused")
        assert answer["id"] == 7, message
    learner.say(do="enter", token=token)
    learner.say(do="pong")
    assert learner.act("call", fault=NOTHING_WRONG)["say"] == "refused"  # nothing was asked
    assert before == (room.deck.tick, room.deck.text(""), room.kept.count, room.school.open, room.clock.pace)
    assert {message["say"] for message in learner.heard} <= {
        "stage",
        "asked",
        "called",
        "held",
        "revealed",
        "refused",
    }
    for path in ("/bench/socket", "/join", "/pages/", "/debrief", "/session.sqlite"):
        assert session.ask("GET", path, Authorization=f"Bearer {token}")[0] in (404, 405)
    assert seat in room.school.seats


def test_wrong_words_are_refused_then_throttled(tmp_path: Path) -> None:
    with serving(tmp_path, STAGE) as live:
        assert live.join("acorn willow")[0] == 403  # no class yet
        word = live.open_class(live.bench())
        statuses = [live.join(f"acorn acorn{n}")[0] for n in range(5)]
        assert statuses == [403, 403, 403, 403, 429]  # five in all
        status, said = live.join(word)
        assert status == 429
        assert "wait" in said["refused"]
        _, headers, _ = live.ask("POST", "/join", b'{"word":"x"}')
        assert 0 < int(headers["retry-after"]) <= 13


def test_a_word_expires(session: Live, monkeypatch: pytest.MonkeyPatch) -> None:
    word = session.open_class(session.bench())
    monkeypatch.setattr(session.room.school, "expires_at", 1.0)
    assert session.join(word)[0] == 403
    monkeypatch.undo()
    assert session.join(word.upper().replace(" ", "-"))[0] == 200


@pytest.mark.parametrize(
    "body", [b"", b"[]", b"{", b'{"word":5}', b'{"word":"a","more":1}', b'{"word":"' + b"a" * 5000 + b'"}']
)
def test_a_door_that_is_knocked_at_strangely_stays_shut(session: Live, body: bytes) -> None:
    status, _, answer = session.ask("POST", "/join", body)
    assert status == 400
    assert "refused" in json.loads(answer)


def test_names_are_text_and_optional(session: Live) -> None:
    bench = session.bench()
    word = session.open_class(bench)
    session.sit(word, "<b>Ann</b>\u202e " + "x" * 100)
    session.sit(word)
    while len(roll := bench.until("roll")["seats"]) < 2:
        pass
    assert [seat["name"] for seat in roll] == ["<b>Ann</b> " + "x" * 29, ""]


def test_a_class_from_the_question_to_the_debrief(session: Live) -> None:
    bench = session.bench()
    bench.act("run", on=False)
    token, _ = session.sit(session.open_class(bench), "Ines")
    learner = session.seat(token)
    stage = last(learner, "stage")
    assert stage["name"] == "Ines"
    assert not any(name.startswith(("true:", "column:")) for name in stage["fields"])
    assert "walls" not in stage
    assert last(learner, "asked")["open"] is False
    assert bench.act("fault", name="static-ports-blocked")["say"] == "done"
    assert bench.act("step", seconds=5.0)["say"] == "done"
    assert bench.act("ask")["say"] == "done"
    assert learner.until("asked", open=True)["round"] >= 1
    assert learner.act("call", fault="no-such-fault")["say"] == "refused"
    assert learner.act("call", fault="pitot-inlet-blocked", since_s=2.0)["say"] == "called"
    called = learner.act("call", fault="static-ports-blocked", since_s=0.5, would_do="alternate\n<i>open</i>")
    assert called["call"]["would_do"] == "alternate <i>open</i>"
    calls = calls_on_the_roll(bench, 2)
    assert [call["fault"] for call in calls] == ["pitot-inlet-blocked", "static-ports-blocked"]
    assert learner.act("recall")["call"] is None
    assert learner.act("call", fault="static-ports-blocked", since_s=0.5)["say"] == "called"
    assert bench.act("reveal", what="faults")["say"] == "done"
    shown = learner.until("revealed", what=["faults"])
    assert [fault["name"] for fault in shown["faults"]] == ["static-ports-blocked"]
    assert learner.act("call", fault=NOTHING_WRONG)["say"] == "refused"
    assert bench.act("reveal", what="truth")["say"] == "done"
    assert bench.act("reveal", what="wall")["say"] == "done"
    more = learner.until("stage")
    while "walls" not in more:
        more = learner.until("stage")
    assert {"static", "true:altimeter"} <= set(more["fields"])
    assert len(learner.frame()) == 16 + 4 * len(more["fields"])
    assert bench.act("reveal", what="nothing")["say"] == "done"
    assert "walls" not in learner.until("stage")
    page = bench.act("debrief")
    assert page["say"] == "debrief", page
    assert "Ines" in page["text"]
    assert (session.room.kept.folder / page["name"]).read_text(encoding="utf-8") == page["text"]
    assert bench.act("class", open=False)["say"] == "done"
    assert learner.closed() == 4410
    assert learner.heard[-1] == {"say": "over"}
    again = session.page("/seat/socket")
    again.say(do="enter", token=token)
    assert again.closed() == 4403


def test_who_drops_out_comes_back_to_where_they_were(session: Live) -> None:
    bench = session.bench()
    token, seat = session.sit(session.open_class(bench), "Tomasz")
    learner = session.seat(token)
    bench.act("ask")
    bench.act("give", seat=seat, faults=[{"name": "vsi-glass-broken"}])
    learner.act("call", fault="vsi-glass-broken", since_s=3.0, would_do="wait")
    learner.socket.close()
    while any(one["here"] for one in bench.until("roll")["seats"]):
        pass
    back = session.seat(token)
    assert last(back, "stage")["name"] == "Tomasz"
    assert last(back, "asked")["open"] is True
    assert last(back, "called")["call"]["fault"] == "vsi-glass-broken"
    assert session.room.school.craft_of(seat) != "bench"
    other = session.seat(token)
    assert back.closed() == 4409
    assert other.act("recall")["say"] == "called"


def test_each_has_a_panel_of_their_own_or_the_bench_s(session: Live) -> None:
    bench = session.bench()
    bench.act("run", on=False)
    bench.act("stage", airplane="low-wing-mast", mode="levers")
    word = session.open_class(bench)
    (one, first), (two, second) = session.sit(word), session.sit(word)
    blocked, sound = session.seat(one), session.seat(two)
    assert bench.act("give", seat=first, faults=[{"name": "static-ports-blocked"}])["say"] == "done"
    assert bench.act("levers", climb_fpm=700, altitude_ft=6000)["say"] == "done"
    assert bench.act("step", seconds=60.0)["say"] == "done"
    fields = last(sound, "stage")["fields"]
    at = fields.index("altimeter")
    seen = {}
    for name, page in (("blocked", blocked), ("sound", sound)):
        raw = page.frame()
        while struct.unpack_from("<d", raw, 8)[0] < 60.0:
            raw = page.frame()
        seen[name] = figures(raw)[at]
    assert seen["sound"] - seen["blocked"] > 60.0  # m of some 150 climbed: one altimeter stands still
    told = [["static-ports-blocked"], []]
    while [[fault["name"] for fault in seat["faults"]] for seat in last(bench, "roll")["seats"]] != told:
        bench.next()
    assert bench.act("give", seat="all", faults="bench")["say"] == "done"
    assert list(session.room.deck.world.crafts) == ["bench"]
    assert bench.act("give", seat="nobody", faults="bench")["say"] == "refused"
    assert bench.act("give", seat=second, faults=[{"name": "no-such-fault"}])["say"] == "refused"
    over = {"name": "pitot-inlet-blocked", "onset_s": None, "end_s": -5.0}  # an end before it begins
    assert bench.act("give", seat=second, faults=[over])["say"] == "refused"
    assert list(session.room.deck.world.crafts) == ["bench"]


def test_a_panel_that_is_held_stands_still(session: Live) -> None:
    bench = session.bench()
    token, _ = session.sit(session.open_class(bench))
    learner = session.seat(token)
    learner.frame()
    assert bench.act("hold", on=True)["say"] == "done"
    assert learner.until("held")["on"] is True
    stood = session.room.deck.now_s
    bench.act("step", seconds=5.0)
    back = session.seat(token)
    assert last(back, "held")["on"] is True
    bench.act("ask")
    assert back.act("call", fault=NOTHING_WRONG)["call"]["at_s"] == stood  # of what is looked at
    back = session.seat(token)
    _, flags, at_s = struct.unpack_from("<IId", back.frame())
    assert flags & 4
    assert at_s == stood
    assert bench.act("hold", on=False)["say"] == "done"
    _, flags, at_s = struct.unpack_from("<IId", back.frame())
    while flags & 4:
        _, flags, at_s = struct.unpack_from("<IId", back.frame())
    assert at_s == stood + 5.0


def test_a_class_that_is_closed_takes_its_panels_along_and_the_flight_goes_on(session: Live) -> None:
    bench = session.bench()
    _, seat = session.sit(session.open_class(bench))
    bench.act("give", seat=seat, faults=[{"name": "vsi-glass-broken"}])
    bench.act("hold", on=True)
    bench.act("run", on=True)
    assert bench.act("class", open=False)["say"] == "done"
    assert list(session.room.deck.world.crafts) == ["bench"]
    now = session.room.deck.now_s
    while struct.unpack_from("<d", bench.frame(), 8)[0] <= now + 0.5:
        pass
    assert bench.act("run", on=False)["say"] == "done"
    assert not any(message["say"] == "note" for message in bench.heard)
    word = session.open_class(bench)
    token, _ = session.sit(word)
    assert last(session.seat(token), "held")["on"] is False


def test_the_class_is_shown_with_a_code_that_holds_its_address(session: Live) -> None:
    bench = session.bench()
    word = session.open_class(bench)
    said = last(bench, "class")
    assert said["url"] == f"http://127.0.0.1:{session.port}/"
    assert said["qr"]["size"] >= 21 + 8
    assert set(said["qr"]["path"]) <= set("Mhvz-0123456789 ")
    assert 0 < said["expires_s"] <= 3 * 3600
    assert word == said["word"]
    assert bench.act("class", open=True)["say"] == "refused"
