"""Faults of the instruments' own parts: glass, capsule, case, calibrated leak, pointer, setting."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ramstill.faults.entry import Entry, Size
from ramstill.faults.leaks import bore_of, leak_size
from ramstill.faults.places import air_around, of_kind
from ramstill.faults.state import State, scaled

if TYPE_CHECKING:
    from collections.abc import Callable

    from ramstill.airplane import Airplane
    from ramstill.pneumatics.schedule import Schedule

_OPEN = "share of the hole's area that is open"


def _kind(kind: str) -> Callable[[Airplane], list[str]]:
    return lambda airplane: of_kind(airplane, kind)


def _glass(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    case = f"{place}.case"
    around = air_around(state.airplane, case)
    return state.at("instrument", place).hole(case, around, bore_of(state, size, case), share)


def _restrictor(state: State, place: str, share: Schedule, _: object) -> State:
    return state.at("instrument", place).shut(f"{place}.leak", share)


def _case_leak(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    case = f"{place}.static"
    around = air_around(state.airplane, case)
    return state.at("instrument", place).hole(case, around, bore_of(state, size, case), share)


def _flask(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    flask = f"{place}.flask"
    around = air_around(state.airplane, flask)
    return state.at("instrument", place).hole(flask, around, bore_of(state, size, flask), share)


def _blank(state: State, place: str, share: Schedule, _: object) -> State:
    return state.at("instrument", place).pointer(place, "blank", share)


def _vibrator(state: State, place: str, share: Schedule, _: object) -> State:
    return state.at("instrument", place).pointer(place, "vibrator lost", share)


def _capsule_leak(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    bore = bore_of(state, size, f"{place}.pitot")
    return state.at("instrument", place).hole(f"{place}.pitot", f"{place}.static", bore, share)


def _sticking(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    return state.at("instrument", place).pointer(place, "friction", scaled(share, size[1]))


def _setting(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    return state.at("instrument", place).pointer(place, "setting offset", scaled(share, size[1]))


def _offset(state: State, place: str, share: Schedule, size: tuple[str, float]) -> State:
    return state.at("instrument", place).pointer(place, "pointer offset", scaled(share, size[1]))


def _stuck(state: State, place: str, share: Schedule, _: object) -> State:
    return state.at("instrument", place).pointer(place, "stuck", share)


def _with_pointer(airplane: Airplane) -> list[str]:
    return [i.name for i in airplane.instruments if i.kind not in ("encoder", "air-data-computer")]


def _with_setting(airplane: Airplane) -> list[str]:
    return of_kind(airplane, "altimeter", "air-data-computer")


def _vibrated(airplane: Airplane) -> list[str]:
    return [i.name for i in airplane.instruments_of("altimeter") if i.vibrator]


ENTRIES = (
    Entry(
        "vsi-glass-broken",
        "Vertical speed indicator glass broken",
        "The glass of the vertical speed indicator is broken, so that its case is open to the cabin.",
        _OPEN,
        "vertical speed indicator",
        _kind("vertical-speed-indicator"),
        _glass,
        comes="suddenly",
        size=leak_size("5 mm"),
    ),
    Entry(
        "vsi-restrictor-plugged",
        "Vertical speed indicator leak plugged",
        "The calibrated leak of the vertical speed indicator is plugged, so that its case no longer follows.",
        "share of the calibrated leak that is shut",
        "vertical speed indicator",
        _kind("vertical-speed-indicator"),
        _restrictor,
    ),
    Entry(
        "altimeter-case-leak",
        "Altimeter case leak",
        "The case of the altimeter leaks to the cabin.",
        _OPEN,
        "altimeter",
        _kind("altimeter"),
        _case_leak,
        size=leak_size("1 mm"),
    ),
    Entry(
        "airspeed-capsule-leak",
        "Airspeed capsule leak",
        "The capsule of the airspeed indicator leaks into its case, from the pitot to the static side.",
        _OPEN,
        "airspeed indicator",
        _kind("airspeed-indicator"),
        _capsule_leak,
        size=leak_size("1 mm"),
    ),
    Entry(
        "altimeter-sticking",
        "Altimeter sticking",
        "The altimeter's mechanism rubs: its pointers hang back until the pull is large enough.",
        "share of the size",
        "altimeter",
        _kind("altimeter"),
        _sticking,
        size=Size("how far the pointers hang back", "200 ft", ("length",)),
    ),
    Entry(
        "altimeter-setting-wrong",
        "Altimeter setting wrong",
        "The altimeter is set higher or lower than the pilot believes.",
        "share of the size",
        "instrument with an altimeter setting",
        _with_setting,
        _setting,
        comes="suddenly",
        size=Size(
            "how much too high it is set, below zero for too low", "1 inHg", ("pressure",), positive=False
        ),
    ),
    Entry(
        "altimeter-vibrator-failed",
        "Altimeter vibrator failed",
        "The vibrator that shakes the altimeter free has stopped, so that its friction shows.",
        "share of the shaking that is lost",
        "altimeter with a vibrator",
        _vibrated,
        _vibrator,
    ),
    Entry(
        "encoder-dead",
        "Encoder dead",
        "The encoder reports nothing; no pointer shows it.",
        "1: it is dead or it is not",
        "encoder",
        _kind("encoder"),
        _blank,
        comes="suddenly",
        whole=True,
    ),
    Entry(
        "air-data-computer-dead",
        "Air-data computer dead",
        "The air-data computer has lost its power or a transducer and shows nothing.",
        "1: it is dead or it is not",
        "air-data computer",
        _kind("air-data-computer"),
        _blank,
        comes="suddenly",
        whole=True,
    ),
    Entry(
        "variometer-flask-leaking",
        "Variometer flask leaking",
        "The flask of a variometer, or the tube to it, leaks to the cabin.",
        _OPEN,
        "variometer",
        _kind("variometer"),
        _flask,
        size=leak_size("0.5 mm"),
    ),
    Entry(
        "encoder-offset",
        "Encoder offset",
        "The encoder reports an altitude that is off by a fixed amount; no pointer shows it.",
        "share of the size",
        "encoder",
        _kind("encoder"),
        _offset,
        size=Size(
            "how much too high it reports, below zero for too low", "300 ft", ("length",), positive=False
        ),
    ),
    Entry(
        "pointer-stuck",
        "Pointer stuck",
        "One pointer makes only part of its movement, or none, whatever its mechanism does.",
        "share of each movement that the pointer does not make: at 1 it stands still",
        "instrument with a pointer",
        _with_pointer,
        _stuck,
    ),
)
