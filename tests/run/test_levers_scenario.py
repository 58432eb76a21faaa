"""A scenario flown by levers runs as what a session and a panel show that are stepped along with the hand."""

from pathlib import Path

import numpy as np
import pytest

from ramstill import airplane
from ramstill.air.units import FPM, FT, INHG, KT
from ramstill.errors import InputError
from ramstill.flight import HandFlight, Levers, Start
from ramstill.instruments import Watching
from ramstill.pneumatics import Session, compile_network
from ramstill.run import load_scenario

FILE = """
format = 1
title = "By hand"
airplane = "{plane}"
output_rate = "20 Hz"
[levers]
field_elevation = "500 ft"
duration = "70 s"
[[levers.move]]
at = "1 s"
speed = "{speed} kt"
climb = "700 ft/min"
[[levers.move]]
at = "55 s"
climb = "-300 ft/min"
flap = 0.5
altimeter_setting = "29.70 inHg"
"""


@pytest.mark.parametrize(("name", "speed"), [("low-wing-mast", 75), ("business-jet", 190)])
def test_it_runs_as_it_was_flown(tmp_path: Path, name: str, speed: int) -> None:
    path = tmp_path / "hand.toml"
    path.write_text(FILE.format(plane=name, speed=speed), encoding="utf-8")
    scenario = load_scenario(path)
    assert scenario.kind == "levers"
    run = scenario.run()
    plane = airplane.load(name)
    flight = HandFlight(plane, Start(field_elevation_m=500 * FT, on_ground=True))
    network = compile_network(plane)
    session = Session(network, dict(zip(flight.boundary_names, flight.outside_pa, strict=True)))
    assert network.boundary_names == flight.boundary_names
    panel = Watching(plane, network, flight.truth["altimeter_setting_pa"])

    def look() -> np.ndarray:
        truth = flight.truth
        panel.set_altimeter(truth["altimeter_setting_pa"])
        felt = (flight.outside_pa, truth["load_factor"], truth["power"])
        return panel.show(flight.time_s, session.pressure_pa, *felt)

    look()
    inside, shown = [session.pressure_pa], []
    moves = {
        20: Levers(speed_m_s=speed * KT, climb_m_s=700 * FPM),
        1100: Levers(climb_m_s=-300 * FPM, flap=0.5, setting_pa=29.70 * INHG),
    }
    for tick in range(70 * 20):
        if tick in moves:
            flight.move(moves[tick])
        flight.step()
        inside.append(session.advance(flight.time_s, flight.outside_pa))
        shown.append(look())
    assert len(run.time_s) == len(inside)
    found = np.array(inside)
    for i, node in enumerate(network.node_names):
        # two walks with an error control of 0.05 Pa each
        assert run.pressure_pa[node] == pytest.approx(found[:, i], abs=0.1), node
    table = np.array(shown)
    for i, pointer in enumerate(panel.names):
        # 0.1 Pa is 0.01 m, and at 20 m/s, below which no pointer stands, 0.004 m/s
        wanted = pytest.approx(table[:, i], abs=0.02, nan_ok=True)
        assert run.pointers[pointer][1:] == wanted, pointer


def test_a_move_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    path = tmp_path / "hand.toml"
    path.write_text(FILE.format(plane="low-wing-mast", speed=400), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        load_scenario(path)
    assert caught.value.field == "levers.move[1].speed"
    assert "145 kt" in caught.value.allowed
