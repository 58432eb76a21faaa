"""A session as a scenario: tables, and the text of a file that `ramstill run` runs to the same figures."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from ramstill.bench.programme import SHUT_S, SWELL_S
from ramstill.live.world.moment import TICKS_A_SECOND
from ramstill.live.world.pressing import Blown, Covered

if TYPE_CHECKING:
    from ramstill.air import Day
    from ramstill.faults import Fault
    from ramstill.live.world.by_levers import ByLevers
    from ramstill.live.world.flights import Deeds
    from ramstill.live.world.ground import OnTheGround

_AFTER_S = 1.0  # what is still held at the end of a session is let go this long after it [s]


class Origin(NamedTuple):
    """What a world was made from. airplane: a hangar name, or the path of a file; tables: of the scenario
    that it began as, else nothing; day: of a world that began as none.
    """

    airplane: str = ""
    title: str = ""
    note: str = ""
    day: Day | None = None
    tables: Mapping[str, Any] | None = None
    folder: Path | None = None


class Saved(NamedTuple):
    """A session as the tables of a scenario file, and as its text."""

    tables: dict[str, Any]
    text: str


def head(origin: Origin, title: str, note: str) -> dict[str, Any]:
    """What stands above the first table; as many samples a second as there were ticks."""
    found: dict[str, Any] = {"format": 1, "title": title or origin.title or "From the live bench"}
    if note or origin.note:
        found["note"] = note or origin.note
    airplane = origin.airplane
    if airplane.endswith(".toml"):
        airplane = str(((origin.folder or Path()) / airplane).resolve())
    return found | {"airplane": airplane, "output_rate": f"{TICKS_A_SECOND} Hz"}


def flown_by_levers(flight: ByLevers, deeds: Deeds) -> dict[str, Any]:
    """[levers] of a flight so far."""
    from ramstill.flight.lever_table import written

    return {"levers": written(flight.plan(deeds))}


def given(origin: Origin) -> dict[str, Any]:
    """The flight of the scenario that a world began as; a recording is found from anywhere."""
    from ramstill.run.scenario import KINDS

    tables = dict(origin.tables or {})
    if "recording" in tables:
        file = str(((origin.folder or Path()) / tables["recording"]["file"]).resolve())
        tables["recording"] = {**tables["recording"], "file": file}
    return {key: tables[key] for key in ("day", *KINDS) if key in tables}


def day_table(day: Day | None) -> dict[str, Any]:
    """[day], or nothing for the standard day."""
    from ramstill.air import Day

    if day is None or day == Day():
        return {}
    pressure, offset = f"{day.sea_level_pressure_pa!r} Pa", f"{day.temperature_offset_k!r} K"
    return {"day": {"sea_level_pressure": pressure, "temperature_offset": offset}}


def bench_table(ground: OnTheGround) -> dict[str, Any]:
    """[bench] of what was done on the ground so far."""
    now = ground.now.time_s
    steps = [
        _blown(name, done, now) if isinstance(done, Blown) else _covered(name, done, now)
        for name, hand in ground.hands.items()
        for done in hand.done
        if done.begin_s < now
    ]
    if not steps:  # a programme has a step at least: nothing is blown
        first = ground.airplane.openings[0].name
        steps = [_blown(first, Blown(0.0, ((SWELL_S, 0.0),), True), now)]
    return {
        "elevation": f"{ground.elevation_m!r} m",
        "altimeter_setting": f"{ground.setting_pa!r} Pa",
        "duration": seconds(max(now, 1.0 / TICKS_A_SECOND)),
        "apply": sorted(steps, key=lambda step: float(step["from"].removesuffix(" s"))),
    }


def _blown(opening: str, done: Blown, now: float) -> dict[str, Any]:
    points = list(done.points)
    if not done.released:
        points.append((max(points[-1][0], now) + _AFTER_S, points[-1][1]))
    return {
        "what": "pressure",
        "opening": opening,
        "from": seconds(done.begin_s),
        "onset": seconds(SWELL_S),
        "points": [[seconds(at - done.begin_s), f"{pressure!r} Pa"] for at, pressure in points],
    }


def _covered(opening: str, done: Covered, now: float) -> dict[str, Any]:
    until = min(done.end_s, max(now, done.begin_s) + _AFTER_S)
    times = {"from": seconds(done.begin_s), "until": seconds(until), "onset": seconds(SHUT_S)}
    return {"what": "finger", "opening": opening, **times}


def faults(those: tuple[Fault, ...]) -> list[dict[str, Any]]:
    """[[fault]] of each."""
    found = []
    for fault in those:
        table: dict[str, Any] = {"name": fault.name}
        if fault.where is not None:
            table["where"] = fault.where
        if fault.severity != 1.0:
            table["severity"] = fault.severity
        if fault.size is not None:
            table["size"] = fault.size
        table["onset"] = seconds(fault.onset_s)
        if fault.gradual_s:
            table["gradual"] = seconds(fault.gradual_s)
        if fault.end_s is not None:
            table["end"] = seconds(fault.end_s)
        found.append(table)
    return found


def seconds(time_s: float) -> str:
    """A time in seconds, to a microsecond."""
    return f"{round(time_s, 6):.12g} s"
