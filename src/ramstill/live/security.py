"""Who may come in: keys, tokens, names of this machine, where a page was loaded from, what it may load."""

from __future__ import annotations

import hashlib
import hmac
import secrets
import unicodedata
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

NAME_LENGTH = 40  # characters of a learner's name

# Everything from here, nothing inline, nothing framed. `data:` is for the dot of a radio button at most.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; "
    "connect-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'"
)
HEADERS: Mapping[str, str] = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}


def new_key() -> str:
    """A key nobody can guess: 128 bits, safe in the fragment of an address."""
    return secrets.token_urlsafe(16)


def same(given: str, kept: str) -> bool:
    """Whether two keys are the same, in a time that does not tell how far they are."""
    return hmac.compare_digest(given.encode("utf-8", "replace"), kept.encode("utf-8", "replace"))


def fingerprint(token: str) -> str:
    """What is kept of a token: it shows which one it is, and lets nobody in."""
    return hashlib.sha256(token.encode("utf-8", "replace")).hexdigest()


def as_name(text: str) -> str:
    """A name as one line of text, `NAME_LENGTH` at most."""
    return as_line(text, NAME_LENGTH)


def as_line(text: str, length: int) -> str:
    """What somebody wrote as one line: no control or direction marks, single spaces, so long at most."""
    shown = "".join(" " if c.isspace() else c for c in unicodedata.normalize("NFC", text))
    kept = "".join(c for c in shown if unicodedata.category(c)[0] != "C")
    return " ".join(kept.split())[:length].rstrip()


class Guard:
    """An application behind the rules that hold for every request: the Host it names, the Origin it comes
    from, and the headers that go back with every answer.

    hosts: names and addresses, each with its port, by which this server is reached; the very address that a
    connection came in by is always among them. A page elsewhere that has its own name point here (DNS
    rebinding) names another host; one that opens a socket or posts a form names another origin. Both are
    turned away before anything else is read.
    """

    def __init__(self, app: ASGIApp, hosts: Iterable[str]) -> None:
        self._app, self._hosts = app, frozenset(host.lower() for host in hosts)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request, or turn it away."""
        if scope["type"] not in ("http", "websocket"):
            await self._app(scope, receive, send)
            return
        why = self._against(scope)
        if scope["type"] == "websocket":
            if why:
                await receive()
                await send({"type": "websocket.close", "code": 1008})  # before it is accepted: 403
            else:
                await self._app(scope, receive, send)
            return

        async def answer(message: Message) -> None:
            if message["type"] == "http.response.start":
                message["headers"] = with_headers(message.get("headers", []))
            await send(message)

        if why:
            await _refuse(why, answer)
        else:
            await self._app(scope, receive, answer)

    def _against(self, scope: Scope) -> str:
        """Why a request is turned away; nothing where it is not."""
        hosts = _given(scope, b"host")
        host = hosts[0].lower() if len(hosts) == 1 else ""
        if not host or (host not in self._hosts and host != _came_in_by(scope)):
            return "not a name of this server"
        origins = _given(scope, b"origin")
        if origins != [f"http://{host}"]:
            safe = scope["type"] == "http" and scope["method"] in ("GET", "HEAD") and not origins
            return "" if safe else "not from a page of this server"
        return ""


def with_headers(headers: Iterable[tuple[bytes, bytes]]) -> list[tuple[bytes, bytes]]:
    """An answer's headers and `HEADERS`; what the answer says of its own keeping stays."""
    kept = list(headers)
    said = {name.lower() for name, _ in kept}
    return kept + [(n.encode(), v.encode()) for n, v in HEADERS.items() if n.encode() not in said]


def _given(scope: Scope, header: bytes) -> list[str]:
    return [value.decode("latin-1") for name, value in scope["headers"] if name == header]


def _came_in_by(scope: Scope) -> str:
    """The address and port of this machine that a connection came in by, as a Host header names them."""
    server: Any = scope.get("server")
    if not server or server[1] is None:
        return ""
    return host_of(*server)


def host_of(address: str, port: int) -> str:
    """An address and a port as a Host header and an Origin name them."""
    named = f"[{address}]" if ":" in address else address
    return named if port == 80 else f"{named}:{port}"


async def _refuse(why: str, send: Any) -> None:
    body = f"{why}\n".encode()
    headers = [(b"content-type", b"text/plain; charset=utf-8"), (b"content-length", str(len(body)).encode())]
    await send({"type": "http.response.start", "status": 403, "headers": headers})
    await send({"type": "http.response.body", "body": body})
