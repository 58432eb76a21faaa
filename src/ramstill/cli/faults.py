"""`ramstill faults`: the catalogue of faults, or what one of them does and where it can be."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from ramstill.cli.output import print_json, print_table

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.faults import Entry


def faults(
    airplane: str | None = None,
    name: str | None = None,
    *,
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
) -> None:
    """List the faults, or say what one does.

    With an airplane, only those that it can have, and where.

    Parameters
    ----------
    airplane
        A hangar name, such as low-wing-mast, or the path of an airplane file.
    name
        One fault, such as static-ports-blocked, in full.
    as_json
        Print JSON alone.
    """
    from ramstill.faults import catalogue
    from ramstill.faults.fault import choose

    entries: Mapping[str, Entry] = catalogue()
    if airplane in entries and name is None:  # "ramstill faults static-ports-blocked"
        airplane, name = None, airplane
    plane = _load(airplane) if airplane is not None else None
    if name is not None:
        wanted = {name: entries[choose(name, entries, "faults", "name", "one of")]}
    else:
        wanted = {n: e for n, e in entries.items() if plane is None or e.places(plane)}
    records = [_record(entry, plane) for entry in wanted.values()]
    if as_json:
        data = {"airplane": plane.name, "faults": records} if plane is not None else {"faults": records}
        print_json(data)
    elif name is not None:
        _print_one(records[0], plane)
    else:
        _print_all(records, plane)


def _load(airplane: str) -> "Airplane":
    from ramstill import airplane as airplanes

    plane: Airplane = airplanes.load(airplane)
    return plane


def _record(entry: "Entry", plane: "Airplane | None") -> dict[str, Any]:
    record: dict[str, Any] = {
        "name": entry.name,
        "title": entry.title,
        "sentence": entry.sentence,
        "where": entry.place_meaning,
        "severity": entry.severity_meaning,
        "comes": entry.comes,
        "size": None,
    }
    if entry.size is not None:
        record["size"] = {"meaning": entry.size.meaning, "usual": entry.size.usual}
    if plane is not None:
        record["places"] = entry.places(plane)
    return record


def _print_all(records: list[dict[str, Any]], plane: "Airplane | None") -> None:
    if plane is None:
        rows = [(r["name"], r["sentence"], r["where"]) for r in records]
        print_table("Faults", ("name", "what it is", "where it can be"), rows)
        return
    rows = [(r["name"], r["title"], ", ".join(r["places"])) for r in records]
    print_table(
        f"Faults that {plane.name} can have", ("name", "what it is", "where (the usual place first)"), rows
    )


def _print_one(record: dict[str, Any], plane: "Airplane | None") -> None:
    size = record["size"]
    rows = [
        ("what it is", record["sentence"]),
        ("severity", record["severity"]),
        ("comes", record["comes"]),
        ("size", f"{size['meaning']}; usually {size['usual']}" if size else "has none"),
        ("where it can be", record["where"]),
    ]
    if plane is not None:
        there = ", ".join(record["places"]) or f"not on this airplane: it has no {record['where']} for it"
        rows.append((f"on {plane.name}", there))
    print_table(f"{record['title']} ({record['name']})", ("", ""), rows)
