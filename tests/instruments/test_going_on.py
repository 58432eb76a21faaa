"""Pointers that go on from where they stand show what they show from the start."""

import numpy as np
import pytest

from ramstill import airplane as airplanes
from ramstill.instruments import PointerEdit, read
from ramstill.instruments.edits import Edited
from ramstill.instruments.mechanics import (
    Mechanism,
    between_stops,
    first_order_lag,
    held_back,
    play,
    with_scale_error,
)
from ramstill.instruments.panel import Felt, kept, read_on
from ramstill.pneumatics import Schedule, Truth, compile_network

TIME = np.linspace(0.0, 40.0, 401)
ROUNDING = 1e-12  # a lag takes all its steps to be like the first, and that is another one
CHANCE = np.random.default_rng(3)


def test_a_mechanism_is_its_parts_one_after_the_other() -> None:
    law = 100.0 + np.cumsum(CHANCE.normal(size=401))
    card = ((80.0, 1.0), (100.0, 0.0), (120.0, -2.0))
    band, stuck = np.abs(CHANCE.normal(size=401)), 0.5 * (TIME > 20.0)
    made = Mechanism.of(
        datum=3.0, scale_error=card, offset=0.3, band=band, stuck=stuck, lag_s=0.4, lowest=85.0, highest=110.0
    )
    step = with_scale_error(law - 3.0, card) + 0.3
    step = first_order_lag(TIME, held_back(play(step, band), stuck), 0.4)
    np.testing.assert_allclose(made.pointer(TIME, law), between_stops(step, 85.0, 110.0), rtol=1e-14)
    shown, moved = made.movement(TIME, law)
    assert np.array_equal(shown, made.pointer(TIME, law))
    for row in (0, 1, 199, 201, 400):
        on = made.since(row).pointer(TIME[row:], law[row:], moved[row])
        np.testing.assert_allclose(on, shown[row:], rtol=ROUNDING)


EDITS = {
    "pointer offset": Schedule.step(25.0, 0.0, 4.0),
    "friction": Schedule((12.0, 30.0), (0.0, 8.0)),
    "stuck": Schedule.step(18.0, 0.0, 0.8),
    "blank": Schedule((10.0, 10.0, 20.0, 20.0), (0.0, 1.0, 1.0, 0.0)),
}


@pytest.mark.parametrize("name", ["twin-two-ports", "sailplane", "glass-trainer", "pressurised-turboprop"])
@pytest.mark.parametrize("row", [0, 1, 150, 401])
def test_what_is_read_on_is_what_is_read(name: str, row: int) -> None:
    plane = airplanes.load(name)
    network = compile_network(plane)
    truth = Truth.steady(TIME, altimeter_setting_pa=100_000.0 + 10.0 * TIME, power=0.1 * (TIME < 20.0))
    healthy = {tapping: 9e4 + CHANCE.normal(size=401).cumsum() for tapping in network.node_names}
    faulty = {
        tapping: np.where(np.arange(401) < row, values, values + 300.0) for tapping, values in healthy.items()
    }
    before = kept(plane, Felt(TIME, healthy, truth.altimeter_setting_pa, truth, network))
    assert before  # every airplane has at least one pointer that can go on
    edited = [instrument.name for instrument in plane.instruments]
    for what, schedule in [(None, None), *EDITS.items()]:
        edits = () if what is None else tuple(PointerEdit(one, what, schedule) for one in edited)
        felt = Felt(TIME, faulty, truth.altimeter_setting_pa, truth, network)
        found = read_on(plane, felt, edits, before, row)
        usual = read(plane, TIME, faulty, truth.altimeter_setting_pa, edits, truth=truth, network=network)
        assert list(found) == list(usual)
        for pointer, values in usual.items():
            # a setting that stays has its altitude worked out once: its rounding, and that of a lag's steps
            np.testing.assert_allclose(found[pointer], values, rtol=ROUNDING, atol=1e-9)


def test_the_first_edited_row() -> None:
    edits = (PointerEdit("a", "stuck", Schedule.step(18.0, 0.0, 0.8)),)
    assert Edited.of("a", edits, TIME).first_row() == 180
    assert Edited.of("b", edits, TIME) == Edited()
    never = (PointerEdit("a", "friction", Schedule.step(99.0, 0.0, 0.8)),)
    assert Edited.of("a", never, TIME).first_row() == 401
