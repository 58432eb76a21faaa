"""Worlds to begin with: by levers, on the ground, or of a scenario."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ramstill.live.world.saving import Origin
from ramstill.live.world.world import World

if TYPE_CHECKING:
    from ramstill.air import Day
    from ramstill.flight.levers import LeverPlan, Start


def by_levers(
    airplane: str | Path, start: Start | None = None, day: Day | None = None, title: str = ""
) -> World:
    """A world flown by levers. airplane: a hangar name or a path; start: by default level at 2,000 ft.

    Raises InputError as `HandFlight` does.
    """
    from ramstill import airplane as airplanes
    from ramstill.air.units import FT
    from ramstill.flight.levers import Start
    from ramstill.live.world.by_levers import ByLevers

    plane = airplanes.load(airplane)
    flight = ByLevers(plane, Start(2000.0 * FT) if start is None else start, day)
    return World(plane, flight, origin=Origin(str(airplane), title or "A flight by levers", day=day))


def on_the_ground(
    airplane: str | Path,
    elevation_m: float = 0.0,
    day: Day | None = None,
    setting_pa: float | None = None,
    title: str = "",
) -> World:
    """A world on the ground, at an elevation [m]. Raises InputError as `OnTheGround` does."""
    from ramstill import airplane as airplanes
    from ramstill.live.world.ground import OnTheGround

    plane = airplanes.load(airplane)
    flight = OnTheGround(plane, elevation_m, day, setting_pa)
    return World(plane, flight, origin=Origin(str(airplane), title or "On the ground", day=day))


def of_scenario(scenario: str | Path) -> World:
    """The world of a scenario file, or of one that comes with the program by its name. InputError."""
    from ramstill.run.scenario import read_tables

    return of_tables(*read_tables(scenario))


def of_tables(tables: Mapping[str, Any], source: str, folder: Path) -> World:
    """The world of a scenario's tables; relative paths in it start at `folder`. Raises InputError.

    A pilot flies with the bench's faults; a flight by levers has gone on to its end, and stands at its
    beginning.
    """
    from ramstill.flight import parse_day
    from ramstill.live.world.flights import Given
    from ramstill.run.scenario import faults_of, from_tables

    scenario = from_tables(tables, source, folder)
    plane, faults = scenario.airplane, faults_of(tables, scenario.airplane, source)
    day = None if scenario.kind == "recording" else parse_day(tables.get("day", {}), source)
    origin = Origin(str(tables["airplane"]), scenario.title, scenario.note, day, tables, folder)
    if scenario.kind == "levers":
        from ramstill.flight.lever_table import parse_levers
        from ramstill.live.world.by_levers import ByLevers

        plan = parse_levers(tables["levers"], source)
        world = World(plane, ByLevers(plane, plan.start, day), faults, origin)
        return _flown(world, plan)
    if scenario.flown is not None:
        from ramstill.live.world.by_pilot import ByPilot

        return World(plane, ByPilot(plane, scenario.flown.plan, day, faults, scenario.flown), faults, origin)
    return World(plane, Given(scenario.surroundings), faults, origin)


def _flown(world: World, plan: LeverPlan) -> World:
    """The plan flown to its end, and back to its beginning."""
    from ramstill.flight.levers import step_at

    for at_s, levers in plan.moves:
        world.tick(step_at(at_s) - world.at)
        world.act(levers)
    world.tick(step_at(plan.duration_s) - world.at)
    world.rewind(0.0)
    return world
