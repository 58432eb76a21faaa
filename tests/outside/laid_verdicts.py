"""What the diagnosis says of the recordings with laid faults, and how that is counted.

An answer is "named" where the laid names stand first, "alike" where what stands first and the laid names
are in one group of `Diagnosis.alike`: both are right. It is "same air" where the first one gives the same
readings by our algebra, but the diagnosis does not say so; "half" where it is one fault of a laid pair;
"missed" for no fault; "none fits" where that outweighs the first; otherwise "wrong". None of these is right.

`python tests/outside/laid_verdicts.py [WORD ...]` prints them for the cases with a word in their title.
"""

import sys
import tempfile
from collections import Counter
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from laid_cases import AIR_DATA, BEFORE, NOT_THEIRS, PAIRS, STANDBY, counts, healthy_cuts
from laid_faults import Case, laid, record, write

from ramstill import airplane
from ramstill.diagnosis import diagnose
from ramstill.errors import InputError
from ramstill.flight import recording

RIGHT = ("named", "alike")
POINTERS = ("airspeed-indicator", "altimeter")


def recorded_airplane(recorder: str) -> Any:
    """The business jet, its instruments in the order that puts what was recorded first."""
    plane = airplane.load("business-jet")
    if recorder == "standby":
        ordered = sorted(plane.instruments, key=lambda i: i.kind not in POINTERS)
        plane = plane.model_copy(update={"instruments": tuple(ordered)})
    return plane


def answer(columns: Any, plane: Any) -> Any:
    """The diagnosis of a recording with these columns, or the InputError that refuses it."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "recording.csv"
        write(columns, file)
        try:
            return diagnose(plane, recording.read(file), workers=1, progress=False)
        except InputError as error:
            return error


def verdict(names: tuple[str, ...], same: Iterable[str], found: Any) -> str:
    """How an answer on faults of these names (none: no fault) is counted."""
    if isinstance(found, InputError):
        return "refused"
    first = found.ranking[0]
    if found.none_fits > first.probability:
        return "none fits"
    if first.names == names:
        return "named"
    if not first.names:
        return "missed"
    if any(names in group.findings and first.names in group.findings for group in found.alike):
        return "alike"
    if len(first.names) == 1 == len(names) and first.names[0] in same:
        return "same air"
    if len(names) > 1 and len(first.names) == 1 and first.names[0] in {*names, *same}:
        return "half"
    return "wrong"


def of_case(case: Case) -> tuple[str, Any]:
    """Verdict and answer of a case."""
    names = tuple(sorted(fault.name for fault in case.faults))
    same = {name for fault in case.faults for name in fault.same}
    found = answer(laid(case), recorded_airplane(case.recorder))
    return verdict(names, same, found), found


def _line(title: str, said: str, found: Any, onset_s: float | None = None) -> str:
    if isinstance(found, InputError):
        return f"{title:36s} {said:9s} {found}"
    leading = [
        f"{'+'.join(f.names) or 'no fault'} {f.probability:.3f}"
        + (f" {f.places[0][0]} at {f.onset_s:.0f}+-{f.onset_sd_s:.0f}" if f.onset_s is not None else "")
        for f in found.ranking[:3]
    ]
    alike = [len(group.findings) for group in found.alike]
    return f"{title:36s} {said:9s} {'; '.join(leading)}; none fits {found.none_fits:.3f}; alike {alike}"


def main(words: list[str]) -> None:
    """Print every verdict, then how many there are of each."""
    groups = {"air data": AIR_DATA, "standby": STANDBY, "before": BEFORE, "pairs": PAIRS}
    totals: dict[str, Counter[str]] = {name: Counter() for name in groups}
    late = []
    for name, cases in groups.items():
        for case in cases:
            if words and not any(word in case.title for word in words):
                continue
            said, found = of_case(case)
            totals[name][said if counts(case) else f"{said} (small)"] += 1
            print(_line(case.title, said, found), flush=True)
            if said in RIGHT and found.ranking[0].onset_s is not None and case.faults[0].onset_s:
                late.append(abs(found.ranking[0].onset_s - case.faults[0].onset_s))
    for title, columns in healthy_cuts().items():
        if not words or any(word in f"no-fault-{title}" for word in words):
            found = answer(columns, recorded_airplane("air-data"))
            print(_line(f"no-fault-{title}", verdict((), (), found), found), flush=True)
    for name in NOT_THEIRS:
        if not words or any(word in f"of-{name}" for word in words):
            found = answer(record(), airplane.load(name))
            print(_line(f"of-{name}", verdict((), (), found), found), flush=True)
    for name, said in totals.items():
        print(f"{name}: {dict(said)}")
    if late:
        print(f"onset off by {sorted(late)[len(late) // 2]:.0f} s in the median of {len(late)}")


if __name__ == "__main__":
    main(sys.argv[1:])
