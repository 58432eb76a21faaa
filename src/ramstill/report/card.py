"""The card of one airplane: what the pilot should do, on one page, as HTML and as PDF."""

from __future__ import annotations

from math import isnan, pi
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ramstill import __version__
from ramstill.air.units import FPM, FT
from ramstill.pictures.of_airplane import SPEED_UNIT, plain
from ramstill.report import card_words as words
from ramstill.report.assets import policy_hash, template, text_of
from ramstill.report.typst_pdf import pdf
from ramstill.run.phrases import first_down, listed, number
from ramstill.safety import SAFETY

if TYPE_CHECKING:
    from ramstill.airplane import Airplane
    from ramstill.run import CardFigures
    from ramstill.run.card_phases import Settings

HTML, PDF = "card.html", "card.pdf"
ACROSS = "EXAMPLE, NOT YOUR AIRPLANE"
_AIR_WORDS = {"ram": "ram air", "still": "still air", "total-energy": "total energy"}


def card_html(plane: Airplane) -> str:
    """The card as a page that needs nothing but itself."""
    return _html(card_content(plane))


def card_pdf(plane: Airplane) -> bytes:
    """The card as a PDF of one page, A4."""
    return pdf("card.typ", card_content(plane))


def write_card(plane: Airplane, out: str | Path, option: str = "--card") -> tuple[Path, ...]:
    """Write the card: both files into a folder, or the one that a name ending in .html or .pdf asks for.

    Whole or not at all; a folder that exists is replaced only if it is empty or ours. Returns the paths.
    Raises InputError, naming `option`.
    """
    from ramstill.run import check_replaceable, whole_file, whole_folder

    target = Path(out)
    if target.suffix.lower() not in (".html", ".pdf"):
        check_replaceable(target, option)
        content = card_content(plane)
        page, sheet = _html(content), pdf("card.typ", content)
        with whole_folder(target, option) as folder:
            (folder / HTML).write_text(page, encoding="utf-8")
            (folder / PDF).write_bytes(sheet)
        return (target / HTML, target / PDF)
    is_page = target.suffix.lower() == ".html"
    whole_file(target, card_html(plane).encode() if is_page else card_pdf(plane), option)
    return (target,)


def card_content(plane: Airplane) -> dict[str, Any]:
    """Everything on the card, in words and ready to be set: only text, lists and tables."""
    from ramstill.run import card_figures

    figures = card_figures(plane)
    unit, size = _unit(plane)
    altitudes = [f"{number(a / FT, 100)} ft" for a in figures.altitudes_m]
    return {
        "title": "What the pilot should do",
        "when": "when airspeed, altitude or vertical speed cannot be trusted",
        "airplane": plane.title,
        "name": plane.name,
        "example": figures.example,
        "across": ACROSS if figures.example else "",
        "banner": _banner(figures),
        "governs": words.GOVERNS,
        "safety": SAFETY,
        "unit": unit,
        "altitudes": altitudes,
        "fly": words.fly_first(figures),
        "check": words.cross_check(figures),
        "then": words.then(figures),
        "phases": _phases(figures, size),
        "no_phases": figures.no_phases,
        "powered": figures.powered,
        "phase_note": _phase_note(figures, unit),
        "lines": _lines(figures),
        "alternate": _alternate(figures, size),
        "alternate_note": " ".join(words.alternate_words(figures)),
        "blockages": words.blockage_rows(figures, size),
        "blockage_note": _blockage_note(figures, unit, size, altitudes[0]),
        "speeds": _speeds(figures, size),
        "speeds_assumed": all(mark.assumed for mark in figures.speeds),
        "assumed_by": figures.assumed,
        "version": __version__,
    }


def _unit(plane: Airplane) -> tuple[str, float]:
    """What the airspeed indicator is marked in, and one of it [m/s]."""
    units = [one.unit for one in plane.instruments if "airspeed" in one.readings.values()]
    unit = str(units[0]) if units else "kt"
    return unit, SPEED_UNIT[unit]


def _banner(figures: CardFigures) -> str:
    if figures.airplane.invented:
        return "An invented airplane: no type and no real dimensions stand behind it."
    if figures.example:
        return "No figure in its file is measured with a date and a source."
    return (
        f"{figures.measured} of the {figures.figures} figures in the airplane file are measured, with date "
        "and source. What rests on assumed ones says so."
    )


def _phases(figures: CardFigures, size: float) -> list[dict[str, Any]]:
    return [{"name": row.name, "at": [_settings(one, size) for one in row.at]} for row in figures.phases]


def _settings(one: Settings | None, size: float) -> list[str]:
    """Airspeed, pitch, power and climb as they are seen and set; dashes where it is not flown."""
    if one is None:
        return ["–"] * 4
    shown = one.cas_m_s if isnan(one.shown_m_s) else one.shown_m_s
    degrees = round(one.pitch_rad * 180.0 / pi)
    pitch = _signed(f"{degrees:d}") + "°"
    return [
        f"{shown / size:.0f}",
        pitch,
        "full" if one.full else f"{100.0 * one.power:.0f}",
        _signed(number(one.climb_m_s / FPM, 50)),
    ]


def _signed(text: str) -> str:
    """A whole number with its sign, a true minus among them; zero has none."""
    text = text.replace("-", "−")
    return text if text.startswith("−") or text == "0" else f"+{text}"


def _phase_note(figures: CardFigures, unit: str) -> str:
    performance = figures.airplane.performance
    if not figures.phases or performance is None:
        return ""
    if performance.engine is None:
        power, approach = "", "half airbrake"
    else:
        power = "; power: % of what the engine is rated at, or all it has there"
        approach = f"full flap, {'gear down, ' if performance.gear_drag > 0.0 else ''}3° path"
    return (
        f"Airspeed [{unit}] as a healthy indicator shows it. Pitch: of the fuselage datum over the "
        f"horizon{power}. Approach: {approach}. Wings level, standard day, mass as in the file."
    )


def _lines(figures: CardFigures) -> list[dict[str, Any]]:
    """One row for each body of air: where it comes in, and what hangs on it."""
    plane, rows = figures.airplane, []
    for side in figures.sides:
        mouths = listed([_opening(plane, name) for name in side.openings])
        if side.air == "ram":
            drain = listed([_opening(plane, name) for name in side.drains]) if side.drains else "no drain"
            mouths += f"; {drain}"
        hung = listed([first_down(plane.instrument(name).title) for name in side.instruments])
        rows.append({"air": side.air, "air_words": _AIR_WORDS[side.air], "from": mouths, "to": hung})
    return rows


def _opening(plane: Airplane, name: str) -> str:
    heated = plane.opening(name).heated
    return f"{plain(name)}{' (heated)' if heated else ''}"


def _alternate(figures: CardFigures, size: float) -> list[dict[str, Any]]:
    if figures.alternate is None:
        return []
    return [
        {
            "name": row.name,
            "normal": f"{row.normal_m_s / size:.0f}",
            "at": [
                ["nothing" if isnan(fast) else f"{fast / size:.0f}", _higher(higher)]
                for fast, higher in zip(row.shown_m_s, row.higher_m, strict=True)
            ],
        }
        for row in figures.alternate.rows
    ]


def _higher(height_m: float) -> str:
    """How much more an altimeter shows; a dash where none is moved."""
    return "–" if isnan(height_m) else _signed(number(height_m / FT, 10))


def _blockage_note(figures: CardFigures, unit: str, size: float, altitude: str) -> str:
    if not figures.blockages:
        return ""
    shown = figures.blockages[0].really_m_s / size
    return (
        f"Airspeed shown [{unit}] at a steady {shown:.0f}, shut at {altitude}, with all lag over: from the "
        "plumbing, not from a rule."
    )


def _speeds(figures: CardFigures, size: float) -> list[dict[str, Any]]:
    return [
        {"title": mark.title, "value": f"{mark.speed_m_s / size:.0f}", "assumed": mark.assumed}
        for mark in figures.speeds
    ]


def _html(content: dict[str, Any]) -> str:
    from ramstill import pictures

    style = pictures.style() + text_of("card.css")
    return template("card.html.j2").render(style=style, style_hash=policy_hash(style), **content)
