"""The words of a reported defect and how they are read."""

from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import airplane
from ramstill.diagnosis import phases, saying
from ramstill.errors import InputError

PLANE = airplane.load("high-wing-tube")
INSTRUMENTS = saying.instruments(PLANE)


def words(text, plane=PLANE):
    return saying.in_words(saying.parse(plane, [text]))


@pytest.mark.parametrize(
    ("text", "read"),
    [
        (
            "climb: altimeter frozen, vsi zero, airspeed falling",
            "climb: airspeed falling, altimeter frozen, vsi zero",
        ),
        (
            "In the CLIMB and the descent: ALT and VSI stuck",
            "climb: altimeter frozen, vsi frozen; descent: altimeter frozen, vsi frozen",
        ),
        (
            "descent: asi too high, climb: the altimeter is frozen",
            "climb: altimeter frozen; descent: airspeed high",
        ),
        ("climb: altimeter frozen and low", "climb: altimeter frozen, altimeter low"),
        (
            "climb: altimeter frozen, the rest normal",
            "climb: airspeed normal, altimeter frozen, vsi normal, encoder normal",
        ),
        ("level: all ok", "level: airspeed normal, altimeter normal, vsi normal, encoder normal"),
        ("level-off: vertical speed indicator doesn't move", "after level-off: vsi frozen"),
        ("level: mode C reads high", "level: encoder high"),
        ("before take-off: altimeter over-reads", "on the ground: altimeter high"),
    ],
)
def test_what_is_read(text, read):
    assert words(text) == read


def test_several_texts_and_what_is_said_twice():
    said = saying.parse(PLANE, ["descent: airspeed high", "climb: vsi zero\nclimb: vsi at zero"])
    assert said == (("climb", "vsi", "zero"), ("descent", "airspeed", "high"))


@pytest.mark.parametrize(
    ("text", "field", "read", "allowed"),
    [
        ("climb: altmeter frozen", "instrument", "altmeter", "altimeter"),
        ("climb: altimeter frosted", "instrument or behaviour", "frosted", "frozen"),
        ("klimb: altimeter frozen", "phase", "klimb", "climb"),
        ("altimeter frozen", "phase", "altimeter frozen", "climb"),
        ("climb: altimeter", "behaviour", "none after altimeter", "frozen"),
        ("climb: zero", "instrument before zero", "none", "altimeter"),
        ("climb:", "behaviour", "none after the colon", "frozen"),
        ("climb: altimeter 200 ft low", "instrument or behaviour", "200", "low"),
        ("climb: variometer zero", "instrument", "variometer", "vsi"),
        ("  ", "", "'  '", "altimeter frozen"),
    ],
)
def test_what_is_not_known_is_one_line_with_the_list(text, field, read, allowed):
    with pytest.raises(InputError) as caught:
        saying.parse(PLANE, ["level: vsi zero", text])
    error = caught.value
    assert (error.field, error.read) == (field, read)
    assert allowed in error.allowed
    assert "\n" not in error.line()
    assert text.strip() in error.line()


def test_nothing_said():
    with pytest.raises(InputError):
        saying.parse(PLANE, [])


def test_instruments_of_two_sides():
    plane = airplane.load("pressurised-turboprop")
    assert words("climb: airspeed high, right airspeed low, altimeter right normal", plane) == (
        "climb: left airspeed high, right airspeed low, right altimeter normal"
    )
    plane = airplane.load("glass-trainer")
    assert words("climb: airspeed blank, standby airspeed normal", plane) == (
        "climb: display airspeed blank, standby airspeed normal"
    )


@pytest.mark.parametrize("name", airplane.hangar())
def test_every_reading_of_every_airplane_has_a_name_of_its_own(name):
    plane = airplane.load(name)
    found = saying.instruments(plane)
    ways = [way for one in found for way in one.word.ways]
    assert len(ways) == len(set(ways))
    for one in found:
        assert saying.parse(plane, [f"climb: {one.name} normal"])[0].instrument == one.name


def test_no_word_means_two_things():
    for words_of in (saying.PHASES, saying.BEHAVIOURS):
        ways = [way for word in words_of for way in word.ways]
        assert len(ways) == len(set(ways))
    assert tuple(word.name for word in saying.PHASES) == phases.NAMES


@pytest.mark.parametrize("word", saying.BEHAVIOURS, ids=lambda word: word.name)
def test_every_way_to_say_a_behaviour(word):
    for way in word.ways:
        assert words(f"climb: altimeter {way}") == f"climb: altimeter {word.name}"


@pytest.mark.parametrize("word", saying.PHASES, ids=lambda word: word.name)
def test_every_way_to_say_a_phase(word):
    for way in word.ways:
        assert words(f"{way}: altimeter low") == f"{word.name}: altimeter low"


things = st.tuples(
    st.sampled_from([word.name for word in saying.PHASES]),
    st.sampled_from([one.name for one in INSTRUMENTS]),
    st.sampled_from([word.name for word in saying.BEHAVIOURS]),
)


@given(st.lists(things, min_size=1, max_size=8), st.randoms())
def test_any_order_is_read_the_same_and_its_own_words_are_read_back(said, shuffle):
    texts = [f"{phase}: {instrument} {behaviour}" for phase, instrument, behaviour in said]
    read = saying.parse(PLANE, texts)
    assert set(read) == set(said)
    shuffle.shuffle(texts)
    assert saying.parse(PLANE, ["; ".join(texts)]) == read
    assert saying.parse(PLANE, [saying.in_words(read)]) == read


@given(st.text(max_size=60))
def test_no_text_is_more_than_bad_input(text):
    with suppress(InputError):
        saying.parse(PLANE, [text])
