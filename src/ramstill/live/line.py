"""What goes out to one page: words in order, and of frames only the newest."""

from __future__ import annotations

import asyncio
import contextlib
import json
from collections import deque
from collections.abc import Mapping
from typing import Any

from starlette.websockets import WebSocket, WebSocketDisconnect

MOST_WORDS = 500  # messages waiting for one page; who is further behind is let go and comes back afresh
BEHIND = 1013  # close code: try again later


def written(message: Mapping[str, Any]) -> str:
    """A message as text: written once, said to many."""
    return json.dumps(message, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def refusal(number: str | int | None, reason: str) -> str:
    """What is said to a page whose message was not followed."""
    return written({"say": "refused", "id": number, "reason": reason})


class Line:
    """One page's socket. `say` and `show` never wait: who reads slowly misses frames, nothing else."""

    def __init__(self, socket: WebSocket) -> None:
        self._socket = socket
        self._words: deque[str] = deque()
        self._frame: bytes | None = None
        self._close: int | None = None
        self._news = asyncio.Event()

    def say(self, text: str) -> None:
        """Send a text after those before it, and before any later frame."""
        if self._close is None:
            self._words.append(text)
            if len(self._words) > MOST_WORDS:
                self.close(BEHIND)
            self._news.set()

    def say_stage(self, text: str) -> None:
        """As `say`, for what gives frames another meaning: one that still waits is forgotten."""
        self._frame = None
        self.say(text)

    def show(self, frame: bytes) -> None:
        """Send a frame in the place of one that still waits."""
        self._frame = frame
        self._news.set()

    def close(self, code: int) -> None:
        """Send what waits, and hang up."""
        if self._close is None:
            self._close = code
            if code == BEHIND:
                self._words.clear()
            self._news.set()

    async def pump(self) -> None:
        """Send until it is closed from either side; for a task of its own."""
        with contextlib.suppress(RuntimeError, OSError, WebSocketDisconnect):
            while True:
                await self._news.wait()
                self._news.clear()
                while self._words:
                    await self._socket.send_text(self._words.popleft())
                if self._close is not None:
                    await self._socket.close(self._close)
                    return
                frame, self._frame = self._frame, None
                if frame is not None:
                    await self._socket.send_bytes(frame)
