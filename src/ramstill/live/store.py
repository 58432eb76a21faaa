"""What lasts of a session: everything said that changed something, in order, in one SQLite file.

Nothing is stored of what follows from it: a session is taken up again by doing the same things at the same
ticks. WAL mode with synchronous=FULL: what was acknowledged is there after a power cut. One thread writes;
what waits meanwhile goes into the same transaction.
"""

from __future__ import annotations

import json
import os
import queue
import sqlite3
import threading
from collections.abc import Iterator, Mapping
from concurrent.futures import Future
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

from ramstill.errors import InputError

FORMAT = "1"
Kind = Literal["world", "class"]
_TABLES = """
create table if not exists fact (name text primary key, value text not null);
create table if not exists entry (
    number integer primary key,
    kind text not null,
    at real not null,
    tick integer not null,
    time_s real not null,
    said text not null
);
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """One thing done. kind: to the air and the flight, or in the class; at: time of day [s since 1970 UTC];
    tick: of the flight, before which it was done; time_s: the flight's clock then; said: what was done.
    """

    kind: Kind
    at: float
    tick: int
    time_s: float
    said: Mapping[str, Any]


class Store:
    """The file of one session, opened by one process at a time.

    Raises InputError for a path that cannot be written, a file of another program, or one that is in use.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        try:
            os.close(os.open(path, os.O_RDWR | os.O_CREAT, 0o600))  # a key is in it
            self._file = sqlite3.connect(path, check_same_thread=False, isolation_level=None, timeout=0.2)
            self._file.execute("pragma locking_mode=exclusive")
            self._file.execute("pragma journal_mode=wal")
            self._file.execute("pragma synchronous=full")
            self._file.executescript(_TABLES)
            self._file.execute("begin immediate")  # takes the lock, which is kept
            self._file.execute("insert or ignore into fact values ('format', ?)", (FORMAT,))
            self._file.execute("commit")
            written = self.fact("format")
        except sqlite3.OperationalError as error:
            read = "a file that another ramstill live uses" if "locked" in str(error) else str(error)
            raise InputError(str(path), "", read, "a session of its own for each server") from None
        except (OSError, sqlite3.DatabaseError) as error:
            why = getattr(error, "strerror", None) or str(error)
            raise InputError(str(path), "", why, "a session file that can be written") from None
        if written != FORMAT:
            raise InputError(str(path), "format", written, FORMAT)
        self._waiting: queue.SimpleQueue[tuple[str, tuple[Any, ...], Future[None]] | None]
        self._waiting = queue.SimpleQueue()
        self._writer = threading.Thread(target=self._write, name="ramstill-store", daemon=True)
        self._writer.start()

    def add(self, entry: Entry) -> Future[None]:
        """Keep an entry behind all others; done once it lasts. It holds what stopped it from being kept."""
        said = json.dumps(entry.said, separators=(",", ":"), ensure_ascii=False, allow_nan=False)
        return self._later(
            "insert into entry (kind, at, tick, time_s, said) values (?, ?, ?, ?, ?)",
            (entry.kind, entry.at, entry.tick, entry.time_s, said),
        )

    def note(self, name: str, value: str) -> Future[None]:
        """Keep a fact in the place of what it was; done once it lasts."""
        return self._later("insert or replace into fact values (?, ?)", (name, value))

    def fact(self, name: str, otherwise: str = "") -> str:
        """A fact as it was last kept."""
        row = self._file.execute("select value from fact where name = ?", (name,)).fetchone()
        return otherwise if row is None else str(row[0])

    def entries(self) -> Iterator[Entry]:
        """All entries, in order. Raises InputError for one that is none."""
        rows = self._file.execute("select kind, at, tick, time_s, said from entry order by number")
        for number, (kind, at, tick, time_s, said) in enumerate(rows, 1):
            try:
                read = json.loads(said)
            except ValueError:
                read = None
            if not isinstance(read, dict) or not isinstance(tick, int):
                raise InputError(str(self.path), f"entry {number}", str(said)[:40], "what a session keeps")
            yield Entry(kind, at, tick, time_s, read)

    def close(self) -> None:
        """Write what waits, and let go of the file."""
        if self._writer.is_alive():
            self._waiting.put(None)
            self._writer.join()
        self._file.close()

    def _later(self, statement: str, values: tuple[Any, ...]) -> Future[None]:
        done: Future[None] = Future()
        self._waiting.put((statement, values, done))
        return done

    def _write(self) -> None:
        """The writer's thread: whatever has come in, in one transaction."""
        over = False
        while not over:
            batch = [self._waiting.get()]
            while not self._waiting.empty():
                batch.append(self._waiting.get())
            over = None in batch
            self._keep([one for one in batch if one is not None])

    def _keep(self, batch: list[tuple[str, tuple[Any, ...], Future[None]]]) -> None:
        try:
            self._file.execute("begin immediate")
            for statement, values, _ in batch:
                self._file.execute(statement, values)
            self._file.execute("commit")
        except sqlite3.Error as error:
            if self._file.in_transaction:
                self._file.execute("rollback")
            for _, _, done in batch:
                done.set_exception(error)
            return
        for _, _, done in batch:
            done.set_result(None)
