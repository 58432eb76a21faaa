"""The server: Uvicorn on a socket of ours, until it is told to go."""

from __future__ import annotations

import contextlib
import gc
import signal
import socket
import threading
from collections.abc import Generator
from typing import Any

import h11
import uvicorn
from uvicorn.protocols.http.h11_impl import H11Protocol
from uvicorn.protocols.websockets.websockets_sansio_impl import WebSocketsSansIOProtocol

from ramstill.live.address import SENT_AHEAD, Place
from ramstill.live.app import application
from ramstill.live.keeping import Kept
from ramstill.live.messages import BENCH_BYTES
from ramstill.live.room import Room

PATIENCE_S = 10.0  # for a request's head to arrive
GOODBYE_S = 3.0  # for pages to hang up when the server goes


class Brisk(H11Protocol):
    """HTTP that does not wait for ever for a request that never comes whole."""

    def connection_made(self, transport: Any) -> None:
        """A connection: its first request is to come soon."""
        super().connection_made(transport)
        self.loop.call_later(PATIENCE_S, self._still_nothing)

    def _still_nothing(self) -> None:
        here = self.transport is not None and not self.transport.is_closing()
        mine = here and self.transport.get_protocol() is self  # not handed on to a socket
        if mine and self.cycle is None and self.conn.our_state is h11.IDLE:
            self.transport.abort()


class Prompt(WebSocketsSansIOProtocol):
    """Sockets that hold back little of what was sent, so that a slow page is soon seen to be one."""

    def connection_made(self, transport: Any) -> None:
        """A connection that was handed on."""
        super().connection_made(transport)
        transport.set_write_buffer_limits(high=SENT_AHEAD // 4)


class Server(uvicorn.Server):
    """As Uvicorn's, but that Ctrl-C is an end like any other: no exception, no exit code of its own."""

    def __init__(self, config: uvicorn.Config, room: Room) -> None:
        super().__init__(config)
        self.room = room

    def run(self, sockets: list[socket.socket] | None = None) -> None:
        """Serve until told to go.

        All that there is by now stays as long as the server: the collector of garbage leaves it out, where
        looking through it would hold up a beat by a tenth of a second every few minutes.
        """
        gc.collect()
        gc.freeze()
        try:
            super().run(sockets)
        finally:
            gc.unfreeze()

    @contextlib.contextmanager
    def capture_signals(self) -> Generator[None]:
        """Go when told to; twice, at once."""
        if threading.current_thread() is not threading.main_thread():
            yield
            return
        heard = (signal.SIGINT, signal.SIGTERM)
        before = {one: signal.signal(one, self.handle_exit) for one in heard}
        try:
            yield
        finally:
            for one, handler in before.items():
                signal.signal(one, handler)


def server_for(kept: Kept, place: Place) -> Server:
    """A server for a session; `run(sockets=[place.socket])` is the rest."""
    room = Room(kept, place.learners, place.on_network)
    config = uvicorn.Config(
        application(room, kept.key, place.hosts),
        http=Brisk,
        ws=Prompt,
        loop="asyncio",
        lifespan="on",
        access_log=False,
        log_config=None,
        server_header=False,
        proxy_headers=False,
        ws_max_size=BENCH_BYTES,
        ws_max_queue=16,
        ws_ping_interval=20.0,
        ws_ping_timeout=20.0,
        ws_per_message_deflate=False,  # frames are short and many: packing them costs more than it saves
        timeout_keep_alive=10,
        timeout_graceful_shutdown=int(GOODBYE_S),
        h11_max_incomplete_event_size=16_384,
    )
    return Server(config, room)
