"""Up to when one system in its surroundings does what another does, so that what is inside is the same."""

from dataclasses import fields
from math import inf

import numpy as np

from ramstill.pneumatics.network import Network
from ramstill.pneumatics.schedule import Schedule
from ramstill.pneumatics.surroundings import Surroundings

_ALWAYS, _NEVER = Schedule.constant(1.0), Schedule.constant(0.0)
_ROUNDING, _FLAT_PA_S = 1e-9, 1e-6  # of a cubic that was cut in two
_PARTS = tuple(field.name for field in fields(Network) if field.name != "openness")


def alike_until(
    network: Network, surroundings: Surroundings, other: Network, others_surroundings: Surroundings
) -> float:
    """Time [s] up to which a network in its surroundings does what another one does.

    inf where they are the same; minus inf where they differ from before the surroundings begin, or in more
    than open shares, pressures outside and links that the other has not. The start itself where they differ
    from then on.
    """
    if not _same_parts(network, other):
        return -inf
    pairs: list[tuple[Schedule | None, Schedule | None]] = [
        (one, two) for one, two in zip(network.openness, other.openness, strict=False) if one is not two
    ]
    pairs += [(one, _NEVER) for one in network.openness[len(other.openness) :]]
    until = inf
    if surroundings is not others_surroundings:
        until = _same_air(surroundings, others_surroundings)
        if set(surroundings.openness) != set(others_surroundings.openness):
            return -inf
        shares, others = surroundings.openness, others_surroundings.openness
        pairs += [(shares[name], others[name]) for name in shares]
    for one, two in pairs:
        until = min(until, same_until(one or _ALWAYS, two or _ALWAYS))
    return until if until >= others_surroundings.start_s else -inf


def same_until(one: Schedule, other: Schedule) -> float:
    """Time [s] up to which two schedules have the same value: inf for ever, minus inf not even before."""
    if one is other or (one.times_s == other.times_s and one.values == other.values):
        return inf
    if one.values[0] != other.values[0]:
        return -inf
    for steady, moving in ((one, other), (other, one)):
        if steady.values.count(steady.values[0]) == len(steady.values):  # the usual case, and quickly told
            first = next((i for i, v in enumerate(moving.values) if v != steady.values[0]), 0)
            return moving.times_s[first - 1] if first else inf
    knots = sorted({*one.times_s, *other.times_s})
    for i, knot in enumerate(knots):
        if one.at_left(knot) != other.at_left(knot):
            return knots[i - 1] if i else -inf
        if one.at(knot) != other.at(knot):
            return knot
    return inf


def _same_parts(network: Network, other: Network) -> bool:
    """Whether a network has the other's volumes, and its links as they are with perhaps more beside them."""
    count = len(other.link_names)
    for name in _PARTS:
        a, b = getattr(network, name), getattr(other, name)
        if a is b:
            continue
        if name.startswith("link_"):
            a = a[:count]
        # bit by bit, which is quicker than number by number
        if type(a) is not type(b) or (a.tobytes() != b.tobytes() if isinstance(a, np.ndarray) else a != b):
            return False
    return True


def _same_air(surroundings: Surroundings, other: Surroundings) -> float:
    """Time [s] up to which the pressures outside are the same.

    They are so up to the last of the knots that are all alike, or up to the first kink that is new, where
    that cuts a piece in two without changing it.
    """
    if surroundings.boundary_names != other.boundary_names or surroundings.start_s != other.start_s:
        return -inf
    row, mine, theirs = _first_other_row(surroundings, other), surroundings.knots_s, other.knots_s
    if row == len(mine) == len(theirs):
        return inf
    until = float(mine[row - 1]) if row else -inf
    if 0 < row < len(mine):
        cut = float(mine[row])
        value, slope = other.at_left([cut])[0], other.slope_at_left([cut])[0]
        same = np.allclose(surroundings.pressure_pa[row], value, rtol=_ROUNDING, atol=0.0)
        if same and np.allclose(surroundings.slope_left_pa_s[row], slope, rtol=_ROUNDING, atol=_FLAT_PA_S):
            until = cut
    if until > other.start_s:
        return until
    # from the very beginning: then what went on before it has to be the same as well
    there = ((s.pressure_pa[0], s.slope_right_pa_s[0], s.at([s.start_s])) for s in (surroundings, other))
    same = all(np.array_equal(a, b) for a, b in zip(*there, strict=True))
    return other.start_s if same else -inf


def _first_other_row(surroundings: Surroundings, other: Surroundings) -> int:
    """The first knot at which anything is not the same."""
    count = min(len(surroundings.knots_s), len(other.knots_s))
    for name in ("knots_s", "pressure_pa", "slope_left_pa_s", "slope_right_pa_s"):
        differs = getattr(surroundings, name)[:count] != getattr(other, name)[:count]
        rows = np.flatnonzero(differs if differs.ndim == 1 else differs.any(axis=1))
        count = int(rows[0]) if len(rows) else count
    return count
