"""docs/next-check.md against the program: every check, every chance, every word; its example runs."""

import re
from pathlib import Path

from ramstill import airplane
from ramstill.diagnosis.answer import Candidate, Diagnosis, Situation, ranked
from ramstill.diagnosis.checks import by_eye, in_the_shop, on_the_ground, ranking, telling, trial
from ramstill.diagnosis.checks import take_outcome as take
from ramstill.diagnosis.checks.laboratory import Laboratory
from ramstill.diagnosis.checks.ways import ways
from ramstill.diagnosis.checks.witness import BEHAVIOURS, SLIP

PAGE = (Path(__file__).parents[2] / "docs" / "next-check.md").read_text(encoding="utf-8")
FLOWING = " ".join(PAGE.split())


def sound(name: str, airborne: bool) -> Diagnosis:
    """A diagnosis of no fault."""
    only = (Candidate((), 0.9),)
    situation = Situation(airborne, 50.0 if airborne else 0.0, 600.0)
    return Diagnosis(airplane.load(name), "", only, ranked(only), 0.1, (), situation)


def rows(heading: str) -> list[list[str]]:
    """The cells of the table under a line of headings."""
    after = PAGE.split(heading, 1)[1].split("\n\n", 1)[0]
    return [[cell.strip() for cell in line.strip("|").split(" | ")] for line in after.splitlines()[2:]]


def test_every_check_has_its_row_and_no_other() -> None:
    expected = set()
    for name in airplane.hangar():
        for airborne in (True, False):
            found = sound(name, airborne)
            for one in ranking.trials(Laboratory(found, ways(found, 1.0, 1))):
                bench = one.key.startswith("bench-")
                landing = on_the_ground.LANDING_MIN if airborne and one.where == "on the ground" else 0.0
                expected.add(
                    (
                        "`bench-INSTRUMENT`" if bench else f"`{one.key}`",
                        "The instrument to the bench" if bench else one.title,
                        one.where,
                        f"{one.minutes - landing:g}",
                        f"{100.0 * one.risk:.3g} %",
                    )
                )
    assert {tuple(row[:5]) for row in rows("| key | check |")} == expected


def test_every_chance_of_finding_is_that_of_the_program() -> None:
    tables = {"openings": by_eye.OPENINGS, "panel": by_eye.PANEL, "lines": by_eye.LINES}
    told = {(row[0], row[1].strip("`")): row[3] for row in rows("| where | fault |") if row[0] in tables}
    assert told == {
        (where, name): f"{100.0 * chance:g} %"
        for where, table in tables.items()
        for name, (_, chance) in table.items()
    }
    for chance in (by_eye.DRAINED, by_eye.DRAINED_ELSEWHERE, by_eye.COLD, by_eye.INSTRUMENT_FAILS):
        assert f"| {100.0 * chance:g} % |" in PAGE


def test_the_words_are_those_of_the_program() -> None:
    told = {row[0]: tuple(row[1].split(", ")) for row in rows("| meaning | words |")}
    assert told == BEHAVIOURS


def test_the_figures_are_those_of_the_program() -> None:
    for words in (
        f"{on_the_ground.LANDING_MIN:.0f} minutes more",
        f"likelier than {ranking.STANDS:g}",
        f"expected to tell {ranking.LITTLE_BIT:g} bit",
        f"{ranking.MOST} at most",
        f"`take_outcome` takes {telling.MOST}",
        f"wrong in {100.0 * SLIP:.0f} of 100",
        {0.2: "in one case of five"}[trial.SHOWS],
        f"limits {in_the_shop.STATIC_LIMIT_FT:g} ft and {in_the_shop.PITOT_LIMIT_KT:g} kt",
        f"within {on_the_ground.FIELD_FT:g} ft",
    ):
        assert words in FLOWING, words
    assert ranking.RISK_MIN == 10_000.0


def test_what_it_says_may_be_told_is_understood() -> None:
    found = sound("high-wing-tube", True)
    told = PAGE.split("```\nalternate open", 1)[1].split("```", 1)[0]
    for line in f"alternate open{told}".strip().splitlines():
        assert take(found, line).checked == (line,)


def test_its_example_runs() -> None:
    code = re.search(r"```python\n(.+?)```", PAGE, re.DOTALL)
    assert code is not None
    exec(compile(code[1], "next-check.md", "exec"), {})
