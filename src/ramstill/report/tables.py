"""The tables beside the pictures: what a picture shows, for whoever reads rather than looks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ramstill.pictures import columns
from ramstill.pictures.ledger import signed
from ramstill.pictures.of_airplane import plumbing_of
from ramstill.pictures.of_run import readings_at
from ramstill.pictures.of_walls import RAM, heights_at
from ramstill.pictures.scales import clock, spoken, thinned

if TYPE_CHECKING:
    from ramstill.pictures.columns import Wall
    from ramstill.pictures.of_accounts import Kept
    from ramstill.run import Run


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of words under `heads`; the first cell of a row heads it."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def of_wall(run: Run, banks: Sequence[Wall]) -> Table:
    """Height of every column at every moment."""
    moments = run.moments()
    there = list({c.name: c for bank in banks for c in bank.columns}.values())
    names = [c.name for c in there]
    heights = [heights_at(run, m.at_s, names) for m in moments]
    rows = []
    for column in there:
        label = f"{column.tag}  {column.label}" if column.tag else columns.full_label(column)
        if len(banks) > 1 and column.name.startswith(RAM):
            label = column.name.removeprefix(f"{RAM}.").replace("-", " ")
        cells = []
        for moment, at in zip(moments, heights, strict=True):
            trap = columns.trapped_at(column, moment.at_s)
            note = f", trapped since {clock(trap.since_s)}" if trap else ""
            cells.append(f"{spoken(columns.inches_of_water(at[column.name]), 1)}{note}")
        rows.append((label, columns.AIR_WORDS[column.air], *cells))
    return Table(
        "Height of each column [inches of water above the still air outside]",
        ("Column", "Air", *(clock(m.at_s) for m in moments)),
        tuple(rows),
    )


def of_ledgers(run: Run, ledgers: Sequence[Kept]) -> Table:
    """What each part puts into what each pointer shows, moment by moment."""
    moments = run.moments()
    at = [run.index(moment.at_s) for moment in moments]
    rows = []
    for kept in ledgers:
        amounts = [kept.at(row) for row in at]
        for i, entry in enumerate(kept.sheet.entries):
            cells = (signed(kept.sheet, there[i]) for there in amounts)
            rows.append((f"{kept.sheet.title}: {entry.title}", kept.sheet.unit, *cells))
        together = (signed(kept.sheet, sum(there)) for there in amounts)
        rows.append((f"{kept.sheet.title}: together", kept.sheet.unit, *together))
    heads = ("Part", "Unit", *(clock(moment.at_s) for moment in moments))
    return Table("What each part puts into what each pointer shows", heads, tuple(rows))


def of_moments(run: Run) -> Table:
    """What every instrument shows and what is true, moment by moment."""
    rows = []
    for moment in run.moments():
        reads = readings_at(run, moment.at_s)
        cells = (f"{r.shown} (true {r.true})" for r in reads.values())
        rows.append((clock(moment.at_s), f"{moment.title}, {moment.why}", *cells))
    heads = (i.title.capitalize() for i in run.panel)
    return Table("What each instrument shows at these moments", ("Time", "What happens", *heads), tuple(rows))


def of_time(run: Run, most: int = 25) -> Table:
    """What every instrument shows and what is true, at even times."""
    rows = []
    for index in thinned(len(run.time_s), most):
        at = float(run.time_s[index])
        cells = [part for r in readings_at(run, at).values() for part in (r.shown, r.true)]
        rows.append((clock(at), *cells))
    heads = []
    for pointer in run.panel:
        heads += [f"{pointer.title.capitalize()} shows", "true"]
    return Table("Pointers and truth at even times", ("Time", *heads), tuple(rows))


def of_map(run: Run) -> Table:
    """Every part with its place."""
    plane, titles = run.airplane, {}
    for part in (*plane.openings, *plane.fittings, *plane.valves, *plane.instruments):
        titles[part.name.replace("-", " ")] = str(part.title or "")
    rows = []
    for spot in plumbing_of(plane).spots:
        x, y, z = spot.at
        side = "right" if y > 0 else "left"
        across = "on the centre line" if abs(y) < 0.005 else f"{abs(y):.2f} m {side}"
        place = f"{x:.2f} m aft of the nose, {across}, {z:.2f} m up"
        rows.append((spot.tag, spot.label, titles.get(spot.label, ""), spot.kind, place))
    return Table("The parts on the map", ("Letter", "Part", "What it is", "Kind", "Where"), tuple(rows))
