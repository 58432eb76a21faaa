"""The record of a class: what is read back is what was written, and what is no record is refused."""

import json
from dataclasses import replace

import pytest

from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.live.record import Call, ClassRecord, Panel, Reveal, Round, Seat, Stretch, as_json, from_json

CALLS = (
    Call("a", 1010.0, 40.0, "tee-plugged", 30.0, "Look at the other side"),
    Call("b", 1011.0, 41.0, "none"),
    Call("b", 1020.0, 50.0, None),
    Call("a", 1030.0, 60.0, "pitot-inlet-blocked", 35.0, "Fly attitude and power"),
)
ROUND = Round(
    number=1,
    asked_at=1000.0,
    asked_s=30.0,
    closed_at=1060.0,
    closed_s=90.0,
    scenario='title = "x"',
    panels=(
        Panel((), (Fault("pitot-inlet-blocked", onset_s=35.0),)),
        Panel(("b",), (Fault("static-line-leak", "cabin line", 0.5, 20.0, 80.0, 5.0, "500 ft/min"),)),
    ),
    calls=CALLS,
    reveals=(Reveal("faults", 1060.0, 90.0),),
)
RECORD = ClassRecord(
    class_id="20300102-0900",
    title="A spring afternoon",
    airplane="low-wing-mast",
    opened_at=900.0,
    closed_at=2000.0,
    seats=(Seat("a", "Ines", 950.0), Seat("b", "", 951.0)),
    rounds=(ROUND,),
)


def test_what_was_written_is_read_back() -> None:
    assert from_json(json.loads(json.dumps(as_json(RECORD)))) == RECORD


def test_a_class_that_goes_on_is_read_back() -> None:
    open_round = Round(number=1, asked_at=1.0, asked_s=0.0)
    going_on = replace(RECORD, closed_at=None, rounds=(open_round,))
    assert from_json(json.loads(json.dumps(as_json(going_on)))) == going_on


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"format": 2}, "format"),
        ({"seats": "a"}, "seats"),
        ({"seats": [{"seat": 3, "name": "", "joined_at": 0.0}]}, "seats[1].seat"),
        ({"opened_at": "noon"}, "opened_at"),
        ({"opened_at": float("nan")}, "opened_at"),
        ({"opened_at": True}, "opened_at"),
        ({"colour": "blue"}, ""),
        ({"rounds": [{"number": 1.5, "asked_at": 0.0, "asked_s": 0.0}]}, "rounds[1].number"),
        ({"rounds": [{"number": 1}]}, "rounds[1]"),
        (
            {"rounds": [{"number": 1, "asked_at": 0, "asked_s": 0, "panels": [{"seats": [7]}]}]},
            "rounds[1].panels[1].seats[1]",
        ),
    ],
)
def test_what_is_no_record_is_refused(change: dict[str, object], field: str) -> None:
    with pytest.raises(InputError) as error:
        from_json(as_json(RECORD) | change)
    assert error.value.field == field


def test_each_learner_has_their_own_panel_or_the_benchs() -> None:
    assert ROUND.panel_of("b").faults[0].name == "static-line-leak"
    assert ROUND.panel_of("a").faults[0].name == "pitot-inlet-blocked"
    assert replace(ROUND, panels=()).panel_of("a").faults == ()


def test_the_answer_that_stands_is_the_last_one_unless_it_was_taken_back() -> None:
    last = ROUND.last("a")
    assert last is not None
    assert last.fault == "pitot-inlet-blocked"
    assert ROUND.last("b") is None
    assert ROUND.last("nobody") is None


def test_a_call_on_a_branch_that_was_left_is_not_on_the_way() -> None:
    forked = replace(ROUND, way=(Stretch("1", 0.0), Stretch("2", 45.0)))
    before, after = replace(CALLS[0], branch="1"), replace(CALLS[3], branch="1")
    assert forked.on_the_way(before)
    assert not forked.on_the_way(after)
    assert forked.on_the_way(replace(after, branch="2"))
    assert ROUND.on_the_way(after)


def test_a_learner_without_a_name_is_named_by_their_seat() -> None:
    assert [RECORD.called(seat) for seat in ("a", "b", "z")] == ["Ines", "Seat 2", "Someone"]
