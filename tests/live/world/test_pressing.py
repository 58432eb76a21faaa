"""What hands do at an opening on the ground: the same shapes as a bench programme has."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import air, bench
from ramstill.air.quantity import INH2O
from ramstill.airplane import load
from ramstill.errors import InputError
from ramstill.flight.levers import Levers
from ramstill.live.world import OnTheGround, Press, starting
from ramstill.live.world.moment import time_of
from ramstill.live.world.pressing import SHUT_S, SWELL_S, Hand

DEEDS = st.lists(
    st.tuples(
        st.integers(0, 60),
        st.sampled_from(["blow", "pull", "finger", "free"]),
        st.floats(0.0, 3000.0),
        st.sampled_from(["tube-inlet", "static-ports"]),
    ),
    max_size=8,
)


def test_a_breath_swells_holds_and_dies_away() -> None:
    hand = Hand().press(1.0, "blow", 1000.0)
    assert hand.at(1.0) == 0.0
    assert hand.at(1.0 + 0.5 * SWELL_S) == pytest.approx(500.0)
    assert hand.at(100.0) == 1000.0
    assert hand.held(2.0) == "blow"
    hand = hand.press(3.0, "free", 0.0)
    assert hand.at(3.0) == 1000.0
    assert hand.at(3.0 + SWELL_S) == 0.0
    assert hand.held(3.0) == "free"


def test_a_finger_shuts_before_it_frees() -> None:
    hand = Hand().press(1.0, "finger", 0.0).press(1.05, "free", 0.0)
    shut = hand.openness()
    assert shut is not None
    assert shut.at(1.0) == 1.0
    assert shut.at(1.0 + SHUT_S) == 0.0
    assert shut.at(1.0 + 2.0 * SHUT_S) == 1.0


def test_a_finger_waits_until_the_breath_is_gone() -> None:
    hand = Hand().press(0.0, "blow", 1000.0).press(2.0, "finger", 0.0)
    shut = hand.openness()
    assert shut is not None
    assert shut.at(2.0 + SWELL_S) == 1.0
    assert shut.at(2.0 + SWELL_S + SHUT_S) == 0.0
    assert hand.at(2.0 + SWELL_S) == 0.0


@given(DEEDS)
def test_a_programme_says_the_same_at_every_tick(deeds: list[tuple[int, str, float, str]]) -> None:
    """The [bench] table that a session is saved as: pressures to 1 mPa (times rounded to a microsecond)."""
    ground = OnTheGround(load("high-wing-tube"), 100.0)
    felt, shut = [ground.now.outside_pa], []
    for tick in range(100):
        for at, how, strength, opening in deeds:
            if at == tick:
                ground.act(Press(opening, how, strength))  # type: ignore[arg-type]
        felt.append(ground.step().outside_pa)
        shut.append(ground.now.openness)
    around = ground.replay(())()
    times = np.array([time_of(tick) for tick in range(101)])
    assert np.allclose(around.at(times), np.array(felt), rtol=0.0, atol=1e-3)
    assert around.boundary_names == ground.boundary_names
    last = shut[-1]
    assert set(around.openness) == set(last)
    for name, schedule in last.items():
        assert np.allclose(around.openness[name].at(times), schedule.at(times), rtol=0.0, atol=1e-9)
    assert around.end_s == time_of(100)


def test_a_force_in_inches_of_water_and_knots() -> None:
    world = starting.on_the_ground("high-wing-tube", title="A breath")
    world.act(Press("pitot-inlet", "blow", 14.0 * INH2O))
    world.act(Press("static-ports", "pull", 2.0 * INH2O))
    world.tick(20)
    flight = world.flight
    assert isinstance(flight, OnTheGround)
    ram, still = sorted(flight.forces(), key=lambda force: -force.pressure_pa)
    assert (ram.opening, ram.how) == ("tube-inlet", "blow")
    assert ram.inh2o == pytest.approx(14.0)
    # an airspeed indicator shows what its capsule feels: the impact pressure of that airspeed
    assert ram.airspeed_m_s == pytest.approx(float(air.calibrated_airspeed(14.0 * INH2O)))
    assert (still.how, still.inh2o, still.airspeed_m_s) == ("pull", pytest.approx(-2.0), None)
    names = world.healthy.node_names
    felt = dict(zip(names, world.bench.pressure_pa.tolist(), strict=True))
    shown = dict(zip(world.bench.names, world.bench.shown.tolist(), strict=True))
    near = {(one.instrument, one.limit_name): one.share for one in bench.near(world.airplane, shown, felt)}
    world.act(Press("pitot-inlet", "blow", 20.0 * INH2O))
    world.tick(40)
    felt = dict(zip(names, world.bench.pressure_pa.tolist(), strict=True))
    closer = {(one.instrument, one.limit_name): one.share for one in bench.near(world.airplane, shown, felt)}
    assert closer["airspeed", "top mark"] > near["airspeed", "top mark"] > 0.5
    world.act(Press("pitot-inlet", "free"))
    world.act(Press("static-ports", "free"))
    world.tick(20)
    assert flight.forces() == ()


@pytest.mark.parametrize(
    ("press", "said"),
    [
        (Press("nowhere", "blow", 10.0), "one of tube-inlet"),
        (Press("tube-inlet", "blow", -10.0), "from 0 to"),
        (Press("tube-inlet", "blow", float("nan")), "from 0 to"),
        (Press("tube-inlet", "pull", 101300.0), "from 0 to"),
        (Levers(climb_m_s=1.0), "a flight by levers"),
    ],
)
def test_what_no_hand_can_do_is_refused(press: object, said: str) -> None:
    world = starting.on_the_ground("high-wing-tube")
    before = world.flight.now
    with pytest.raises(InputError, match=said):
        world.act(press)
    assert world.flight.now is before
    assert world.branch.deeds == []
    world.tick(2)
    assert (world.bench.outside_pa == before.outside_pa).all()
