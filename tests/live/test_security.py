"""The rules that hold for every request, one by one, without a server."""

import asyncio
import string
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.live.security import (
    HEADERS,
    NAME_LENGTH,
    POLICY,
    Guard,
    as_name,
    fingerprint,
    host_of,
    new_key,
    same,
)

HOSTS = ("127.0.0.1:8470", "localhost:8470", "192.168.7.20:8470")


async def inside(scope: Any, receive: Any, send: Any) -> None:
    """An application that lets everybody in, and wants its answer kept for a minute."""
    if scope["type"] == "websocket":
        await send({"type": "websocket.accept"})
        return
    headers = [(b"content-type", b"text/plain"), (b"cache-control", b"max-age=60")]
    await send({"type": "http.response.start", "status": 200, "headers": headers})
    await send({"type": "http.response.body", "body": b"in"})


def asked(
    kind: str, headers: list[tuple[str, str]], method: str = "GET", server: Any = None
) -> list[dict[str, Any]]:
    """What the guard sends for a request."""
    sent: list[dict[str, Any]] = []
    scope = {
        "type": kind,
        "method": method,
        "path": "/",
        "headers": [(name.lower().encode(), value.encode("latin-1")) for name, value in headers],
        "server": server,
    }

    async def receive() -> dict[str, Any]:
        return {"type": f"{kind}.connect"}

    async def send(message: Any) -> None:
        sent.append(dict(message))

    asyncio.run(Guard(inside, HOSTS)(scope, receive, send))
    return sent


def let_in(sent: list[dict[str, Any]]) -> bool:
    return sent[0].get("status") == 200 or sent[0]["type"] == "websocket.accept"


def origin(host: str) -> tuple[str, str]:
    return "Origin", f"http://{host}"


@pytest.mark.parametrize("host", [*HOSTS, "LocalHost:8470"])
def test_its_own_names_are_let_in(host: str) -> None:
    assert let_in(asked("http", [("Host", host)]))
    assert let_in(asked("http", [("Host", host), origin(host.lower())], "POST"))
    assert let_in(asked("websocket", [("Host", host), origin(host.lower())]))


@pytest.mark.parametrize(
    "headers",
    [
        [],
        [("Host", "")],
        [("Host", "127.0.0.1")],
        [("Host", "127.0.0.1:9000")],
        [("Host", "rebound.example:8470")],
        [("Host", "127.0.0.1:8470.rebound.example")],
        [("Host", HOSTS[0]), ("Host", HOSTS[0])],
        [("Host", HOSTS[0]), ("Host", "rebound.example:8470")],
    ],
)
def test_another_name_is_turned_away(headers: list[tuple[str, str]]) -> None:
    assert asked("http", headers)[0]["status"] == 403
    assert asked("websocket", [*headers, origin(HOSTS[0])])[0]["type"] == "websocket.close"


def test_the_address_a_connection_came_in_by_is_its_own() -> None:
    came = ("10.1.2.3", 8470)
    assert let_in(asked("http", [("Host", "10.1.2.3:8470")], server=came))
    assert not let_in(asked("http", [("Host", "10.1.2.4:8470")], server=came))
    assert host_of("::1", 8470) == "[::1]:8470"
    assert host_of("10.1.2.3", 80) == "10.1.2.3"


@pytest.mark.parametrize(
    "origins",
    [
        [],
        ["null"],
        ["http://elsewhere.example"],
        ["https://127.0.0.1:8470"],
        ["http://127.0.0.1:8471"],
        ["http://localhost:8470"],  # a name of this server, but not the one that is asked
        ["http://127.0.0.1:8470", "http://127.0.0.1:8470"],
        ["http://127.0.0.1:8470/"],
    ],
)
def test_sockets_and_posts_come_from_a_page_of_its_own(origins: list[str]) -> None:
    headers = [("Host", HOSTS[0]), *(("Origin", one) for one in origins)]
    assert asked("websocket", headers) == [{"type": "websocket.close", "code": 1008}]
    assert asked("http", headers, "POST")[0]["status"] == 403
    assert asked("http", headers, "GET")[0]["status"] == (403 if origins else 200)


def test_every_answer_carries_the_policy() -> None:
    for sent in (asked("http", [("Host", HOSTS[0])]), asked("http", [("Host", "elsewhere")])):
        headers = dict(sent[0]["headers"])
        for name in HEADERS:
            assert name.encode() in headers
        assert headers[b"content-security-policy"].decode() == POLICY
    assert dict(asked("http", [("Host", HOSTS[0])])[0]["headers"])[b"cache-control"] == b"max-age=60"
    assert "unsafe" not in POLICY
    assert POLICY.startswith("default-src 'none'")


def test_keys_are_long_and_told_apart() -> None:
    keys = {new_key() for _ in range(100)}
    assert len(keys) == 100
    assert all(
        len(key) >= 22 and set(key) <= {*string.ascii_letters, *string.digits, "-", "_"} for key in keys
    )
    first, second = list(keys)[:2]
    assert same(first, first)
    assert not same(first, second)
    assert not same("", first)
    assert not same("\ud800", first)
    assert fingerprint(first) != fingerprint(second)
    assert first not in fingerprint(first)


@given(st.text(max_size=200))
def test_a_name_is_one_short_line(text: str) -> None:
    name = as_name(text)
    assert len(name) <= NAME_LENGTH
    assert name == name.strip()
    assert all(c.isprintable() for c in name)
    assert as_name(name) == name


def test_names_stay_what_people_are_called() -> None:
    assert as_name("  José  Nuñez-O'Brien ") == "José Nuñez-O'Brien"
    assert as_name("<b>Ann</b>") == "<b>Ann</b>"  # text, and shown as that
    assert as_name("Ann\u202egnp.exe\n\x00") == "Anngnp.exe"
