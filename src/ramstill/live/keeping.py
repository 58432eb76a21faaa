"""Sessions in a folder: begun, taken up again after the server was killed, and what is written of them."""

from __future__ import annotations

import logging
import re
import time
from collections.abc import Callable, Mapping
from concurrent.futures import Future
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import BaseModel, ConfigDict, ValidationError

from ramstill.errors import InputError
from ramstill.live.deck import Deck
from ramstill.live.schoolroom import WORD_LASTS_S, Schoolroom
from ramstill.live.security import new_key
from ramstill.live.store import Entry, Store

if TYPE_CHECKING:
    from ramstill.live.record import ClassRecord

SESSION, FLIGHT, DEBRIEF = "session", "flight", "debrief"  # how files begin
STANDING_S = 60.0
Progress = Callable[[float], None]
log = logging.getLogger("ramstill.live")


class Place(BaseModel):
    """Where the flight had come to, after how many entries, how the clock was, and when that was noted."""

    model_config = ConfigDict(strict=True, frozen=True)
    entries: int = 0
    tick: int = 0
    running: bool = False
    pace: float = 1.0
    at: float = 0.0


class Kept:
    """One session: its flight and its class as they stand, and the file that they can be made from again.

    key: the instructor's, the same when it is taken up again, so that an open page finds its way back; count:
    of the entries so far; running, pace: how the clock was.
    """

    def __init__(self, store: Store, deck: Deck, school: Schoolroom, count: int) -> None:
        self.store, self.deck, self.school, self.count = store, deck, school, count
        self.folder = store.path.parent
        self.running, self.pace = False, 1.0
        self.key = store.fact("key")
        self._noted = Place()

    def add(self, entry: Entry) -> Future[None]:
        """Keep an entry; done once it lasts."""
        self.count += 1
        return self.store.add(entry)

    def note_place(self, tick: int, running: bool, pace: float) -> None:
        """Note where the flight has come to; a flight that stands still is noted once a minute."""
        place = Place(entries=self.count, tick=tick, running=running, pace=pace, at=time.time())
        since = place.at - self._noted.at
        if since < STANDING_S and place == self._noted.model_copy(update={"at": place.at}):
            return
        self._noted = place
        self.store.note("place", place.model_dump_json())

    def begin(self, said: Mapping[str, Any]) -> Deck:
        """A flight as a page asks for it: nothing of the disk but what comes with the program."""
        return Deck.begin(said, files=False)

    def save(self, deck: Deck, title: str) -> tuple[str, str]:
        """Write what was flown as a scenario file; its name, and its text."""
        text = deck.text(title)
        return self._write(f"{FLIGHT}-{_short(title or deck.title)}", ".toml", text), text

    def debrief(self, record: ClassRecord) -> tuple[str, str]:
        """Write the debrief of a class; its name, and its text."""
        from ramstill.live.debrief import debrief_page

        text = debrief_page(record)
        return self._write(f"{DEBRIEF}-{_short(record.title)}", ".html", text), text

    def end(self, deck: Deck) -> None:
        """Save what was flown, say that the session was ended, let go of the file."""
        try:
            if deck.tick:
                self.save(deck, "")
        except Exception as error:
            log.error("the flight could not be saved: %s", error)
        finally:
            self.store.note("ended", str(time.time()))
            self.store.close()

    def _write(self, begins: str, ends: str, text: str) -> str:
        """A new file in the folder, whole; returns its name."""
        from ramstill.run import whole_file

        name = f"{begins}-{time.strftime('%Y%m%d-%H%M%S')}"
        number, free = 1, name + ends
        while (self.folder / free).exists():
            number += 1
            free = f"{name}-{number}{ends}"
        whole_file(self.folder / free, text.encode(), "--keep")
        return free


def new_session(folder: Path, said: Mapping[str, Any]) -> Kept:
    """Begin a session with a flight. Raises InputError for what cannot be flown, and for the folder."""
    deck = Deck.begin(said, files=True)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise InputError(str(folder), "--keep", error.strerror or error, "a folder to write to") from None
    name, number = f"{SESSION}-{time.strftime('%Y%m%d-%H%M%S')}", 1
    path = folder / f"{name}.sqlite"
    while path.exists():
        number += 1
        path = folder / f"{name}-{number}.sqlite"
    store = Store(path)
    store.note("key", new_key()).result()
    kept = Kept(store, deck, Schoolroom(), 0)
    kept.add(Entry("world", time.time(), 0, deck.now_s, said)).result()
    return kept


def latest(folder: Path) -> Path | None:
    """The session file of a folder that was begun last."""
    found = folder.glob(f"{SESSION}-*.sqlite") if folder.is_dir() else iter(())
    return max(found, default=None, key=lambda path: (path.stat().st_mtime_ns, path.name))


def cut_off(path: Path) -> bool:
    """Whether a session's server was killed, and not so long ago that its class word has expired."""
    store = Store(path)
    try:
        return not store.fact("ended") and time.time() - _place(store).at < WORD_LASTS_S
    finally:
        store.close()


def taken_up(path: Path, progress: Progress = lambda share: None) -> Kept:
    """A session as it was when its server went, by doing again what was done at the same ticks.

    progress: told how much of it is done [0 to 1]. Raises InputError for a file with no flight in it.
    """
    store = Store(path)
    try:
        entries = list(store.entries())
        flown = [i for i, entry in enumerate(entries) if entry.said.get("do") == "stage"]
        if not flown:
            raise InputError(str(path), "", "no flight", "a session that had begun")
        school = Schoolroom()
        for entry in entries:
            if entry.kind == "class":
                school.take(entry)
        deck = Deck.begin(entries[flown[-1]].said, files=True)
        place = _place(store)
        if not store.fact("key"):
            raise InputError(str(path), "key", "nothing", "a session with the key to its bench")
        again = [entry for entry in entries[flown[-1] + 1 :] if entry.kind == "world"]
        last = _last_tick(entries, place)
        _do_again(str(path), deck, again, last, progress)
    except BaseException:
        store.close()
        raise
    kept = Kept(store, deck, school, len(entries))
    kept.running, kept.pace = place.running, place.pace
    store.note("ended", "")
    return kept


def _place(store: Store) -> Place:
    """The place noted last. Raises InputError for what is none."""
    written = store.fact("place", "{}")
    try:
        return Place.model_validate_json(written)
    except ValidationError:
        raise InputError(str(store.path), "place", written[:40], "where a flight had come to") from None


def _last_tick(entries: list[Entry], place: Place) -> int:
    """Where the flight is known to have come to after the last thing that was done to it: by the place that
    was noted, or by what happened in the class since; 0 where nothing is known of it.
    """
    done = max((i for i, entry in enumerate(entries) if entry.kind == "world"), default=-1)
    ticks = [entry.tick for entry in entries[done + 1 :]]
    if place.entries > done:
        ticks.append(place.tick)
    return max(ticks, default=0)


def _do_again(source: str, deck: Deck, entries: list[Entry], last: int, progress: Progress) -> None:
    total = max(len(entries), 1)
    for done, entry in enumerate(entries):
        _fly_to(deck, entry.tick, lambda share, done=done: progress((done + share) / total))  # type: ignore[misc]
        try:
            deck.do(entry.said)
        except InputError as error:
            log.warning("not done again: %s", error.line())
        except (KeyError, TypeError, ValueError):
            raise InputError(
                source, f"deed {done + 1}", str(entry.said)[:60], "what a page may ask"
            ) from None
    _fly_to(deck, last, progress)


def _fly_to(deck: Deck, tick: int, progress: Progress) -> None:
    first = deck.tick
    while deck.tick < tick and not deck.ended:
        deck.step()
        if deck.tick % 200 == 0:
            progress((deck.tick - first) / (tick - first))


def _short(title: str) -> str:
    """A title as part of a file's name."""
    return re.sub(r"[^a-z0-9]+", "-", title.lower())[:40].strip("-") or "untitled"
