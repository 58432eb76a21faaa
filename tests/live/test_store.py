"""The file of a session: what is in it after a death, who may open it, what is said of one that is none."""

import os
import sqlite3
import stat
import sys
from pathlib import Path

import pytest

from ramstill.errors import InputError
from ramstill.live.store import Entry, Store


def entry(n: int) -> Entry:
    return Entry(
        "class", 1e9 + n, n, n / 20.0, {"do": "call", "would_do": "größer <b>", "n": n, "none": None}
    )


def test_entries_and_facts_come_back_in_order(tmp_path: Path) -> None:
    store = Store(tmp_path / "a.sqlite")
    kept = [store.add(entry(n)) for n in range(50)]
    store.note("key", "one").result(10)
    store.note("key", "two").result(10)
    for done in kept:
        done.result(10)
    store.close()
    again = Store(tmp_path / "a.sqlite")
    assert list(again.entries()) == [entry(n) for n in range(50)]
    assert again.fact("key") == "two"
    assert again.fact("nothing", "else") == "else"
    again.close()


def test_it_is_kept_as_it_should_be(tmp_path: Path) -> None:
    store = Store(tmp_path / "a.sqlite")
    assert store._file.execute("pragma journal_mode").fetchone() == ("wal",)
    assert store._file.execute("pragma synchronous").fetchone() == (2,)  # FULL
    store.add(entry(1)).result(10)
    if os.name == "posix":
        for file in tmp_path.iterdir():
            assert stat.S_IMODE(file.stat().st_mode) == 0o600, file
    store.close()


def test_a_second_server_is_turned_away(tmp_path: Path) -> None:
    store = Store(tmp_path / "a.sqlite")
    with pytest.raises(InputError, match="another ramstill live"):
        Store(tmp_path / "a.sqlite")
    store.add(entry(1)).result(10)
    store.close()
    Store(tmp_path / "a.sqlite").close()


def test_what_is_no_session_is_said_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "text.sqlite").write_text("no database, but long enough to be looked at as one " * 50)
    with pytest.raises(InputError, match="not a database"):
        Store(tmp_path / "text.sqlite")
    with pytest.raises(InputError, match="No such file"):
        Store(tmp_path / "nowhere" / "a.sqlite")
    other = sqlite3.connect(tmp_path / "later.sqlite")
    other.execute("create table fact (name text primary key, value text not null)")
    other.execute("insert into fact values ('format', '99')")
    other.commit()
    other.close()
    with pytest.raises(InputError, match="99"):
        Store(tmp_path / "later.sqlite")


def test_what_cannot_be_written_is_told_to_who_waits(tmp_path: Path) -> None:
    store = Store(tmp_path / "a.sqlite")
    store._file.execute("pragma max_page_count = 5")  # as a full disk would
    large = Entry("class", 0.0, 0, 0.0, {"do": "x", "text": "y" * 100_000})
    with pytest.raises(sqlite3.Error):
        store.add(large).result(10)
    store._file.execute("pragma max_page_count = 1000000")
    store.add(entry(1)).result(10)
    assert list(store.entries()) == [entry(1)]
    store.close()


DYING = """
import os, signal, sys
from pathlib import Path
from ramstill.live.store import Entry, Store
store = Store(Path(sys.argv[1]))
for n in range(20):
    store.add(Entry("class", 0.0, n, 0.0, {"do": "x"})).result(10)
print("kept", flush=True)
store.add(Entry("class", 0.0, 20, 0.0, {"do": "x"}))
os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(os.name != "posix", reason="SIGKILL is of POSIX")
def test_what_was_acknowledged_outlives_a_kill(tmp_path: Path) -> None:
    import subprocess

    done = subprocess.run(
        [sys.executable, "-c", DYING, str(tmp_path / "a.sqlite")], capture_output=True, text=True
    )
    assert done.stdout == "kept\n", done.stderr
    assert done.returncode == -9
    store = Store(tmp_path / "a.sqlite")
    assert len(list(store.entries())) in (20, 21)  # the last one was on its way
    store.close()
