"""A whole class for `benchmarks/live.py`, in a process of its own: an instructor flies, learners answer.

Real WebSockets, one for each learner. When each frame came is taken on the machine's monotonic clock, as soon
as this process has it: what this process is late itself counts against the server.
"""

from __future__ import annotations

import argparse
import asyncio
import http.client
import itertools
import json
import struct
import sys
import time
from array import array
from dataclasses import dataclass, field
from typing import Any

from live_figures import TICKS_A_SECOND, Came, judged
from websockets.asyncio.client import ClientConnection, connect
from websockets.exceptions import ConnectionClosed

HEAD = struct.Struct("<IId")
SETTLED_S = 2.0  # after the start: caches fill, and the earliest frame is looked for in the rest too
ANSWERS_EVERY_S = 120.0  # each learner writes an answer down, spread evenly over that time
LEVERS_EVERY_S = 15.0
GIVEN_A_SECOND = 20  # faults: under what a page may say in a second


@dataclass
class Page:
    """One page: its frames' ticks and when they came [s], and the answers that wait."""

    socket: ClientConnection
    tick: array[int] = field(default_factory=lambda: array("q"))
    came_s: array[float] = field(default_factory=lambda: array("d"))
    asked: dict[int, asyncio.Future[dict[str, Any]]] = field(default_factory=dict)
    stage: dict[str, Any] = field(default_factory=dict)
    roll: list[dict[str, Any]] = field(default_factory=list)
    closed: str = ""

    async def listen(self) -> None:
        """Take what comes until it ends."""
        try:
            async for got in self.socket:
                now = time.monotonic()
                if isinstance(got, bytes):
                    self.tick.append(HEAD.unpack_from(got)[0])
                    self.came_s.append(now)
                    continue
                said = json.loads(got)
                if said["say"] == "stage":
                    self.stage = said
                elif said["say"] == "roll":
                    self.roll = said["seats"]
                waits = self.asked.pop(said.get("id") or 0, None)
                if waits is not None and not waits.done():
                    waits.set_result(said)
            self.closed = "the server closed it"
        except ConnectionClosed as error:
            self.closed = str(error)

    async def act(self, do: str, **more: Any) -> dict[str, Any]:
        """Ask for something; ends this process where it is refused."""
        number = next(_numbers)
        self.asked[number] = asyncio.get_running_loop().create_future()
        waits = self.asked[number]
        await self.socket.send(json.dumps({"do": do, "id": number, **more}))
        said = await asyncio.wait_for(waits, 60.0)
        if said["say"] == "refused":
            sys.exit(f"{do} was refused: {said['reason']}")
        return said


_numbers = itertools.count(1)


async def enter(port: int, path: str, **hello: str) -> Page:
    """A page that is let in and listens."""
    origin: Any = f"http://127.0.0.1:{port}"
    address = f"ws://127.0.0.1:{port}{path}"
    page = Page(await connect(address, origin=origin, compression=None, max_size=None, open_timeout=60))
    await page.socket.send(json.dumps({"do": "enter", **hello}))
    _listening.append(asyncio.create_task(page.listen()))
    while not page.stage:
        await asyncio.sleep(0.01)
        if page.closed:
            sys.exit(f"not let in: {page.closed}")
    return page


_listening: list[asyncio.Task[None]] = []


def join(port: int, word: str, name: str) -> str:
    """A seat's token."""
    line = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    line.request(
        "POST", "/join", json.dumps({"word": word, "name": name}), {"Origin": f"http://127.0.0.1:{port}"}
    )
    answer = line.getresponse()
    said = json.loads(answer.read())
    line.close()
    if answer.status != 200:
        sys.exit(f"not let in: {said}")
    return str(said["token"])


def different(faults: list[dict[str, Any]], count: int) -> list[dict[str, Any]]:
    """So many faults, no two the same: each kind at its first place, then at its next, then half as bad."""
    deepest = max(len(fault["places"]) for fault in faults)
    found = [
        {"name": fault["name"], "where": fault["places"][depth]["where"], "severity": severity}
        for severity in (1.0, 0.5, 0.25)
        for depth in range(deepest)
        for fault in faults
        if depth < len(fault["places"]) and (severity == 1.0 or fault["severity"])
    ]
    if len(found) < count:
        sys.exit(f"this airplane knows {len(found)} different faults only")
    return found[:count]


async def flown(bench: Page) -> None:
    """Levers moved every so often, so that every pointer has something to do."""
    for climb, altitude in itertools.cycle([(700, 6000), (-500, 2500)]):
        for speed in (85, 100, 75, 95):
            await bench.act("levers", climb_fpm=climb, altitude_ft=altitude, speed_kt=speed)
            await asyncio.sleep(LEVERS_EVERY_S)


async def answered(page: Page, seat: int, seats: int) -> None:
    """An answer written down again and again."""
    names = [answer["name"] for answer in page.stage["answers"]]
    await asyncio.sleep(ANSWERS_EVERY_S * seat / seats)
    for turn in itertools.count(seat):
        said = await page.act("call", fault=names[turn % len(names)], since_s=1.0, would_do="pitch and power")
        assert said["say"] == "called", said
        await asyncio.sleep(ANSWERS_EVERY_S)


async def taught(port: int, key: str, learners: int, seconds: float) -> dict[str, Any]:
    """A class from its word to its last frame; what the frames came to."""
    bench = await enter(port, "/bench/socket", key=key)
    await bench.act("class", open=True)
    word = await word_of(port, key)
    tokens = [join(port, word, f"Learner {i + 1}") for i in range(learners)]
    seats = [await enter(port, "/seat/socket", token=token) for token in tokens]
    while len(bench.roll) < learners:
        await asyncio.sleep(0.05)
    for seat, fault in zip(bench.roll[:], different(bench.stage["faults"], learners), strict=True):
        await bench.act("give", seat=seat["id"], faults=[fault])
        await asyncio.sleep(1.0 / GIVEN_A_SECOND)
    await bench.act("ask")
    await bench.act("run", on=True)
    working = [asyncio.create_task(flown(bench))]
    working += [asyncio.create_task(answered(page, i, learners)) for i, page in enumerate(seats)]
    await asyncio.sleep(SETTLED_S)
    print(json.dumps({"say": "started"}), flush=True)
    await asyncio.wait({asyncio.create_task(asyncio.sleep(seconds)), *working}, return_when="FIRST_COMPLETED")
    print(json.dumps({"say": "ended"}), flush=True)
    for task in working:
        if task.done():
            task.result()
        task.cancel()
    own = len({json.dumps(seat["faults"], sort_keys=True) for seat in bench.roll})
    gone = sorted({page.closed for page in (bench, *seats) if page.closed})
    await bench.act("class", open=False)
    for task in _listening:
        task.cancel()
    ticks = round(seconds * TICKS_A_SECOND)
    came = [Came.of(page.tick, page.came_s) for page in seats]
    return judged(came, ticks) | {"crafts": own, "closed": gone, "bench": judged([_of(bench)], ticks)}


def _of(page: Page) -> Came:
    return Came.of(page.tick, page.came_s)


async def word_of(port: int, key: str) -> str:
    """The class word, as an instructor's page that comes in is told."""
    origin: Any = f"http://127.0.0.1:{port}"
    async with connect(f"ws://127.0.0.1:{port}/bench/socket", origin=origin, max_size=None) as socket:
        await socket.send(json.dumps({"do": "enter", "key": key}))
        async for got in socket:
            said = json.loads(got) if isinstance(got, str) else {}
            if said.get("say") == "class":
                return str(said["word"])
    sys.exit("no class word")


def main() -> None:
    """Run a class, print what it came to as JSON."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--port", type=int, required=True)
    parser.add_argument("--learners", type=int, required=True)
    parser.add_argument("--seconds", type=float, required=True)
    asked = parser.parse_args()
    key = sys.stdin.readline().strip()
    print(json.dumps(asyncio.run(taught(asked.port, key, asked.learners, asked.seconds))), flush=True)


if __name__ == "__main__":
    main()
