"""What the pages of the live bench are given once for an airplane: its drawings, the laws that move them,
what can happen to it and where. Figures then follow in frames, in the order of the fields.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from ramstill.air import units
from ramstill.pictures import bench_map, bench_wall, panels
from ramstill.pictures.hand_laws import figure, hand_laws
from ramstill.pictures.of_airplane import plain, plumbing_of
from ramstill.pictures.of_walls import CABIN, RAM, STILL
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.pictures.columns import Wall

Array = NDArray[np.float64]
INVENTED = "Invented example, not your airplane."
MORE = ("altitude", "height", "cas", "climb", "static", "pace")  # the last fields of the instructor's frames


def seat_fields(airplane: Airplane) -> tuple[str, ...]:
    """The fields of a learner's frames: what the pointers show (SI), and the altimeter setting [Pa]."""
    from ramstill.instruments import pointers_of

    return (*(pointer.name for pointer in pointers_of(airplane)), "setting")


def bench_fields(airplane: Airplane) -> tuple[str, ...]:
    """The fields of the instructor's frames: a learner's, then what is true, the columns, and the flight."""
    seat = seat_fields(airplane)
    columns = (f"column:{name}" for name in column_names(airplane))
    return (*seat, *(f"true:{name}" for name in seat[:-1]), *columns, *MORE)


def column_names(airplane: Airplane) -> tuple[str, ...]:
    """The columns of the airplane's walls in their order, each once."""
    walls = bench_wall.bench_walls(airplane)
    return tuple(dict.fromkeys(column.name for wall in walls for column in wall[0].columns))


class Heights:
    """How high each column stands, from the pressures of a network and of the air outside.

    node_names, boundary_names: the orders in which pressures will be given.
    """

    def __init__(self, airplane: Airplane, node_names: Sequence[str], boundary_names: Sequence[str]) -> None:
        self.names = column_names(airplane)
        places = [self._place(name, list(node_names), list(boundary_names)) for name in self.names]
        self._places = np.array(places, dtype=np.intp)

    @staticmethod
    def _place(name: str, nodes: list[str], boundaries: list[str]) -> int:
        """Where a column's pressure is among those of the nodes, those outside, and the still air."""
        if name in nodes:
            return nodes.index(name)
        if name.startswith(f"{RAM}.") and name.removeprefix(f"{RAM}.") in boundaries:
            return len(nodes) + boundaries.index(name.removeprefix(f"{RAM}."))
        if name == CABIN and "cabin" in boundaries:
            return len(nodes) + boundaries.index("cabin")
        if name == STILL:
            return len(nodes) + len(boundaries)
        raise ValueError(f"no pressure for the column {name!r}")

    def of(self, pressure_pa: Array, outside_pa: Array, static_pa: float) -> Array:
        """(columns,) [Pa] over the still air outside.

        pressure_pa (n,), outside_pa (b,) [Pa]; static_pa: of the true still air outside [Pa].
        """
        every = np.concatenate([pressure_pa, outside_pa, [static_pa]])
        return np.asarray(every[self._places] - static_pa)


def bench_stage(airplane: Airplane) -> dict[str, Any]:
    """All that the instructor's page is given for an airplane, ready for JSON."""
    return _panel(airplane, true=True) | {
        "fields": list(bench_fields(airplane)),
        "walls": [_wall(wall, i) for i, wall in enumerate(bench_wall.bench_walls(airplane))],
        "map": bench_map.bench_map(airplane, key="map"),
        "parts": _parts(airplane),
        "faults": faults_possible(airplane),
        "openings": _openings(airplane),
        "levers": levers(airplane),
        "choices": choices(),
    }


def choices() -> dict[str, list[dict[str, str]]]:
    """What the bench can be set up with: hangar airplanes and bundled scenarios, by name and title."""
    from ramstill.airplane.reading import hangar, load
    from ramstill.run import bundled

    return {
        "airplanes": [{"name": name, "title": load(name).title} for name in hangar()],
        "scenarios": [{"name": name, "title": plain(name)} for name in bundled()],
    }


def seat_stage(airplane: Airplane) -> dict[str, Any]:
    """All that a learner's page is given for an airplane before anything is revealed, ready for JSON."""
    return _panel(airplane, true=False) | {"fields": list(seat_fields(airplane))}


def _panel(airplane: Airplane, true: bool) -> dict[str, Any]:
    from ramstill.instruments import pointers_of

    pointers = pointers_of(airplane)
    dials = [
        {
            "name": pointer.name,
            "title": pointer.title[:1].upper() + pointer.title[1:],
            "svg": panels.dial(pointer, 0.0, airplane, true=0.0 if true else None),
        }
        for pointer in pointers
    ]
    return {
        "airplane": airplane.name,
        "title": airplane.title,
        "dials": dials,
        "laws": [law.as_data() for pointer in pointers for law in hand_laws(pointer, airplane)],
        "figures": {pointer.name: figure(pointer).as_data() for pointer in pointers},
        "safety": SAFETY,
        "invented": INVENTED if airplane.invented else "",
    }


def _wall(scales: Sequence[Wall], place: int) -> dict[str, Any]:
    owners = dict.fromkeys(column.owner for column in scales[0].columns if column.owner)
    return {
        "title": scales[0].title,
        "wide": bench_wall.draw(scales, list(owners), key=f"wall-{place}-wide"),
        "narrow": bench_wall.draw(scales, list(owners), compact=True, key=f"wall-{place}-narrow"),
        "columns": [
            {"name": c.name, "label": f"{c.label} {c.part}".strip(), "air": c.air, "tag": c.tag}
            for c in scales[0].columns
        ],
    }


def _parts(airplane: Airplane) -> list[dict[str, str]]:
    """Every part of the line map: its name, what it is called, its kind and its letter."""
    plumbing = plumbing_of(airplane)
    spots = [
        {"name": s.part, "title": s.label, "kind": s.kind, "tag": s.tag, "air": s.air} for s in plumbing.spots
    ]
    lines = [
        {"name": p.part, "title": p.name, "kind": "line", "tag": "", "air": p.air} for p in plumbing.pipes
    ]
    return [*spots, *lines]


def faults_possible(airplane: Airplane) -> list[dict[str, Any]]:
    """Every fault the airplane can have: where it may be laid, and which parts of the map it then sits on."""
    from ramstill.faults import Fault, catalogue, where_on_airplane

    found = []
    for entry in catalogue().values():
        places = [
            {
                "where": where,
                "title": plain(where),
                "parts": [name for _, name in where_on_airplane(Fault(entry.name, where), airplane)],
            }
            for where in entry.places(airplane)
        ]
        if places:
            size = entry.size
            found.append(
                {
                    "name": entry.name,
                    "title": entry.title,
                    "sentence": entry.sentence,
                    "severity": "" if entry.whole else entry.severity_meaning,
                    "comes": entry.comes,
                    "size": None if size is None else {"meaning": size.meaning, "usual": size.usual},
                    "places": places,
                }
            )
    return found


def _openings(airplane: Airplane) -> list[dict[str, Any]]:
    """Every opening one can blow into, pull at or shut with a finger."""
    return [
        {"name": o.name, "title": plain(o.name), "ram": o.sees == "ram", "heated": o.heated}
        for o in airplane.openings
        if o.sees in ("ram", "still", "total-energy")
    ]


def levers(airplane: Airplane) -> dict[str, Any]:
    """How far each lever goes, in the units of the trade; a lever the airplane does not have is left out."""
    from ramstill.faults import catalogue
    from ramstill.flight.hand import driven
    from ramstill.flight.levers import ranges

    there = ranges(airplane)
    altimeter = next((i for i in airplane.instruments if i.kind == "altimeter"), None)
    setting = (
        (28.0, 31.0)
        if altimeter is None
        else (altimeter.setting_lowest / units.INHG, altimeter.setting_highest / units.INHG)
    )
    found: dict[str, Any] = {
        "speed_kt": _goes(there.speed_m_s, units.KT, 1.0),
        "climb_fpm": _goes(there.climb_m_s, units.FPM, 50.0),
        "altitude_ft": _goes(there.altitude_m, units.FT, 100.0),
        "flap": _goes((0.0, 1.0), 1.0, 0.25),
    }
    if there.retracts:
        found["gear"] = _goes((0.0, 1.0), 1.0, 1.0)
    if driven(airplane):
        found["power"] = _goes((0.0, 1.0), 1.0, 0.05)
    found["setting_inhg"] = _goes(setting, 1.0, 0.01)
    found["heat"] = any(opening.heated for opening in airplane.openings)
    found["alternate"] = bool(catalogue()["alternate-static-open"].places(airplane))
    return found


def _goes(far: tuple[float, float], one: float, step: float) -> dict[str, float]:
    """A lever in its unit: whole steps inside its range."""
    low, high = np.ceil(far[0] / one / step - 1e-6), np.floor(far[1] / one / step + 1e-6)
    return {"low": round(float(low * step), 2) + 0.0, "high": round(float(high * step), 2), "step": step}
