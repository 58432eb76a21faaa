"""What is kept of where a world has been stays small, and every tick is still reached."""

from itertools import pairwise

from ramstill import airplane
from ramstill.flight.levers import Levers, Start
from ramstill.live.world import ByLevers, World
from ramstill.live.world.history import MOST_BRANCHES, Branch, Snapshot, Traced
from ramstill.live.world.moment import TICKS_A_SECOND, time_of

PLANE = airplane.load("low-wing-mast")


def _kept(seconds: int, crafts: int) -> list[int]:
    world = World(PLANE, ByLevers(PLANE, Start(1000.0, 50.0)))
    sound, branch = world.sound.state(), Branch("1")
    for second in range(seconds + 1):
        branch.end = second * TICKS_A_SECOND
        branch.keep(Snapshot(branch.end, None, sound, {}, {}, (0.0, 0.0)), crafts)
    return [one.tick // TICKS_A_SECOND for one in branch.snapshots]


def test_old_snapshots_become_fewer() -> None:
    few = _kept(2 * 3600, 1)
    assert few[0] == 0
    assert few[-121:] == list(range(7200 - 120, 7201))
    # nowhere further apart than its age allows: 5 s in ten minutes, 30 s in an hour, then 5 minutes
    for one, other in pairwise(few):
        age = 7200 - one
        assert other - one <= (1 if age <= 120 else 5 if age <= 600 else 30 if age <= 3600 else 300)
    assert len(few) < 360
    assert len(_kept(2 * 3600, 100)) < 130


def test_the_trace_becomes_coarser_beyond_an_hour() -> None:
    branch, row = Branch("1"), Traced(None, None)  # type: ignore[arg-type]
    for tick in range(0, 2 * 3600 * TICKS_A_SECOND + 1, 10):
        branch.note(tick, row)
    ticks = sorted(branch.trace)
    assert len(ticks) == 3600 * 2 + 360 + 1
    assert ticks[-1] == 2 * 3600 * TICKS_A_SECOND


def test_there_are_not_more_branches_than_can_be_kept() -> None:
    world = World(PLANE, ByLevers(PLANE, Start(1000.0, 50.0)))
    world.tick(2 * TICKS_A_SECOND)
    for i in range(MOST_BRANCHES + 5):
        world.rewind(0.5)
        world.act(Levers(climb_m_s=0.02 * i))
        world.tick(20 + i)
    assert len(world.branches) == MOST_BRANCHES
    assert world.branch.id in world.branches
    oldest = next(iter(world.branches))
    end = world.branches[oldest].end
    world.go_to(oldest)
    assert world.at == end


def test_any_tick_of_a_long_flight_is_reached_again() -> None:
    world = World(PLANE, ByLevers(PLANE, Start(1000.0, 50.0)))
    seen = {}
    world.act(Levers(climb_m_s=1.0))
    for at in range(1, 11 * 60 * TICKS_A_SECOND):
        world.tick()
        if at % 1289 == 0:
            seen[at] = world.bench.shown.tobytes(), world.now.outside_pa.tobytes(), world.true.tobytes()
    for at, bits in seen.items():
        world.rewind(time_of(at))
        assert (world.bench.shown.tobytes(), world.now.outside_pa.tobytes(), world.true.tobytes()) == bits
    assert len(world.branches) == 1
