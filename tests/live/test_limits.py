"""What is too large, too often, or no message at all: refused or let go, and the class goes on."""

import json
import time
from typing import get_args

import pytest
from a_server import Live
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill.live import app, messages

ANY = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=20),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(max_size=10), inner, max_size=4),
    max_leaves=12,
)
KINDS = [
    kind for union in (messages.BenchMessage, messages.SeatMessage) for kind in get_args(get_args(union)[0])
]
VERBS = st.sampled_from(sorted({get_args(kind.model_fields["do"].annotation)[0] for kind in KINDS}))
FIELDS = st.sampled_from(sorted({name for kind in KINDS for name in kind.model_fields} - {"do"}))
MESSAGES = st.builds(lambda do, more: {**more, "do": do}, VERBS, st.dictionaries(FIELDS, ANY, max_size=5))
TEXTS = MESSAGES.map(json.dumps) | ANY.map(json.dumps) | st.text(max_size=200)


@pytest.mark.parametrize(
    ("path", "largest"), [("bench", messages.BENCH_BYTES), ("seat", messages.SEAT_BYTES)]
)
def test_a_message_too_large_ends_its_socket_and_nothing_else(session: Live, path: str, largest: int) -> None:
    bench = session.bench()
    token, _ = session.sit(session.open_class(bench))
    page = session.bench() if path == "bench" else session.seat(token)
    page.socket.send(json.dumps({"do": "nothing", "x": "y" * (largest - 40)}))
    page.until("refused")
    page.socket.send("z" * (largest + 1))
    assert page.closed() == 1009
    page = session.bench() if path == "bench" else session.seat(token)
    page.socket.send("ü" * (largest // 2 + 1))  # so many letters would do, so many bytes do not
    assert page.closed() == 1009
    assert bench.act("class", open=False)["say"] == "done"


def test_bytes_are_no_message(session: Live) -> None:
    page = session.bench()
    page.socket.send(b"\x00\x01")
    assert page.closed() == 1003


def test_what_is_done_in_one_go_is_slowed_down_and_all_of_it_is_done(session: Live) -> None:
    bench = session.bench()
    for pace in range(45):
        bench.say(do="pace", times=1.0 + pace, id=pace)
    began = time.monotonic()
    bench.until("done", id=44)
    assert session.room.clock.pace == 45.0
    assert time.monotonic() - began > 0.3  # 15 more than 30 at once: half a second
    bench.act("pace", times=1.0)


def test_a_flood_is_shut_out_and_nobody_else_minds(session: Live, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(app, "PATIENCE", 5)
    bench = session.bench()
    token, _ = session.sit(session.open_class(bench))
    learner = session.seat(token)
    for _ in range(30):
        learner.say(do="pong")
    assert learner.closed() == 4408
    assert bench.act("class", open=False)["say"] == "done"


def test_whatever_a_page_sends_the_class_goes_on(session: Live, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(messages, "BENCH_PER_S", 1e6)
    monkeypatch.setattr(messages, "SEAT_PER_S", 1e6)
    steady = session.bench()
    token, _ = session.sit(session.open_class(steady))

    @settings(max_examples=40)
    @given(st.lists(TEXTS, max_size=4), st.booleans())
    def any_of_it(texts: list[str], by_the_instructor: bool) -> None:
        if session.room.school.open:
            page = session.bench() if by_the_instructor else session.seat(token)
        else:
            page = session.bench()
        for text in texts:
            page.socket.send(text)
        page.say(
            do="rewind" if by_the_instructor else "recall",
            id=77,
            **({"to_s": 0.0} if by_the_instructor else {}),
        )
        while True:
            got = page.next()
            if isinstance(got, dict) and got.get("id") == 77:
                break
        page.socket.close()

    any_of_it()
    assert steady.act("run", on=False)["say"] == "done"
    assert steady.act("stage", airplane="low-wing-mast")["say"] == "done"
    assert steady.act("step", seconds=1.0)["say"] == "done"
