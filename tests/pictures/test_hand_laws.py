"""The hands of every hangar airplane by their laws as data, against the drawing's own angles."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import airplane
from ramstill.instruments import pointers_of
from ramstill.pictures.hand_laws import figure, hand_laws
from ramstill.pictures.panels import angles, dial

PLANES = [airplane.load(name) for name in airplane.hangar()]
POINTERS = [(plane, pointer) for plane in PLANES for pointer in pointers_of(plane)]
# How far readings go, far beyond every dial on both sides (SI).
FAR = {"airspeed": 500.0, "altitude": 20_000.0, "vertical-speed": 120.0}


@pytest.mark.parametrize(("plane", "pointer"), POINTERS, ids=[f"{a.name}-{p.name}" for a, p in POINTERS])
def test_every_hand_stands_where_the_drawing_puts_it(plane: airplane.Airplane, pointer: object) -> None:
    laws = hand_laws(pointer, plane)
    far = FAR[pointer.shows]
    for reading in np.linspace(-far / 4, far, 801):
        drawn = angles(pointer, float(reading), plane)
        assert [law.hand for law in laws] == list(drawn)
        for law in laws:
            # what is carried to a page is a float32: an altimeter's shows 0.001 m, a thousandth of a degree
            carried = law.angle(float(np.float32(reading)))
            assert carried == pytest.approx(drawn[law.hand], abs=0.05)


PLAIN = airplane.load("high-wing-tube")


@given(reading=st.floats(-200.0, 20_000.0))
def test_the_laws_of_one_panel_hold_for_any_reading(reading: float) -> None:
    for pointer in pointers_of(PLAIN):
        drawn = angles(pointer, reading, PLAIN)
        for law in hand_laws(pointer, PLAIN):
            assert law.angle(reading) == pytest.approx(drawn[law.hand], abs=1e-6)


@pytest.mark.parametrize(("plane", "pointer"), POINTERS, ids=[f"{a.name}-{p.name}" for a, p in POINTERS])
def test_a_reading_is_said_as_on_the_drawing(plane: airplane.Airplane, pointer: object) -> None:
    told = figure(pointer)
    for reading in (0.0, 41.3, 12.7, -3.0):
        shown = dial(pointer, reading, plane).split('class="shown"')[1].split(">")[1].split("<")[0]
        assert told.words(reading) == shown
    assert told.words(math.nan) == f"– {told.unit}"


def test_as_data_it_is_plain() -> None:
    law = hand_laws(pointers_of(PLAIN)[0], PLAIN)[0].as_data()
    assert set(law) == {"hand", "pointer", "at", "degrees", "beyond"}
    assert list(law["at"]) == sorted(law["at"])
