"""Plans of what is known to be placed on a craft from which tick on."""

from itertools import pairwise

from hypothesis import given
from hypothesis import strategies as st

from ramstill.faults import Fault
from ramstill.live.world.placed import Placed, Plan, parting, plan_at, rewritten, with_plan_from

A, B, C = (Placed(name, Fault("static-line-leak")) for name in "abc")
PLACED = st.lists(st.sampled_from([A, B, C]), max_size=3, unique=True).map(tuple)
Placing = tuple[Placed, ...]
STEPS = st.lists(st.tuples(st.integers(0, 20), PLACED), max_size=5)


def _plan(steps: list[tuple[int, tuple[Placed, ...]]]) -> Plan:
    plan: Plan = ()
    for tick, placed in sorted(steps, key=lambda step: step[0]):
        plan = with_plan_from(plan, tick, placed)
    return plan


@given(STEPS, st.integers(0, 20), PLACED)
def test_a_plan_from_a_tick_on(
    steps: list[tuple[int, tuple[Placed, ...]]], tick: int, placed: Placing
) -> None:
    plan = _plan(steps)
    new = with_plan_from(plan, tick, placed)
    for at in range(22):
        assert plan_at(new, at) == (placed if at >= tick else plan_at(plan, at))
    assert all(one[1] != other[1] for one, other in pairwise(new))  # nothing said twice


@given(STEPS, st.integers(0, 20), st.booleans())
def test_rewriting_touches_one_fault_only(
    steps: list[tuple[int, tuple[Placed, ...]]], tick: int, dropped: bool
) -> None:
    plan, other = _plan(steps), Placed("a", Fault("static-line-leak", severity=0.5))
    new = rewritten(plan, "a", tick, None if dropped else other)
    for at in range(22):
        there = plan_at(new, at)
        kept = {one for one in plan_at(plan, at) if one.id != "a"}
        assert {one for one in there if one.id != "a"} == kept
        assert (other in there) == (not dropped and at >= tick)
        assert A not in there


@given(STEPS, STEPS)
def test_where_two_plans_part(
    one: list[tuple[int, tuple[Placed, ...]]], other: list[tuple[int, tuple[Placed, ...]]]
) -> None:
    first, second = _plan(one), _plan(other)
    differ = [at for at in range(22) if plan_at(first, at) != plan_at(second, at)]
    assert parting(first, second) == (differ[0] if differ else None)
