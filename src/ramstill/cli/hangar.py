"""`ramstill hangar`: the airplanes there are, and what one of them is made of and how late it is."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from ramstill.cli.output import print_json, print_table, progress, wrapped
from ramstill.errors import InputError
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.airplane import Airplane, Opening
    from ramstill.airplane.element import Element

INVENTED = "An invented example: no type, no maker and no real dimensions stand behind it."
OWN_FILE = "To describe your own airplane copy one of these files: docs/airplane-files.md."


def hangar(
    name: str | None = None,
    *,
    as_json: Annotated[bool, Parameter(name="--json", negative="")] = False,
    climb: Annotated[str, Parameter(allow_leading_hyphen=True)] = "1000 ft/min",
    altitude: Annotated[str, Parameter(allow_leading_hyphen=True)] = "5000 ft",
    svg: Annotated[Path | None, Parameter(name="--map")] = None,
    card: Annotated[Path | None, Parameter(name="--card")] = None,
) -> None:
    """List the airplanes, or say what one is made of and how late its instruments are.

    With a name: its plumbing as a tree, its openings, lines, fittings, valves and instruments, the air in
    them, how well each figure is known, the lag of each instrument at a climb, and its book figures beside
    what its flight model gives.

    Parameters
    ----------
    name
        A hangar name, such as low-wing-mast, or the path of an airplane file.
    as_json
        Print JSON alone.
    climb
        Steady climb for which the lag is given in feet and knots; the airplane's climb speed goes with it.
    altitude
        Pressure altitude at which it climbs, on the standard day.
    svg
        Also draw the line map into this SVG file.
    card
        Also write the card of what the pilot should do: as page and PDF into this folder, or as the one that
        a name ending in .html or .pdf asks for.
    """
    from ramstill import airplane as airplanes

    if name is None:
        for option, path in (("--map", svg), ("--card", card)):
            if path is not None:
                raise InputError("hangar", option, str(path), "a file only together with an airplane's name")
        _list([airplanes.load(one) for one in airplanes.hangar()], as_json)
        return
    from ramstill.cli.lateness import late
    from ramstill.cli.plumbing_tree import print_tree
    from ramstill.run import good_up_to_hz, limits_in_words

    plane: Airplane = airplanes.load(name)
    lag = late(plane, climb, altitude)
    written = _write(plane, svg, card)
    if as_json:
        files = {"map": str(svg) if svg else None, "card": [str(path) for path in written if path != svg]}
        more = {"book": _book(plane), "lag": lag} | files
        print_json(_record(plane) | more | {"good_up_to_hz": good_up_to_hz(plane)})
        return
    print(f"{plane.title} ({plane.name})")
    print(INVENTED if plane.invented else "Figures as the file states them.")
    if plane.note:
        print("\n" + plane.note.strip())
    print()
    print_tree(plane)
    _print_parts(plane)
    _print_cabin(plane)
    _print_basis(plane)
    _print_lag(lag)
    _print_book(plane)
    print(wrapped(limits_in_words(plane)), end="\n\n")
    print(SAFETY)
    for path in written:
        print(path)


def _list(planes: "list[Airplane]", as_json: bool) -> None:
    from ramstill.run import good_up_to_hz

    rows = [
        {"name": p.name, "title": p.title, "invented_example": p.invented, "note": " ".join(p.note.split())}
        | {"good_up_to_hz": good_up_to_hz(p)}
        for p in planes
    ]
    if as_json:
        print_json({"airplanes": rows})
        return
    print_table(
        "Hangar",
        ("name", "what it is", "pressures good up to [Hz]"),
        [(row["name"], row["title"], _sides(row["good_up_to_hz"])) for row in rows],
    )
    if all(plane.invented for plane in planes):
        print("All of them are invented examples; no real dimensions stand behind them.")
    print(OWN_FILE)


def _sides(limits: dict[str, float]) -> str:
    return ", ".join(f"{side} {limit:.2g}" for side, limit in limits.items())


def _write(plane: "Airplane", svg: Path | None, card: Path | None) -> list[Path]:
    """Write what is asked for, each whole or not at all; return the paths."""
    written: list[Path] = []
    if svg is not None:
        from ramstill.pictures import line_map, standalone
        from ramstill.run import whole_file

        whole_file(svg, standalone(line_map(plane)).encode(), "--map")
        written.append(svg)
    if card is not None:
        from ramstill.report import write_card

        with progress("working out the card"):
            written += write_card(plane, card)
    return written


def _record(plane: "Airplane") -> dict[str, Any]:
    lines = [
        {
            "name": line.name,
            "title": line.title,
            "from": line.start,
            "to": line.end,
            "serves": line.serves,
            "through": line.through,
            "material": line.material,
            "length_m": line.length_m,
            "bore_m": float(line.bore),
            "slope": line.slope,
            "low_point_m": line.low_point,
            "volume_m3": line.volume_m3,
            "known": _known(line),
        }
        for line in plane.lines
    ]
    openings = [
        {
            "name": one.name,
            "title": one.title,
            "kind": one.kind,
            "into": one.into,
            "at_m": [float(part) for part in one.at],
            "bore_m": float(one.bore),
            "depth_m": float(one.depth),
            "count": one.count,
            "sees": one.sees,
            "heated": one.heated,
            "heater_power_w": None if one.heater_power is None else float(one.heater_power),
            "probe_diameter_m": None if one.probe_diameter is None else float(one.probe_diameter),
            "known": _known(one),
        }
        for one in plane.openings
    ]
    fittings = [
        {"name": one.name, "title": one.title, "kind": one.kind, "at_m": [float(part) for part in one.at]}
        | {"volume_m3": float(one.volume), "known": _known(one)}
        for one in plane.fittings
    ]
    valves = [
        {"name": one.name, "title": one.title, "from": one.start, "to": one.end, "bore_m": float(one.bore)}
        | {"normally": one.normally, "opposite": one.opposite, "known": _known(one)}
        for one in plane.valves
    ]
    instruments = [
        {"name": one.name, "title": one.title, "kind": one.kind, "ports": one.ports}
        | {"readings": one.readings, "volumes_m3": one.volumes, "known": _known(one)}
        for one in plane.instruments
    ]
    return {
        "name": plane.name,
        "title": plane.title,
        "invented_example": plane.invented,
        "note": " ".join(plane.note.split()),
        "openings": openings,
        "fittings": fittings,
        "lines": lines,
        "valves": valves,
        "instruments": instruments,
        "volumes_m3": plane.volumes,
        "pressurisation": _pressurisation(plane),
        "basis": _basis(plane),
        "safety": SAFETY,
    }


def _pressurisation(plane: "Airplane") -> dict[str, Any] | None:
    cabin = plane.inside.pressurisation
    if cabin is None:
        return None
    return {
        "airplane_altitude_m": [float(altitude) for altitude in cabin.airplane_altitude],
        "cabin_altitude_m": [float(altitude) for altitude in cabin.cabin_altitude],
        "maximum_differential_pa": float(cabin.maximum_differential),
        "known": _known(cabin),
    }


def _known(element: "Element") -> str:
    """How the figures of one part are known: "assumed", or "bore common practice, else assumed"."""
    from ramstill.airplane.description import figures_in

    found: dict[str, set[str]] = {}
    for where, figure in figures_in("", element):
        found.setdefault(figure.basis, set()).add(where.removeprefix(": ").split(".")[0].split(":")[0])
    most = max(found, key=lambda basis: len(found[basis]), default="assumed")
    others = [f"{', '.join(sorted(keys))} {basis}" for basis, keys in found.items() if basis != most]
    return "; ".join([*others, f"else {most}"]) if others else most


def _basis(plane: "Airplane") -> dict[str, dict[str, int]]:
    """For each part of the file: how many figures have which basis."""
    from ramstill.airplane import BASES

    counts: dict[str, dict[str, int]] = {}
    for where, figure in plane.figures():
        part = where.split(" ")[0].split(".")[0].split(":")[0]
        counts.setdefault(part, dict.fromkeys(BASES, 0))[figure.basis] += 1
    return counts


def _print_parts(plane: "Airplane") -> None:
    def mm(length: float) -> str:
        return f"{length * 1e3:.1f}"

    def cm3(volume: float) -> str:
        return f"{volume * 1e6:.1f}"

    rows: list[tuple[str, ...]] = [
        (
            o.name,
            o.kind,
            o.sees,
            f"{o.count} x {mm(o.bore)}" if o.count > 1 else mm(o.bore),
            _heater(o),
            o.into,
            _known(o),
        )
        for o in plane.openings
    ]
    print_table("Openings", ("name", "kind", "sees", "bore [mm]", "heated", "into", "figures"), rows)
    rows = [
        (
            line.name,
            line.start,
            line.end,
            line.serves,
            f"{line.length_m:.2f}",
            mm(line.bore),
            f"{100 * line.slope:+.0f}",
            cm3(line.volume_m3),
            line.through,
            _known(line),
        )
        for line in plane.lines
    ]
    print_table(
        "Lines (slope: rise from start to end, per level distance)",
        (
            "name",
            "from",
            "to",
            "serves",
            "length [m]",
            "bore [mm]",
            "slope [%]",
            "air [cm³]",
            "through",
            "figures",
        ),
        rows,
    )
    print_table(
        "Fittings",
        ("name", "kind", "air [cm³]", "figures"),
        [(one.name, one.kind, cm3(one.volume), _known(one)) for one in plane.fittings],
    )
    if plane.valves:
        print_table(
            "Valves",
            ("name", "between", "and", "bore [mm]", "normally", "moves with", "figures"),
            [
                (v.name, v.start, v.end, mm(v.bore), v.normally, v.opposite or "nothing", _known(v))
                for v in plane.valves
            ],
        )
    print_table(
        "Instruments",
        ("name", "kind", "tapping", "air [cm³]", "figures"),
        [
            (i.name, i.kind, tapping, cm3(volume), _known(i))
            for i in plane.instruments
            for tapping, volume in i.volumes.items()
        ],
    )
    volumes = plane.volumes
    rows_of_air = [(tapping, cm3(volume)) for tapping, volume in volumes.items()]
    rows_of_air.append(("altogether", cm3(sum(volumes.values()))))
    print_table(
        "Air at each tapping, with half of each line that ends there", ("tapping", "[cm³]"), rows_of_air
    )


def _heater(opening: "Opening") -> str:
    if opening.heater_power is not None:
        return f"{opening.heater_power:.0f} W"
    return "yes" if opening.heated else "no"


def _print_cabin(plane: "Airplane") -> None:
    from ramstill.air.units import FT

    cabin = plane.inside.pressurisation
    if cabin is None:
        return
    print_table(
        f"Cabin, pressurised to {cabin.maximum_differential / 100.0:.0f} hPa above the outside at most",
        ("airplane [ft]", "cabin [ft]", "figures"),
        [
            (f"{outside / FT:,.0f}", f"{inside / FT:,.0f}", _known(cabin))
            for outside, inside in zip(cabin.airplane_altitude, cabin.cabin_altitude, strict=True)
        ],
    )


def _print_basis(plane: "Airplane") -> None:
    from ramstill.airplane import BASES

    rows = [(part, *(str(counts[basis]) for basis in BASES)) for part, counts in _basis(plane).items()]
    print_table("How many figures are known how", ("", *BASES), rows)


def _print_lag(lag: dict[str, Any]) -> None:
    rows = [
        (one["name"], f"{one['air_s']:.2f}", f"{one['pointer_s']:.2f}", f"{one['lag_s']:.2f}", one["words"])
        for one in lag["instruments"]
    ]
    print_table(
        f"Lag in a steady climb of {lag['climb_fpm']:,.0f} ft/min at {lag['climb_speed_kt']:.0f} kt, through "
        f"{lag['altitude_ft']:,.0f} ft (assumed figures: assumed results)",
        ("instrument", "air [s]", "pointer [s]", "together [s]", "which means"),
        rows,
    )


def _book(plane: "Airplane") -> list[dict[str, Any]] | None:
    from ramstill.flight.book import book_figures

    if plane.performance is None:
        return None
    return [
        {"kind": row.kind, "what": row.what, "stated": row.stated, "worked_out": row.worked_out}
        | {"unit": row.unit, "off_percent": 100.0 * row.off, "agrees": row.agrees}
        for row in book_figures(plane)
    ]


def _print_book(plane: "Airplane") -> None:
    book = _book(plane)
    if book is None:
        print("No flight model: flown from a plan only.\n")
        return
    rows = []
    for one in book:
        off = f"{one['off_percent']:+.1f}" + ("" if one["agrees"] else ", more than 3")
        rows.append((one["what"], f"{one['stated']:.4g}", f"{one['worked_out']:.4g}", one["unit"], off))
    print_table(
        "Book figures, and what the flight model gives (assumed figures: assumed results)",
        ("", "stated", "worked out", "", "off [%]"),
        rows,
    )
