"""Ten minutes of a pilot in the loop: seconds, and where they go, against the limit we set ourselves.

Run with the installed package's Python: `python benchmarks/closed_loop.py`. What is compiled is compiled, and
kept, before anything is timed; the quickest of several flights counts, as other work slows the others.
"""

import argparse
import json
import time
from collections.abc import Callable

import ramstill as rs
from ramstill import air, airplane
from ramstill.faults import Fault
from ramstill.flight.pilots import Flown, fly, parse_pilot
from ramstill.flight.pilots import loop as loops

LIMIT_S = 0.3  # for ten minutes
REPEATS = 7
TASKS = [
    {"kind": "level", "duration": "60 s"},
    {"kind": "climb", "to": "3500 ft", "speed": "72 kt"},
    {"kind": "level", "duration": "3 min", "speed": "85 kt"},
    {"kind": "descent", "to": "2400 ft", "speed": "85 kt"},
    {"kind": "level", "duration": "2 min"},
]
CASES = {
    "pitch by airspeed": ("low-wing-mast", "by-airspeed", ()),
    "cross-check": ("low-wing-mast", "cross-check", ()),
    "autopilot": ("low-wing-mast", "altitude-hold", ()),
    "cross-check, static line leaks": (
        "high-wing-tube",
        "cross-check",
        (Fault("static-line-leak", onset_s=90.0),),
    ),
    "pitch and power, inlet icing": (
        "high-wing-tube",
        "by-pitch-and-power",
        (Fault("pitot-icing"), Fault("heat-left-off")),
    ),
    "air-data computer": ("glass-trainer", "by-airspeed", ()),
}
COLD = air.Day(temperature_offset_k=-14.0)


def flight(name: str, style: str, faults: tuple[Fault, ...]) -> Callable[[], Flown]:
    """One flight, ready to be flown."""
    plane = airplane.load(name)
    plan = parse_pilot(
        {"style": style, "start_altitude": "2500 ft", "start_speed": "80 kt", "task": TASKS}, name
    )
    return lambda: fly(plane, plan, COLD, faults)


def best(fly_it: Callable[[], object], repeats: int = REPEATS) -> float:
    """The quickest of several [s]."""
    found = []
    for _ in range(repeats):
        begun = time.perf_counter()
        fly_it()
        found.append(time.perf_counter() - begun)
    return min(found)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--json", action="store_true", help="print the figures as JSON alone")
    as_json = parser.parse_args().json
    figures = {}
    for title, case in CASES.items():
        ready = flight(*case)
        flown = ready()  # compiles
        seconds = float(flown.path.truth.time_s[-1])
        took = best(ready)
        again = best(lambda done=flown, name=case[0]: rs.simulate(name, done.surroundings, done.faults))
        figures[title] = {
            "flown_s": seconds,
            "took_s": took,
            "for_ten_minutes_s": took * 600.0 / seconds,
            "over_limit": took * 600.0 / seconds / LIMIT_S,
            "microseconds_a_round": 1e6 * took * loops.STEP_S / seconds,
            "worked_out_again_s": again,
        }
    if as_json:
        print(json.dumps(figures))
        return
    print(
        f"{'flight':34} {'flown':>7} {'took':>8} {'10 min':>8} {'limit':>7} {'a round':>9} {'run again':>10}"
    )
    for title, row in figures.items():
        per = f"{row['microseconds_a_round']:6.0f} us {row['worked_out_again_s']:8.3f} s"
        print(
            f"{title:34} {row['flown_s']:5.0f} s {row['took_s']:6.3f} s {row['for_ten_minutes_s']:6.3f} s "
            f"x{row['over_limit']:5.2f} {per}"
        )


if __name__ == "__main__":
    main()
