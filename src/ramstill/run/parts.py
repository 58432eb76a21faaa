"""The parts that an error is made of: what each is called, and which air it is about. What taking one out
means is in docs/account.md.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from ramstill.run.phrases import clock, first_down

if TYPE_CHECKING:
    from ramstill.faults import Fault
    from ramstill.instruments import Pointer
    from ramstill.run.record import FloatArray, Run

Kind = Literal[
    "position",
    "applied",
    "cabin",
    "fault",
    "lag",
    "instrument",
    "stop",
    "setting",
    "temperature",
    "gravity",
]
Tint = Literal["ram", "still", "cabin", "trouble", "plain"]

# Parts that change what the air in the system does; the others only what is made of its pressures.
OF_THE_AIR: tuple[Kind, ...] = ("position", "applied", "cabin", "fault")
_INSIDE = ("cabin", "wing-bay")
_RAM_KINDS = ("pitot-inlet", "pitot-drain")


@dataclass(frozen=True, slots=True)
class Named:
    """A part before it is worked out.

    name: unique in an account; kind, title: in words; air: whose colour it has, "trouble" for faults and
    "plain" for what is no air's; fault: its place among `sorted_faults`, or -1.
    """

    name: str
    kind: Kind
    title: str
    air: Tint
    fault: int = -1


def largest(amounts: FloatArray, least: float, most: int | None = None) -> list[int]:
    """Which of some parts are told one by one, the largest first: places of those that anywhere in their
    amounts (part, k) come to `least`, `most` of them at most. What is not a number counts as nothing.
    """
    sizes = np.nan_to_num(np.abs(amounts)).max(axis=1, initial=0.0)
    order = np.argsort(-sizes, kind="stable")
    return [int(i) for i in order if sizes[i] >= least][:most]


def sorted_faults(run: Run) -> tuple[Fault, ...]:
    """The faults of a run in an order that does not depend on how they were given."""

    def order(f: Fault) -> tuple[object, ...]:
        return f.onset_s, f.name, f.where or "", f.severity, f.gradual_s, repr((f.end_s, f.size))

    return tuple(sorted(run.faults, key=order))


def of_pointer(run: Run, pointer: Pointer) -> tuple[Named, ...]:
    """Every part that a pointer's error may have in a run, also those that turn out to be nothing."""
    instrument, ram = pointer.instrument, feels_ram(pointer)
    found = [*_of_openings(run, ram)]
    if any(opening.sees in _INSIDE for opening in run.airplane.openings) or run.faults:
        pressurised = run.airplane.inside.pressurisation is not None
        title = f"cabin {'pressure' if pressurised else 'air'} in place of still air"
        found.append(Named("cabin", "cabin", title, "cabin"))
    found += _of_faults(run)
    found.append(Named("lag", "lag", "lag", "plain" if ram else "still"))
    found.append(Named("instrument", "instrument", "instrument error", "plain"))
    if instrument.kind not in ("encoder", "air-data-computer"):
        found.append(Named("stop", "stop", "end of the scale", "plain"))
    if pointer.shows == "altitude" and instrument.kind != "encoder":
        found.append(Named("setting", "setting", "altimeter setting", "plain"))
    if pointer.shows != "airspeed" and instrument.kind != "encoder":
        found.append(Named("temperature", "temperature", "non-standard temperature", "still"))
        found.append(Named("gravity", "gravity", "gravity weaker aloft", "plain"))
    return tuple(found)


def feels_ram(pointer: Pointer) -> bool:
    """Whether ram air and still air both have to be right for it."""
    return str(pointer.shows) == "airspeed"


def ram_openings(run: Run) -> tuple[str, ...]:
    """Openings whose pressure is about ram air: inlets, and the drains beside them."""
    found = (o.name for o in run.airplane.openings if o.kind in _RAM_KINDS and o.sees not in _INSIDE)
    return tuple(found)


def still_openings(run: Run) -> tuple[str, ...]:
    """The other openings to the air outside."""
    ram = ram_openings(run)
    return tuple(o.name for o in run.airplane.openings if o.name not in ram and o.sees not in _INSIDE)


def inside_boundaries(run: Run) -> tuple[str, ...]:
    """Boundaries at which the cabin's or the wing bay's air stands."""
    openings = (o.name for o in run.airplane.openings if o.sees in _INSIDE)
    return tuple(name for name in (*_INSIDE, *openings) if name in run.surroundings.boundary_names)


def _of_openings(run: Run, ram: bool) -> list[Named]:
    bench = run.on_bench
    kind: Kind = "applied" if bench else "position"
    what = "pressure applied" if bench else "position error"
    if not ram:
        return [Named(kind, kind, f"{what}{' on the bench' if bench else ''}", "still")]
    return [
        Named(f"{kind}-{air}", kind, f"{what}{' at' if bench else ' of'} the {air} openings", air)
        for air in ("ram", "still")
    ]


def _of_faults(run: Run) -> list[Named]:
    from ramstill.faults import catalogue

    faults, entries = sorted_faults(run), catalogue()
    count = {fault.name: 0 for fault in faults}
    for fault in faults:
        count[fault.name] += 1
    found: list[Named] = []
    for place, fault in enumerate(faults):
        name, title = fault.name, first_down(entries[fault.name].title)
        if count[fault.name] > 1:
            title = f"{title} from {clock(fault.onset_s)}"
            if any(other.title == title for other in found):
                where = fault.where or f"no. {place + 1}"
                title = f"{title} ({where})"
            name = f"{name}-{place + 1}"
        found.append(Named(name, "fault", title, "trouble", place))
    return found
