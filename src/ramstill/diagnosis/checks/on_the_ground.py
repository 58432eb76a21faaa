"""Checks that an owner or pilot may make on the ground. Minutes, risks and spreads of readings: assumed."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.diagnosis.checks import by_eye, in_the_air, standing, wording
from ramstill.diagnosis.checks.check import IN_THE_AIR, ON_THE_GROUND, Where
from ramstill.diagnosis.checks.laboratory import UNITS, Laboratory, said
from ramstill.diagnosis.checks.trial import Trial
from ramstill.diagnosis.checks.witness import Bin, Witness, error, seen
from ramstill.faults.places import closed_valves_to, openings

if TYPE_CHECKING:
    from collections.abc import Sequence

Array = NDArray[np.float64]

LANDING_MIN = 30.0  # what a landing takes before a check on the ground [min]; assumed
FIELD_FT = 75.0  # FAA Aeronautical Information Manual 7-2-3: this far off the field it is questionable
_WEATHER_FT = 20.0  # how well setting and elevation are known
_RAM, _STILL = ("pitot-inlet", "pitot-drain", "total-energy-probe"), ("static-port",)
_ALIVE_KT, _WIND_KT = 15.0, 4.0  # parked, an airspeed of so much is no wind


def trials(lab: Laboratory) -> list[Trial]:
    """All that can be checked on the ground without opening or pumping anything; the panel at any time."""
    makers = (panel, _openings, _sump, _feel, _field)
    found = [trial for maker in makers if (trial := maker(lab)) is not None]
    if not lab.situation.airborne:
        found += [trial for maker in (_alternate, _sides) if (trial := maker(lab)) is not None]
    return found


def looked_at(
    lab: Laboratory,
    key: str,
    title: str,
    where: Where,
    how: str,
    cautions: str,
    minutes: float,
    risk: float,
    found: Sequence[tuple[Witness, tuple[str, ...], by_eye.Finds]],
) -> Trial | None:
    """A check of what is seen or felt: for each witness what may be found, in the order of its bins."""
    if not found:
        return None

    def work_out() -> tuple[Array, ...]:
        return tuple(
            by_eye.chances(lab.ways.faults, lab.airplane, finds, order, witness)
            for witness, order, finds in found
        )

    witnesses = tuple(witness for witness, _, _ in found)
    return Trial(key, title, where, how, cautions, minutes, risk, witnesses, work_out, np.ones(1))


def panel(lab: Laboratory) -> Trial | None:
    """Settings, knobs and switches."""
    bins: list[tuple[str, ...]] = []
    order, looks = [], []
    if any(i.kind in ("altimeter", "air-data-computer") for i in lab.airplane.instruments):
        bins.append(("an altimeter setting is wrong", "setting"))
        order.append("setting")
        looks.append("read every altimeter setting against the latest report")
    if lab.alternate is not None:
        bins.append(("the alternate source stands open", "alternate"))
        order.append("alternate")
        looks.append("see that the alternate source is shut")
    if any(opening.heated for opening in lab.airplane.openings):
        bins.append(("the heat is off", "heat"))
        order.append("heat")
        looks.append("see that the heat is as the handbook wants it")
    if not bins:
        return None
    bins.append(("all is as it should be", "right", "follows"))
    how = f"Without moving anything yet, {', '.join(looks)}."
    where, cautions = (
        (IN_THE_AIR, wording.IN_FLIGHT) if lab.situation.airborne else (ON_THE_GROUND, wording.PARKED)
    )
    found = [(seen("panel", *bins), tuple(order), by_eye.on_the_panel)]
    return looked_at(lab, "panel", "Settings and knobs", where, how, cautions, 1.0, 1e-5, found)


def _after(lab: Laboratory) -> float:
    """Minutes before anything can be done on the ground."""
    return LANDING_MIN if lab.situation.airborne else 0.0


def _openings(lab: Laboratory) -> Trial | None:
    drain = bool(closed_valves_to(lab.airplane, "static-drain", "pitot-drain"))
    bins = (
        ("taped over", "tape"),
        ("with a cover or cap on", "cover", "cap", "covered"),
        ("with a nest in them", "nest", "insect"),
        ("shut by something else", "shut", "blocked", "dirt", "wax"),
        ("dented or bent", "dented", "bent"),
        ("clear and smooth", "clear", "nothing", "right"),
    )
    order = ("tape", "cover", "nest", "shut", "shape")
    found: list[tuple[Witness, tuple[str, ...], by_eye.Finds]] = [
        (seen(name, *bins), order, by_eye.at_openings(*kinds))
        for name, kinds in (("ram openings", _RAM), ("still openings", _STILL))
        if openings(lab.airplane, *kinds)
    ]
    if drain:
        witness = seen("quick drain", ("stands open", "open"), ("is shut", "shut", "right"))
        found.append((witness, ("drain",), by_eye.at_quick_drains))
    how = (
        "Walk round and look closely at every inlet, drain hole and static port, with a light: covers, caps, "
        "tape, wax or paint, insects, dirt, dents, burrs, a mast that stands askew."
        + (" See that the quick drain is shut." if drain else "")
    )
    cautions = f"{wording.PARKED} Put nothing into a hole; take off only what is made to be taken off."
    return looked_at(
        lab,
        "look-openings",
        "A look at the openings",
        ON_THE_GROUND,
        how,
        cautions,
        5.0 + _after(lab),
        1e-5,
        found,
    )


def _sump(lab: Laboratory) -> Trial | None:
    if not closed_valves_to(lab.airplane, "static-drain", "pitot-drain"):
        return None
    bins = (("water comes out", "water", "wet"), ("no water comes out", "dry", "no water", "none"))
    how = (
        "Open the quick drain of the sump over a cup as the handbook says, let it run dry, close it, and see "
        "that it is closed."
    )
    cautions = f"{wording.PARKED} A drain left open is a fault of its own."
    found = [(seen("sump", *bins), ("water",), by_eye.in_the_sump)]
    return looked_at(
        lab, "drain-sump", "Drain the sump", ON_THE_GROUND, how, cautions, 5.0 + _after(lab), 2e-4, found
    )


def _feel(lab: Laboratory) -> Trial | None:
    from ramstill.faults import catalogue

    heaters = catalogue()["heater-failed"].places(lab.airplane)
    bins = (("stays cold", "cold"), ("gets warm", "warm", "hot", "right"))
    found: list[tuple[Witness, tuple[str, ...], by_eye.Finds]] = [
        (seen(said(heater), *bins), ("cold",), by_eye.cold_heater(heater)) for heater in heaters
    ]
    how = (
        "With covers off, switch the heat on for no longer than the placard allows, switch it off, and feel "
        f"from outside which of these gave heat: {', '.join(said(heater) for heater in heaters)}."
    )
    cautions = f"{wording.PARKED} {wording.HEAT}"
    return looked_at(
        lab,
        "feel-heat",
        "Heat on, and feel from outside",
        ON_THE_GROUND,
        how,
        cautions,
        5.0 + _after(lab),
        8e-4,
        found,
    )


def _field(lab: Laboratory) -> Trial | None:
    """Altimeters beside the field's elevation, airspeeds beside zero."""
    looked: list[tuple[Witness, str, bool]] = []
    for name, one in lab.showing("altitude", "airspeed").items():
        dimension, unit = UNITS[one.shows]
        blank = in_the_air.can_blank(one)
        if one.shows == "altitude":
            witness = error(name, dimension, unit, FIELD_FT, _WEATHER_FT, blank)
        else:
            shows = (
                Bin("rests at its low end", ("zero", "still", "right")),
                Bin("shows an airspeed", ("high",)),
            )
            ends = (*shows, Bin("shows nothing", ("blank",))) if blank else shows
            witness = Witness(
                name, ends, (_ALIVE_KT * unit[1],), dimension, spread=_WIND_KT * unit[1], blank=blank
            )
        looked.append((witness, one.name, one.shows == "altitude"))

    def figures(parked: standing.Parked, pointer: str, altitude: bool) -> Array:
        shown = standing.reading(parked.batch, pointer, parked.settled_s)
        own = standing.sound(parked.batch, pointer, parked.settled_s) if altitude else 0.0
        return np.asarray(shown - own)

    def work_out() -> tuple[Array, ...]:
        return tuple(
            w.chances(np.stack([figures(parked, name, altitude) for parked in lab.parked]))
            for w, name, altitude in looked
        )

    how = (
        "Parked in calm air at a place of known elevation, set the altimeter setting that is reported there "
        f"and compare: within {FIELD_FT:g} ft it is good. The airspeed ought to rest at its low end."
    )
    if not looked:
        return None
    weights = np.array([history.weight for history in lab.parked_histories])
    return Trial(
        "field-elevation",
        "Altimeter against the field's elevation",
        ON_THE_GROUND,
        how,
        wording.PARKED,
        3.0 + _after(lab),
        1e-5,
        tuple(w for w, _, _ in looked),
        work_out,
        weights,
    )


def _alternate(lab: Laboratory) -> Trial | None:
    valve = lab.alternate
    if valve is None:
        return None
    looked = in_the_air.jumps(lab, lab.showing("altitude", "airspeed", moved_by=valve))

    def moved(parked: standing.Parked, pointer: str) -> Array:
        before = standing.reading(parked.batch, pointer, parked.settled_s)
        return np.asarray(standing.reading(parked.batch, pointer, parked.moved_s) - before)

    def moves() -> tuple[Array, ...]:
        flights = lab.parked_alternate
        return tuple(w.chances(np.stack([moved(p, name) for p in flights])) for w, name, _ in looked)

    how = (
        "Note the altimeter, open the alternate static source, and see whether a pointer moves: in still air "
        "it ought not to. Shut the source again."
    )
    weights = np.array([history.weight for history in lab.parked_histories])
    witnesses = tuple(witness for witness, _, _ in looked)
    return Trial(
        "alternate-open",
        "Alternate source open",
        ON_THE_GROUND,
        how,
        wording.PARKED,
        2.0,
        1e-5,
        witnesses,
        moves,
        weights,
    )


def _sides(lab: Laboratory) -> Trial | None:
    looked = in_the_air.compared(lab)
    if not looked:
        return None

    def off(parked: standing.Parked, pointer: str) -> Array:
        shown = standing.reading(parked.batch, pointer, parked.settled_s)
        return np.asarray(shown - standing.sound(parked.batch, pointer, parked.settled_s))

    def work_out() -> tuple[Array, ...]:
        return tuple(
            w.chances(np.stack([off(p, name) - off(p, first) for p in lab.parked]))
            for w, name, first in looked
        )

    how = "With one setting on all of them, compare each altimeter and each airspeed with its fellow."
    weights = np.array([history.weight for history in lab.parked_histories])
    return Trial(
        "compare-sides",
        "One side against the other",
        ON_THE_GROUND,
        how,
        wording.PARKED,
        1.0,
        1e-5,
        tuple(w for w, _, _ in looked),
        work_out,
        weights,
    )
