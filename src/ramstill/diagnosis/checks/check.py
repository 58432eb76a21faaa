"""A check that a person may do, and what each of its outcomes would mean."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Where = Literal["in the air", "on the ground", "rated shop"]
IN_THE_AIR: Where = "in the air"
ON_THE_GROUND: Where = "on the ground"
RATED_SHOP: Where = "rated shop"


@dataclass(frozen=True, slots=True)
class Outcome:
    """One way a check may turn out.

    text: in a person's words, as `take_outcome` reads it after the check's key; probability: of it, by the
    diagnosis as it stands; meaning: which findings it would leave, and how likely, in a sentence.
    """

    text: str
    probability: float
    meaning: str


@dataclass(frozen=True, slots=True)
class Check:
    """One check, with what it is worth and what it costs.

    key: its short name, as written after `--then`; how: what to do, in plain sentences; cautions: what to
    beware of; minutes [min]: what it takes, a landing before it included (assumed); risk [-]: the chance that
    doing it makes something worse (assumed); bits [bit]: information expected of it over the findings by
    names of faults, with no fault and none of them; score [bit/min]: bits per minute, the risk counted as
    minutes; outcomes: the likeliest first, their probabilities sum to 1. The shop's own entry, "shop", has no
    outcomes and no bits.
    """

    key: str
    title: str
    where: Where
    how: str
    cautions: str
    minutes: float
    risk: float
    bits: float
    score: float
    outcomes: tuple[Outcome, ...]
