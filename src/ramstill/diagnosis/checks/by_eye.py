"""What can be seen or felt without a figure: where each fault leaves something to find, and how surely.

One table for each place to look at: fault -> (what is found, chance of finding it at severity 1). All chances
are assumed. A fault that is not in a table leaves nothing to find there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis.checks.witness import Witness, with_slips

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis.checks.ways import Faults
    from ramstill.faults import Fault

Array = NDArray[np.float64]
Found = Mapping[str, tuple[str, float]]
Finds = Callable[["Fault", "Airplane"], "tuple[str, float] | None"]

# At the openings, from outside. "shut": by something else than tape, a cover, a cap or a nest.
OPENINGS: Found = {
    "cover-left-on": ("cover", 0.98),
    "test-cap-left-on": ("cover", 0.98),
    "tape-over-static-port": ("tape", 0.9),
    "insect-nest": ("nest", 0.8),
    "everything-blocked": ("shut", 0.9),
    "pitot-inlet-blocked": ("shut", 0.7),
    "pitot-and-drain-blocked": ("shut", 0.7),
    "static-ports-blocked": ("shut", 0.7),
    "one-static-port-blocked": ("shut", 0.7),
    "total-energy-probe-blocked": ("shut", 0.7),
    "pitot-drain-blocked": ("shut", 0.6),
    "mast-bent": ("shape", 0.8),
    "total-energy-probe-bent": ("shape", 0.8),
    "port-deformed": ("shape", 0.6),
    "quick-drain-left-open": ("drain", 0.8),
}
# On the panel: settings, knobs and switches.
PANEL: Found = {
    "altimeter-setting-wrong": ("setting", 0.9),
    "alternate-static-open": ("alternate", 0.97),
    "heat-left-off": ("heat", 0.95),
}
# At the lines and fittings, with panels off: for the shop.
LINES: Found = {
    "pitot-line-off": ("off", 0.95),
    "static-line-off": ("off", 0.95),
    "fitting-loose": ("off", 0.7),
    "pitot-line-leak": ("off", 0.6),
    "static-line-leak": ("off", 0.6),
    "total-energy-line-leak": ("off", 0.6),
    "drain-valve-leaking": ("off", 0.5),
    "quick-drain-left-open": ("off", 0.9),
    "alternate-static-valve-leaking": ("off", 0.5),
    "line-crushed": ("shut", 0.8),
    "tee-plugged": ("shut", 0.7),
    "lines-crossed": ("crossed", 0.95),
    "water-in-pitot-line": ("water", 0.8),
    "water-in-static-line": ("water", 0.8),
}
# With the instrument itself on a shop's bench, every fault of its own parts.
INSTRUMENT_FAILS = 0.95
DRAINED, DRAINED_ELSEWHERE = 0.85, 0.3  # water comes out: of the line at the sump, of another one
COLD = 0.95  # a heater without heat is felt to be cold


def at_openings(*kinds: str) -> Finds:
    """What is seen at the openings of these kinds."""

    def found(fault: Fault, airplane: Airplane) -> tuple[str, float] | None:
        from ramstill.faults import where_on_airplane

        if fault.name not in OPENINGS:
            return None
        places = where_on_airplane(fault, airplane)
        there = {airplane.opening(name).kind for what, name in places if what == "opening"}
        return _of(OPENINGS, fault) if there & set(kinds) else None

    return found


def at_quick_drains(fault: Fault, airplane: Airplane) -> tuple[str, float] | None:
    """Whether a quick drain is seen to stand open."""
    return _of(OPENINGS, fault) if fault.name == "quick-drain-left-open" else None


def on_the_panel(fault: Fault, airplane: Airplane) -> tuple[str, float] | None:
    """What a fault leaves to see on the panel."""
    return _of(PANEL, fault)


def at_the_lines(fault: Fault, airplane: Airplane) -> tuple[str, float] | None:
    """What a fault leaves to see at the lines."""
    return _of(LINES, fault)


def in_the_sump(fault: Fault, airplane: Airplane) -> tuple[str, float] | None:
    """Whether water of this fault comes out of a drain."""
    from ramstill.faults.places import closed_valves_to

    if fault.name not in ("water-in-static-line", "water-in-pitot-line"):
        return None
    line = airplane.line(place_of(fault, airplane))
    drains = closed_valves_to(airplane, "static-drain", "pitot-drain")
    ends = {end for valve in drains for end in (valve.start, valve.end)}
    return "water", DRAINED if {line.start, line.end} & ends else DRAINED_ELSEWHERE


def in_the_instrument(name: str) -> Finds:
    """Whether the instrument of a name fails its own test."""
    from ramstill.faults.instrument_parts import ENTRIES

    parts = {entry.name for entry in ENTRIES} - {"altimeter-setting-wrong"}

    def found(fault: Fault, airplane: Airplane) -> tuple[str, float] | None:
        there = fault.name in parts and place_of(fault, airplane) == name
        return ("fails", INSTRUMENT_FAILS * _share(fault)) if there else None

    return found


def cold_heater(heater: str) -> Finds:
    """Whether a heater stays cold that is switched on."""

    def found(fault: Fault, airplane: Airplane) -> tuple[str, float] | None:
        there = fault.name == "heater-failed" and place_of(fault, airplane) == heater
        return ("cold", COLD * _share(fault)) if there else None

    return found


def place_of(fault: Fault, airplane: Airplane) -> str:
    """Where a fault is: its own place, or the usual one."""
    from ramstill.faults import catalogue

    return fault.where or catalogue()[fault.name].default_place(airplane) or ""


def chances(
    ways: tuple[Faults, ...],
    airplane: Airplane,
    finds: Finds,
    order: tuple[str, ...],
    witness: Witness,
) -> Array:
    """Probability of each bin, (1, way, bins): of what is found, in `order`, and last of finding nothing.

    Of two faults the one that is the surer to be found is the one that is told.
    """
    found = np.zeros((1, len(ways), len(witness.bins)))
    for row, way in enumerate(ways):
        left = [one for fault in way if (one := finds(fault, airplane)) is not None and one[0] in order]
        if left:
            what, chance = max(left, key=lambda one: one[1])
            found[0, row, order.index(what)] = chance
    found[..., -1] = 1.0 - found.sum(axis=-1)
    return with_slips(found)


def _of(table: Found, fault: Fault) -> tuple[str, float] | None:
    if fault.name not in table:
        return None
    what, chance = table[fault.name]
    return what, chance * _share(fault)


def _share(fault: Fault) -> float:
    """How much of the chance is left at a fault's severity: half of it for the smallest."""
    return float(0.5 + 0.5 * fault.severity)
