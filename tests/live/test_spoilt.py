"""A session file that something has spoilt is refused in a line; nobody comes in without a key."""

import sqlite3
from pathlib import Path

import pytest

from ramstill.errors import InputError
from ramstill.live.keeping import cut_off, new_session, taken_up

ENTRY = "insert into entry (kind, at, tick, time_s, said) values ('world', 1, {}, 0.25, '{}')"


@pytest.fixture
def kept(tmp_path: Path) -> Path:
    """The file of a session that has just begun."""
    session = new_session(tmp_path, {"do": "stage", "airplane": "low-wing-mast"})
    session.note_place(0, False, 1.0)
    session.store.close()
    return session.store.path


def test_it_is_taken_up_as_it_was(kept: Path) -> None:
    session = taken_up(kept)
    assert session.deck.airplane.name == "low-wing-mast"
    session.store.close()


@pytest.mark.parametrize(
    ("spoilt", "field"),
    [
        ("update fact set value = '{nope' where name = 'place'", "place"),
        ("update fact set value = '[1]' where name = 'place'", "place"),
        ('update fact set value = \'{"entries": 1, "tick": "x"}\' where name = \'place\'', "place"),
        ("update entry set said = '[]'", "entry 1"),
        ("update entry set said = 'nope'", "entry 1"),
        (ENTRY.format(5, "{}"), "deed 1"),
        (ENTRY.format(5, '{"do": "levers", "speed_kt": "fast"}'), "deed 1"),
        (ENTRY.format("'late'", '{"do": "lift"}'), "entry 2"),
        ("delete from fact where name = 'key'", "key"),
    ],
)
def test_what_is_spoilt_is_named(kept: Path, spoilt: str, field: str) -> None:
    with sqlite3.connect(kept) as file:
        file.execute(spoilt)
    file.close()
    with pytest.raises(InputError) as refused:
        taken_up(kept)
    assert (refused.value.source, refused.value.field) == (str(kept), field)
    if field == "place":
        with pytest.raises(InputError, match="place"):
            cut_off(kept)
