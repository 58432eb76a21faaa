"""When something could first be seen on a panel: what counts as a cue stands here, all of it.

A pointer is off when it is further from what a sound airplane shows in the same flight than a person notices
on a dial (`diagnosis.noticing.NOTICEABLE`). Two pointers are apart when they cannot both be right
(`flight.pilots.cues`), and those of the sound airplane are not: that can be seen without knowing
what is true. What lasts less than three seconds is not counted. Assumed, all of it: people differ.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis.noticing import NAMES, NOTICEABLE, said_of
from ramstill.flight.pilots import cues as pilot
from ramstill.flight.pilots.cues import LASTS_S

if TYPE_CHECKING:
    from ramstill.instruments import Pointer

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
WORDS_FROM = 0.5  # a behaviour is told where at least so many of those who look would say it
WORDS_AFTER_S = 15.0  # and only where there is so much to look at
# of behaviours that are all likely, those first that say most; the rest are not told
_TOLD = ("zero", "frozen", "high", "low", "reversed", "late", "rising", "falling", "unsteady", "sticking")


@dataclass(frozen=True, slots=True)
class Cue:
    """Something that could be seen.

    kind: a pointer "off" or "blank", or two "apart"; pointers: one or two names; at_s: from when it lasts
    [s]; amount_si: how far off or apart at that time, with its sign, NaN for blank; seen (t,): while it can
    be seen; said: behaviours that most of those who look would name from then on, the most telling first.
    """

    kind: Literal["off", "blank", "apart"]
    pointers: tuple[str, ...]
    at_s: float
    amount_si: float
    seen: Mask
    said: tuple[str, ...] = ()


def shows_of(pointer: Pointer) -> str:
    """Key of `NOTICEABLE` for a pointer."""
    return pointer.kind if pointer.kind in NOTICEABLE else str(pointer.shows)


def cues(
    time_s: Array,
    pointers: Sequence[Pointer],
    shown: Mapping[str, Array],
    sound: Mapping[str, Array],
    since_s: float,
) -> tuple[Cue, ...]:
    """Every cue from a time on [s], the first first.

    time_s (t,), evenly [s]; shown, sound: what each pointer shows, and what it would show in a sound
    airplane, (t,) SI, NaN where nothing is shown.
    """
    found: list[Cue] = []
    for pointer in pointers:
        there, right = shown[pointer.name], sound[pointer.name]
        off = there - right
        blank = np.isnan(there) & ~np.isnan(right)
        wide = np.abs(np.nan_to_num(off)) > NOTICEABLE[shows_of(pointer)]
        for kind, mask, amount in (("off", wide, off), ("blank", blank, np.full_like(off, np.nan))):
            at = first_lasting(time_s, mask, since_s)
            if at is not None:
                said = _said(time_s, pointer, there, right, float(time_s[at])) if kind == "off" else ()
                found.append(
                    Cue(kind, (pointer.name,), float(time_s[at]), float(amount[at]), mask, said)  # type: ignore[arg-type]
                )
    found += _apart(time_s, pointers, shown, sound, since_s)
    return tuple(sorted(found, key=lambda cue: cue.at_s))


def first_lasting(time_s: Array, mask: Mask, since_s: float) -> int | None:
    """Where a mask (t,) is first true for `LASTS_S`, or from then to the end, at or after a time [s]."""
    over = np.concatenate([[False], mask & (time_s >= since_s), [False]])
    begins, ends = np.flatnonzero(over[1:] & ~over[:-1]), np.flatnonzero(~over[1:] & over[:-1])
    for begin, end in zip(begins.tolist(), ends.tolist(), strict=True):
        if end == len(time_s) or time_s[end] - time_s[begin] >= LASTS_S:
            return int(begin)
    return None


def differ_from(
    time_s: Array, pointers: Sequence[Pointer], one: Mapping[str, Array], other: Mapping[str, Array]
) -> tuple[float, str] | None:
    """When and on which pointer two panels could first be told apart [s]; None where they look the same."""
    first: list[tuple[float, str]] = []
    for pointer in pointers:
        a, b = one[pointer.name], other[pointer.name]
        wide = np.abs(np.nan_to_num(a - b)) > NOTICEABLE[shows_of(pointer)]
        at = first_lasting(time_s, wide | (np.isnan(a) != np.isnan(b)), float(time_s[0]))
        if at is not None:
            first.append((float(time_s[at]), pointer.name))
    return min(first, default=None)


def _said(time_s: Array, pointer: Pointer, shown: Array, sound: Array, at_s: float) -> tuple[str, ...]:
    """What most people would say of a pointer from a time on."""
    end = float(time_s[-1])
    if end - at_s < WORDS_AFTER_S:
        return ()
    likely = said_of(shows_of(pointer), time_s, shown, sound, (at_s, end), at_s - WORDS_AFTER_S)[0]
    return tuple(word for word in _TOLD if likely[NAMES.index(word)] >= WORDS_FROM)


def _apart(
    time_s: Array,
    pointers: Sequence[Pointer],
    shown: Mapping[str, Array],
    sound: Mapping[str, Array],
    since_s: float,
) -> list[Cue]:
    """Pairs that ought to agree and do not: two of a kind, and a vertical speed beside an altimeter."""
    by_quantity: dict[str, list[Pointer]] = {}
    for pointer in pointers:
        if pointer.kind not in ("encoder", "variometer"):
            by_quantity.setdefault(pointer.shows, []).append(pointer)
    pairs: list[tuple[Pointer, Pointer, float]] = []
    for shows, amount in (("airspeed", pilot.OTHER_SPEED_OFF), ("altitude", pilot.OTHER_ALTITUDE_OFF)):
        first, *others = by_quantity.get(shows, [None])
        pairs += [(first, other, amount) for other in others if first is not None]
    for rate in by_quantity.get("vertical-speed", []):
        pairs += [
            (rate, altimeter, pilot.OTHER_RATE_OFF) for altimeter in by_quantity.get("altitude", [])[:1]
        ]
    found = []
    for one, other, amount in pairs:
        gap = [_gap(time_s, one, other, read) for read in (shown, sound)]
        mask = (np.abs(gap[0]) > amount) & ~(np.abs(gap[1]) > amount)
        at = first_lasting(time_s, mask, since_s)
        if at is not None:
            found.append(Cue("apart", (one.name, other.name), float(time_s[at]), float(gap[0][at]), mask))
    return found


def _gap(time_s: Array, one: Pointer, other: Pointer, read: Mapping[str, Array]) -> Array:
    if one.shows == other.shows:
        return np.asarray(np.nan_to_num(read[one.name] - read[other.name]))
    return _beside_altimeter(time_s, read[one.name], read[other.name])


def _beside_altimeter(time_s: Array, rate: Array, altitude: Array) -> Array:
    """How far a vertical speed is from what the altimeter does now and did before [m/s], (t,): over the
    window in which a pilot judges movement, as it takes its time.
    """
    step = float(time_s[1] - time_s[0])
    back = max(round(pilot.WINDOW_S / step), 1)
    first = np.maximum(np.arange(len(time_s)) - back, 0)
    span = np.maximum(np.arange(len(time_s)) - first, 1) * step
    now = (altitude - altitude[first]) / span
    before = now[first]
    summed = np.concatenate([[0.0], np.cumsum(np.nan_to_num(rate))])
    here = np.arange(len(time_s))
    mean = (summed[here + 1] - summed[first]) / (here + 1 - first)
    above, below = mean - np.maximum(now, before), mean - np.minimum(now, before)
    gap = np.where(above > 0.0, above, np.where(below < 0.0, below, 0.0))
    return np.where(np.isnan(rate) | np.isnan(now) | np.isnan(before), 0.0, gap)


def thresholds() -> tuple[tuple[str, str], ...]:
    """What counts, in words, for a page: (what, from when on)."""
    from ramstill.air.units import FPM, FT, KT

    off = NOTICEABLE
    return (
        ("An airspeed is off", f"by {off['airspeed'] / KT:.0f} kt"),
        ("An altimeter is off", f"by {off['altitude'] / FT:.0f} ft"),
        ("A vertical speed is off", f"by {off['vertical-speed'] / FPM:.0f} ft/min"),
        ("A variometer is off", f"by {off['variometer'] / FPM:.0f} ft/min"),
        ("What the encoder reports is off", f"by {off['encoder'] / FT:.0f} ft"),
        ("Two airspeeds are apart", f"by {pilot.OTHER_SPEED_OFF / KT:.0f} kt"),
        ("Two altimeters are apart", f"by {pilot.OTHER_ALTITUDE_OFF / FT:.0f} ft"),
        (
            "A vertical speed is apart from what the altimeter does",
            f"by {pilot.OTHER_RATE_OFF / FPM:.0f} ft/min over {pilot.WINDOW_S:.0f} s",
        ),
        ("Nothing is counted that lasts less than", f"{LASTS_S:.0f} s"),
    )
