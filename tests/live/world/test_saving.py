"""A session saved as a scenario: the file runs to the same figures.

The engine keeps the error of one step within 0.05 Pa. A session steps twenty times a second and a run as it
likes, so that they may differ by some such errors: 0.2 Pa here. That is 0.02 m of altitude, 0.02 m/s of
climb, and of airspeed 0.003 m/s at 50 m/s, more the slower it is (dp = rho v dv).
"""

import tomllib
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from ramstill import airplane
from ramstill.air import Day
from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.flight.levers import Levers, Start
from ramstill.live.world import BENCH, Press, World, starting
from ramstill.run import load_scenario

WITHIN_PA = 0.2
WITHIN = {"altitude": 0.02, "vertical-speed": 0.02}  # [m], [m/s]


class Log:
    """What a world showed at every tick."""

    def __init__(self, world: World) -> None:
        self.world = world
        self.ticks: list[int] = []
        self.shown: list[Any] = []
        self.pressure: list[Any] = []
        self.note()

    def note(self) -> None:
        self.ticks.append(self.world.at)
        self.shown.append(self.world.bench.shown)
        self.pressure.append(self.world.bench.pressure_pa)

    def tick(self, n: int) -> None:
        for _ in range(n):
            if self.world.tick():
                self.note()


def saved_run_agrees(log: Log, path: Path) -> None:
    world = log.world
    saved = world.save()
    assert tomllib.loads(saved.text) == saved.tables
    path.write_text(saved.text, encoding="utf-8")
    run = load_scenario(path).run()
    pressure = np.stack([run.pressure_pa[name] for name in world.healthy.node_names], axis=1)[log.ticks]
    assert np.abs(pressure - np.array(log.pressure)).max() < WITHIN_PA
    for i, pointer in enumerate(world.pointers):
        live = np.array(log.shown)[:, i]
        again = run.pointers[pointer.name][log.ticks]
        assert np.array_equal(np.isnan(live), np.isnan(again)), pointer.name
        off = np.nan_to_num(np.abs(live - again))
        if pointer.kind in ("encoder", "air-data-computer"):  # a step is on one side or the other
            assert (off > 1e-6).sum() <= 0.01 * len(off), pointer.name
        elif pointer.shows == "airspeed":
            # v^2 off by 2 dp / rho, rho at least 0.5 kg/m3
            assert np.abs(live**2 - again**2).max() < 4.0 * WITHIN_PA, pointer.name
        else:
            assert off.max() < WITHIN[pointer.shows], pointer.name


def test_a_flight_by_levers(tmp_path: Path) -> None:
    day = Day(100900.0, 7.0)
    world = starting.by_levers("high-wing-tube", Start(1200.0, None, 150.0), day, "Up and down")
    log = Log(world)
    log.tick(77)
    world.act(Levers(climb_m_s=3.3, power=0.9))
    log.tick(101)
    world.lay(BENCH, Fault("static-ports-blocked", severity=0.99, gradual_s=4.0))
    log.tick(100)
    world.act(Levers(setting_pa=99900.0))
    leak = world.lay(BENCH, Fault("static-line-leak", size="700 ft/min"))
    log.tick(53)
    world.act(Levers(climb_m_s=-4.0, speed_m_s=41.0, flap=0.4))
    world.lay(BENCH, Fault("port-deformed"))
    world.lay(BENCH, Fault("altimeter-setting-wrong"))
    log.tick(200)
    world.lift(BENCH, leak)
    world.alternate(BENCH, True)
    world.lay(BENCH, Fault("pitot-inlet-blocked"), at_altitude_m=1190.0)
    world.act(Levers(altitude_m=1100.0))
    log.tick(400)
    assert all(world.has_come(BENCH, one) for one in world.placed())
    saved_run_agrees(log, tmp_path / "saved.toml")


def test_ice_that_follows_the_path(tmp_path: Path) -> None:
    """While it is flown, ice is looked at every 5 s and goes on as in the same air until then, so that the
    share that stays open is a little off meanwhile: within 1 Pa in the line behind it."""
    world = starting.by_levers("low-wing-mast", Start(4200.0, 50.0))
    log = Log(world)
    world.heat(BENCH, False)
    world.lay(BENCH, Fault("pitot-icing", size="2 g/m3"))
    log.tick(60)
    world.act(Levers(climb_m_s=2.0))
    log.tick(1400)
    world.act(Levers(climb_m_s=-4.0))
    log.tick(600)
    path = tmp_path / "saved.toml"
    path.write_text(world.save().text, encoding="utf-8")
    run = load_scenario(path).run()
    inlet = run.pressure_pa["airspeed.pitot"][log.ticks]
    live = np.array(log.pressure)[:, world.healthy.index_of("airspeed.pitot")]
    healthy = float(world.sound.pressure_pa[world.healthy.index_of("airspeed.pitot")])
    assert abs(inlet[-1] - healthy) > 200.0  # the ice has shut it
    assert np.abs(inlet - live).max() < 1.0


def test_the_ground(tmp_path: Path) -> None:
    world = starting.on_the_ground("twin-two-ports", 300.0, Day(102000.0, -5.0), 101800.0)
    log = Log(world)
    log.tick(20)
    for press, ticks in (
        (Press("pitot-inlet", "blow", 2000.0), 6),
        (Press("pitot-inlet", "blow", 3000.0), 80),
        (Press("pitot-inlet", "free"), 4),
        (Press("pitot-inlet", "blow", 400.0), 60),
        (Press("static-ports", "pull", 1500.0), 90),
        (Press("static-ports", "finger"), 40),
        (Press("static-ports", "free"), 2),
        (Press("pitot-drain", "finger"), 100),
    ):
        world.act(press)
        log.tick(ticks)
    world.lay(BENCH, Fault("pitot-line-leak"))
    log.tick(100)
    saved_run_agrees(log, tmp_path / "saved.toml")


def test_the_ground_with_nothing_done(tmp_path: Path) -> None:
    log = Log(starting.on_the_ground("sailplane", 500.0))
    log.tick(45)
    saved_run_agrees(log, tmp_path / "saved.toml")


@pytest.mark.parametrize("name", ["breath-on-the-bench", "glass-broken", "recorded-lesson"])
def test_a_given_flight_with_a_fault_more(name: str, tmp_path: Path) -> None:
    world = starting.of_scenario(name)
    log = Log(world)
    log.tick(600)
    world.lay(BENCH, Fault("static-line-leak"))
    log.tick(900)
    saved_run_agrees(log, tmp_path / "saved.toml")


def test_a_pilots_flight_in_which_a_fault_was_laid(tmp_path: Path) -> None:
    world = starting.of_scenario("climb-by-the-needle")
    for one in world.placed():
        world.drop(BENCH, one.id)
    log = Log(world)
    log.tick(600)
    world.lay(BENCH, Fault("pitot-inlet-blocked", gradual_s=2.0))
    log.tick(900)
    saved_run_agrees(log, tmp_path / "saved.toml")


def test_another_crafts_session_has_its_own_faults() -> None:
    world = starting.by_levers("low-wing-mast")
    world.tick(20)
    world.add("anna")
    world.lay("anna", Fault("static-line-leak", severity=0.5))
    world.tick(20)
    assert "fault" not in world.save().tables
    saved = world.save("anna", title='Anna\'s "leak"', note="Kept for later.\nTwo lines.")
    (fault,) = saved.tables["fault"]
    assert fault == {"name": "static-line-leak", "severity": 0.5, "onset": "1.05 s"}
    assert tomllib.loads(saved.text) == saved.tables
    with pytest.raises(InputError):
        world.save("zoe")


def test_a_saved_flight_by_levers_is_opened_again_and_goes_on(tmp_path: Path) -> None:
    world = starting.by_levers("low-wing-mast")
    world.tick(50)
    world.act(Levers(climb_m_s=3.0))
    world.tick(50)
    world.lay(BENCH, Fault("static-line-leak"))
    world.tick(100)
    path = tmp_path / "saved.toml"
    path.write_text(world.save().text, encoding="utf-8")
    again = starting.of_scenario(path)
    assert (again.at, again.branch.end) == (0, 200)
    again.rewind(10.0)
    assert again.now.truth == world.now.truth
    # there the fault was known from the start, which changes the order of sums
    assert again.bench.shown == pytest.approx(world.bench.shown, abs=1e-4)
    again.act(Levers(climb_m_s=-2.0))
    again.tick(20)
    assert len(again.branches) == 1
    # the title is kept, and what is saved of it goes through the text again
    assert again.save().tables["levers"]["move"][0] == world.save().tables["levers"]["move"][0]


def test_an_airplane_and_a_recording_are_found_from_anywhere(tmp_path: Path) -> None:
    own = Path(airplane.__file__).parent / "hangar" / "low-wing-mast.toml"
    (tmp_path / "mine.toml").write_text(own.read_text(encoding="utf-8"), encoding="utf-8")
    (tmp_path / "short.csv").write_text(
        "time_s,ias_kt,altitude_ft\n" + "".join(f"{t},9{t},20{t}0\n" for t in range(9))
    )
    scenario = tmp_path / "scenario.toml"
    scenario.write_text(
        'format = 1\ntitle = "Mine"\nairplane = "mine.toml"\n[recording]\nfile = "short.csv"\n', "utf-8"
    )
    world = starting.of_scenario(scenario)
    world.tick(40)
    world.lay(BENCH, Fault("pitot-inlet-blocked"))
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    (elsewhere / "saved.toml").write_text(world.save().text, encoding="utf-8")
    assert load_scenario(elsewhere / "saved.toml").faults == world.bench.faults


def test_a_run_and_an_account_of_now() -> None:
    world = starting.by_levers("low-wing-mast")
    world.tick(20)
    world.act(Levers(climb_m_s=4.0))
    world.lay(BENCH, Fault("pitot-inlet-blocked"))
    world.tick(600)
    asked = world.accounting("airspeed")
    at, shown, true = world.time_s, float(world.bench.shown[0]), float(world.true[0])
    world.tick(40)  # it goes on meanwhile
    account = asked()
    assert account.at_s == pytest.approx(at)
    assert account.indicated_si == pytest.approx(shown, abs=0.003)
    assert account.true_si == pytest.approx(true)
    assert sum(part.value_si for part in account.parts) == pytest.approx(shown - true, abs=0.003)
    assert account.parts[0].name == "pitot-inlet-blocked"
    with pytest.raises(InputError, match="airspeed"):
        world.accounting("nothing")()
    assert world.running()().faults == world.bench.faults
