"""The application: pages, the door to the class, two sockets. What is said on them goes to the room."""

from __future__ import annotations

import asyncio
import contextlib
import time
from collections.abc import AsyncIterator, Awaitable, Callable, Iterable
from typing import Any

from starlette.applications import Starlette
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, Response
from starlette.routing import Route, WebSocketRoute
from starlette.websockets import WebSocket, WebSocketDisconnect

from ramstill.errors import InputError
from ramstill.live import messages
from ramstill.live.line import Line, refusal
from ramstill.live.pagefiles import page_files
from ramstill.live.room import Room
from ramstill.live.security import Guard, same
from ramstill.live.throttle import Allowance, Guesses

ENTER_S = 5.0  # to say who one is; and for a small request to arrive whole
STRANGERS = 200  # sockets that have not entered yet
PATIENCE = 300  # messages in a row that had to wait, before the socket is closed
NOT_IN, NOT_KNOWN, TOO_MANY, TOO_LARGE, NO_TEXT = 4401, 4403, 4408, 1009, 1003

Hear = Callable[[Any], Awaitable[None]]


class Doors:
    """The routes. key: the instructor's."""

    def __init__(self, room: Room, key: str) -> None:
        self._room, self._key = room, key
        self._guesses = {"word": Guesses(), "key": Guesses()}
        self._strangers = 0
        self._files = page_files()

    def routes(self) -> list[Route | WebSocketRoute]:
        """Every route there is."""
        return [
            Route("/", self._page("learner.html")),
            Route("/bench", self._page("bench.html")),
            Route("/pages/{name}", self._file),
            Route("/favicon.ico", self._nothing),
            Route("/join", self._join, methods=["POST"]),
            WebSocketRoute("/bench/socket", self._bench),
            WebSocketRoute("/seat/socket", self._seat),
        ]

    def _page(self, name: str) -> Callable[[Request], Awaitable[Response]]:
        async def page(request: Request) -> Response:
            return self._served(name)

        return page

    async def _file(self, request: Request) -> Response:
        name = str(request.path_params["name"])
        return self._served("" if name.endswith(".html") else name)

    def _served(self, name: str) -> Response:
        if name not in self._files:
            raise HTTPException(404)
        content, kind = self._files[name]
        return Response(content, media_type=kind)

    async def _nothing(self, request: Request) -> Response:
        return Response(status_code=204)

    async def _join(self, request: Request) -> Response:
        """Let a learner in who knows the word."""
        address, guesses = _address(request), self._guesses["word"]
        wait_s = guesses.wait_s(address, time.monotonic())
        if wait_s > 0.0:
            answer = _refused(429, f"too many wrong words: wait {wait_s:.0f} s and try again")
            answer.headers["retry-after"] = str(int(wait_s) + 1)
            return answer
        try:
            body = await asyncio.wait_for(_body(request), ENTER_S)
            asked = messages.read(messages.JOIN, body, "join")
        except (InputError, TimeoutError):
            return _refused(400, "a class word and a name are needed")
        if not self._room.school.admits(asked.word, time.time()):
            guesses.wrong(address, time.monotonic())
            return _refused(403, "no class has this word now: read it again, or ask for a new one")
        try:
            return JSONResponse(await self._room.join(asked.name))
        except InputError as error:
            return _refused(409, f"the class is full: {error.read}, {error.allowed}")

    async def _bench(self, socket: WebSocket) -> None:
        line = Line(socket)

        async def enter(text: str) -> Hear | None:
            said = messages.read(messages.BENCH, text)
            address, guesses = _address(socket), self._guesses["key"]
            if not isinstance(said, messages.Enter) or guesses.wait_s(address, time.monotonic()) > 0.0:
                return None
            if not same(said.key, self._key):
                guesses.wrong(address, time.monotonic())
                return None
            await self._room.enter_bench(line)
            return lambda message: self._room.hear_bench(line, message)

        limits = messages.BENCH_BYTES, messages.BENCH_PER_S
        try:
            await self._hear(socket, line, messages.BENCH, limits, enter)
        finally:
            self._room.leave(line)

    async def _seat(self, socket: WebSocket) -> None:
        line = Line(socket)

        async def enter(text: str) -> Hear | None:
            said = messages.read(messages.SEAT, text)
            seat = self._room.school.seat_of(said.token) if isinstance(said, messages.Sit) else None
            if seat is None:
                return None
            await self._room.enter_seat(line, seat)
            return lambda message: self._room.hear_seat(line, seat, message)

        limits = messages.SEAT_BYTES, messages.SEAT_PER_S
        try:
            await self._hear(socket, line, messages.SEAT, limits, enter)
        finally:
            self._room.leave(line)

    async def _hear(
        self,
        socket: WebSocket,
        line: Line,
        kind: Any,
        limits: tuple[int, float],
        enter: Callable[[str], Awaitable[Hear | None]],
    ) -> None:
        """One socket from its first message to its end."""
        if self._strangers >= STRANGERS:
            await socket.close()
            return
        self._strangers += 1
        try:
            await socket.accept()
            hear, code = None, NOT_IN
            try:
                text = await asyncio.wait_for(_text(socket, limits[0]), ENTER_S)
                code = NOT_KNOWN
                hear = await enter(text)
            except (InputError, TimeoutError):
                pass
        except (WebSocketDisconnect, _Unfit, RuntimeError):
            return
        finally:
            self._strangers -= 1
        if hear is None:
            await _closed(socket, code)
            return
        pump = asyncio.create_task(line.pump())
        try:
            await _listen(socket, line, kind, limits, hear)
        except _Unfit as unfit:
            line.close(unfit.code)
            await asyncio.wait({pump}, timeout=ENTER_S)
        except (WebSocketDisconnect, RuntimeError):
            pass
        finally:
            pump.cancel()


class _Unfit(Exception):
    """What ends a socket; `code` says why."""

    def __init__(self, code: int) -> None:
        super().__init__(code)
        self.code = code


async def _listen(socket: WebSocket, line: Line, kind: Any, limits: tuple[int, float], hear: Hear) -> None:
    """Every message after the first: read, held against the limits, heard or refused.

    Messages that come too quickly are heard in their turn, and nothing more is read from the socket
    meanwhile: what a page does in one go is slowed down, what floods is shut out.
    """
    largest, per_s = limits
    allowed = Allowance(per_s, per_s)
    too_many = 0
    while True:
        text = await _text(socket, largest)
        wait_s = allowed.wait_s(time.monotonic())
        too_many = too_many + 1 if wait_s > 0.0 else 0
        if too_many > PATIENCE:
            raise _Unfit(TOO_MANY)
        if wait_s > 0.0:
            await asyncio.sleep(wait_s)
        allowed.take(time.monotonic())
        try:
            message = messages.read(kind, text)
        except InputError as error:
            line.say(refusal(messages.id_of(text), error.line()))
            continue
        await hear(message)


async def _text(socket: WebSocket, largest: int) -> str:
    """The next text of a socket, no larger than it may be."""
    message = await socket.receive()
    if message["type"] == "websocket.disconnect":
        raise WebSocketDisconnect(message.get("code", 1000))
    text = message.get("text")
    if text is None:
        await _closed(socket, NO_TEXT)
        raise _Unfit(NO_TEXT)
    if len(text) > largest or len(text.encode("utf-8", "replace")) > largest:
        await _closed(socket, TOO_LARGE)
        raise _Unfit(TOO_LARGE)
    return str(text)


async def _closed(socket: WebSocket, code: int) -> None:
    with contextlib.suppress(RuntimeError, WebSocketDisconnect, OSError):
        await socket.close(code)


async def _body(request: Request) -> bytes:
    """The body of a small request. Raises InputError for a larger one."""
    body = b""
    async for piece in request.stream():
        body += piece
        if len(body) > messages.JOIN_BYTES:
            raise InputError("join", "", "a longer text", f"{messages.JOIN_BYTES} bytes")
    return body


def _address(connection: Request | WebSocket) -> str:
    return connection.client.host if connection.client else ""


def _refused(status: int, reason: str) -> JSONResponse:
    return JSONResponse({"refused": reason}, status)


async def _said_plainly(request: Request, error: Exception) -> Response:
    """An error as a line of text; nothing of what went wrong inside."""
    status = error.status_code if isinstance(error, HTTPException) else 500
    return PlainTextResponse({404: "not here\n", 405: "not so\n"}.get(status, "refused\n"), status)


def application(room: Room, key: str, hosts: Iterable[str]) -> Guard:
    """The whole application for a room; hosts: as `Guard` has them."""
    doors = Doors(room, key)

    @contextlib.asynccontextmanager
    async def alive(app: Starlette) -> AsyncIterator[None]:
        beating = asyncio.create_task(room.run())
        try:
            yield
        finally:
            beating.cancel()
            with contextlib.suppress(asyncio.CancelledError):
                await beating
            await room.end()

    inside = Starlette(
        routes=doors.routes(),
        exception_handlers={HTTPException: _said_plainly, Exception: _said_plainly},
        lifespan=alive,
    )
    inside.router.redirect_slashes = False
    return Guard(inside, hosts)
