"""From a diagnosis to its pictures: the evidence, and where on the airplane it may be."""

from __future__ import annotations

from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

from ramstill.air import units
from ramstill.pictures.evidence import Guess, Lane, Odds
from ramstill.pictures.evidence import evidence as draw
from ramstill.pictures.of_airplane import SPEED_UNIT
from ramstill.run.phrases import first_down

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis import Diagnosis, Evidence, Finding

# Quantities of a recording in the order they are drawn, with their name on the page.
TITLES = {"ias": "Airspeed", "altitude": "Altitude", "vertical speed": "Vertical speed"}
_LEAST = {"kt": 20.0, "mph": 20.0, "km/h": 40.0, "ft": 200.0, "ft/min": 500.0, "m/s": 2.5}
_RATES = {"m/s": 1.0, "kt": units.KT, "ft/min": units.FPM}


@cache
def style() -> str:
    """The style of the evidence, which comes after that of all pictures."""
    return (resources.files("ramstill.pictures") / "evidence.css").read_text(encoding="utf-8")


def finding_words(names: tuple[str, ...]) -> str:
    """The faults of a finding by their titles: "Static ports blocked and encoder dead", or "No fault"."""
    from ramstill.faults import catalogue

    titles = [catalogue()[name].title for name in names]
    if not titles:
        return "No fault"
    return " and ".join([titles[0], *(first_down(title) for title in titles[1:])])


def units_of(plane: Airplane) -> dict[str, tuple[str, float]]:
    """The unit of each quantity of a recording on this airplane's instruments, and one of it [SI]."""
    kinds = {i.kind: getattr(i, "unit", None) for i in plane.instruments}
    speed = kinds.get("airspeed-indicator") or "kt"
    rate = "ft/min" if "vertical-speed-indicator" in kinds else kinds.get("variometer") or "ft/min"
    return {
        "ias": (speed, SPEED_UNIT[speed]),
        "altitude": ("ft", units.FT),
        "vertical speed": (rate, _RATES[rate]),
    }


def recorded_quantities(evidence: Evidence) -> list[str]:
    """Quantities that the evidence has, in the order they are drawn."""
    return [quantity for quantity in TITLES if quantity in evidence.recorded]


def lanes_of(plane: Airplane, evidence: Evidence) -> tuple[Lane, ...]:
    """A lane for each recorded instrument, in its own unit."""
    lanes = []
    for quantity in recorded_quantities(evidence):
        unit, one = units_of(plane)[quantity]
        elsewhere = evidence.elsewhere.get(quantity)
        lanes.append(
            Lane(
                title=TITLES[quantity],
                unit=unit,
                recorded=evidence.recorded[quantity] / one,
                spread=evidence.spread[quantity] / one,
                elsewhere=None if elsewhere is None else elsewhere / one,
                least=_LEAST[unit],
            )
        )
    return tuple(lanes)


def guesses_of(diagnosis: Diagnosis, evidence: Evidence) -> tuple[Guess, ...]:
    """What each leading finding predicts, the first of them first."""
    units_, ranked = units_of(diagnosis.airplane), {f.names: f for f in diagnosis.ranking}
    guesses = []
    for prediction in evidence.predictions:
        finding: Finding | None = ranked.get(prediction.names)
        guesses.append(
            Guess(
                label=finding_words(prediction.names),
                predicted=tuple(prediction.shown[q] / units_[q][1] for q in recorded_quantities(evidence)),
                onset_s=finding.onset_s if finding else None,
                onset_sd_s=finding.onset_sd_s if finding else None,
            )
        )
    return tuple(guesses)


def evidence_picture(diagnosis: Diagnosis, *, compact: bool = False, key: str = "evidence") -> str:
    """The evidence of a diagnosis from a recording as SVG; nothing ("") where there is none."""
    found = diagnosis.evidence
    if found is None or not found.predictions:
        return ""
    odds = None
    if found.against is not None:
        odds = Odds(found.odds, finding_words(found.against), found.decided_s)
    lanes, guesses = lanes_of(diagnosis.airplane, found), guesses_of(diagnosis, found)
    return draw(found.time_s, lanes, guesses, odds, compact=compact, key=key)
