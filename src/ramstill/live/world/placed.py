"""Faults as they are placed on a craft: known by a name of their own, at a time or armed at an altitude."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from ramstill.faults import Fault

Plan = tuple[tuple[int, "tuple[Placed, ...]"], ...]


@dataclass(frozen=True, slots=True)
class Placed:
    """One fault on one craft.

    id: what it is called by; fault: its onset is of no account while it is armed; at_altitude_m: the pressure
    altitude [m] at whose passing it comes, None for one with a time of its own.
    """

    id: str
    fault: Fault
    at_altitude_m: float | None = None


def plan_at(plan: Plan, tick: int) -> tuple[Placed, ...]:
    """What is known to be placed at a tick. Plan: (tick, what is placed from then on), rising."""
    found: tuple[Placed, ...] = ()
    for since, placed in plan:
        if since > tick:
            break
        found = placed
    return found


def with_plan_from(plan: Plan, tick: int, placed: tuple[Placed, ...]) -> Plan:
    """The plan up to a tick, and then this."""
    before = tuple(entry for entry in plan if entry[0] < tick)
    return before if plan_at(before, tick) == placed else (*before, (tick, placed))


def rewritten(plan: Plan, name: str, tick: int, new: Placed | None) -> Plan:
    """The plan as if one of its faults had never been; and `new` in its place, known from a tick on."""
    ticks = sorted({since for since, _ in plan} | ({tick} if new is not None else set()))
    found: Plan = ()
    for since in ticks:
        there = plan_at(plan, since)
        kept = [one for one in there if one.id != name]
        if new is not None and since >= tick:
            place = next((i for i, one in enumerate(there) if one.id == name), len(kept))
            kept.insert(place, new)
        found = with_plan_from(found, since, tuple(kept))
    return found


def parting(one: Plan, other: Plan) -> int | None:
    """The first tick at which two plans differ, None where they never do."""
    ticks = sorted({since for since, _ in (*one, *other)})
    return next((tick for tick in ticks if plan_at(one, tick) != plan_at(other, tick)), None)


def named(placed: Iterable[Placed], name: str) -> Placed | None:
    """The one of that id."""
    return next((one for one in placed if one.id == name), None)
