"""What each fault makes of the pressures in the lines, two lines of algebra each.

T and p are total and static pressure outside, q = T - p, c the pressure in the cabin; T' and p' what the
lines hold. The source stands beside each law; what has none is common practice.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from published_air import FT, INHG, P0, Array, hanging_back, late, too_high_by

# Of what a flow from inlet to ports loses at both, the inlet's share: one hole of 6 mm, and two ports of
# 2 mm, as the airplane's file has them.
INLET_MM2, PORTS_MM2 = 6.0**2, 2 * 2.0**2
AT_THE_INLET = INLET_MM2**-2 / (INLET_MM2**-2 + PORTS_MM2**-2)


@dataclass(frozen=True, slots=True)
class Airs:
    """Pressures [Pa] from the onset on, (t,): static, total and cabin, and at the onset first.

    time_s [s]; in_lines: what the lines held when the fault came: (total, static) [Pa].
    """

    time_s: Array
    static: Array
    total: Array
    cabin: Array
    in_lines: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Sensed:
    """What the lines then hold [Pa], (t,), and what the pointers do with it.

    follows: share of a quick change of static pressure outside that is still felt; higher_m: added to the
    altitude; standing: columns that stay at their reading, with the share of each movement that is lost;
    sticking_m: how far the altitude hangs back; blank: nothing is shown.
    """

    total: Array
    static: Array
    follows: float = 1.0
    higher_m: float = 0.0
    standing: Mapping[str, float] = field(default_factory=dict)
    sticking_m: float = 0.0
    blank: bool = False


Law = Callable[[Airs, Sensed, float], Sensed]


# ---- the faults. Each law gets the pressures, what is sensed without it, and its size.


def total_trapped(air: Airs, now: Sensed, _: float) -> Sensed:
    """T' = T(onset): sealed air at the cabin's even temperature keeps its pressure (Boyle)."""
    return replace(now, total=np.full_like(now.total, air.in_lines[0]))


def static_trapped(air: Airs, now: Sensed, _: float) -> Sensed:
    """p' = p(onset): altitude and vertical speed stand, and q' = q + p - p(onset)."""
    return replace(now, static=np.full_like(now.static, air.in_lines[1]), follows=0.0)


def both_trapped(air: Airs, now: Sensed, size: float) -> Sensed:
    """T' and p' as they were: everything stands."""
    return static_trapped(air, total_trapped(air, now, size), size)


def total_late(air: Airs, now: Sensed, sea_level_s: float) -> Sensed:
    """A passage nearly shut: T' follows T with lambda (NACA TN 1562) of `sea_level_s` at sea level [s]."""
    return replace(now, total=late(air.time_s, now.total, sea_level_s))


def static_late(air: Airs, now: Sensed, sea_level_s: float) -> Sensed:
    """The same with p'."""
    return replace(now, static=late(air.time_s, now.static, sea_level_s), follows=0.0)


def total_to_cabin(air: Airs, now: Sensed, share: float) -> Sensed:
    """T' = T + share (c - T): passages in a row, in which the drops of pressure keep their ratio."""
    return replace(now, total=now.total + share * (air.cabin - now.total))


def total_to_outside(air: Airs, now: Sensed, share: float) -> Sensed:
    """T' = T - share (T - p): the same, where the line runs outside the pressure hull."""
    return replace(now, total=now.total - share * (now.total - air.static))


def static_to_cabin(air: Airs, now: Sensed, share: float) -> Sensed:
    """p' = p + share (c - p)."""
    return replace(now, static=now.static + share * (air.cabin - now.static), follows=1.0 - share)


def total_into_static(_: Airs, now: Sensed, share: float) -> Sensed:
    """A leaking capsule: T' = T - a share q, p' = p + (1 - a) share q, for what the openings lose.

    The same air goes in and out, and each opening drops it as 1 / area squared (orifice equation, ISO 5167);
    the lines' own drops are left out.
    """
    lost = share * (now.total - now.static)
    return replace(
        now, total=now.total - AT_THE_INLET * lost, static=now.static + (1.0 - AT_THE_INLET) * lost
    )


def crossed(_: Airs, now: Sensed, __: float) -> Sensed:
    """T' = p and p' = T: the difference is -q, the altitude that of total pressure."""
    return replace(now, total=now.static, static=now.total)


def one_port_of_two(_: Airs, now: Sensed, coefficient: float) -> Sensed:
    """p' = p + dCp q / 2: equal ports on either side share what one of them is off by (common practice)."""
    return replace(now, static=now.static + 0.5 * coefficient * (now.total - now.static))


def total_over_water(_: Airs, now: Sensed, head_pa: float) -> Sensed:
    """A slug gives way when pushed by more than its head: T' hangs back from T by it (hydrostatics)."""
    return replace(now, total=hanging_back(now.total, head_pa))


def static_over_water(_: Airs, now: Sensed, head_pa: float) -> Sensed:
    """The same with p'."""
    return replace(now, static=hanging_back(now.static, head_pa))


def set_wrong(_: Airs, now: Sensed, inhg: float) -> Sensed:
    """14 CFR Part 43 Appendix E, Table IV: altitude off by that of the setting; no rate, no airspeed."""
    return replace(now, higher_m=too_high_by(P0 + inhg * INHG))


def altimeter_sticks(_: Airs, now: Sensed, feet: float) -> Sensed:
    """The pointers hang back by up to `feet`."""
    return replace(now, sticking_m=feet * FT)


def airspeed_stands(_: Airs, now: Sensed, share: float) -> Sensed:
    """The airspeed makes only 1 - `share` of each movement."""
    return replace(now, standing={"ias_kt": share})


def altitude_stands(_: Airs, now: Sensed, share: float) -> Sensed:
    """The altitude makes only 1 - `share` of each movement."""
    return replace(now, standing={"altitude_ft": share})


def dead(_: Airs, now: Sensed, __: float) -> Sensed:
    """Nothing is shown."""
    return replace(now, blank=True)
