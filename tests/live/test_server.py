"""A real server: what is served and how, and who gets in."""

import contextlib
import re
import socket
import struct
from pathlib import Path

import pytest
from a_server import Live, serving
from websockets.exceptions import InvalidStatus

from ramstill.live import app
from ramstill.live import serving as server
from ramstill.live.security import HEADERS

STAGE = {"do": "stage", "airplane": "low-wing-mast"}


def test_a_bench_gets_everything_and_frames_follow_their_fields(session: Live) -> None:
    page = session.bench()
    stage = next(m for m in page.heard if m["say"] == "stage")
    for kind in ("class", "roll", "timeline", "levers", "strip"):
        page.until(kind)
    raw = page.frame()
    tick, flags, time_s = struct.unpack_from("<IId", raw)
    assert len(raw) == 16 + 4 * len(stage["fields"])
    assert (tick, flags, time_s) == (0, 0, 0.0)
    assert page.act("run", on=True)["say"] == "done"
    later = page.frame()
    while struct.unpack_from("<I", later)[0] == 0:
        later = page.frame()
    tick, flags, time_s = struct.unpack_from("<IId", later)
    assert (flags, time_s) == (1, tick / 20)
    assert page.act("run", on=False)["say"] == "done"


def test_every_answer_carries_the_headers(session: Live) -> None:
    asked = [
        ("GET", "/", 200),
        ("GET", "/pages/link.js", 200),
        ("GET", "/nowhere", 404),
        ("GET", "/join", 405),
    ]
    asked += [
        ("POST", "/", 405),
        ("GET", "/favicon.ico", 204),
        ("GET", "/bench/", 404),
        ("POST", "/join", 400),
    ]
    for method, path, expected in asked:
        status, headers, body = session.ask(method, path, b"{" if method == "POST" else None)
        assert status == expected, (method, path, body)
        for name, value in HEADERS.items():
            assert headers[name] == value, (path, name)
        assert "server" not in headers


@pytest.mark.parametrize(
    "path",
    [
        "/pages/../app.py",
        "/pages/%2e%2e/app.py",
        "/pages/..%2fapp.py",
        "/pages/learner.html",
        "/pages/",
        "/pages",
        "/pages//etc/passwd",
        "/pages/%00",
        "/bench/socket",
        "//bench",
    ],
)
def test_nothing_but_the_list_is_served(session: Live, path: str) -> None:
    assert session.ask("GET", path)[0] == 404


def test_pages_have_nothing_inline_and_no_address_elsewhere(session: Live) -> None:
    from ramstill.live.pagefiles import page_files

    files = page_files()
    assert {"learner.html", "bench.html", "learner.js", "bench.js", "moving.js", "pictures.css"} <= set(files)
    for name, (content, kind) in files.items():
        text = content.decode()
        own = re.sub(r"http://www\.w3\.org/[0-9A-Za-z/]+", "", text)  # names of SVG's and others' vocabulary
        assert not re.search(r"(https?:)?//[a-z0-9.-]+\.[a-z]{2,}", own.lower()), name
        if kind.startswith("text/html"):
            assert not re.search(r"<style|<script(?![^>]*\bsrc=)|\sstyle=|\son[a-z]+=", text), name


def test_a_name_of_another_machine_or_a_page_from_elsewhere_is_turned_away(session: Live) -> None:
    assert session.ask("GET", "/", Host="rebound.example")[0] == 403
    assert session.ask("POST", "/join", b"{}", Origin="http://elsewhere.example")[0] == 403
    for origin in ("http://elsewhere.example", "null", f"http://localhost:{session.port}"):
        for path in ("/bench/socket", "/seat/socket"):
            with pytest.raises(InvalidStatus) as refused:
                session.page(path, origin=origin)
            assert refused.value.response.status_code == 403


def test_before_the_key_nothing_is_answered(session: Live) -> None:
    for first in (
        '{"do":"run","on":true}',
        "[]",
        "nonsense",
        '{"do":"enter"}',
        '{"do":"enter","key":5}',
        "x" * 20_000,
    ):
        page = session.page("/bench/socket")
        page.socket.send(first)
        assert page.closed() in (4401, 4403, 1009), first
        assert page.heard == [], first
        assert page.frames == []


def test_who_does_not_say_who_it_is_is_let_go(session: Live, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(app, "ENTER_S", 0.1)
    for path in ("/bench/socket", "/seat/socket"):
        assert session.page(path).closed() == 4401


@pytest.mark.parametrize("begun", [b"", b"GET / HT", b"GET / HTTP/1.1\r\nHost: 127.0.0.1\r\n"])
def test_a_request_that_never_comes_whole_is_let_go(
    session: Live, monkeypatch: pytest.MonkeyPatch, begun: bytes
) -> None:
    monkeypatch.setattr(server, "PATIENCE_S", 0.1)
    with socket.create_connection(("127.0.0.1", session.port), timeout=20.0) as line:
        line.sendall(begun)
        with contextlib.suppress(ConnectionResetError):
            assert line.recv(100) == b""


def test_a_body_that_never_comes_is_let_go(session: Live, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(app, "ENTER_S", 0.1)
    host = f"127.0.0.1:{session.port}"
    head = f"POST /join HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nContent-Length: 50\r\n\r\n"
    with socket.create_connection(("127.0.0.1", session.port), timeout=20.0) as line:
        line.sendall(head.encode())
        assert line.recv(100).startswith(b"HTTP/1.1 400")


def test_wrong_keys_are_throttled_and_the_right_one_waits_with_them(tmp_path: Path) -> None:
    with serving(tmp_path, STAGE) as live:
        page = live.bench()
        for guess in ("", "a", live.key[:-1], live.key + "a", "\u0130"):
            wrong = live.page("/bench/socket")
            wrong.say(do="enter", key=guess)
            assert wrong.closed() == 4403
        late = live.page("/bench/socket")
        late.say(do="enter", key=live.key)
        assert late.closed() == 4403
        assert page.act("run", on=False)["say"] == "done"  # who is in stays in


def test_a_second_bench_sees_the_same(session: Live) -> None:
    one, two = session.bench(), session.bench()
    assert one.act("levers", climb_fpm=300)["say"] == "done"
    assert two.until("levers", climb_fpm=300.0)["climb_fpm"] == 300.0
    assert one.act("levers", climb_fpm=0)["say"] == "done"
