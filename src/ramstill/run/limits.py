"""Up to which frequency the engine, which knows no inertia of the air, is good for one airplane."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.run import phrases as say

if TYPE_CHECKING:
    from ramstill.airplane import Airplane

# A change spread over a third of a period holds little above that frequency: common practice, no source.
SHARE_OF_PERIOD = 1.0 / 3.0
_SIDES = {"pitot": "pitot side", "static": "static side", "probe": "total-energy side"}


def good_up_to_hz(plane: Airplane) -> dict[str, float]:
    """The limit [Hz] of each side of the plumbing ("pitot", "static", "probe"), the lowest at an instrument.

    At sea level, everything outside moving alike; what counts as off is in `quasi_steady_limits_hz`.
    """
    from ramstill.pneumatics import quasi_steady_limits_hz

    limits = quasi_steady_limits_hz(plane)
    sides: dict[str, float] = {}
    for port in (port for instrument in plane.instruments for port in instrument.ports):
        side = port.rpartition(".")[2]
        sides[side] = min(limits[port], sides.get(side, limits[port]))
    return sides


def limits_in_words(plane: Airplane) -> str:
    """A sentence or two on what the engine is good for with this airplane."""
    sides = good_up_to_hz(plane)
    parts = [f"{limit:.2g} Hz on the {_SIDES.get(side, side)}" for side, limit in sides.items()]
    times = [f"{SHARE_OF_PERIOD / limit:.1g} s" for limit in sides.values()]
    return (
        f"The air in lines is taken to have no inertia. With this airplane that is good, to 5 % and "
        f"10°, for what comes and goes up to {say.listed(parts)}: for changes that take longer than about "
        f"{say.listed(times)}."
    )
