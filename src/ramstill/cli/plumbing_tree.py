"""The plumbing of one airplane as a tree of text, from its openings to its instruments."""

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rich.tree import Tree

    from ramstill.airplane import Airplane


def print_tree(plane: "Airplane") -> None:
    """Print it on stdout."""
    import sys

    from rich.console import Console

    console = Console(file=sys.stdout, highlight=False, markup=False, emoji=False)
    if not console.is_terminal:
        console.width = 200
    for tree in trees(plane):
        console.print(tree)
        console.print()


def trees(plane: "Airplane") -> "list[Tree]":
    """One tree for each part of the plumbing that hangs together, inlets' parts first.

    Each starts at one opening; whatever else leads into a fitting is named there. A way that comes back to a
    fitting already drawn says so and ends.
    """
    drawn: set[str] = set()
    roots = sorted(
        plane.openings, key=lambda opening: (opening.sees != "ram", opening.kind == "static-drain")
    )
    found = []
    for opening in roots:
        if opening.into not in drawn:
            found.append(_from(plane, opening.into, drawn))
    return found


def _from(plane: "Airplane", start: str, drawn: set[str]) -> "Tree":
    from rich.tree import Tree

    serves = {end: line.serves for line in plane.lines for end in (line.start, line.end)}
    airs = {"pitot": "Ram air", "static": "Still air", "total-energy": "Total-energy air"}
    air = airs.get(serves.get(start, ""), "Air")
    root = Tree(f"{air}, from {_openings(plane, start)}")
    _grow(plane, root, start, "", drawn)
    return root


def _grow(plane: "Airplane", tree: "Tree", place: str, came_by: str, drawn: set[str]) -> None:
    if place in drawn:
        tree.add(f"joins {place}")
        return
    drawn.add(place)
    node = tree.add(_label(plane, place, came_by != ""))
    for link, other in plane.neighbours[place]:
        if link == came_by:
            continue
        if other in drawn:
            node.add(f"{_link(plane, link)} back to {other}")
        else:
            _grow(plane, node.add(_link(plane, link)), other, link, drawn)


def _label(plane: "Airplane", place: str, with_openings: bool) -> str:
    label = place
    if with_openings and (openings := _openings(plane, place)):
        label += f", open to {openings}"
    return label


def _openings(plane: "Airplane", fitting: str) -> str:
    return " and ".join(
        f"{one.name} ({one.count} x {mm(one.bore)})" if one.count > 1 else f"{one.name} ({mm(one.bore)})"
        for one in plane.openings
        if one.into == fitting
    )


def mm(length_m: float) -> str:
    """A small length in words."""
    return f"{length_m * 1e3:.1f} mm"


def _link(plane: "Airplane", name: str) -> str:
    for line in plane.lines:
        if line.name == name:
            return f"line {name}: {line.length_m:.2f} m of {mm(line.bore)}"
    for valve in plane.valves:
        if valve.name == name:
            return f"valve {name}: normally {valve.normally}"
    return "calibrated leak"
