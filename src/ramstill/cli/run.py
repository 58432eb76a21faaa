"""`ramstill run`: a scenario file worked out, its page and its CSV written, its account printed."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from ramstill.cli.output import print_json, print_table, progress, wrapped

if TYPE_CHECKING:
    from ramstill.run import Account, Run


def run(
    scenario: str,
    *,
    out: Annotated[Path, Parameter(alias="-o")] = Path("ramstill-run"),
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
) -> None:
    """Fly, pump or replay one airplane with the faults of a scenario file.

    Writes a page that opens without a network and a CSV of everything, prints what the pointers showed and
    why, and the path of the page last.

    Parameters
    ----------
    scenario
        A scenario file, or the name of one that comes with the program.
    out
        Folder for the page and the CSV. It is written whole or not at all, and replaced only if this
        program wrote it.
    as_json
        Print the figures as JSON alone.
    """
    carry_out(scenario, out, as_json)


def carry_out(scenario: str, out: Path, as_json: bool) -> None:
    """Read a scenario, work it out, write its folder and print its summary."""
    from ramstill.report import TABLE, write
    from ramstill.run import check_replaceable, load_scenario

    check_replaceable(out)
    loaded = load_scenario(scenario)
    with progress(f"Working out {loaded.title}"):
        done = loaded.run()
    with progress("Writing the page"):
        page = write(done, out)
    if as_json:
        print_json(summary(done) | {"page": str(page), "csv": str(page.with_name(TABLE))})
    else:
        _print(done)
        print(page)


def summary(run: "Run") -> dict[str, Any]:
    """The figures of a run for other programs, SI and trade units in the names."""
    from ramstill.run.kinds import kind_of

    columns = run.columns()
    shown = [name for name in columns if not name.startswith(("p_", "outside_"))]
    moments = [
        {"at_s": m.at_s, "title": m.title, "why": m.why}
        | {name: float(columns[name][run.index(m.at_s)]) for name in shown}
        for m in run.moments()
    ]
    words = [
        {"about": p.about, "subject": p.subject, "at_s": p.at_s, "title": p.title, "text": p.text}
        for p in run.words()
    ]
    accounts = [
        {"at_s": account.at_s, "instrument": account.instrument, "unit": account.unit.unit}
        | _figures(account)
        for moment in run.accounts([m.at_s for m in run.moments()])
        for account in moment
    ]
    too_quick = [
        {"pointer": q.pointer, "at_s": q.at_s, "until_s": q.until_s, "cause": q.cause}
        | {f"real_less_shown_{kind.suffix}": round(q.off_si / kind.size, 1)}
        for q in run.too_quick()
        for kind in (kind_of(run.pointer(q.pointer)),)
    ]
    return {
        "title": run.title,
        "note": run.note,
        "airplane": run.airplane.name,
        "invented_example": run.airplane.invented,
        "start_s": float(run.time_s[0]),
        "end_s": float(run.time_s[-1]),
        "samples": len(run.time_s),
        "moments": moments,
        "accounts": accounts,
        "account": words,
        "too_quick": too_quick,
    }


def _figures(account: "Account") -> dict[str, Any]:
    """An account in its unit; a reading that shows nothing is null, and has no parts."""
    size, suffix = account.unit.size, account.unit.suffix
    indicated = None if account.blank else account.indicated_si / size
    parts = [
        {
            "name": part.name,
            "kind": part.kind,
            "title": part.title,
            "onset_s": part.onset_s,
            suffix: part.value_si / size,
            f"standard_error_{suffix}": part.standard_error_si / size,
        }
        for part in account.parts
    ]
    return {f"indicated_{suffix}": indicated, f"true_{suffix}": account.true_si / size, "parts": parts}


def _print(run: "Run") -> None:
    from ramstill.run import phrases as say
    from ramstill.run.accounted import astray, in_a_line
    from ramstill.run.kinds import kind_of

    if run.note:
        print(wrapped(run.note), end="\n\n")
    headings = ["Time", "Moment"]
    headings += [f"{i.name} [{kind_of(i).unit}]" for i in run.panel]
    rows = []
    for moment in run.moments():
        at, row = run.index(moment.at_s), [say.clock(moment.at_s), moment.title]
        for instrument in run.panel:
            size = kind_of(instrument).size
            shown, true = run.pointers[instrument.name][at], run.true(instrument.name)[at]
            row.append(" | ".join(say.number(float(v) / size, 1) for v in (shown, true)))
        rows.append(row)
    print_table(f"{run.title}: shown | true", headings, rows)
    lines = []
    for accounts in run.accounts([moment.at_s for moment in run.moments()]):
        when = say.clock(accounts[0].at_s).rjust(12)
        lines += [f"{when}   {in_a_line(account)}" for account in accounts if astray(account)]
    if lines:
        print("Why, where a pointer is astray:")
        print("\n".join(wrapped(line, indent=" " * 17) for line in lines), end="\n\n")
    for paragraph in run.words():
        if lines and paragraph.about == "worst":
            continue  # the moments at which pointers are furthest off stand above
        print(wrapped(f"{paragraph.title}: {paragraph.text}", indent="  "), end="\n\n")
