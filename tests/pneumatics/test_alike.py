"""From when on two systems differ: late enough to save work, never too late."""

from dataclasses import replace
from math import inf

import numpy as np
import pytest

from ramstill.pneumatics import Network, Schedule, Surroundings, Truth
from ramstill.pneumatics.alike import alike_until, same_until

TIME = np.linspace(0.0, 10.0, 21)


def system() -> Network:
    network = Network(("case",), np.array([1e-4]), np.array([290.0]), ("port", "cabin"))
    return network.with_hole("port", "case", "port", 1e-3, 1e-3)


def air() -> Surroundings:
    pressure = np.stack([1e5 + 50.0 * np.sin(TIME), np.full(21, 9e4)], axis=1)
    return Surroundings.from_samples(TIME, ["port", "cabin"], pressure, Truth.steady(TIME), kinks_s=[4.0])


@pytest.mark.parametrize(
    ("one", "other", "until"),
    [
        (Schedule.step(3.0, 1.0, 0.0), Schedule.constant(1.0), 3.0),
        (Schedule((2.0, 5.0), (1.0, 0.2)), Schedule.constant(1.0), 2.0),
        (Schedule((2.0, 5.0), (1.0, 1.0)), Schedule.constant(1.0), inf),
        (Schedule.step(3.0, 0.5, 0.0), Schedule.constant(1.0), -inf),
        (Schedule((1.0, 2.0, 3.0), (0.0, 1.0, 0.5)), Schedule((1.0, 2.0), (0.0, 1.0)), 2.0),
        (Schedule((1.0, 2.0, 4.0), (0.0, 1.0, 1.0)), Schedule((1.0, 3.0), (0.0, 1.0)), 1.0),
        (Schedule((1.0, 2.0, 2.0), (0.0, 1.0, 0.0)), Schedule((1.0, 3.0), (0.0, 2.0)), 2.0),
    ],
)
def test_schedules_are_the_same_up_to_where_they_part(one: Schedule, other: Schedule, until: float) -> None:
    assert same_until(one, other) == same_until(other, one) == until


def test_links_that_open_later_and_shut_ones_make_no_difference_before() -> None:
    base, outside = system(), air()
    assert alike_until(base, outside, base, outside) == inf
    leaking = base.with_hole("leak", "case", "cabin", 1e-3, 1e-3, Schedule.step(6.0, 0.0, 1.0))
    assert alike_until(leaking, outside, base, outside) == 6.0
    shut = leaking.with_openness("port", Schedule.step(2.5, 1.0, 0.0))
    assert alike_until(shut, outside, base, outside) == 2.5
    assert alike_until(shut, outside, leaking, outside) == 2.5
    early = base.with_openness("port", Schedule.step(-1.0, 1.0, 0.0))
    assert alike_until(early, outside, base, outside) == -inf
    assert alike_until(base.with_volume("case", 2e-4), outside, base, outside) == -inf
    assert alike_until(base.with_heat("adiabatic"), outside, base, outside) == -inf
    walled = replace(base, heat_w_k=np.array([0.1]))
    assert alike_until(walled, outside, base, outside) == -inf
    assert alike_until(base, outside, walled, outside) == -inf
    covered = outside.with_openness("port", Schedule.step(1.0, 1.0, 0.0))
    assert alike_until(base, covered, base, outside) == -inf  # the other has nothing of the kind to compare
    free = outside.with_openness("port", Schedule.constant(1.0))
    assert alike_until(base, covered, base, free) == 1.0


@pytest.mark.parametrize("since", [0.3, 4.0, 5.5, 7.123])
def test_pressures_outside_are_the_same_up_to_a_change(since: float) -> None:
    base, outside = system(), air()
    changed = outside.with_pressure_change("port", Schedule((since, 9.0), (0.0, 40.0)))
    assert alike_until(base, changed, base, outside) == since
    again = changed.with_pressure_change("cabin", Schedule.step(8.0, 0.0, 20.0))
    assert alike_until(base, again, base, outside) == since
    assert alike_until(base, again, base, changed) == 8.0
    assert alike_until(base, outside.with_knots(np.array([since])), base, outside) >= since


def test_a_change_from_the_beginning_is_one_before_it() -> None:
    base, outside = system(), air()
    assert alike_until(base, outside.with_pressure_change("port", np.full(21, 10.0)), base, outside) == -inf
    sudden = outside.with_pressure_change("port", Schedule.step(0.0, 0.0, 40.0))
    assert alike_until(base, sudden, base, outside) == -inf
