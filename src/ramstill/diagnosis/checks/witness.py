"""What a check shows, and how likely each way it may look is when the airplane is in a given state."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

SLIP = 0.02  # chance that what is told says nothing of what was there: misread, or done wrong; assumed

# What people write, by what is meant. The longest is looked for first.
BEHAVIOURS: dict[str, tuple[str, ...]] = {
    "jumps": ("jumps", "jump", "moves", "changes", "shifts"),
    "up": ("up", "rises", "climbs", "gains"),
    "down": ("down", "falls", "drops", "sinks"),
    "still": ("still", "steady", "frozen", "unchanged", "hardly moves", "nothing changes", "no change"),
    "follows": ("follows", "as it should", "normal"),
    "part": ("hangs back", "lags", "sluggish", "too little"),
    "reverse": ("reversed", "other way", "wrong way"),
    "right": ("right", "agrees", "correct", "same"),
    "high": ("high", "higher", "more", "above", "too much"),
    "low": ("low", "lower", "less", "below"),
    "zero": ("zero",),
    "blank": ("blank", "dead", "shows nothing"),
    "holds": ("holds", "tight"),
    "loses": ("loses", "leaks"),
}


@dataclass(frozen=True, slots=True)
class Bin:
    """One way a witness may look. text: in a person's words; means: of BEHAVIOURS, or words of its own."""

    text: str
    means: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Witness:
    """One thing that a check looks at.

    name: what people call it; bins: the ways it may look, by rising figure, and last, where `blank`, that it
    shows nothing; edges (bins - 1): figures between them, none for what is seen and not read; dimension: of
    `air.quantity`, that a figure may be written in; scale: what is written for a figure of 1, SI; spread,
    share: how far a reading may be off, one standard deviation, at all and per figure (assumed).
    """

    name: str
    bins: tuple[Bin, ...]
    edges: tuple[float, ...] = ()
    dimension: str = ""
    scale: float = 1.0
    spread: float = 0.0
    share: float = 0.0
    blank: bool = False

    def chances(self, figure: Array) -> Array:
        """Probability of each bin, (..., bins), at figures (...); NaN is what shows nothing."""
        from scipy.special import ndtr

        there = np.nan_to_num(figure)[..., None]
        sure = np.hypot(self.spread, self.share * there)
        below = ndtr((np.array(self.edges) - there) / sure)
        ends = np.zeros((*figure.shape, 1)), np.ones((*figure.shape, 1))
        found = np.diff(np.concatenate([ends[0], below, ends[1]], axis=-1), axis=-1)
        lost = np.isnan(figure)
        if self.blank:
            found = np.concatenate([np.where(lost[..., None], 0.0, found), lost[..., None]], axis=-1)
        else:
            found[lost] = 1.0 / found.shape[-1]
        return with_slips(found)


def with_slips(chances: Array) -> Array:
    """The same, (..., bins), where now and then anything is told."""
    return np.asarray((1.0 - SLIP) * chances + SLIP / chances.shape[-1])


def seen(name: str, *bins: tuple[str, ...]) -> Witness:
    """Something seen and not read: each bin its text and the words it also goes by."""
    return Witness(name, tuple(Bin(text, words) for text, *rest in bins for words in [tuple(rest)]))


def jump(
    name: str, dimension: str, unit: tuple[str, float], edges: tuple[float, ...], spread: float, blank: bool
) -> Witness:
    """A pointer that jumps or does not. unit: its name and SI value; edges: sizes above zero, in it."""
    word, size = unit
    last = f"{edges[-1]:g} {word}"
    ranges = [f"{a:g} to {b:g} {word}" for a, b in pairwise(edges)] + [f"more than {last}"]
    up = [Bin(f"jumps up {text}", ("jumps", "up")) for text in ranges]
    down = [Bin(f"jumps down {text}", ("jumps", "down")) for text in reversed(ranges)]
    both = [*(-e * size for e in reversed(edges)), *(e * size for e in edges)]
    return Witness(
        name,
        (*down, Bin("hardly moves", ("still",)), *up, *_blank(blank)),
        tuple(both),
        dimension,
        spread=spread * size,
        share=0.25,  # of the jump: what the cabin's air is drawn out by is known no better; assumed
        blank=blank,
    )


def error(
    name: str,
    dimension: str,
    unit: tuple[str, float],
    within: float,
    spread: float,
    blank: bool,
    against: str = "",
) -> Witness:
    """A pointer beside what it ought to show, or against another one. within, spread: in `unit`."""
    word, size = unit
    off = f"{within:g} {word}"
    low, right, high = (
        (f"more than {off} below {against}", f"within {off} of {against}", f"more than {off} above {against}")
        if against
        else (f"more than {off} too low", f"right within {off}", f"more than {off} too high")
    )
    bins = (Bin(low, ("low", "zero")), Bin(right, ("right", "follows")), Bin(high, ("high",)))
    edges = (-within * size, within * size)
    return Witness(name, (*bins, *_blank(blank)), edges, dimension, spread=spread * size, blank=blank)


def following(
    name: str,
    dimension: str,
    scale: float,
    spread: float,
    blank: bool,
    near: tuple[float, float] = (0.75, 1.3),
) -> Witness:
    """A pointer that ought to move by `scale`; its figure is the share of that. spread: of the figure; near:
    the shares between which it follows.
    """
    bins = (
        Bin("goes the other way", ("reverse",)),
        Bin("stands still", ("still", "zero")),
        Bin("hangs back", ("part",)),
        Bin("follows", ("follows", "right")),
        Bin("moves too much", ("high",)),
    )
    edges = (-0.25, 0.25, *near)
    return Witness(name, (*bins, *_blank(blank)), edges, dimension, scale, spread, 0.0, blank)


def loss(name: str, dimension: str, unit: tuple[str, float], limit: float, spread: float) -> Witness:
    """What a leak test loses; a figure is written without "a minute". limit, spread: in `unit`."""
    word, size = unit
    bins = (
        Bin(f"holds within {limit:g} {word} in a minute", ("holds", "right")),
        Bin(f"loses {limit:g} to {8 * limit:g} {word} in a minute", ("loses",)),
        Bin(f"loses more than {8 * limit:g} {word} in a minute", ("loses",)),
    )
    edges = (limit * size, 8.0 * limit * size)
    return Witness(name, bins, edges, dimension, spread=spread * size, share=0.2)


def _blank(there: bool) -> tuple[Bin, ...]:
    return (Bin("shows nothing", ("blank",)),) if there else ()
