"""Checks that may be made in the air, each simulated. Minutes, risks and spreads of readings: assumed."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from ramstill.air.units import FPM, FT, KT
from ramstill.diagnosis.checks import flown, wording
from ramstill.diagnosis.checks.check import IN_THE_AIR
from ramstill.diagnosis.checks.laboratory import UNITS, Flights, Laboratory, figures
from ramstill.diagnosis.checks.trial import Trial
from ramstill.diagnosis.checks.witness import Witness, error, following, jump
from ramstill.errors import InputError

if TYPE_CHECKING:
    from ramstill.diagnosis.checks.flown import Flown
    from ramstill.instruments import Pointer

Array = NDArray[np.float64]
Figure = Callable[["Flown", str], Array]
Looked = list[tuple[Witness, str, Figure]]

# How large a jump of a pointer is told apart, and how well it is read.
_JUMPS = {
    "airspeed": ((6.0, 25.0), 2.0),
    "altitude": ((15.0, 150.0), 8.0),
    "vertical-speed": ((200.0,), 80.0),
}
# How far a pointer may be off what the book, GPS or its fellow says: the limit, and how well that says it.
_BY_THE_BOOK = {"airspeed": (10.0, 5.0), "vertical-speed": (300.0, 100.0)}
_SIDES = {"airspeed": (7.0, 2.0), "altitude": (100.0, 25.0)}
_GPS_KT, _GPS_FT, _GPS_SHARE = (10.0, 4.0), (400.0, 100.0), 0.03


def trials(laboratory: Laboratory) -> list[Trial]:
    """All that this airplane can have checked in the air."""
    makers = (_heat, _alternate, _pitch_power, _gps, _encoder, _sides, _altitude, _speed)
    return [trial for maker in makers if (trial := maker(laboratory)) is not None]


def jumps(laboratory: Laboratory, pointers: dict[str, Pointer]) -> list[tuple[Witness, str, str]]:
    """A witness for each pointer of whether it jumps: itself, the pointer's name, what that shows."""
    found = []
    for name, one in pointers.items():
        dimension, unit = UNITS[one.shows]
        edges, spread = _JUMPS[one.shows]
        found.append((jump(name, dimension, unit, edges, spread, can_blank(one)), one.name, one.shows))
    return found


def compared(laboratory: Laboratory) -> list[tuple[Witness, str, str]]:
    """A witness for each airspeed and altimeter but the first: itself, its pointer's name, the first's."""
    found = []
    for quantity, (within, spread) in _SIDES.items():
        dimension, unit = UNITS[quantity]
        pointers = list(laboratory.showing(quantity).items())
        for name, one in pointers[1:]:
            against, first = pointers[0]
            blank = can_blank(one) or can_blank(first)
            witness = error(name, dimension, unit, within, spread, blank, f"the {against}")
            found.append((witness, one.name, first.name))
    return found


def can_blank(pointer: Pointer) -> bool:
    """Whether there is a fault that makes it show nothing."""
    return pointer.kind in ("air-data-computer", "encoder")


def _trial(
    key: str,
    title: str,
    how: str,
    minutes: float,
    risk: float,
    looked: Looked,
    flights: Callable[[], tuple[Flights, ...]],
    laboratory: Laboratory,
    cautions: str = wording.IN_FLIGHT,
) -> Trial | None:
    if not looked:
        return None

    def work_out() -> tuple[Array, ...]:
        parts, size = flights(), (len(laboratory.histories), len(laboratory.ways.faults))
        return tuple(
            witness.chances(figures(parts, figure, pointer, *size)) for witness, pointer, figure in looked
        )

    witnesses = tuple(witness for witness, _, _ in looked)
    return Trial(
        key, title, IN_THE_AIR, how, cautions, minutes, risk, witnesses, work_out, laboratory.weights
    )


def _heat(lab: Laboratory) -> Trial | None:
    if not any(opening.heated for opening in lab.airplane.openings):
        return None
    pointers = lab.showing("airspeed", "altitude")
    looked: Looked = [(witness, pointer, _move) for witness, pointer, _ in jumps(lab, pointers)]
    how = (
        "Heat on for every probe and port that has it, and leave it on. Give it a minute or two and see "
        "whether a pointer comes back."
    )
    return _trial("heat-on", "Heat on", how, 2.0, 1e-5, looked, lambda: lab.flown_heated, lab)


def _alternate(lab: Laboratory) -> Trial | None:
    valve = lab.alternate
    if valve is None:
        return None
    pointers = lab.showing("airspeed", "altitude", "vertical-speed", moved_by=valve)
    looked: Looked = []
    for witness, pointer, shows in jumps(lab, pointers):
        swings = shows == "vertical-speed"
        looked.append((witness, pointer, _swing if swings else _move))
    how = (
        "In level flight note altimeter, airspeed and vertical speed; open the alternate static source; read "
        "them again as it opens, and half a minute later. Leave it open if that is what the handbook says."
    )
    cautions = f"{wording.IN_FLIGHT} Its air is a little off: read with the handbook's correction."
    title = "Alternate source open"
    return _trial("alternate-open", title, how, 2.0, 1e-4, looked, lambda: lab.flown_alternate, lab, cautions)


def _move(flight: Flown, pointer: str) -> Array:
    return flight.moved(pointer, flight.level_s, flight.turned_s)


def _swing(flight: Flown, pointer: str) -> Array:
    return flight.swung(pointer, flight.level_s)


def _off(flight: Flown, pointer: str) -> Array:
    return flight.off(pointer, flight.level_s)


def _pitch_power(lab: Laboratory) -> Trial | None:
    performance = lab.airplane.performance
    if performance is None or performance.engine is None:
        return None
    looked: Looked = []
    for name, one in lab.showing("airspeed", "vertical-speed").items():
        if one.kind != "variometer":
            dimension, unit = UNITS[one.shows]
            within, spread = _BY_THE_BOOK[one.shows]
            looked.append((error(name, dimension, unit, within, spread, can_blank(one)), one.name, _off))
    how = (
        "Set the pitch and power that the handbook gives for level flight, wings level, and wait a minute. "
        f"Compare airspeed and vertical speed with what belongs to them{_by_the_file(lab)}."
    )
    return _trial("pitch-power", "Known pitch and power", how, 3.0, 1e-4, looked, lambda: lab.flown, lab)


def _by_the_file(lab: Laboratory) -> str:
    """What the airplane file's figures give, in words; nothing where it cannot fly level there."""
    from ramstill.flight.trim import trim

    speed, height = flown.speed_flown(lab.airplane, lab.situation), lab.situation.pressure_altitude_m
    try:
        steady = trim(lab.airplane, None, height, speed, climb_m_s=0.0)
    except (InputError, ValueError):
        return ""
    return (
        f"; by the airplane file, {100.0 * steady.power:.0f} % of power and a pitch of "
        f"{np.degrees(steady.pitch_rad):+.0f} degrees hold {speed / KT:.0f} kt at {height / FT:,.0f} ft"
    )


def _gps(lab: Laboratory) -> Trial | None:
    looked: Looked = []
    for name, one in lab.showing("airspeed", "altitude").items():
        dimension, unit = UNITS[one.shows]
        within, spread = _GPS_KT
        if one.shows == "altitude":
            # a warm or cold day shifts it by some share of the height
            within, spread = (
                _GPS_FT[0],
                np.hypot(_GPS_FT[1], _GPS_SHARE * lab.situation.pressure_altitude_m / FT),
            )
        looked.append((error(name, dimension, unit, within, float(spread), can_blank(one)), one.name, _off))
    how = (
        "Fly straight and level at one power on two opposite headings and note the GPS ground speed on each: "
        "their mean is true airspeed, the wind having cancelled. With altitude and temperature make "
        "calibrated airspeed of it and compare; compare GPS height with the altimeter as well."
    )
    return _trial(
        "gps-two-headings", "GPS ground speed on two headings", how, 6.0, 2e-4, looked, lambda: lab.flown, lab
    )


def _encoder(lab: Laboratory) -> Trial | None:
    encoder = next(iter(lab.airplane.instruments_of("encoder")), None)
    heights = lab.showing("altitude")
    if encoder is None or not heights:
        return None
    name, first = next(iter(heights.items()))
    dimension, unit = UNITS["altitude"]
    # read back in steps of 100 ft
    witness = error("encoder", dimension, unit, 200.0, 50.0, True, f"the {name}")

    def apart(flight: Flown, pointer: str) -> Array:
        return _off(flight, pointer) - _off(flight, first.name)

    how = (
        "Ask the ground which altitude it has of you, set the altimeter setting it gives, and compare the "
        f"{name} with the answer."
    )
    return _trial(
        "encoder-altitude",
        "The encoder's altitude from the ground",
        how,
        2.0,
        2e-5,
        [(witness, encoder.name, apart)],
        lambda: lab.flown,
        lab,
    )


def _sides(lab: Laboratory) -> Trial | None:
    looked: Looked = []
    for witness, pointer, first in compared(lab):

        def apart(flight: Flown, name: str, against: str = first) -> Array:
            return _off(flight, name) - _off(flight, against)

        looked.append((witness, pointer, apart))
    how = "In steady level flight compare each airspeed and each altimeter with its fellow, one by one."
    return _trial(
        "compare-sides", "One side against the other", how, 1.0, 1e-5, looked, lambda: lab.flown, lab
    )


def _altitude(lab: Laboratory) -> Trial | None:
    up = 1.0 if flown.climbs(lab.airplane) else -1.0
    word, back = ("climb", "descend") if up > 0.0 else ("descend", "climb")
    step, rate = flown.CLIMB_M, flown.CLIMB_RATE

    def follows(flight: Flown, pointer: str) -> Array:
        away = up * flight.moved(pointer, flight.turned_s, flight.high_s) / step
        again = -up * flight.moved(pointer, flight.high_s, flight.back_s) / step
        return np.where(np.abs(away - 1.0) > np.abs(again - 1.0), away, again)

    def climbs(flight: Flown, pointer: str) -> Array:
        return up * flight.at(pointer, flight.climbed_s) / rate

    looked: Looked = []
    for name, one in lab.showing("airspeed", "altitude", "vertical-speed").items():
        dimension, unit = UNITS[one.shows]
        blank = can_blank(one)
        if one.shows == "altitude":
            looked.append((following(name, dimension, step, 0.1, blank), one.name, follows))
        elif one.shows == "vertical-speed":
            looked.append((following(name, dimension, rate, 0.15, blank), one.name, climbs))
        else:
            witness = jump(name, dimension, unit, (8.0,), 3.0, blank)
            looked.append((witness, one.name, lambda f, n: f.moved(n, f.turned_s, f.high_s)))
    how = (
        f"Clear the area, {word} {step / FT:.0f} ft at about {rate / FPM:.0f} ft/min by pitch and power for "
        f"one airspeed, level off, then {back} again. See whether altimeter and vertical speed follow both "
        "ways, and whether the airspeed wanders."
    )
    cautions = f"{wording.IN_FLIGHT} {wording.VISUAL_ONLY}"
    return _trial(
        "change-altitude",
        "A small change of altitude",
        how,
        5.0,
        1e-3,
        looked,
        lambda: lab.flown,
        lab,
        cautions,
    )


def _speed(lab: Laboratory) -> Trial | None:
    looked: Looked = []
    for name, one in lab.showing("airspeed", "altitude").items():
        dimension, unit = UNITS[one.shows]
        if one.shows == "airspeed":
            witness = following(name, dimension, flown.SPEED_STEP, 0.2, can_blank(one))
            looked.append((witness, one.name, _quickens))
        else:
            witness = jump(name, dimension, unit, (40.0,), 12.0, can_blank(one))
            looked.append((witness, one.name, lambda f, n: f.moved(n, f.back_s, f.changed_s)))
    how = (
        f"At one altitude change the airspeed by about {flown.SPEED_STEP / KT:.0f} kt with power, away from "
        "the stall and from the red line, and see whether the airspeed follows and the altimeter stays."
    )
    cautions = f"{wording.IN_FLIGHT} {wording.VISUAL_ONLY}"
    return _trial(
        "change-speed", "A small change of speed", how, 4.0, 6e-4, looked, lambda: lab.flown, lab, cautions
    )


def _quickens(flight: Flown, pointer: str) -> Array:
    return flight.moved(pointer, flight.back_s, flight.changed_s) / flight.faster_m_s
