"""Faults that wait for an altitude, changed before and after it was passed."""

import pytest

from ramstill import airplane
from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.flight.levers import Levers, Start
from ramstill.live.world import BENCH, ByLevers, World

PLANE = airplane.load("high-wing-tube")


def climbing(above_m: float) -> tuple[World, str]:
    """A climb, with a fault that waits so far above its start [m]."""
    world = World(PLANE, ByLevers(PLANE, Start(2500.0, 50.0)))
    world.act(Levers(climb_m_s=3.0))
    height = world.now.truth["pressure_altitude_m"] + above_m
    return world, world.lay(BENCH, Fault("pitot-inlet-blocked"), at_altitude_m=height)


def test_an_end_before_it_has_come_is_refused_and_nothing_is_changed() -> None:
    world, fault = climbing(100.0)
    before = world.placed()
    with pytest.raises(InputError, match="end_s"):
        world.move(BENCH, fault, end_s=50.0)
    assert world.placed() == before
    world.move(BENCH, fault, end_s=None, severity=0.5)
    assert [(one.fault.severity, one.at_altitude_m) for one in world.placed()] == [
        (0.5, before[0].at_altitude_m)
    ]


def test_an_end_after_it_has_come_holds_and_its_onset_stays() -> None:
    world, fault = climbing(10.0)
    world.tick(400)
    (there,) = world.placed()
    assert there.fault.onset_s > 0.0
    world.move(BENCH, fault, end_s=30.0)
    (moved,) = world.placed()
    assert (moved.fault.onset_s, moved.fault.end_s) == (there.fault.onset_s, 30.0)
    assert world.has_come(BENCH, moved)
