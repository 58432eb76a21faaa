"""What may be told of a check, and what is refused with the list of what may."""

import pytest

from ramstill.diagnosis.checks import take_outcome
from ramstill.errors import InputError


def likely(diagnosis):
    return {f.names: f.probability for f in diagnosis.ranking}


@pytest.mark.parametrize(
    ("one", "same"),
    [
        ("alternate open: altimeter jumps 60 ft", "alternate-open: altimeter moves 60 ft"),
        ("alternate: altimeter jumps up 60 ft", "Alternate source open: Altimeter +60 ft"),
        ("alternate: altimeter +60 ft", "alternate: altimeter jumps up 15 to 150 ft"),
        ("alternate: altimeter jumps up 2,000 ft", "alternate: altimeter jumps up more than 150 ft"),
        ("alternate: jumps 60 ft", "alternate: altimeter jumps 60 ft"),  # by its unit
        ("alternate: vsi steady", "alternate-open: vertical speed hardly moves"),
        ("alternate: airspeed jumps, altimeter jumps", "alternate: altimeter jumps; asi jumps"),
        ("change altitude: altimeter moves 0 ft", "change-altitude: altimeter frozen"),
        ("leak-pitot: airspeed loses 30 kt", "leak-pitot: airspeed shut off loses 10 to 80 kt in a minute"),
        ("encoder: 300 ft too high", "encoder-altitude: encoder more than 200 ft above the altimeter"),
    ],
)
def test_one_thing_may_be_said_in_several_ways(still_side, one, same):
    assert likely(take_outcome(still_side, one)) == likely(take_outcome(still_side, same))


def test_without_a_direction_both_count(still_side):
    either = take_outcome(still_side, "alternate: altimeter jumps 60 ft")
    up = take_outcome(still_side, "alternate: altimeter jumps up 60 ft")
    assert likely(either) != likely(up)


def test_nothing_changes_is_said_of_all(still_side):
    each = "alternate: altimeter hardly moves, airspeed hardly moves, vertical speed hardly moves"
    all_of_them = take_outcome(still_side, "alternate: nothing changes")
    assert likely(all_of_them) == pytest.approx(likely(take_outcome(still_side, each)))


@pytest.mark.parametrize(
    ("told", "allowed"),
    [
        ("", "alternate-open, "),
        ("compass: steady", "change-altitude, "),
        ("bench: fails", "bench-altimeter, "),  # there are four
        ("shop: done", "heat-on, "),
        ("alternate open", "jumps up 15 to 150 ft"),
        ("alternate open:", "hardly moves"),
        ("alternate open: altimeter wobbles", "jumps up 15 to 150 ft"),
        ("alternate open: altimeter jumps 60", "ft"),
        ("alternate open: altimeter jumps 60 kg", "ft"),
        ("alternate open: jumps", "which of them"),
        ("alternate open: altimeter steady, altimeter jumps up", "one thing at a time"),
        ("pitch-power: altimeter right", "airspeed, vertical speed"),
        ("panel: tidy", "all is as it should be"),
    ],
)
def test_what_is_not_understood_gets_what_may_be_told(still_side, told, allowed):
    with pytest.raises(InputError) as refused:
        take_outcome(still_side, told)
    assert refused.value.source == "--then"
    assert allowed in refused.value.allowed


def test_a_check_is_told_once(still_side):
    once = take_outcome(still_side, "panel: all is as it should be")
    assert once.checked == ("panel: all is as it should be",)
    with pytest.raises(InputError, match="not told of before"):
        take_outcome(once, "panel: the heat is off")
