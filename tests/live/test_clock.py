"""The clock of the flight against a wall's clock that the test moves."""

import pytest

from ramstill.live.clock import MOST_BEHIND_S, Clock
from ramstill.live.world.moment import TICK_S


def flown(clock: Clock, steps: list[float], most: int = 10_000) -> int:
    """All ticks made at these times [s], `most` at once."""
    total, before = 0, 0.0
    for now in steps:
        ticks = min(clock.due(now), most)
        clock.made(ticks, now - before)
        total, before = total + ticks, now
    return total


@pytest.mark.parametrize("pace", [0.25, 1.0, 7.0, 60.0])
def test_it_keeps_the_pace_over_a_minute(pace: float) -> None:
    clock = Clock(0.0)
    clock.running, clock.pace = True, pace
    made = flown(clock, [0.05 * n for n in range(1, 1201)])
    assert made == pytest.approx(60.0 * pace / TICK_S, abs=pace + 1.0)  # the last beat's may be due or not
    assert clock.kept == pytest.approx(pace, rel=0.05, abs=0.05)  # of whole ticks a beat: ragged by one


def test_a_late_beat_makes_up_for_what_is_short_and_forgets_what_is_long() -> None:
    clock = Clock(0.0)
    clock.running = True
    assert clock.due(0.2) == 4
    clock.made(4, 0.2)
    assert clock.due(100.0) == MOST_BEHIND_S / TICK_S
    clock.made(5, 100.0)
    assert clock.due(100.05) == 1


def test_what_the_machine_cannot_keep_does_not_pile_up() -> None:
    clock = Clock(0.0)
    clock.running, clock.pace = True, 60.0
    made = flown(clock, [0.05 * n for n in range(1, 2001)], most=20)
    assert made == 20 * 2000
    clock.pace = 1.0
    assert clock.due(100.05) <= MOST_BEHIND_S / TICK_S
    assert clock.kept == pytest.approx(20.0, rel=0.01)


def test_a_pause_owes_nothing() -> None:
    clock = Clock(0.0)
    assert clock.due(10.0) == 0
    clock.running = True
    assert clock.due(10.05) == 1
    clock.stand(20.0)
    assert clock.due(20.0) == 0
    assert clock.due(20.05) == 1
