"""`ramstill diagnose`: from a recording or a reported defect to the fault behind it, and the next check."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from ramstill.cli.output import print_json, print_table, progress, wrapped
from ramstill.errors import InputError
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.diagnosis import Diagnosis
    from ramstill.diagnosis.checks import Check
    from ramstill.faults import Fault
    from ramstill.flight.recording import Recording

FOLDER = Path("ramstill-diagnosis")
FIRST = "Fly first, diagnose second."
WORTH_A_LINE = 0.01  # findings less likely than this are told together
PLACES = 2  # named of a finding
CHECKS, OUTCOMES = 3, 0.02  # told in full; outcomes less likely than this are not


def diagnose(
    airplane: str,
    log: str | None = None,
    *,
    saw: Annotated[list[str] | None, Parameter(negative="")] = None,
    then: Annotated[list[str] | None, Parameter(negative="")] = None,
    column: Annotated[list[str] | None, Parameter(negative="")] = None,
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
    out: Annotated[Path | None, Parameter(alias="-o")] = None,
) -> None:
    """Say which fault is behind a recorded flight or a reported defect, and what to check next.

    Every fault of the catalogue is simulated on the airplane and held against what is known. With neither a
    recording nor --saw it writes a page with a form for what was seen.

    Parameters
    ----------
    airplane
        A hangar name, such as low-wing-mast, or the path of an airplane file.
    log
        A recorded flight: CSV with a time and one instrument or more, the unit in each header, as in
        time_s,ias_kt,altitude_ft.
    saw
        What was seen, as in --saw "climb: altimeter frozen, vsi zero, airspeed falling". May be given again.
    then
        How a check turned out, as in --then "alternate open: altimeter jumps 60 ft". May be given again, in
        the order in which the checks were made.
    column
        Which header of the recording stands for which of our names, as in --column ias_kt=IAS. May be given
        again.
    as_json
        Print JSON alone.
    out
        Folder for the page. It is written whole or not at all, and replaced only if this program wrote it.
        Without it there is a page only for the form, in ramstill-diagnosis.
    """
    from ramstill import airplane as airplanes
    from ramstill.run import check_replaceable

    saw, then, column = saw or [], then or [], column or []
    _fit_together(log, saw, then, column)
    if log is None and not saw and out is None:
        out = FOLDER
    if out is not None:
        check_replaceable(out)
    plane: Airplane = airplanes.load(airplane)
    if log is None and not saw:
        page = _write(plane, None, (), out)
        if as_json:
            print_json({"airplane": plane.name, "invented_example": plane.invented, "page": str(page)})
        else:
            print(wrapped(f"{FIRST} {_hold(plane)}"), end="\n\n")
            print(SAFETY)
            print(page)
        return
    found, start_s = _ask(plane, log, saw, column)
    carry_on(found, start_s, then, out, as_json)


def _fit_together(log: str | None, saw: Sequence[str], then: Sequence[str], column: Sequence[str]) -> None:
    """Refuse options that say nothing together."""
    if log is not None and saw:
        raise InputError(
            "diagnose",
            "--saw",
            f"{saw[0]!r} beside the recording {log}",
            "one of them, as the words may tell of what the recording holds already; what a check showed is "
            "told by --then",
        )
    if then and log is None and not saw:
        raise InputError("diagnose", "--then", then[0], "an outcome only after a recording or --saw")
    if column and log is None:
        raise InputError("diagnose", "--column", column[0], "a column only of a recording")


def _columns(given: Sequence[str]) -> dict[str, str]:
    """Our name -> header of the file."""
    columns: dict[str, str] = {}
    for one in given:
        ours, equals, header = (part.strip() for part in one.partition("="))
        if not equals or not ours or not header:
            raise InputError("diagnose", "--column", f'"{one}"', "OUR_NAME=HEADER, as in ias_kt=IAS")
        if ours in columns:
            raise InputError("diagnose", "--column", f'"{one}"', f"one header for {ours}")
        columns[ours] = header
    return columns


def _ask(
    plane: "Airplane", log: str | None, saw: Sequence[str], column: Sequence[str]
) -> "tuple[Diagnosis, float | None]":
    """The diagnosis, and when its recording begins."""
    from ramstill import diagnosis
    from ramstill.diagnosis import soundness
    from ramstill.flight import recording

    if log is None:
        return diagnosis.diagnose_reported(plane, saw), None
    record: Recording = recording.read(log, _columns(column))
    notes = soundness.check(plane, record)
    found: Diagnosis = diagnosis.diagnose(plane, record)
    return replace(found, notes=(*notes, *found.notes)), float(record.time_s[0])


def carry_on(
    found: "Diagnosis", start_s: float | None, then: Sequence[str], out: Path | None, as_json: bool
) -> None:
    """Take account of what was checked, work out the next checks, and tell it all."""
    from ramstill.diagnosis import as_json as figures
    from ramstill.diagnosis.checks import next_checks, take_outcome

    with progress("Working out what each check would show"):
        for outcome in then:
            found = take_outcome(found, outcome)
        checks = next_checks(found)
    page = _write(found.airplane, found, checks, out) if out is not None else None
    if as_json:
        print_json(figures.as_json(found, checks, start_s) | {"page": str(page) if page else None})
        return
    _print(found, checks, start_s)
    if page is not None:
        print(page)


def _write(plane: "Airplane", found: "Diagnosis | None", checks: "Sequence[Check]", out: Path | None) -> Path:
    """Write the page; one of a reported defect has the form for another, and so what each fault shows."""
    from ramstill.diagnosis.behaviours import behaviour_table
    from ramstill.report import write_diagnosis

    table = behaviour_table(plane) if found is None or found.evidence is None else None
    page: Path = write_diagnosis(found, checks, table, out or FOLDER, airplane=plane)
    return page


def _hold(plane: "Airplane") -> str:
    from ramstill.report.diagnosis_words import fly_first

    return fly_first(plane)


def _print(found: "Diagnosis", checks: "Sequence[Check]", start_s: float | None) -> None:
    from ramstill.report import diagnosis_words as words

    print(wrapped(f"{FIRST} {_hold(found.airplane)}"), end="\n\n")
    print(wrapped(f"{'Reported' if start_s is None else 'Recording'}: {found.asked}", indent="  "))
    for told in found.checked:
        print(wrapped(f"Checked: {told}", indent="  "))
    print(wrapped(words.answer(found)), end="\n\n")
    _print_ranking(found, start_s)
    _print_alike(found)
    _print_checks(checks)
    for note in found.notes:
        print(wrapped(note, indent="  "))
    if found.notes:
        print()
    if found.airplane.invented:
        print(wrapped("The airplane is an invented example and not yours."))
    print(wrapped(f"{words.GOVERNS} {SAFETY}"))


def _print_ranking(found: "Diagnosis", start_s: float | None) -> None:
    from ramstill.report import diagnosis_words as words

    rows, few, silent = [], 0.0, words.unseen(found)
    if silent:
        rows.append((sum(f.probability for f in silent), words.unseen_words(silent), "", "", ""))
    for finding in found.ranking:
        if finding in silent:
            continue
        noise = finding.probability <= found.none_fits and found.none_fits >= 0.5
        if finding.faults and (noise or finding.probability < WORTH_A_LINE):
            few += finding.probability
            continue
        places = [where for where, share in finding.places if share >= WORTH_A_LINE] if finding.faults else []
        rows.append(
            (
                finding.probability,
                " + ".join(finding.names) or words.NO_FAULT,
                words.onset(finding, start_s),
                _how_bad(finding.faults),
                _where(places),
            )
        )
    rows.append((found.none_fits, words.NONE_FITS, "", "", ""))
    rows.sort(key=lambda row: -row[0])
    if few:
        rows.append((few, "all others together", "", "", ""))
    headings = ["", "what", "how bad (likeliest)", "where (the likeliest first)"]
    cells = [[words.percent(row[0]), row[1], row[3], row[4]] for row in rows]
    if start_s is not None:
        headings.insert(2, "set in (± two standard deviations)")
        for cell, row in zip(cells, rows, strict=True):
            cell.insert(2, row[2])
    print_table("What it may be", headings, cells)


def _where(places: "Sequence[tuple[str | None, ...]]") -> str:
    """The likeliest places, and how many more there are."""
    from ramstill.report.diagnosis_words import where_words

    named = ", ".join(where_words(where) for where in places[:PLACES])
    return named + (f" and {len(places) - PLACES} more" if len(places) > PLACES else "")


def _how_bad(faults: "Sequence[Fault]") -> str:
    """Size and severity of each fault; `ramstill faults NAME` says what they mean."""
    from ramstill.faults import catalogue

    said = []
    for fault in faults:
        entry = catalogue()[fault.name]
        size = (fault.size or entry.size.usual) if entry.size is not None else None
        share = None if entry.whole else f"severity {fault.severity:.2g}"
        said.append(", ".join(part for part in (size, share) if part))
    return " / ".join(one for one in said if one)


def _print_alike(found: "Diagnosis") -> None:
    if not found.alike:
        return
    silent = [one for one in found.alike if () in one.findings]
    if len(silent) == len(found.alike):
        return  # said above
    print("What this cannot tell apart:")
    for one in found.alike:
        if one in silent:
            continue
        names = "; ".join(" + ".join(names) or "no fault" for names in one.findings)
        print(wrapped(f"  {names}. {one.why}", indent="    "))
    print()


def _print_checks(checks: "Sequence[Check]") -> None:
    from ramstill.report.diagnosis_words import percent

    if not checks:
        return
    print("What to check next, the most told for its cost first:")
    for number, check in enumerate(checks[:CHECKS], 1):
        cost = (
            f"{check.minutes:.0f} min, {check.bits:.2f} bit" if check.outcomes else f"{check.minutes:.0f} min"
        )
        print(wrapped(f"  {number}. {check.title} ({check.where}; {cost}). {check.how}", indent="     "))
        print(wrapped(f"     {check.cautions}", indent="     "))
        for one in check.outcomes:
            if one.probability >= OUTCOMES:
                line = f'       --then "{check.key}: {one.text}" ({percent(one.probability)}): {one.meaning}'
                print(wrapped(line, indent="         "))
    print()
