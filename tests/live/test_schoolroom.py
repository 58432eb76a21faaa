"""The class, from its entries alone."""

from typing import Any

import pytest

from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.live.record import as_json, from_json
from ramstill.live.schoolroom import MOST_SEATS, WORD_LASTS_S, Opening, Schoolroom
from ramstill.live.store import Entry


class Told:
    """A schoolroom that entries are told to, a second apart."""

    def __init__(self) -> None:
        self.room, self.entries = Schoolroom(), []

    def tell(self, **said: Any) -> None:
        now = float(len(self.entries))
        entry = Entry("class", 1000.0 + now, 20 * len(self.entries), now, said)
        self.entries.append(entry)
        self.room.take(entry)

    def open(self) -> None:
        self.tell(do="open", class_id="c1", word="acorn willow", expires_at=1000.0 + WORD_LASTS_S)

    def join(self, name: str = "") -> tuple[str, str]:
        token, said = self.room.joining(name)
        self.tell(**said)
        return token, said["seat"]

    def call(self, seat: str, fault: str | None, since_s: float | None = None) -> None:
        self.tell(do="call", seat=seat, fault=fault, since_s=since_s, would_do="look out", branch="b1")

    def reveal_faults(self) -> None:
        panels = [{"seats": [], "faults": [{"name": "everything-blocked", "onset_s": 3.0}]}]
        self.tell(do="reveal", what="faults", scenario="format = 1", panels=panels, way=[["b1", 0.0]])


def test_a_word_lets_in_while_it_lasts_and_the_class_is_open() -> None:
    told = Told()
    assert not told.room.admits("", 1000.0)
    told.open()
    assert told.room.admits("Acorn-Willow", 1001.0)
    assert not told.room.admits("acorn oak", 1001.0)
    assert not told.room.admits("acorn willow", 1000.0 + WORD_LASTS_S)
    told.tell(do="close")
    assert not told.room.admits("acorn willow", 1001.0)


def test_an_opening_has_a_word_of_its_own() -> None:
    first, second = Opening.now(0.0), Opening.now(0.0)
    assert first.word != second.word
    assert first.class_id != second.class_id
    assert first.expires_at == WORD_LASTS_S


def test_a_token_is_worth_its_seat_until_the_class_is_over() -> None:
    told = Told()
    told.open()
    token, seat = told.join("Ann")
    other, another = told.join()
    assert (told.room.seat_of(token), told.room.seat_of(other)) == (seat, another)
    assert told.room.seat_of("") is None
    assert told.room.seat_of(token[:-1]) is None
    assert token not in repr(told.entries), "only a fingerprint of it is kept"
    told.tell(do="close")
    assert told.room.seat_of(token) is None
    told.open()
    assert told.room.seat_of(token) is None


def test_a_class_has_so_many_seats() -> None:
    told = Told()
    told.open()
    for _ in range(MOST_SEATS):
        told.join()
    with pytest.raises(InputError, match=f"{MOST_SEATS} at most"):
        told.room.joining("one more")


def test_answers_are_taken_between_the_question_and_the_reveal() -> None:
    told = Told()
    told.open()
    _, seat = told.join("Ann")
    assert not told.room.asked
    told.tell(do="ask")
    assert told.room.asked
    assert told.room.call_of(seat) is None
    told.call(seat, "pitot-inlet-blocked", 12.0)
    told.call(seat, "pitot-and-drain-blocked", 11.0)
    answer = told.room.call_of(seat)
    assert answer is not None
    assert (answer.fault, answer.since_s) == ("pitot-and-drain-blocked", 11.0)
    told.call(seat, None)
    assert told.room.call_of(seat) is None
    told.call(seat, "none")
    told.tell(do="reveal", what="wall")
    assert told.room.asked
    told.reveal_faults()
    assert not told.room.asked
    assert told.room.revealed == ("wall", "faults")
    told.tell(do="reveal", what="nothing")
    assert told.room.revealed == ()
    told.tell(do="ask")
    assert told.room.call_of(seat) is None
    assert len(told.room.rounds) == 2
    first = told.room.rounds[0]
    assert [call.fault for call in first.calls] == [
        "pitot-inlet-blocked",
        "pitot-and-drain-blocked",
        None,
        "none",
    ]
    assert first.panels[0].faults == (Fault("everything-blocked", onset_s=3.0),)


def test_a_learner_sits_at_a_craft_of_their_own_or_at_the_bench() -> None:
    told = Told()
    told.open()
    _, seat = told.join()
    assert told.room.craft_of(seat) == "bench"
    told.tell(do="sit", seats=[seat], craft="c7")
    assert told.room.craft_of(seat) == "c7"
    told.tell(do="sit", seats=[seat], craft="bench")
    assert told.room.craft_of(seat) == "bench"


def test_the_same_entries_make_the_same_class_and_its_record_lasts_as_json() -> None:
    told = Told()
    told.open()
    _, seat = told.join("Ann")
    told.tell(do="hold", on=True)
    told.tell(do="ask")
    told.call(seat, "none")
    told.reveal_faults()
    again = Schoolroom()
    for entry in told.entries:
        again.take(entry)
    record = told.room.record("A lesson", "low-wing-mast")
    assert again.record("A lesson", "low-wing-mast") == record
    assert again.held
    assert from_json(as_json(record)) == record
    assert "acorn" not in repr(record), "the word is a key, and in no record"
