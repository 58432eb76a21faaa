"""A storm of whatever can be sent, to both sockets and to the door: malformed, huge, out of order. After each
gust the class is where it was: a learner who did nothing wrong gets the next frame, the instructor can act.
"""

import json
import logging
import socket
import struct
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

import pytest
from a_server import Live, Page, serving
from a_storm import BENCH, FAULT_NAMES, PLANE, SEAT, SELDOM, WHO
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from websockets.exceptions import ConnectionClosed

from ramstill.faults import catalogue
from ramstill.live import app, messages
from ramstill.live.throttle import Guesses

GUST = 10  # messages at least in each example
MORE = 18  # times as many with full counts
LINE_S = 5.0

EXAMPLES = {"bench": 24, "seat": 16, "stranger-bench": 5, "stranger-seat": 5, "raw": 6, "join": 8}


@dataclass
class School:
    """A class that goes on while others storm it."""

    live: Live
    bench: Page
    learner: Page
    good: str  # the token of that learner
    noisy: str  # and of one who means no good
    sent: Counter[str] = field(default_factory=Counter)

    def stands(self) -> None:
        """The instructor acts, the good learner sees it."""
        live, deck = self.live, self.live.room.deck
        assert self.bench.act("run", on=False)["say"] == "done"
        assert self.bench.act("pace", times=1.0)["say"] == "done"
        if live.room.school.seat_of(self.good) is None:
            self.open_again()
        assert self.bench.act("hold", on=False)["say"] == "done"
        deck = live.room.deck
        if deck.ended or deck.tick > 20_000 or len(deck.world.placed()) > 12 or deck.mode != "levers":
            assert self.bench.act("stage", airplane=PLANE)["say"] == "done"
            deck = live.room.deck
        before = deck.tick
        assert self.bench.act("step", seconds=0.05)["say"] == "done"
        assert deck.tick == before + 1
        while struct.unpack_from("<I", self.learner.frame())[0] != deck.tick:
            pass

    def open_again(self) -> None:
        """A gust of the instructor's own may close a class: that is no harm."""
        word = self.live.open_class(self.bench)
        self.good = self.live.sit(word, "Ines")[0]
        self.learner = self.live.seat(self.good)
        self.noisy = self.live.sit(word, "Bo")[0]


@pytest.fixture(scope="module")
def school(tmp_path_factory: pytest.TempPathFactory) -> Iterator[School]:
    """A class with no limits to how often: the storm is to reach what is behind them."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(messages, "BENCH_PER_S", 1e6)
        patch.setattr(messages, "SEAT_PER_S", 1e6)
        patch.setattr(app, "Guesses", lambda: Guesses(most=10**9, most_of_all=10**9))
        patch.setattr(app, "ENTER_S", 0.5)
        with serving(tmp_path_factory.mktemp("fuzz"), {"do": "stage", "airplane": PLANE}) as live:
            one = School(live, live.bench(), None, "", "")  # type: ignore[arg-type]
            one.open_again()
            yield one


def _socket(school: School, who: str, gust: list[str | bytes]) -> None:
    """Send all of it on a page's socket; what it hears is of no account."""
    live = school.live
    if who == "bench":
        page = live.bench()
    elif who == "seat":
        page = live.seat(school.noisy)
    else:
        page = live.page("/bench/socket" if who == "stranger-bench" else "/seat/socket")
    number = 0
    try:
        for number, one in enumerate(gust, 1):  # noqa: B007 - how many could be sent
            page.socket.send(one)
        if who in ("bench", "seat"):
            _heard_out(page, "run" if who == "bench" else "recall")
    except ConnectionClosed:
        pass
    finally:
        school.sent[who] += number
        page.socket.close()


def _heard_out(page: Page, do: str) -> None:
    """Everything sent was heard once this is answered."""
    page.say(do=do, id="last", **({"on": False} if do == "run" else {}))
    while True:
        got = page.next()
        if isinstance(got, dict) and got.get("id") == "last":
            return


def _raw(school: School, gust: list[Any]) -> None:
    """Bytes on a connection of their own, half of them after a handshake that was right."""
    live = school.live
    for one in gust:
        with socket.create_connection(("127.0.0.1", live.port), timeout=LINE_S) as line:
            if isinstance(one, tuple):
                line.sendall(_handshake(live))
                line.recv(4096)
                one = one[1]
            try:
                line.sendall(one)
                line.shutdown(socket.SHUT_WR)
                while line.recv(65_536):
                    pass
            except OSError:
                pass
        school.sent["raw"] += 1


def _handshake(live: Live) -> bytes:
    """An opening handshake of RFC 6455, with the key of its example."""
    lines = ["GET /seat/socket HTTP/1.1", f"Host: 127.0.0.1:{live.port}", f"Origin: {live.origin}"]
    lines += ["Upgrade: websocket", "Connection: Upgrade", "Sec-WebSocket-Version: 13"]
    return "\r\n".join([*lines, "Sec-WebSocket-Key: dGhlIHNhbXBsZSBub25jZQ==", "", ""]).encode()


def _join(school: School, gust: list[dict[str, Any]]) -> None:
    """At the door of the class: nobody gets in without the word, nobody is answered from within."""
    for one in gust:
        status, _, body = school.live.ask(one["method"], "/join", one["body"], **one["headers"])
        assert status in (400, 403, 405, 429), (status, body)
        school.sent["join"] += 1


def _storm(school: School, who: str, gust: list[Any]) -> None:
    if who == "raw":
        _raw(school, gust)
    elif who == "join":
        _join(school, gust)
    else:
        _socket(school, who, gust)


def _complaints(caplog: pytest.LogCaptureFixture) -> list[str]:
    return [r.getMessage() for r in caplog.records if r.levelno >= logging.ERROR and r.name != "asyncio"]


CHECKS = [HealthCheck.function_scoped_fixture, HealthCheck.too_slow, HealthCheck.data_too_large]


@pytest.mark.parametrize("who", WHO)
def test_no_storm_stops_a_class(
    school: School, caplog: pytest.LogCaptureFixture, full_counts: bool, who: str
) -> None:
    school.stands()

    @settings(max_examples=EXAMPLES[who] * (MORE if full_counts else 1), suppress_health_check=CHECKS)
    @given(st.lists(WHO[who], min_size=GUST, max_size=GUST + 2))
    def gust(one: list[Any]) -> None:
        _storm(school, who, one)
        school.stands()
        assert _complaints(caplog) == [], "nothing goes wrong inside either"

    gust()
    assert school.sent[who] > 0


@pytest.mark.full
def test_so_many_were_sent(school: School) -> None:
    assert school.sent.total() >= 10_000


def test_what_takes_long_is_refused_or_done_and_the_class_goes_on(
    school: School, caplog: pytest.LogCaptureFixture, full_counts: bool
) -> None:
    school.stands()

    @settings(max_examples=40 if full_counts else 4, suppress_health_check=CHECKS)
    @given(st.lists(SELDOM | BENCH, min_size=3, max_size=6), st.lists(SEAT, max_size=3))
    def gust(by_bench: list[Any], by_seat: list[Any]) -> None:
        _storm(school, "bench", [json.dumps(one) for one in by_bench])
        if school.live.room.school.open:
            _storm(school, "seat", [json.dumps(one) for one in by_seat])
        school.stands()
        assert _complaints(caplog) == []

    gust()


def test_the_storm_speaks_of_faults_that_there_are() -> None:
    """The words above are words of this program, or the storm would beat on the door alone."""
    assert set(FAULT_NAMES) <= set(catalogue())
