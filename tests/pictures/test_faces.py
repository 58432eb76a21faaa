"""Dials: hands where they belong, markings as prescribed."""

import math
import re
from itertools import pairwise
from xml.etree import ElementTree

import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill.pictures import faces

FACE = faces.AirspeedFace(40, 200, "kt", 48, 90, 55, 120, 155)


@given(st.lists(st.floats(-300, 300), min_size=2, max_size=20))
def test_an_airspeed_hand_never_turns_back(speeds: list[float]) -> None:
    angles = [FACE.angle(v) for v in sorted(speeds)]
    assert all(a <= b for a, b in pairwise(angles))
    assert all(-20.0 <= a <= 340.0 for a in angles)


def test_zero_airspeed_points_up_and_the_marks_lie_between() -> None:
    assert FACE.angle(0) == 0
    assert FACE.angle(40) == pytest.approx(26)
    assert FACE.angle(200) == pytest.approx(330)
    assert FACE.angle(-30) < 0


def test_the_hands_of_an_altimeter() -> None:
    hands = faces.altimeter_angles(12_340)
    assert hands["hundreds"] % 360 == pytest.approx(0.34 * 360)
    assert hands["thousands"] % 360 == pytest.approx(0.234 * 360)
    assert hands["ten-thousands"] % 360 == pytest.approx(0.1234 * 360)


@given(st.floats(-2000, 2000))
def test_vertical_speed_is_even_about_its_zero(fpm: float) -> None:
    face = faces.VerticalSpeedFace(2000)
    assert face.angle(fpm) - 270 == pytest.approx(270 - face.angle(-fpm))
    assert face.angle(0) == 270


def angle_of(x: float, y: float) -> float:
    return math.degrees(math.atan2(x - faces.CENTRE, faces.CENTRE - y)) % 360


@pytest.mark.parametrize(
    ("arc", "low", "high"), [("arc-white", 48, 90), ("arc-green", 55, 120), ("arc-yellow", 120, 155)]
)
def test_arcs_run_between_the_prescribed_speeds(arc: str, low: float, high: float) -> None:
    """14 CFR 23.1545 (before amendment 23-64): (b)(4) white arc, (b)(3) green arc, (b)(2) yellow arc."""
    drawn = re.search(rf'd="M(\S+) (\S+) A\S+ \S+ 0 \d 1 (\S+) (\S+) [^"]*" class="arc {arc}"', face_at(100))
    assert drawn is not None
    x1, y1, x2, y2 = map(float, drawn.groups())
    assert angle_of(x1, y1) == pytest.approx(FACE.angle(low), abs=0.05)  # coordinates have two decimals
    assert angle_of(x2, y2) == pytest.approx(FACE.angle(high), abs=0.05)


def test_a_red_radial_line_stands_at_the_never_exceed_speed() -> None:
    """14 CFR 23.1545 (before amendment 23-64) (b)(1)."""
    drawn = re.search(r'x1="(\S+)" y1="(\S+)" x2="(\S+)" y2="(\S+)" class="arc-red"', face_at(100))
    assert drawn is not None
    x1, y1, x2, y2 = map(float, drawn.groups())
    assert angle_of(x1, y1) == pytest.approx(FACE.angle(155), abs=0.05)
    assert angle_of(x2, y2) == pytest.approx(FACE.angle(155), abs=0.05)


def face_at(value: float) -> str:
    return faces.airspeed(FACE, value)


@pytest.mark.parametrize(
    ("drawn", "said"),
    [
        (faces.airspeed(FACE, 104, 88), "Shows 104 kt; true 88 kt"),
        (faces.altimeter(2345, 29.92, 1013.2, 2500), "Shows 2,340 ft set to 29.92 inHg; true 2,500 ft"),
        (faces.vertical_speed(faces.VerticalSpeedFace(2000), -503, 0), "Shows −500 ft/min; true 0 ft/min"),
        (faces.encoder(2300), "Shows 2,300 ft."),
    ],
)
def test_a_face_says_in_words_what_it_shows(drawn: str, said: str) -> None:
    root = ElementTree.fromstring(drawn)
    described = root.find("{http://www.w3.org/2000/svg}desc")
    assert described is not None
    assert said in (described.text or "")
    assert root.get("role") == "img"


def test_truth_is_a_hollow_mark_only_when_asked_for() -> None:
    assert "true-mark" in faces.airspeed(FACE, 104, 88)
    assert "true-mark" not in faces.airspeed(FACE, 104)
