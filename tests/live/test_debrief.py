"""The debrief of a class: what could be seen and when, how answers stand, and the page that says so."""

import re
from dataclasses import replace

import numpy as np
import pytest
from a_class import ASKED_S, BLOCKED, CALLS, CLOSED_S, FLIGHT, RECORD, ROUND, SEATS, call

from ramstill import airplane
from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.noticing import NOTICEABLE
from ramstill.errors import InputError
from ramstill.faults import Fault, catalogue
from ramstill.flight.pilots import cues as pilot
from ramstill.instruments import pointers_of
from ramstill.live import visible
from ramstill.live.answers import answers_for, title_of
from ramstill.live.debrief import debrief_page
from ramstill.live.record import NOTHING_WRONG, UNSURE, Panel, Round, Stretch
from ramstill.live.worked import Worked, work_out

IDS = [seat.seat for seat in SEATS]
PLANE = airplane.load("low-wing-mast")
POINTERS = {pointer.name: pointer for pointer in pointers_of(PLANE)}


@pytest.fixture(scope="module")
def worked() -> Worked:
    return work_out(ROUND, IDS)


@pytest.fixture(scope="module")
def page() -> str:
    return debrief_page(RECORD)


# ---- what counts as seen


def _panel(change: dict[str, np.ndarray], time_s: np.ndarray) -> tuple[dict[str, np.ndarray], ...]:
    """A sound panel in level flight, and the same with something added."""
    level = {"airspeed": 50.0, "altimeter": 1000.0, "vertical-speed": 0.0, "encoder": 1000.0}
    sound = {name: np.full(len(time_s), value) for name, value in level.items()}
    return {name: sound[name] + change.get(name, 0.0) for name in sound}, sound


def test_a_pointer_is_seen_off_from_where_it_passes_what_is_noticed() -> None:
    time_s = np.arange(0.0, 60.0, 0.25)
    drift = np.clip(time_s - 20.0, 0.0, None) * 0.49 * KT  # about half a knot a second from 20 s on
    shown, sound = _panel({"airspeed": drift}, time_s)
    (cue,) = visible.cues(time_s, tuple(POINTERS.values()), shown, sound, 0.0)
    # 5 kt after 10.2 s: the next quarter of a second is the first sample beyond it
    assert (cue.kind, cue.pointers, cue.at_s) == ("off", ("airspeed",), pytest.approx(30.25))
    assert cue.amount_si == pytest.approx(NOTICEABLE["airspeed"], rel=0.05)
    assert "high" in cue.said


def test_what_is_gone_within_three_seconds_is_not_counted() -> None:
    time_s = np.arange(0.0, 60.0, 0.25)
    for lasts, seen in ((2.0, False), (4.0, True)):
        blip = np.where((time_s >= 20.0) & (time_s < 20.0 + lasts), 200.0 * FT, 0.0)
        shown, sound = _panel({"altimeter": blip, "encoder": 0.0 * blip}, time_s)
        found = visible.cues(time_s, (POINTERS["altimeter"],), shown, sound, 0.0)
        assert bool(found) is seen


def test_a_pointer_that_shows_nothing_is_a_cue_of_its_own() -> None:
    time_s = np.arange(0.0, 60.0, 0.25)
    shown, sound = _panel({"encoder": np.where(time_s >= 30.0, np.nan, 0.0)}, time_s)
    (cue,) = visible.cues(time_s, tuple(POINTERS.values()), shown, sound, 0.0)
    assert (cue.kind, cue.pointers, cue.at_s) == ("blank", ("encoder",), 30.0)


def test_a_vertical_speed_that_does_not_go_with_the_altimeter_can_be_seen_by_anybody() -> None:
    time_s = np.arange(0.0, 60.0, 0.25)
    rate = np.where(time_s >= 30.0, 700.0 * FPM, 0.0)
    shown, sound = _panel({"vertical-speed": rate}, time_s)
    found = visible.cues(time_s, tuple(POINTERS.values()), shown, sound, 0.0)
    apart = next(cue for cue in found if cue.kind == "apart")
    assert apart.pointers == ("vertical-speed", "altimeter")
    # 700 ft/min is beyond 600 once six sevenths of the window of 4 s are full of it
    assert 30.0 + 3.0 < apart.at_s < 30.0 + pilot.WINDOW_S + 0.5


def test_before_the_time_asked_for_nothing_is_seen() -> None:
    time_s = np.arange(0.0, 60.0, 0.25)
    shown, sound = _panel({"airspeed": np.full(len(time_s), 10.0 * KT)}, time_s)
    (cue,) = visible.cues(time_s, (POINTERS["airspeed"],), shown, sound, 40.0)
    assert cue.at_s == 40.0


def test_the_thresholds_are_those_of_the_diagnosis_and_of_a_pilot() -> None:
    assert pilot.LASTS_S == visible.LASTS_S
    said = dict(visible.thresholds())
    assert said["An airspeed is off"] == f"by {NOTICEABLE['airspeed'] / KT:.0f} kt"
    assert said["Two altimeters are apart"] == f"by {pilot.OTHER_ALTITUDE_OFF / FT:.0f} ft"


# ---- a round worked out


def test_a_blocked_inlet_without_a_drain_is_first_seen_on_the_airspeed_in_the_climb(worked: Worked) -> None:
    # trapped ram pressure in a climb makes the airspeed read high and rising: FAA-H-8083-25C, chapter 8
    # ("Blocked pitot system"); the time is this airplane's
    looked = worked.looked[0]
    (cue,) = looked.cues
    assert cue.pointers == ("airspeed",)
    assert BLOCKED.onset_s < cue.at_s < BLOCKED.onset_s + 15.0
    assert {"high", "rising"} <= set(cue.said)


def test_blocked_static_ports_are_seen_on_every_pointer(worked: Worked) -> None:
    # altimeter frozen, vertical speed zero, airspeed low in a climb: FAA-H-8083-25C, chapter 8
    looked = next(one for one in worked.looked if one.seats == ("s5",))
    said = {cue.pointers[0]: cue.said for cue in looked.cues if cue.kind == "off"}
    assert said["altimeter"][0] == "frozen"
    assert said["vertical-speed"][0] == "zero"
    assert "low" in said["airspeed"]


def test_each_answer_stands_as_the_air_has_it(worked: Worked) -> None:
    shared, own = worked.looked
    stands = {seat: verdict.stands for seat, verdict in (shared.verdicts | own.verdicts).items()}
    assert stands == {
        "s0": "right",
        "s1": "wrong",
        "s2": "wrong",
        "s3": "noticed",
        "s4": "missed",
        "s5": "wrong",
    }
    # told apart only where both can be: static ports shut stop the vertical speed at once in a climb
    assert shared.verdicts["s2"].by == "vertical-speed"
    assert BLOCKED.onset_s <= (shared.verdicts["s2"].until_s or 0.0) < BLOCKED.onset_s + 2.0


def test_another_fault_that_does_the_same_is_not_called_wrong() -> None:
    nest = replace(ROUND, panels=(Panel((), (BLOCKED,)),), calls=(call(0, 230.0, "insect-nest"),))
    (looked,) = work_out(nest, ["s0"]).looked
    assert looked.verdicts["s0"].stands == "alike"


def test_a_sound_airplane_is_called_by_saying_that_nothing_is_wrong() -> None:
    calls = (call(0, 200.0, NOTHING_WRONG), call(1, 200.0, UNSURE), call(2, 200.0, "tee-plugged"))
    sound = replace(ROUND, scenario=FLIGHT, panels=(Panel((), ()),), calls=calls)
    (looked,) = work_out(sound, ["s0", "s1", "s2"]).looked
    assert looked.cues == ()
    assert [looked.verdicts[s].stands for s in ("s0", "s1", "s2")] == ["right", "wrong", "wrong"]


def test_holding_the_airplane_to_be_sound_is_only_missed_where_something_could_be_seen() -> None:
    hidden = Fault("heat-left-off", onset_s=0.0)  # nothing shows it until ice comes
    text = FLIGHT + '[[fault]]\nname = "heat-left-off"\n'
    one = replace(
        ROUND, scenario=text, panels=(Panel((), (hidden,)),), calls=(call(0, 200.0, NOTHING_WRONG),)
    )
    (looked,) = work_out(one, ["s0"]).looked
    assert looked.verdicts["s0"].stands == "unseen"


def test_what_was_done_to_all_by_hand_is_no_cue() -> None:
    text = FLIGHT.replace("low-wing-mast", "high-wing-tube") + (
        '[[fault]]\nname = "alternate-static-open"\nonset = "200 s"\n'
    )
    one = replace(ROUND, scenario=text, panels=(Panel((), ()),), calls=())
    (looked,) = work_out(one, ["s0"]).looked
    assert looked.cues == ()
    assert np.array_equal(looked.shown["airspeed"], work_out(one, ["s0"]).sound["airspeed"])


def test_a_fault_that_was_gone_before_the_question_is_not_held_against_anybody() -> None:
    gone = replace(BLOCKED, onset_s=60.0, end_s=100.0)
    one = replace(ROUND, panels=(Panel((), (gone,)),), calls=(call(0, 200.0, NOTHING_WRONG),))
    (looked,) = work_out(one, ["s0"]).looked
    assert looked.faults == ()
    assert looked.verdicts["s0"].stands == "right"


def test_a_round_that_was_not_revealed_cannot_be_worked_out() -> None:
    with pytest.raises(InputError):
        work_out(Round(1, 0.0, 0.0), IDS)


# ---- the list of answers


@pytest.mark.parametrize("name", airplane.hangar())
def test_the_list_holds_what_the_airplane_can_have_and_nothing_else(name: str) -> None:
    plane = airplane.load(name)
    listed = [answer["name"] for answer in answers_for(plane)]
    there = {name for name, entry in catalogue().items() if entry.default_place(plane) is not None}
    assert (listed[0], listed[-1]) == (NOTHING_WRONG, UNSURE)
    assert len(listed) == len(set(listed))
    assert set(listed[1:-1]) == there


# ---- the page


def test_the_page_needs_nothing_but_itself(page: str) -> None:
    assert "<script" not in page
    assert re.search(r'(?:src|href)="(?!#)', page) is None
    assert "style=" not in page.replace("apple-system", "")
    assert "default-src 'none'" in page


def test_names_and_what_was_written_stand_as_text(page: str) -> None:
    assert "Bo &lt;b&gt;Lind&lt;/b&gt;" in page
    assert "<b>Lind" not in page
    assert "Pitch and power, pitot heat on, tell the tower" in page
    for number, seat in enumerate(SEATS, 1):
        assert f"{number}. {'Seat ' + str(number) if not seat.name else seat.name.split(' ')[0]}" in page


def test_it_says_how_the_answers_stand_in_words(page: str) -> None:
    assert "1 of 6 had it right at the reveal" in page
    assert "1 wrote nothing down" in page
    assert f"before, {title_of('tee-plugged').lower()} at 4:10" in page
    assert "1 round from the question to the reveal; 1 more that was never revealed" in page


def test_nobody_is_ranked(page: str) -> None:
    words = re.sub(r"<style>.*?</style>|<[^>]+>", " ", page, flags=re.S).lower()
    for word in ("score", "rank ", "points", "winner", "place 1", "best"):
        assert word not in words


def test_a_flight_that_cannot_be_flown_again_leaves_the_answers() -> None:
    broken = replace(RECORD, rounds=(replace(ROUND, scenario="format = 99"),))
    page = debrief_page(broken)
    assert "could not be flown again" in page
    assert "Cover left on" in page


def test_a_class_without_a_reveal_says_so() -> None:
    assert "No round was taken to its reveal" in debrief_page(replace(RECORD, rounds=()))


def test_an_answer_on_a_branch_that_was_left_is_told_apart() -> None:
    way = (Stretch("a", 0.0), Stretch("b", 200.0))
    calls = (replace(CALLS[3], branch="a"), replace(CALLS[4], branch="b"))
    page = debrief_page(replace(RECORD, rounds=(replace(ROUND, way=way, calls=calls),)))
    assert page.count("before the flight was taken back") == 1


def test_the_times_of_the_round_are_the_flights(worked: Worked) -> None:
    assert worked.time_s[-1] == pytest.approx(CLOSED_S)
    assert ASKED_S < CLOSED_S


def test_what_was_switched_after_the_question_is_nobodys_fault_unless_nothing_else_is_wrong() -> None:
    opened = Fault("alternate-static-open", "alternate-static-valve", onset_s=200.0)
    text = FLIGHT.replace("low-wing-mast", "high-wing-tube") + (
        '[[fault]]\nname = "alternate-static-open"\nonset = "200 s"\n'
    )
    blocked = '[[fault]]\nname = "pitot-inlet-blocked"\nonset = "180 s"\n'
    both = replace(ROUND, scenario=text + blocked, panels=(Panel((), (opened, BLOCKED)),), calls=())
    alone = replace(
        ROUND, scenario=text, panels=(Panel((), (opened,)),), calls=(call(0, 220.0, opened.name),)
    )
    (looked,) = work_out(both, ["s0"]).looked
    assert looked.faults == (BLOCKED,)
    (looked,) = work_out(alone, ["s0"]).looked
    assert looked.verdicts["s0"].stands == "right"
