"""The instruments of one airplane together at a moment."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from ramstill.air import units
from ramstill.pictures import faces, svg
from ramstill.pictures.of_airplane import airspeed_face, plain

if TYPE_CHECKING:
    from ramstill.airplane import Airplane


def dial(
    pointer: Any,
    value: float,
    airplane: Airplane,
    setting_pa: float | None = None,
    true: float | None = None,
    *,
    trend: int = 0,
    key: str | None = None,
) -> str:
    """One face at `value` (SI: m/s or m), as SVG; `true` (SI) adds the hollow mark.

    pointer: one of `instruments.pointers_of`, or an instrument with one; `setting_pa`: what the altimeter's
    window shows [Pa], the standard setting where it is not given; `trend`: 1 rising, -1 falling, for digits.
    """
    instrument, name = getattr(pointer, "instrument", pointer), pointer.name
    key = key or f"dial-{name.replace('.', '-')}"
    title = str(getattr(pointer, "title", "") or plain(name))
    labels = {"name": name, "key": key, "title": title[:1].upper() + title[1:]}
    if instrument.kind == "air-data-computer":
        unit, one = _digits_unit(pointer)
        return faces.digits(unit=unit, value=value / one, true=_in(true, one), trend=trend, **labels)
    if instrument.kind == "variometer":
        one = RATE[instrument.unit]
        vario = faces.VerticalSpeedFace(instrument.full_scale / one)
        return faces.variometer(vario, instrument.unit, value / one, _in(true, one), **labels)
    if instrument.kind == "airspeed-indicator":
        face = airspeed_face(instrument, airplane)
        one = faces_unit(instrument)
        return faces.airspeed(face, value / one, _in(true, one), **labels)
    if instrument.kind == "altimeter":
        from ramstill.air.constants import P0

        setting = P0 if setting_pa is None else setting_pa
        inhg, hpa = setting / units.INHG, setting / units.HPA
        feet = value / units.FT
        return faces.altimeter(feet, inhg, hpa, _in(true, units.FT), **labels)
    if instrument.kind == "vertical-speed-indicator":
        up = faces.VerticalSpeedFace(instrument.full_scale / units.FPM)
        return faces.vertical_speed(up, value / units.FPM, _in(true, units.FPM), **labels)
    return faces.encoder(value / units.FT, _in(true, units.FT), **labels)


def angles(pointer: Any, value: float, airplane: Airplane) -> dict[str, float]:
    """Degrees of every hand of an instrument at `value` (SI), by the hand's name on the drawing."""
    instrument, name = getattr(pointer, "instrument", pointer), pointer.name
    if instrument.kind == "airspeed-indicator":
        return {name: airspeed_face(instrument, airplane).angle(value / faces_unit(instrument))}
    if instrument.kind == "altimeter":
        turned = faces.altimeter_angles(value / units.FT)
        return {f"{name}.{hand}": angle for hand, angle in turned.items()}
    if instrument.kind == "vertical-speed-indicator":
        face = faces.VerticalSpeedFace(instrument.full_scale / units.FPM)
        return {name: face.angle(value / units.FPM)}
    if instrument.kind == "variometer":
        one = RATE[instrument.unit]
        return {name: faces.VerticalSpeedFace(instrument.full_scale / one).angle(value / one)}
    return {}


def panel(
    airplane: Airplane,
    pointers: Mapping[str, float],
    setting_pa: float | None = None,
    truth: Mapping[str, float] | None = None,
    *,
    trends: Mapping[str, int] | None = None,
    columns: int = 4,
    key: str = "panel",
) -> str:
    """The faces of all instruments, `columns` in a row. pointers, truth, trends: by pointer; see `dial`."""
    from ramstill.instruments import pointers_of

    there = [i for i in pointers_of(airplane) if i.name in pointers]
    wide = min(columns, max(len(there), 1))
    deep = -(-len(there) // wide)
    drawn, said = [], []
    for place, instrument in enumerate(there):
        true = None if truth is None else truth.get(instrument.name)
        face = dial(
            instrument,
            pointers[instrument.name],
            airplane,
            setting_pa,
            true,
            trend=(trends or {}).get(instrument.name, 0),
            key=f"{key}-{place}",
        )
        x, y = place % wide * (faces.SIZE + 14), place // wide * (faces.TALL + 8)
        # Nested: its own role and labels would be read twice.
        inner = face.replace(' role="img"', "", 1)
        drawn.append(svg.element("g", inner, transform=f"translate({svg.number(x)} {svg.number(y)})"))
        said.append(face.split("</desc>")[0].rsplit(">", 1)[1])
    names = [str(getattr(i, "title", "") or i.name) for i in there]
    description = " ".join(f"{name}: {words}" for name, words in zip(names, said, strict=True))
    width, height = wide * (faces.SIZE + 14) - 14, deep * (faces.TALL + 8) - 8
    return svg.picture(width, height, "Panel", description, *drawn, key=key, class_="panel")


def faces_unit(instrument: Any) -> float:
    """Size of one of an airspeed indicator's units [m/s]."""
    from ramstill.pictures.of_airplane import SPEED_UNIT

    return SPEED_UNIT[instrument.unit]


RATE = {"m/s": 1.0, "kt": units.KT, "ft/min": units.FPM}


def _digits_unit(pointer: Any) -> tuple[str, float]:
    """What the digits of an air-data computer are in, and the size of one in SI."""
    if pointer.shows == "airspeed":
        return pointer.instrument.unit, faces_unit(pointer.instrument)
    return ("ft/min", units.FPM) if pointer.shows == "vertical-speed" else ("ft", units.FT)


def _in(true: float | None, one: float) -> float | None:
    return None if true is None else true / one
