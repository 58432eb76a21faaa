"""A real server on a free port, and pages that speak to it as a browser would."""

from __future__ import annotations

import http.client
import json
import threading
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from websockets.exceptions import ConnectionClosed
from websockets.sync.client import ClientConnection, connect

PATIENCE_S = 20.0  # for an answer, on a busy machine; nothing waits that long when all is well


@dataclass
class Page:
    """One page's socket: what it hears goes by its kind into `heard`, frames into `frames`."""

    socket: ClientConnection
    heard: list[dict[str, Any]] = field(default_factory=list)
    frames: list[bytes] = field(default_factory=list)

    number: int = 0

    def say(self, **message: Any) -> None:
        """Send one message."""
        self.socket.send(json.dumps(message))

    def next(self) -> dict[str, Any] | bytes:
        got = self.socket.recv(timeout=PATIENCE_S)
        if isinstance(got, bytes):
            self.frames.append(got)
            return got
        message: dict[str, Any] = json.loads(got)
        self.heard.append(message)
        return message

    def until(self, say: str, **wanted: Any) -> dict[str, Any]:
        """The next message of a kind, with these in it."""
        while True:
            got = self.next()
            if isinstance(got, dict) and all(got.get(k) == v for k, v in {"say": say, **wanted}.items()):
                return got

    def frame(self) -> bytes:
        """The next frame."""
        while True:
            got = self.next()
            if isinstance(got, bytes):
                return got

    def act(self, do: str, **more: Any) -> dict[str, Any]:
        """Ask for something; the answer, done or refused or what was asked for."""
        self.number += 1
        self.say(do=do, id=self.number, **more)
        while True:
            got = self.next()
            if isinstance(got, dict) and got.get("id") == self.number and got["say"] != "saved":
                return got

    def closed(self) -> int:
        """Hear everything to the end; the close code."""
        try:
            while True:
                self.next()
        except ConnectionClosed as error:
            return error.rcvd.code if error.rcvd is not None else 1006


@dataclass
class Live:
    """A running server, as pages reach it."""

    port: int
    key: str
    room: Any = None
    open_pages: ExitStack = field(default_factory=ExitStack)

    @property
    def origin(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    def page(self, path: str, origin: str | None = None) -> Page:
        address = f"ws://127.0.0.1:{self.port}{path}"
        own: dict[str, Any] = {
            "origin": origin or self.origin,
            "max_size": None,
            "compression": None,
            "ping_interval": None,
            "max_queue": None,  # whoever does not read hears a goodbye all the same
            "close_timeout": 2.0,
        }
        return Page(self.open_pages.enter_context(connect(address, open_timeout=PATIENCE_S, **own)))

    def bench(self) -> Page:
        """An instructor's page, let in."""
        page = self.page("/bench/socket")
        page.say(do="enter", key=self.key)
        page.until("stage")
        return page

    def seat(self, token: str) -> Page:
        """A learner's page, let in."""
        page = self.page("/seat/socket")
        page.say(do="enter", token=token)
        page.until("revealed")
        return page

    def ask(
        self, method: str, path: str, body: bytes | None = None, **headers: str
    ) -> tuple[int, dict[str, str], bytes]:
        """One request by hand: status, headers in small letters, body."""
        line = http.client.HTTPConnection("127.0.0.1", self.port, timeout=PATIENCE_S)
        given = {"Origin": self.origin} if method == "POST" else {}
        line.request(method, path, body, given | {name.replace("_", "-"): v for name, v in headers.items()})
        answer = line.getresponse()
        content = answer.read()
        line.close()
        return answer.status, {k.lower(): v for k, v in answer.getheaders()}, content

    def join(self, word: str, name: str = "") -> tuple[int, dict[str, Any]]:
        """The door of the class."""
        status, _, body = self.ask("POST", "/join", json.dumps({"word": word, "name": name}).encode())
        return status, json.loads(body)

    def open_class(self, bench: Page) -> str:
        """Open a class, closing one that is open; its word."""
        bench.act("class", open=False)
        assert bench.act("class", open=True)["say"] == "done"
        return next(str(m["word"]) for m in reversed(bench.heard) if m["say"] == "class")

    def sit(self, word: str, name: str = "") -> tuple[str, str]:
        """Join a class: token and seat."""
        status, said = self.join(word, name)
        assert status == 200, said
        return said["token"], said["seat"]


@contextmanager
def serving(folder: Path, said: dict[str, Any]) -> Iterator[Live]:
    """A server for a new session in this process, until it is no longer needed."""
    from ramstill.live.address import listen
    from ramstill.live.keeping import new_session
    from ramstill.live.serving import server_for

    place = listen(0, False)
    kept = new_session(folder, said)
    server = server_for(kept, place)
    running = threading.Thread(target=server.run, kwargs={"sockets": [place.socket]})
    running.start()
    live = Live(place.port, kept.key, server.room)
    try:
        yield live
    finally:
        live.open_pages.close()
        server.should_exit = True
        running.join(30.0)
        assert not running.is_alive(), "the server did not end"
