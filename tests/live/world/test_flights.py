"""A flight known beforehand, tick by tick: the very surroundings."""

import numpy as np
import pytest

from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.flight.levers import Levers
from ramstill.live.world import Given, starting
from ramstill.live.world.moment import time_of
from ramstill.pneumatics import Schedule, Surroundings, Truth
from ramstill.pneumatics.truth import quantities
from ramstill.run import load_scenario

NAMES = ("inlet", "outside")


def _around(curve: str = "smooth", kinks: tuple[float, ...] = ()) -> Surroundings:
    times = np.array([0.0, 0.1, 0.33, 0.6, 1.02])
    pressure = np.stack([1e5 + 1e3 * np.sin(3.0 * times), 1e5 - 50.0 * times], axis=1)
    truth = Truth.steady(times, cas_m_s=10.0 * times, phases=((0.0, "first"), (0.5, "second")))
    return Surroundings.from_samples(times, NAMES, pressure, truth, kinks, curve=curve)  # type: ignore[arg-type]


def test_every_tick_is_the_surroundings() -> None:
    around = _around()
    flight = Given(around)
    ticks = [flight.now]
    while flight.now.next_s <= flight.end_s + 1e-9:
        ticks.append(flight.step())
    assert [one.time_s for one in ticks] == [time_of(i) for i in range(21)]
    times = np.array([one.time_s for one in ticks])
    assert np.array_equal(np.array([one.outside_pa for one in ticks]), around.at(times))
    truth = around.truth.at(times)
    for name in quantities():
        assert [one.truth[name] for one in ticks] == getattr(truth, name).tolist()
    assert [one.phase for one in ticks] == ["first"] * 10 + ["second"] * 11
    with pytest.raises(ValueError, match=r"ends at 1\.02 s"):
        flight.step()


def test_kinks_and_jumps_are_bends() -> None:
    around = _around(kinks=(0.33,)).with_knots(np.array([0.6]))
    around = around.with_pressure_change("inlet", Schedule.step(0.6, 0.0, 500.0))
    flight = Given(around)
    bends = {}
    for _ in range(20):
        for bend in flight.step().bends:
            bends[round(bend.time_s, 6)] = bend
    assert sorted(bends) == [0.33, 0.6]
    jump = bends[0.6]
    assert jump.after_pa[0] - jump.before_pa[0] == pytest.approx(500.0)
    assert np.allclose(bends[0.33].before_pa, bends[0.33].after_pa)
    assert not np.allclose(bends[0.33].slope_before_pa_s, bends[0.33].slope_after_pa_s)


def test_straight_lines_on_ticks_need_no_slopes() -> None:
    times = np.arange(0.0, 1.01, 0.25)
    pressure = np.stack([1e5 + times**2, 1e5 - times], axis=1)
    around = Surroundings.from_samples(times, NAMES, pressure, Truth.steady(times), curve="straight")
    flight = Given(around)
    assert flight.step().slope_pa_s is None
    assert _around().knots_s.shape == (5,)
    assert Given(_around()).step().slope_pa_s is not None


def test_a_flight_comes_back_to_where_it_was() -> None:
    flight = Given(_around())
    for _ in range(7):
        flight.step()
    state, first = flight.state(), [flight.step().outside_pa for _ in range(5)]
    flight.restore(state)
    assert flight.now.time_s == time_of(7)
    assert np.array_equal([flight.step().outside_pa for _ in range(5)], first)


def test_nothing_can_be_done_about_a_given_flight() -> None:
    with pytest.raises(InputError, match="a flight by levers, or the bench on the ground"):
        Given(_around()).act(Levers(climb_m_s=1.0))


def test_a_pilots_flight_is_flown_again_with_other_faults() -> None:
    """Static ports shut on the approach: the needle reads high, so the pilot flies slower."""
    world = starting.of_scenario("approach-by-the-needle")
    assert (
        world.flight.replay(world.done())().end_s
        == load_scenario("approach-by-the-needle").surroundings.end_s
    )
    world.tick(70 * 20)
    before = world.now.truth["cas_m_s"]
    world.tick(30 * 20)
    slow = world.now.truth["cas_m_s"]
    world.drop("bench", world.placed()[0].id)
    assert world.time_s == 100.0
    assert world.now.truth["cas_m_s"] > slow + 3.0
    assert np.array_equal(world.bench.shown, world.sound.shown)
    # up to the fault it was the same flight, but that the curve through its steps knows of the next ones
    world.rewind(70.0)
    assert world.now.truth["cas_m_s"] == pytest.approx(before, abs=1e-6)
    world.lay("bench", Fault("static-ports-blocked", gradual_s=5.0), onset_s=75.0)
    world.tick(30 * 20)
    assert world.now.truth["cas_m_s"] == pytest.approx(slow, abs=1e-6)
    assert len(world.branches) == 2


def test_a_pilot_acts_on_what_the_bench_shows() -> None:
    world = starting.of_scenario("approach-with-a-cross-check")
    fault = world.placed()[0]
    world.tick(250 * 20)
    assert world.bench.own() == (fault.fault,)
    assert "alternate-static-open" in [one.name for one in world.bench.faults]
    assert [one.id for one in world.placed()] == [fault.id]  # what the pilot did is not the instructor's
    world.drop("bench", fault.id)
    assert world.bench.faults == ()
