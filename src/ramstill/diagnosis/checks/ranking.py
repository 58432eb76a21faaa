"""Which check to make next: what each is expected to tell, against what it costs and what it risks."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from ramstill.diagnosis.checks import in_the_air, in_the_shop, on_the_ground, wording
from ramstill.diagnosis.checks.check import RATED_SHOP, Check, Outcome
from ramstill.diagnosis.checks.information import Beliefs, Told, told
from ramstill.diagnosis.checks.laboratory import Laboratory, said
from ramstill.diagnosis.checks.ways import ways
from ramstill.faults.places import ALL, MAST

if TYPE_CHECKING:
    from ramstill.diagnosis.answer import Diagnosis, Names
    from ramstill.diagnosis.checks.trial import Trial
    from ramstill.diagnosis.checks.witness import Witness

COVERED, MOST = 0.999, 40  # of what is likely, and how many ways at most, are worked out
RISK_MIN = 10_000.0  # what is given to be spared making something worse for certain [min]; assumed
STANDS = 0.95  # a finding this likely stands
LITTLE_BIT = 0.05  # a check that is expected to tell less than this tells no more than a little
NOTHING_BIT = 0.005  # and less than this nothing: it is not offered
SHOP = "shop"
_NAMED, _WORTH_NAMING = 4, 0.03  # findings that a meaning names: how many, how likely at least


def next_checks(diagnosis: Diagnosis, *, workers: int | None = None) -> tuple[Check, ...]:
    """The checks that are still open, the best score first: bits a minute, risk counted as minutes.

    Each is simulated under each way the airplane may be that has weight. Where one finding stands, or no
    check outside the shop tells more than a little, the first is `SHOP`: the shop must take over. Before any
    of them: fly first. workers: threads, by default one a processor.
    """
    found = ways(diagnosis, COVERED, MOST)
    laboratory, beliefs = Laboratory(diagnosis, found, workers), Beliefs.of(diagnosis, found)
    done = {trial.key for trial in done_already(diagnosis, laboratory)}
    checks = [_check(t, told(t, beliefs), beliefs) for t in trials(laboratory) if t.key not in done]
    checks = sorted((c for c in checks if c.bits >= NOTHING_BIT), key=lambda c: -c.score)
    own = max((c.bits for c in checks if c.where != RATED_SHOP), default=0.0)
    likeliest = max((f.probability for f in diagnosis.ranking), default=0.0)
    if likeliest > STANDS or own < LITTLE_BIT:
        checks.insert(0, _shop(diagnosis, likeliest > STANDS))
    return tuple(checks)


def trials(laboratory: Laboratory) -> list[Trial]:
    """Every check of the airplane in its situation; nothing is worked out yet."""
    air = in_the_air.trials(laboratory) if laboratory.situation.airborne else []
    return [*air, *on_the_ground.trials(laboratory), *in_the_shop.trials(laboratory)]


def done_already(diagnosis: Diagnosis, laboratory: Laboratory) -> list[Trial]:
    """The checks whose outcomes were taken account of."""
    from ramstill.diagnosis.checks.telling import named

    everything = trials(laboratory)
    return [named(text.partition(":")[0], everything) for text in diagnosis.checked]


def _check(trial: Trial, what: Told, beliefs: Beliefs) -> Check:
    together = beliefs.by_finding(what.likelihood)
    likely = together.sum(axis=0)
    outcomes = [
        Outcome(_text(trial, what.witnesses, what.bins[i].tolist()), float(likely[i]), after)
        for i in np.argsort(-likely, kind="stable")
        for after in [f"Leaves {in_words(beliefs.findings, together[:, i] / likely[i])}."]
    ]
    score = what.bits / (trial.minutes + RISK_MIN * trial.risk)
    return Check(
        trial.key,
        trial.title,
        trial.where,
        trial.how,
        trial.cautions,
        trial.minutes,
        trial.risk,
        what.bits,
        score,
        tuple(outcomes),
    )


def _text(trial: Trial, witnesses: tuple[Witness, ...], bins: list[int]) -> str:
    """An outcome in words that `take_outcome` reads."""
    alone = len(trial.witnesses) == 1 and not witnesses[0].edges
    said = [f"{w.name} {w.bins[b].text}" for w, b in zip(witnesses, bins, strict=True)]
    return witnesses[0].bins[bins[0]].text if alone else ", ".join(said)


def in_words(findings: tuple[Names | None, ...], probability: np.ndarray) -> str:
    """Findings and how likely they are, the likeliest first, in words: "no fault (62 %), all else 38 %"."""
    order = [int(i) for i in np.argsort(-probability, kind="stable")]
    kept = [i for i in order[:_NAMED] if probability[i] >= _WORTH_NAMING] or order[:1]
    said = [f"{in_trade_words(findings[i])} ({100.0 * probability[i]:.0f} %)" for i in kept]
    rest = 1.0 - float(sum(probability[i] for i in kept))
    return ", ".join([*said, f"all else {100.0 * rest:.0f} %"] if rest >= 0.005 else said)


def in_trade_words(names: Names | None) -> str:
    """A finding as people say it."""
    from ramstill.faults import catalogue
    from ramstill.run.phrases import first_down

    if names is None:
        return "something outside the catalogue"
    return " with ".join(first_down(catalogue()[name].title) for name in names) or "no fault"


def _shop(diagnosis: Diagnosis, stands: bool) -> Check:
    labels: tuple[Names | None, ...] = (*(f.names for f in diagnosis.ranking), None)
    likely = np.array([*(f.probability for f in diagnosis.ranking), diagnosis.none_fits])
    why = "One finding stands" if stands else "No check of your own tells much more"
    if stands and not diagnosis.ranking[0].names:
        why = "No fault stands, so there may be nothing to mend; if it is seen again, the shop must look"
    told_so_far = "; ".join(diagnosis.checked) or "none"
    how = (
        f"{why}. Tell the shop what was seen ({diagnosis.asked}), the checks made and how they turned out "
        f"({told_so_far}), and what this leaves: {in_words(labels, likely)}{_where(diagnosis)}."
    )
    landed = "Land first. " if diagnosis.situation.airborne else ""
    cautions = f"{wording.FLY_FIRST} {landed}{wording.SHOP_WORK} {wording.OPENED}"
    title = "The shop must take over"
    return Check(SHOP, title, RATED_SHOP, how, cautions, in_the_shop.TO_THE_SHOP_MIN, 0.0, 0.0, 0.0, ())


def _where(diagnosis: Diagnosis) -> str:
    """Where the likeliest fault is likeliest to be, in words; nothing where there is none."""
    first = next(iter(diagnosis.ranking), None)
    places = [_place(p) for p in first.places[0][0] if p] if first is not None and first.places else []
    if first is None or not first.names or not places:
        return ""
    return f"; where: most likely {' and '.join(places)}"


def _place(name: str) -> str:
    return {ALL: "every opening of its kind", MAST: "the mast"}.get(name, said(name))
