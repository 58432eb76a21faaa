"""What a card says, from its figures: fly first, diagnose second, with what this airplane really has."""

from __future__ import annotations

from collections.abc import Sequence
from math import isnan
from typing import TYPE_CHECKING, Any

from ramstill.air.units import FT
from ramstill.pictures.of_airplane import plain
from ramstill.run.card_lines import side_of
from ramstill.run.card_steady import readings
from ramstill.run.card_tables import STEP_M
from ramstill.run.phrases import first_down, first_up, listed

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.instruments import Pointer
    from ramstill.run import CardFigures

GOVERNS = (
    "Your own airplane's handbook governs, in every line; this card does not replace it. Rules of the place "
    "and what your instructor or operator says come before it too."
)
_FEW_FT = 50.0  # an altimeter that follows 500 ft to this is right [ft]


def fly_first(figures: CardFigures) -> list[str]:
    """The steps that keep the airplane flying, whatever is wrong with its pointers."""
    plane, engine = figures.airplane, figures.powered
    steps = ["Wings level by the horizon or the attitude indicator." + (_AUTOPILOT if engine else "")]
    settings = "Pitch and power" if engine else "Pitch"
    if figures.phases:
        steps.append(f"{settings} as in the table, and leave {_them(engine)} so. Do not chase a pointer.")
    else:
        steps.append(f"{settings} as your handbook gives them for this phase. Do not chase a pointer.")
    steps.append(_heat(plane))
    steps.append("Keep clear of ground, cloud and ice. Tell the controller what cannot be trusted.")
    return steps


def _them(engine: bool) -> str:
    return "them" if engine else "it"


_AUTOPILOT = " Autopilot off, if it holds height or airspeed: it feels the same air."


def _heat(plane: Airplane) -> str:
    ram = [o for o in plane.openings if o.kind in ("pitot-inlet", "pitot-drain")]
    still = [o for o in plane.openings if o.kind in ("static-port", "total-energy-probe")]
    warmed, cold = [], []
    for title, openings in (("the ram openings", ram), ("the static ports", still)):
        warm = [o for o in openings if o.heated]
        if openings and len(warm) == len(openings):
            warmed.append(title)
        elif warm:
            warmed.append(f"the {listed([plain(o.name) for o in warm])}")
        elif openings:
            cold.append(title)
    if not warmed:
        return "There is no heater on the openings: get out of ice, and out of rain near freezing."
    return f"Pitot heat on: it warms {listed(warmed)}{f', not {cold[0]}' if cold else ''}."


def cross_check(figures: CardFigures) -> list[str]:
    """What to compare with what, the witness that shares least with the pointers first."""
    plane, engine = figures.airplane, figures.powered
    settings = "pitch and power" if engine else "pitch"
    says = "the table says" if figures.phases else "your handbook says"
    where = f"{says} {'they give' if engine else 'it gives'}"
    steps = [
        f"Airspeed against {settings}: does it show what {where}?",
        "Ground speed and height by GPS, if carried: they feel no air. Wind shifts the one, a warm or cold "
        "day the other.",
        *_other_readings(plane),
        *_encoder(plane),
    ]
    if plane.performance is not None and plane.performance.stall_warning is not None:
        steps.insert(1, "Believe the stall warner: it feels the wing, not these lines.")
    speed = next(iter(readings(plane, "airspeed")), None)
    if speed is not None:
        still = side_of(plane, f"{speed.instrument.name}.static")
        alone = [
            one.instrument.title
            for one in (*readings(plane, "altitude"), *readings(plane, "vertical-speed"))
            if still is not None
            and one.instrument.name in still.instruments
            and one.instrument is not speed.instrument
        ]
        if alone:
            with_it = listed([f"the {first_down(title)}" for title in dict.fromkeys(alone)])
            steps.append(
                f"Airspeed alone wrong: the ram side. Wrong together with {with_it}: the still side."
            )
        else:
            steps.append("Airspeed alone wrong: ram side. Airspeed and altitude wrong: still side.")
    return steps


def _other_readings(plane: Airplane) -> list[str]:
    """A second airspeed or altitude: whether it hangs on other openings, or errs together with the first."""
    steps = []
    speeds = list({one.instrument.name: one for one in readings(plane, "airspeed")}.values())
    first, rest = speeds[:1], speeds[1:]
    if first:
        own = _sides_of(plane, first[0])
        apart = [one for one in rest if not own & _sides_of(plane, one)]
        alike = [one for one in rest if own & _sides_of(plane, one)]
        if apart:
            others = listed([_the(one) for one in apart])
            step = f"{first_up(_the(first[0]))} against {others}: other openings, other lines."
            if len(apart) > 1 and _sides_of(plane, apart[0]) & _sides_of(plane, apart[1]):
                step += " These share theirs with one another."
            steps.append(step)
        if alike:
            others = listed([_the(one) for one in alike])
            verb = "hangs" if len(alike) == 1 else "hang"
            steps.append(
                f"{first_up(others)} {verb} on the same lines as {_the(first[0])}: they err together, and "
                "that they agree says nothing of the air."
            )
    return steps


def _encoder(plane: Airplane) -> list[str]:
    encoder = next(iter(plane.instruments_of("encoder")), None)
    heights = readings(plane, "altitude")
    if encoder is None or not heights:
        return []
    own = side_of(plane, f"{encoder.name}.static")
    same = [_the(p) for p in heights if own is not None and p.instrument.name in own.instruments]
    other = [_the(p) for p in heights if own is None or p.instrument.name not in own.instruments]
    words = "Height as the ground reads it back (set 1013 hPa, 29.92 inHg, to compare): the encoder hangs on "
    if other and same:
        return [f"{words}the lines of {listed(same)}, not on those of {listed(other)}."]
    if other:
        return [f"{words}other lines than {listed(other)}."]
    return [f"{words}the same line as {listed(same)}: it can clear the pointer, never the line."]


def _sides_of(plane: Airplane, pointer: Pointer) -> set[tuple[str, ...]]:
    """The openings that a reading hangs on, one tuple a side."""
    found = (side_of(plane, port) for port in pointer.instrument.ports)
    return {side.openings for side in found if side is not None}


def then(figures: CardFigures) -> list[str]:
    """What there is to be done about the still side: an alternate source, or what stands in for it."""
    plane, other = figures.airplane, figures.alternate
    if other is not None:
        source = plane.opening(other.source)
        steps = [f"Still side: open the {source.title}, then read with the correction below."]
        if other.same:
            steps.append(f"It moves {_named(plane, other.moves)} only, not {_named(plane, other.same)}.")
        return steps
    steps = ["Still side: this airplane has no alternate static source."]
    apart = _apart(plane)
    if apart:
        steps.append(f"Use what hangs on other openings: {apart}.")
    else:
        settings = "pitch and power" if figures.powered else "pitch, sound and feel"
        steps.append(
            f"What there is instead: {settings}, and GPS ground speed and height, down to the landing."
        )
    if any(o.kind == "static-drain" for o in plane.openings):
        steps.append("The quick drain is no alternate source: leave it shut in flight.")
    return steps


def _apart(plane: Airplane) -> str:
    """Instruments that share no opening with the first airspeed indicator."""
    speeds = readings(plane, "airspeed")
    if not speeds:
        return ""
    own = _sides_of(plane, speeds[0])
    every = (*speeds, *readings(plane, "altitude"))
    others = {p.instrument.name: p for p in every if not own & _sides_of(plane, p)}
    return listed([_the(p) for p in others.values()])


def _the(pointer: Pointer) -> str:
    return f"the {first_down(pointer.instrument.title or plain(pointer.instrument.name))}"


def _named(plane: Airplane, names: Sequence[str]) -> str:
    """Pointers, or instruments with several, by the titles of their instruments, each once."""
    owners = dict.fromkeys(name.split(".")[0] for name in names)
    return listed([f"the {first_down(plane.instrument(name).title)}" for name in owners])


def blockage_rows(figures: CardFigures, size: float) -> list[dict[str, Any]]:
    """The table of blockages in words: what is shut, and what is shown."""
    plane, rows = figures.airplane, []
    for one in figures.blockages:
        shut = listed([plain(name) for name in one.shut])
        free = f", {listed([plain(name) for name in one.free])} free" if one.free else ""
        speeds = [_shown(plane, value, size) for value in one.airspeed_m_s]
        moved = [value / FT for value in one.altimeter_m]
        rows.append(
            {"air": one.air, "what": f"{shut} shut{free}", "speeds": speeds, "altimeter": _follows(moved)}
        )
    return rows


def _shown(plane: Airplane, speed_m_s: float, size: float) -> str:
    if isnan(speed_m_s):
        return "nothing"
    if round(speed_m_s / size) < 0:
        return "below 0"
    instrument = readings(plane, "airspeed")[0].instrument
    top = getattr(instrument, "top_mark", None)
    if top is not None and speed_m_s >= float(top):
        return "top mark"
    return f"{speed_m_s / size:.0f}"


def _follows(moved_ft: list[float]) -> str:
    """Whether the altimeter follows 500 ft up and 500 ft down."""
    if isnan(moved_ft[0]):
        return "none"
    _, up, down = moved_ft
    step = STEP_M / FT
    if abs(up - step) < _FEW_FT and abs(down + step) < _FEW_FT:
        return "follows"
    if abs(up) < _FEW_FT and abs(down) < _FEW_FT:
        return "stands still"
    return f"{up:+,.0f}, {down:+,.0f} ft".replace("-", "−")


def alternate_words(figures: CardFigures) -> list[str]:
    """Under which conditions the correction holds."""
    plane, other = figures.airplane, figures.alternate
    if other is None:
        return []
    source = plane.opening(other.source)
    inside = plane.inside
    if source.sees == "wing-bay":
        bay = _signed(inside.wing_bay_pressure_coefficient)
        air = f"wing bay as the file has it (pressure coefficient {bay})"
    elif inside.pressurisation is not None:
        air = "cabin pressurised as the file has it"
    else:
        air = (
            "cabin, windows, vents and heater as the file has them (pressure coefficient "
            f"{_signed(inside.cabin_pressure_coefficient)}; opened otherwise it differs)"
        )
    flap = "approach with full flap, " if plane.wing is not None else ""
    said = [
        "Hold the airspeed given for each altitude; the altimeter then reads so much too high (+). Static "
        f"ports shut, level, {flap}{air}. Worked out from the plumbing."
    ]
    if other.mixed and abs(other.practice_share - 1.0) > 0.02:
        said.append(
            "The ports stay connected: with them free, as in practice, about "
            f"{100 * other.practice_share:.0f} % of this is seen."
        )
    return said


def _signed(value: float) -> str:
    return f"{value:+.2g}".replace("-", "−")
