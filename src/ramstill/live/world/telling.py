"""What a session comes to: a scenario that runs to the same figures, a run, the account of a reading."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING

import tomlkit

from ramstill.live.world import saving
from ramstill.live.world.by_levers import ByLevers
from ramstill.live.world.by_pilot import ByPilot
from ramstill.live.world.going import BENCH
from ramstill.live.world.ground import OnTheGround
from ramstill.live.world.moment import TICKS_A_SECOND
from ramstill.live.world.saving import Saved

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Fault
    from ramstill.flight.pilots import Flown
    from ramstill.live.world.world import World
    from ramstill.pneumatics import Surroundings
    from ramstill.run import Account, Run


def save(world: World, craft: str = BENCH, title: str = "", note: str = "") -> Saved:
    """A craft's session so far as a scenario: the same flight, and its faults.

    A flight by levers or on the ground ends where the world stands; others are whole. A pilot flies with the
    bench's faults, so that the saved flight of another craft is that of a pilot who sees what it shows.
    """
    flight, origin = world.flight, world.origin
    tables = saving.head(origin, title, note)
    if isinstance(flight, ByLevers):
        tables |= saving.day_table(origin.day) | saving.flown_by_levers(flight, world.done())
    elif isinstance(flight, OnTheGround):
        tables |= saving.day_table(origin.day) | {"bench": saving.bench_table(flight)}
    else:
        tables |= saving.given(origin)
    if those := tuple(one.fault for one in world.placed(craft) if world.has_come(craft, one)):
        tables["fault"] = saving.faults(those)
    return Saved(tables, tomlkit.dumps(tables))


def running(world: World, craft: str = BENCH) -> Callable[[], Run]:
    """What works out the run of a craft so far, with as many samples a second as there are ticks.

    It takes seconds, and may be called in another thread while the world goes on.
    """
    flight, one = world.flight, world.crafts[craft]
    flown = flight.flown if isinstance(flight, ByPilot) else None
    about = world.origin.title, world.origin.note
    return partial(_run, world.airplane, flight.replay(world.done()), one.faults, flown, *about)


def _run(
    airplane: Airplane,
    replay: Callable[[], Surroundings],
    faults: tuple[Fault, ...],
    flown: Flown | None,
    title: str,
    note: str,
) -> Run:
    from ramstill.run import simulate

    run = simulate(airplane, replay(), faults, output_hz=float(TICKS_A_SECOND), title=title, note=note)
    return replace(run, flown=flown)


def accounting(world: World, pointer: str, craft: str = BENCH) -> Callable[[], Account]:
    """What works out why a pointer reads what it reads now; as `running` it may be called in another thread.

    Calling it raises InputError for a pointer that is not on the panel.
    """
    return partial(_account, running(world, craft), pointer, world.time_s)


def _account(run: Callable[[], Run], pointer: str, at_s: float) -> Account:
    return run().account(pointer, at_s)
