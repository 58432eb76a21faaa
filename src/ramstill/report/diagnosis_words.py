"""What a diagnosis says in plain words: the answer in a sentence, its figures, and where it may be."""

from __future__ import annotations

import re
from collections.abc import Sequence
from math import isfinite
from typing import TYPE_CHECKING

from ramstill.pictures.of_airplane import plain
from ramstill.pictures.of_diagnosis import finding_words
from ramstill.pictures.scales import clock
from ramstill.run.phrases import first_down, listed

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis import Diagnosis, Finding
    from ramstill.faults import Fault

NONE_FITS = "None of these: something outside the catalogue"
GOVERNS = (
    "Your own airplane's handbook governs, in every line; so do the rules of the place and what your "
    "instructor or operator says."
)
NO_FAULT = "No fault: the system is sound"
BEFORE = "before the readings began"
CLEAR = 0.5  # from where on the answer is said as one
MOST_NAMED = 3  # of faults told together
_WORTH_NAMING = 0.02
_FEW = 4  # findings named in the answer


def fly_first(plane: Airplane) -> str:
    """What comes before any diagnosis."""
    engine = plane.performance is None or plane.performance.engine is not None
    settings = "a pitch and a power that you know" if engine else "a pitch that you know"
    return f"In the air hold {settings}, wings level, clear of ground and cloud, and read this on the ground."


# Titles of the catalogue that say a state of a part, and those that name a thing.
_STATE = re.compile(
    r"(?P<subject>.+?) (?P<state>left on|left off|left open|failed|crushed or kinked|blocked|plugged|"
    r"crossed|lost|stuck|dead|deformed|bent|broken|wrong|off|open|loose|sticking|leaking)"
)
_NO_ARTICLE = ("Everything", "Heat", "Cabin pressure", "One static port")
_MANY = ("ports", "lines", "and drain")
_A_SUBSTANCE = ("Tape", "Water", "Pitot icing", "Static icing")


def clause(name: str, since: str = "") -> str:
    """A fault as a clause: "the static ports have been blocked since 13:32", or "are blocked" without it."""
    from ramstill.faults import catalogue

    title = catalogue()[name].title
    found = _STATE.fullmatch(title)
    if found is None:
        article = "" if title.startswith(_A_SUBSTANCE) else "an " if title[0] in "AEIO" else "a "
        thing = f"{article}{first_down(title)}"
        return f"there has been {thing} {since}" if since else f"there is {thing}"
    subject, state = found["subject"], found["state"]
    who = f"{'' if subject in _NO_ARTICLE else 'the '}{first_down(subject)}"
    many = subject.lower().endswith(_MANY)
    if state.startswith("left"):  # which it was all along
        return f"{who} was {state}"
    if state == "failed":
        return f"{who} has failed" + (f", {since}" if since else "")
    if since:
        return f"{who} {'have' if many else 'has'} been {state} {since}"
    return f"{who} {'are' if many else 'is'} {state}"


def percent(probability: float) -> str:
    """A probability as people say it, on one line: never quite 0 or 100 % unless it is."""
    if probability <= 0.0:
        said = "0"
    elif probability < 0.01:
        said = "< 1"
    elif probability > 0.99:
        said = "> 99"
    else:
        said = f"{100.0 * probability:.0f}"
    return f"{said} %".replace(" ", "\u00a0")


def since_words(finding: Finding, start_s: float | None) -> str:
    """ "since 13:32", "since before the readings began", or nothing where nobody knows."""
    if not finding.faults or start_s is None:
        return ""
    if _was_there(finding, start_s):
        return f"since {BEFORE}"
    return "" if finding.onset_s is None else f"since {clock(finding.onset_s)}"


def _was_there(finding: Finding, start_s: float) -> bool:
    """Whether its first fault was there when the readings began."""
    return bool(finding.faults[0].onset_s <= start_s)


def answer(diagnosis: Diagnosis) -> str:
    """The answer in one or two sentences."""
    if not diagnosis.ranking or diagnosis.none_fits >= max(f.probability for f in diagnosis.ranking):
        return (
            "No fault of the catalogue explains this, alone or with another "
            f"({percent(diagnosis.none_fits)}). Do not read anything into the order of the rest."
        )
    first = diagnosis.ranking[0]
    silent = unseen(diagnosis)
    if not first.faults and silent:
        together = percent(sum(f.probability for f in silent))
        return (
            f"Nothing here speaks of a fault: the system is sound ({percent(first.probability)}), or what is "
            f"wrong leaves nothing to see in these readings ({len(silent)} faults, {together} together)."
        )
    if first.probability < CLEAR:
        same = _same(diagnosis)
        together = sum(f.probability for f in same)
        if together >= CLEAR:
            return (
                f"Most likely one of these, which this cannot tell apart: {_either(same)} "
                f"({percent(together)} together)."
            )
    said = _said(diagnosis, first)
    if first.probability >= CLEAR:
        return f"Most likely {said} ({percent(first.probability)})."
    others = [f for f in diagnosis.ranking[1:] if f.probability >= 0.1][:2]
    near = listed([f"{first_down(finding_words(f.names))} ({percent(f.probability)})" for f in others])
    return f"Perhaps {said} ({percent(first.probability)})" + (
        f", but this does not stand out: {near} may be as well." if near else "; nothing stands out."
    )


def _said(diagnosis: Diagnosis, finding: Finding) -> str:
    if not finding.faults:
        return "nothing is wrong"
    since = since_words(finding, _start(diagnosis))
    clauses = [clause(fault.name, since if i == 0 else "") for i, fault in enumerate(finding.faults)]
    return " and ".join(clauses)


def unseen(diagnosis: Diagnosis) -> list[Finding]:
    """Findings with faults that the readings cannot tell from no fault at all, the likeliest first."""
    names = {n for one in diagnosis.alike if () in one.findings for n in one.findings}
    return [f for f in diagnosis.ranking if f.faults and f.names in names]


def unseen_words(findings: Sequence[Finding]) -> str:
    """What they are called in a table, together."""
    names = [finding_words(f.names).lower() for f in findings[:MOST_NAMED]]
    more = len(findings) - len(names)
    return f"Leaves nothing to see here: {', '.join(names)}" + (f" and {more} more" if more else "")


def _same(diagnosis: Diagnosis) -> list[Finding]:
    """Findings that cannot be told from the first one, itself among them, the likeliest first."""
    first = diagnosis.ranking[0].names
    names = {n for one in diagnosis.alike if first in one.findings for n in one.findings}
    return [f for f in diagnosis.ranking if f.names in names and f.probability >= _WORTH_NAMING]


def _either(findings: Sequence[Finding]) -> str:
    """ "a, b or c"; of many, the first few by name."""
    said = [first_down(finding_words(f.names)) for f in findings]
    if len(said) > _FEW:
        return f"{', '.join(said[:_FEW])} or {len(said) - _FEW} more"
    return f"{', '.join(said[:-1])} or {said[-1]}" if len(said) > 1 else "".join(said)


def _start(diagnosis: Diagnosis) -> float | None:
    return None if diagnosis.evidence is None else float(diagnosis.evidence.time_s[0])


def onset(finding: Finding, start_s: float | None) -> str:
    """When it set in, give or take two standard deviations; nothing where there is none."""
    if not finding.faults or start_s is None:
        return ""
    if _was_there(finding, start_s):
        return BEFORE
    if finding.onset_s is None:
        return "not told by this"
    sd = finding.onset_sd_s
    spread = f" ± {2.0 * sd:.0f} s" if sd is not None and isfinite(sd) else ""
    return f"{clock(finding.onset_s)}{spread}"


def how_bad(faults: tuple[Fault, ...]) -> str:
    """Severity and size of each fault, in the catalogue's words."""
    from ramstill.faults import catalogue

    rows = []
    for fault in faults:
        entry, said = catalogue()[fault.name], []
        if entry.size is not None:
            said.append(f"{fault.size or entry.size.usual}: {entry.size.meaning}")
        if not entry.whole:
            said.append(f"severity {fault.severity:.2g}, {entry.severity_meaning}")
        rows.append("; ".join(said))
    return " / ".join(row for row in rows if row)


def where_words(where: tuple[str | None, ...]) -> str:
    """The places of a finding's faults in words."""
    return " / ".join(
        "usual place" if one is None else "all of them" if one == "all" else plain(one) for one in where
    )
