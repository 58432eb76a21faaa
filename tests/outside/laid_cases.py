"""Which faults are laid on the recorded climb, when and how large, and which cannot be laid.

`same`: other faults of the catalogue for which the algebra gives the same readings. It follows from where the
lines run (the airplane file) and is no one's verdict.
"""

import numpy as np
from laid_faults import SHOWN, Case, Laid, laid, record
from laid_laws import (
    Law,
    airspeed_stands,
    altimeter_sticks,
    altitude_stands,
    both_trapped,
    crossed,
    dead,
    one_port_of_two,
    set_wrong,
    static_late,
    static_over_water,
    static_to_cabin,
    static_trapped,
    total_into_static,
    total_late,
    total_over_water,
    total_to_cabin,
    total_to_outside,
    total_trapped,
)
from published_air import Array, water_head

ONSETS = (1150.0, 1500.0, 2000.0)  # climbing at 250 kt; gaining speed to 340 kt; slowing at a Mach number
BETWEEN = (1250.0, 1650.0, 2150.0)  # for faults of the same algebra, so that no recording comes twice
STARTS = (None,)

INLET = ("cover-left-on", "insect-nest", "line-crushed", "pitot-inlet-blocked", "test-cap-left-on")
PORTS = ("line-crushed", "static-ports-blocked", "tape-over-static-port", "tee-plugged")
PITOT_LEAK = ("fitting-loose", "pitot-line-leak")
STATIC_LEAK = ("fitting-loose", "static-line-leak")
STICKING = ("altimeter-sticking", "altimeter-vibrator-failed")

# 1 cm3 of water in static-down-left, which runs 0.345 m for a fall of 0.12 m; in pitot-nose-left, 0.506 m
# for a rise of 0.08 m; both 4.6 mm wide (the airplane file)
STATIC_HEAD = water_head(1e-6, 4.6e-3, 0.12 / 0.345)
PITOT_HEAD = water_head(1e-6, 4.6e-3, 0.08 / 0.506)

# Why the rest of what the airplane can have is not laid.
NOT_LAID = {
    "one-static-port-blocked": "in straight flight the port on the other side shows the same pressure",
    "heater-failed": "nothing shows it until ice comes",
    "heat-left-off": "nothing shows it until ice comes",
    "pitot-icing": "with its heater on no ice grows; how it would grow is no algebra",
    "static-icing": "with its heater on no ice grows; how it would grow is no algebra",
    "cabin-pressure-lost": "no line leaks, so that nothing senses the cabin",
}


def _cases(
    name: str,
    law: Law,
    onsets: tuple[float | None, ...],
    size: float = 1.0,
    same: tuple[str, ...] = (),
    recorder: str = "air-data",
    word: str = "",
) -> list[Case]:
    same = tuple(other for other in same if other != name)
    return [
        Case(
            f"{name}{f'-{word}' if word else ''}-{'before' if onset is None else f'{onset:.0f}'}",
            (Laid(name, law, onset, size, same),),
            recorder,
        )
        for onset in onsets
    ]


AIR_DATA = (
    *_cases("pitot-inlet-blocked", total_trapped, ONSETS, same=INLET),
    *_cases("insect-nest", total_trapped, BETWEEN, same=INLET),
    *_cases("static-ports-blocked", static_trapped, ONSETS, same=PORTS),
    *_cases("tee-plugged", static_trapped, BETWEEN, same=PORTS),
    *_cases("everything-blocked", both_trapped, ONSETS),
    *_cases("line-crushed", total_late, ONSETS, 15.0, INLET, word="pitot"),
    *_cases("line-crushed", static_late, ONSETS, 6.0, PORTS, word="static"),
    *_cases("water-in-pitot-line", total_over_water, ONSETS, PITOT_HEAD),
    *_cases("water-in-static-line", static_over_water, ONSETS, STATIC_HEAD),
    *_cases("pitot-line-leak", total_to_cabin, ONSETS, 0.05, PITOT_LEAK, word="cabin"),
    *_cases("pitot-line-leak", total_to_outside, BETWEEN, 0.15, PITOT_LEAK, word="nose"),
    *_cases("static-line-leak", static_to_cabin, ONSETS, 0.05, STATIC_LEAK),
    *_cases("fitting-loose", static_to_cabin, BETWEEN, 0.01, STATIC_LEAK),
    *_cases("pitot-line-off", total_to_cabin, ONSETS, 1.0, word="cabin"),
    *_cases("pitot-line-off", total_to_outside, BETWEEN, 1.0, word="nose"),
    *_cases("static-line-off", static_to_cabin, ONSETS, 1.0),
    *_cases("lines-crossed", crossed, ONSETS),
    *_cases("port-deformed", one_port_of_two, ONSETS, -0.10, word="low"),
    *_cases("port-deformed", one_port_of_two, BETWEEN, 0.10, word="high"),
    *_cases("altimeter-setting-wrong", set_wrong, ONSETS, 1.0, word="high"),
    *_cases("altimeter-setting-wrong", set_wrong, BETWEEN, -0.5, word="low"),
    *_cases("air-data-computer-dead", dead, ONSETS),
)

# Faults of pointers, which only the standby instruments have.
STANDBY = (
    *_cases("pointer-stuck", airspeed_stands, ONSETS, 1.0, recorder="standby", word="airspeed"),
    *_cases("pointer-stuck", altitude_stands, ONSETS, 1.0, recorder="standby", word="altimeter"),
    *_cases("pointer-stuck", altitude_stands, BETWEEN, 0.5, recorder="standby", word="half-altimeter"),
    *_cases("altimeter-sticking", altimeter_sticks, ONSETS, 200.0, STICKING, "standby"),
    *_cases("airspeed-capsule-leak", total_into_static, ONSETS, 0.3, recorder="standby"),
    *_cases(
        "altimeter-case-leak",
        static_to_cabin,
        BETWEEN,
        0.05,
        (*STATIC_LEAK, "altimeter-case-leak"),
        "standby",
    ),
)

# Left on or done wrong on the ground: there before the record begins.
BEFORE = (
    *_cases("cover-left-on", total_trapped, STARTS, same=INLET),
    *_cases("test-cap-left-on", total_trapped, STARTS, same=INLET, recorder="standby"),
    *_cases("tape-over-static-port", static_trapped, STARTS, same=PORTS),
    *_cases("lines-crossed", crossed, STARTS),
    *_cases("altimeter-setting-wrong", set_wrong, STARTS, 1.0),
    *_cases("port-deformed", one_port_of_two, STARTS, -0.10),
    *_cases("static-line-leak", static_to_cabin, STARTS, 0.05, STATIC_LEAK),
)

PAIRS = (
    Case(
        "pitot-then-setting",
        (
            Laid("pitot-inlet-blocked", total_trapped, 1400.0, same=INLET),
            Laid("altimeter-setting-wrong", set_wrong, 1900.0, 1.0),
        ),
    ),
    Case(
        "static-then-pitot",
        (
            Laid("static-ports-blocked", static_trapped, 1300.0, same=PORTS),
            Laid("pitot-inlet-blocked", total_trapped, 1800.0, same=INLET),
        ),
    ),
    Case(
        "leak-then-pitot",
        (
            Laid("static-line-leak", static_to_cabin, 1200.0, 0.05, STATIC_LEAK),
            Laid("pitot-inlet-blocked", total_trapped, 1700.0, same=INLET),
        ),
    ),
)

# Other airplanes that the climb cannot be of: it goes to 340 kt and above 30,000 ft.
NOT_THEIRS = ("sailplane", "low-wing-mast", "high-wing-tube")

NOT_BY_PRESSURE = ("ground_speed_kt", "track_deg", "heading_deg", "gps_altitude_ft")
COUNTS_STEPS, COUNTS_ROWS = 3, 30

CASES = (*AIR_DATA, *STANDBY, *BEFORE, *PAIRS)


def healthy_cuts() -> dict[str, dict[str, Array]]:
    """The record untouched, whole and in parts: title -> columns."""
    whole = record()
    time = whole["time_s"]
    middle = 0.5 * (time[0] + time[-1])
    rows = {
        "whole": time > 0.0,
        "first-half": time <= middle,
        "second-half": time > middle,
        "middle-third": np.abs(time - middle) <= (time[-1] - time[0]) / 6.0,
    }
    found = {title: {name: v[kept] for name, v in whole.items()} for title, kept in rows.items()}
    left_out = {
        "without-gps": ("ground_speed_kt", "track_deg", "gps_altitude_ft"),
        "without-vertical-speed": ("vsi_fpm",),
        "airspeed-alone": ("altitude_ft", "vsi_fpm", *NOT_BY_PRESSURE),
        "altitude-alone": ("ias_kt", "vsi_fpm", *NOT_BY_PRESSURE),
        "airspeed-and-ground-speed": ("altitude_ft", "vsi_fpm", "gps_altitude_ft"),
    }
    for title, out in left_out.items():
        found[title] = {name: v for name, v in whole.items() if name not in out}
    return found


def counts(case: Case) -> bool:
    """Whether a case can be asked for: half a minute of it is three steps off the untouched."""
    columns, whole = laid(case), record()
    return any(
        np.sum(~(np.abs(columns[name] - whole[name]) < COUNTS_STEPS * step)) >= COUNTS_ROWS
        for name, step in SHOWN.items()
        if name in columns
    )
