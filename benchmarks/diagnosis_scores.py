"""What the answers of many cases come to: shares that are right, honesty, onsets, what is taken for what."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

Row = dict[str, Any]
BINS = 15
APART = 3.0  # standard deviations
BEGIN, END = "<!-- measured: begin -->", "<!-- measured: end -->"
WIDTH = 2  # wrong answers listed for each fault


def top(row: Row) -> list[str]:
    """Names of the likeliest answer; of a case that broke, none that can be right."""
    return list(row["ranking"][0][0]) if "ranking" in row else ["broke"]


def right(row: Row) -> bool:
    """Whether the likeliest answer is the true one, names and all."""
    return bool(top(row) == row["names"])


def right_in_group(row: Row) -> bool:
    """Whether the true answer is the likeliest one or is said to be like it."""
    first = top(row)
    return right(row) or any(first in g and row["names"] in g for g in row.get("alike", []))


def share(rows: Iterable[Row], of: Callable[[Row], bool]) -> float:
    """Share of the rows [-]; not a number where there are none."""
    found = [of(row) for row in rows]
    return float(np.mean(found)) if found else float("nan")


@dataclass(frozen=True, slots=True)
class Scores:
    """All figures of a run. Shares [-], times [s], memory [MB]; by_name: fault -> its line of the table."""

    cases: int
    broke: int
    accuracy: float
    accuracy_in_groups: float
    faults: int
    of_faults: float
    apart: int
    of_apart: float
    apart_share: float
    apart_groups: int
    of_apart_groups: float
    apart_groups_share: float
    healthy: int
    false_alarms: float
    outside: int
    of_outside: float
    honesty: float
    top_three: float
    of_twins: float
    onsets: int
    onset_median_s: float
    onset_within: float
    seconds_mean: float
    seconds_most: float
    peak_mb: float
    by_name: dict[str, list[str]] = field(default_factory=dict)


def scores(rows: Sequence[Row]) -> Scores:
    """Work out the figures of cases, one row each."""
    faulty = [row for row in rows if row["kind"] == "catalogue"]
    apart = [row for row in faulty if row.get("separation", 0.0) >= APART]
    groups = [row for row in faulty if row.get("separation_of_group", 0.0) >= APART]
    sound = [row for row in rows if row["kind"] == "healthy"]
    outside = [row for row in rows if row["kind"] == "outside"]
    onsets = [abs(row["onset_found_s"] - row["onset_s"]) for row in faulty if onset_observable(row)]
    seconds = [row["seconds"] for row in rows if "seconds" in row]
    return Scores(
        cases=len(rows),
        broke=sum("error" in row for row in rows),
        accuracy=share(rows, right),
        accuracy_in_groups=share(rows, right_in_group),
        faults=len(faulty),
        of_faults=share(faulty, right),
        apart=len(apart),
        of_apart=share(apart, right),
        apart_share=len(apart) / max(len(faulty), 1),
        apart_groups=len(groups),
        of_apart_groups=share(groups, right_in_group),
        apart_groups_share=len(groups) / max(len(faulty), 1),
        healthy=len(sound),
        false_alarms=share(sound, lambda row: not right(row)),
        outside=len(outside),
        of_outside=share(outside, right),
        honesty=calibration_error(rows),
        top_three=share(faulty, lambda row: row["names"] in [one[0] for one in row.get("ranking", [])[:3]]),
        of_twins=share((row for row in faulty if row.get("twin_ranking")), _right_of_twin),
        onsets=len(onsets),
        onset_median_s=float(np.median(onsets)) if onsets else float("nan"),
        onset_within=float(np.mean(np.array(onsets) <= 15.0)) if onsets else float("nan"),
        seconds_mean=float(np.mean(seconds)) if seconds else float("nan"),
        seconds_most=max(seconds, default=float("nan")),
        peak_mb=max((row.get("peak_mb", 0.0) for row in rows), default=float("nan")),
        by_name=confusion(rows),
    )


def _right_of_twin(row: Row) -> bool:
    return bool(row["twin_ranking"][0][0] == row["names"])


def onset_observable(row: Row) -> bool:
    """Whether an onset counts: in flight, of the right answer, which says when and how well it knows."""
    sd = row.get("onset_sd_s")
    known = row.get("onset_found_s") is not None and sd is not None and bool(np.isfinite(sd))
    return right(row) and row["onset_s"] is not None and known


def bins(rows: Sequence[Row], count: int = BINS) -> list[tuple[float, float, int]]:
    """Mean stated probability of the likeliest answer, share that is right, and number; equal counts."""
    answered = sorted((row for row in rows if "ranking" in row), key=lambda row: float(row["ranking"][0][1]))
    parts = np.array_split(np.arange(len(answered)), count)
    return [
        (
            float(np.mean([answered[i]["ranking"][0][1] for i in part])),
            share([answered[i] for i in part], right),
            len(part),
        )
        for part in parts
        if len(part)
    ]


def calibration_error(rows: Sequence[Row]) -> float:
    """Expected calibration error [-]: mean distance of stated and found over the bins, by their counts."""
    found = bins(rows)
    total = sum(n for _, _, n in found)
    return sum(n * abs(stated - was) for stated, was, n in found) / total if total else float("nan")


def confusion(rows: Sequence[Row]) -> dict[str, list[str]]:
    """True answer -> cases, right, those apart, right of them, and what it is taken for most often."""
    names = sorted({_said(row["names"]) for row in rows}, key=lambda name: (name == "no fault", name))
    table = {}
    for name in names:
        own = [row for row in rows if _said(row["names"]) == name]
        apart = [row for row in own if row.get("separation", 0.0) >= APART]
        wrong = Counter(_said(top(row)) for row in own if not right(row))
        taken = ", ".join(f"{other} {n}" for other, n in wrong.most_common(WIDTH))
        more = sum(wrong.values()) - sum(n for _, n in wrong.most_common(WIDTH))
        table[name] = [
            str(len(own)),
            str(sum(map(right, own))),
            str(len(apart)) if own[0]["kind"] == "catalogue" else "",
            str(sum(map(right, apart))) if own[0]["kind"] == "catalogue" else "",
            taken + (f", others {more}" if more else ""),
        ]
    return table


def _said(names: Sequence[str]) -> str:
    return " + ".join(names) or "no fault"


HEADS = ("true", "cases", "right", "3 sigma apart", "right of those", "taken for")


def lines(found: Scores) -> list[tuple[str, str, str]]:
    """What is measured, the figure, what is aimed at."""

    def percent(value: float) -> str:
        return f"{100.0 * value:.1f} %"

    return [
        ("cases", str(found.cases), ""),
        ("first answer right, all cases", percent(found.accuracy), ""),
        ("the same, answers said to be alike taken as one", percent(found.accuracy_in_groups), ""),
        (f"first answer right, {found.faults} faults of the catalogue", percent(found.of_faults), ""),
        ("true fault among the first three", percent(found.top_three), ""),
        ("first answer right of their twins, without gusts and errors", percent(found.of_twins), ""),
        ("faults 3 sigma or more from the next answer", percent(found.apart_share), ""),
        (f"first answer right, those {found.apart}", percent(found.of_apart), "95 %"),
        ("groups of answers alike 3 sigma or more from the next", percent(found.apart_groups_share), ""),
        (f"first answer in the right group, those {found.apart_groups}", percent(found.of_apart_groups), ""),
        (f"'no fault' wrongly dismissed, {found.healthy} healthy", percent(found.false_alarms), "under 1 %"),
        (f"'none fits' right, {found.outside} outside the catalogue", percent(found.of_outside), ""),
        ("expected calibration error, 15 bins", f"{found.honesty:.3f}", "under 0.05"),
        (f"onset, median error of {found.onsets}", f"{found.onset_median_s:.1f} s", "15 s"),
        ("onsets within 15 s", percent(found.onset_within), ""),
        ("seconds a case, mean / most, one core", f"{found.seconds_mean:.1f} / {found.seconds_most:.1f}", ""),
        ("memory of a process, most", f"{found.peak_mb:.0f} MB", "1 GB"),
        ("cases that broke the diagnosis", str(found.broke), "0"),
    ]


def markdown(rows: Sequence[Row], said: str) -> str:
    """The figures and the confusion table as Markdown; `said`: a sentence before them."""
    found = scores(rows)
    out = [said, "", "| measured | figure | wanted |", "|---|---|---|"]
    out += [f"| {what} | {figure} | {wanted} |" for what, figure, wanted in lines(found)]
    out += [
        "",
        "What is taken for what:",
        "",
        f"| {' | '.join(HEADS)} |",
        "|---|" + "---|" * (len(HEADS) - 1),
    ]
    out += [f"| {name} | {' | '.join(cells)} |" for name, cells in found.by_name.items()]
    out += ["", "Stated probability of the first answer and share that is right:", ""]
    out += ["| stated | right | cases |", "|---|---|---|"]
    out += [f"| {stated:.2f} | {was:.2f} | {n} |" for stated, was, n in bins(rows)]
    return "\n".join(out)


def write_between(path: Path, text: str) -> None:
    """Put `text` between the markers of a page. ValueError where it has none."""
    page = path.read_text(encoding="utf-8")
    before, found, rest = page.partition(BEGIN)
    _, ended, after = rest.partition(END)
    if not (found and ended):
        raise ValueError(f"{path} has no {BEGIN} ... {END}")
    path.write_text(f"{before}{BEGIN}\n{text}\n{END}{after}", encoding="utf-8")
