"""Outcomes of checks as people tell them: "alternate open: altimeter jumps 60 ft".

docs/next-check.md has the grammar. What is told says which ways of looking are meant of which witnesses; what
is not told of is left open.
"""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air import quantity
from ramstill.diagnosis.checks.laboratory import Laboratory
from ramstill.diagnosis.checks.ranking import trials
from ramstill.diagnosis.checks.ways import ways
from ramstill.diagnosis.checks.witness import BEHAVIOURS
from ramstill.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from ramstill.diagnosis.answer import Diagnosis
    from ramstill.diagnosis.checks.trial import Trial
    from ramstill.diagnosis.checks.ways import Ways
    from ramstill.diagnosis.checks.witness import Witness

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

SOURCE = "--then"
COVERED, MOST = 1.0 - 1e-9, 200  # of what the candidates have, and how many ways at most, are worked out
ALIASES = {"vsi": "vertical speed", "asi": "airspeed", "airspeed indicator": "airspeed"}
EVERYTHING = ("still", "right", "follows")  # may be told of all witnesses at once: "nothing changes"
_PLAIN = ("airspeed", "altimeter", "vertical speed", "variometer")
_PARTS = re.compile(r"[;,](?!\d{3}\b)")
_FIGURE = re.compile(r"(?P<sign>[-+−]\s?)?(?P<number>\d[\d,]*(?:\.\d+)?)\s*(?P<unit>[a-z]+(?:/[a-z]+)?)?")


def take_outcome(diagnosis: Diagnosis, text: str, *, workers: int | None = None) -> Diagnosis:
    """The diagnosis after a check has turned out as `text` says: "CHECK: WHAT WAS SEEN".

    Raises InputError with what may be written for a check or an outcome that is not known, and for a check
    whose outcome was told before.
    """
    left, colon, right = text.partition(":")
    laboratory = Laboratory(diagnosis, ways(diagnosis, COVERED, MOST), workers)
    everything = trials(laboratory)
    trial = named(left, everything)
    if not colon or not right.strip():
        raise InputError(SOURCE, trial.key, f'"{text.strip()}"', f"{trial.key}: {_allowed(trial.witnesses)}")
    if trial.key in (named(done.partition(":")[0], everything).key for done in diagnosis.checked):
        raise InputError(SOURCE, trial.key, f'"{text.strip()}"', "a check that was not told of before")
    masks = understood(trial, right)
    likelihood = _likelihood(trial, masks)
    of_candidates = _of_candidates(likelihood, laboratory.ways)
    return diagnosis.weighed(of_candidates, float(likelihood[-1]), text.strip())


def named(written: str, among: Sequence[Trial]) -> Trial:
    """The check that is written: by key or title, in full or as far as it is the only one."""
    wanted = _plain(written)
    exact = [t for t in among if wanted in (_plain(t.key), _plain(t.title))]
    begun = [t for t in among if wanted and _plain(t.key).startswith(wanted)]
    found = exact or begun
    if len(found) != 1:
        raise InputError(SOURCE, "check", f'"{written.strip()}"', ", ".join(t.key for t in among))
    return found[0]


def understood(trial: Trial, told: str) -> list[tuple[int, Mask]]:
    """Which bins are meant of which witnesses (their places), in what is told of a check."""
    whole = _plain(told)
    alone = trial.witnesses[0]
    if len(trial.witnesses) == 1:  # its words may hold commas
        mask = _exact(alone, whole)
        if mask is not None:
            return [(0, mask)]
    found: dict[int, Mask] = {}
    for part in _PARTS.split(told):
        for place, mask in _part(trial, _plain(part)):
            found[place] = found[place] & mask if place in found else mask
    for place, mask in found.items():
        if not mask.any():
            name = trial.witnesses[place].name
            raise InputError(SOURCE, name, f'"{told.strip()}"', "one thing at a time of one instrument")
    return list(found.items())


def _part(trial: Trial, part: str) -> list[tuple[int, Mask]]:
    for alias, name in ALIASES.items():
        part = re.sub(rf"\b{alias}\b", name, part)
    witnesses = trial.witnesses
    meant = _meant(witnesses, part)
    found: list[tuple[int, Mask]] = []
    wrong: InputError | None = None
    for i in meant:
        try:
            mask = _mask(witnesses[i], part, trial.key)
        except InputError as error:  # a figure of another kind, so that this one is not meant
            wrong = error
            continue
        if mask is not None:
            found.append((i, mask))
    if not found and wrong is not None:
        raise wrong
    if not found:
        allowed = _allowed([witnesses[i] for i in meant])
        raise InputError(SOURCE, trial.key, f'"{part}"', allowed)
    if len(found) > 1 and not _of_all(part):  # what is said goes before what a figure might be of
        found = [(i, mask) for i, mask in found if _worded(witnesses[i], part)] or found
    if len(found) > 1 and not _of_all(part):
        names = ", ".join(witnesses[i].name for i, _ in found)
        raise InputError(SOURCE, trial.key, f'"{part}"', f"which of them: {names}")
    return found


def _meant(witnesses: Sequence[Witness], part: str) -> list[int]:
    """Places of the witnesses that a part may be about: by full name, or those of a plain name, or all."""
    there = [i for i, w in enumerate(witnesses) if re.search(rf"\b{re.escape(w.name)}\b", part)]
    if there:
        longest = max(len(witnesses[i].name) for i in there)
        name = next(witnesses[i].name for i in there if len(witnesses[i].name) == longest)
        # "airspeed loses 20 kt" is about "airspeed shut off", which begins alike
        return [i for i, w in enumerate(witnesses) if w.name == name or w.name.startswith(f"{name} ")]
    plain = [word for word in _PLAIN if re.search(rf"\b{word}\b", part)]
    some = [i for i, w in enumerate(witnesses) if any(word in w.name for word in plain)]
    if plain and not some:
        raise InputError(SOURCE, "instrument", f'"{part}"', ", ".join(w.name for w in witnesses))
    return some or list(range(len(witnesses)))


def _mask(witness: Witness, part: str, key: str) -> Mask | None:
    """Which bins of a witness a part means; None where it says nothing of it."""
    exact = _exact(witness, part)
    if exact is not None:
        return exact
    rest = re.sub(rf"\b{re.escape(witness.name)}\b", " ", part)
    words, figure = _words(witness, rest), _figure(witness, rest, key)
    if words is None or figure is None:
        return figure if words is None else words
    both = words & figure
    return both if both.any() else figure  # a figure says more than a word


def _worded(witness: Witness, part: str) -> bool:
    return _exact(witness, part) is not None or _words(witness, part) is not None


def _exact(witness: Witness, part: str) -> Mask | None:
    """The bin whose words stand in a part, the longest where several do."""
    there = [
        i
        for i, one in enumerate(witness.bins)
        if re.search(rf"(?<!\w){re.escape(_plain(one.text))}(?!\w)", part)
    ]
    if not there:
        return None
    best = max(there, key=lambda i: len(witness.bins[i].text))
    return np.asarray(np.arange(len(witness.bins)) == best)


def _words(witness: Witness, part: str) -> Mask | None:
    """The bins that go by most of the words said; None where none of them is said."""
    said = behaviours(part)
    count = np.array(
        [sum(m in said or (m not in BEHAVIOURS and _has(part, m)) for m in b.means) for b in witness.bins]
    )
    return np.asarray(count == count.max()) if count.max() > 0 else None


def behaviours(part: str) -> set[str]:
    """What is said to happen, of BEHAVIOURS: the longest words first, each once."""
    spelt = [(words, meaning) for meaning, ways_said in BEHAVIOURS.items() for words in ways_said]
    found = set()
    for words, meaning in sorted(spelt, key=lambda one: -len(one[0])):
        if _has(part, words):
            found.add(meaning)
            part = re.sub(rf"\b{words}\b", " ", part)
    return found


def _figure(witness: Witness, part: str, key: str) -> Mask | None:
    """The bins in which a figure lies, of either sign where none is written; None where there is none."""
    read = _FIGURE.search(part)
    if read is None or not witness.edges:
        return None
    text = f"{read['number']} {read['unit'] or ''}".strip()
    size = quantity.parse(text, witness.dimension, SOURCE, key) / witness.scale
    signs = {"": (1.0, -1.0), "+": (1.0,)}.get((read["sign"] or "").strip(), (-1.0,))
    mask = np.zeros(len(witness.bins), dtype=bool)
    for sign in signs:
        mask[int(np.searchsorted(witness.edges, sign * size))] = True
    return mask


def _likelihood(trial: Trial, masks: list[tuple[int, Mask]]) -> Array:
    """How likely what was told is under each way, something outside the catalogue last (way + 1,)."""
    chances = trial.with_none_fits()
    told = np.ones(chances[0].shape[:2])
    for place, mask in masks:
        told = told * chances[place][..., mask].sum(axis=-1)
    return np.asarray(trial.weights @ told)


def _of_candidates(likelihood: Array, found: Ways) -> Array:
    """The same for each candidate; one whose like was not worked out is taken as outside the catalogue."""
    return np.asarray(likelihood[found.of])  # -1 is the last


def _of_all(part: str) -> bool:
    return bool(behaviours(part) & set(EVERYTHING)) and not any(_has(part, word) for word in _PLAIN)


def _allowed(witnesses: Sequence[Witness]) -> str:
    """What may be told of some witnesses."""
    return "; ".join(f"{w.name}: {' | '.join(one.text for one in w.bins)}" for w in witnesses)


def _has(part: str, words: str) -> bool:
    return re.search(rf"\b{re.escape(words)}\b", part) is not None


def _plain(text: str) -> str:
    """In small letters, hyphens within words as spaces, one space at a time."""
    return " ".join(re.sub(r"(?<=\w)-(?=[a-z])", " ", text.lower()).split())
