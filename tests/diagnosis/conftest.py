"""Recordings made by the engine itself, for what must hold in any case; the quality is measured elsewhere."""

from collections.abc import Callable, Sequence
from pathlib import Path

import numpy as np
import pytest

from ramstill.flight.recording import Recording
from ramstill.run.scenario import from_tables

Array = np.ndarray
LEGS = (
    {"kind": "level", "duration": "90 s"},
    {"kind": "climb", "to": "4500 ft", "rate": "600 ft/min", "speed": "75 kt"},
    {"kind": "level", "duration": "60 s", "speed": "95 kt"},
    {"kind": "descent", "to": "3500 ft", "rate": "700 ft/min", "speed": "90 kt"},
)
STEPS = {
    "ias": 0.5144,
    "altitude": 6.096,
    "vertical speed": 0.254,
    "ground speed": 0.5144,
    "gps altitude": 3.048,
}


def recorded(
    faults: Sequence[dict[str, object]] = (),
    airplane: str = "high-wing-tube",
    without: Sequence[str] = (),
    seed: int = 5,
) -> Recording:
    """A flight of ten minutes as a recorder with its rounding and a little scatter would write it."""
    tables = {
        "format": 1,
        "title": "recorded",
        "airplane": airplane,
        "output_rate": "1 Hz",
        "flight": {"start_altitude": "3000 ft", "start_speed": "90 kt", "leg": list(LEGS)},
        "fault": list(faults),
    }
    run = from_tables(tables, "test", Path()).run()
    rng = np.random.default_rng(seed)
    shown = {one.shows: run.pointers[one.name] for one in reversed(run.panel)}
    rows = {
        "ias": np.maximum(shown["airspeed"] + rng.normal(0.0, 0.2, len(run.time_s)), 0.0),
        "altitude": shown["altitude"],
        "vertical speed": shown["vertical-speed"],
        "ground speed": run.truth.tas_m_s - 4.0,
        "track": np.full(len(run.time_s), 1.0),
        "heading": np.full(len(run.time_s), 1.0),
        "gps altitude": run.truth.geometric_altitude_m + 20.0,
    }
    kept = {name: row for name, row in rows.items() if name not in without}
    values = {
        name: np.round(row / STEPS[name]) * STEPS[name] if name in STEPS else row
        for name, row in kept.items()
    }
    return Recording("made by a test", run.time_s, values, STEPS, dict.fromkeys(values, 0))


@pytest.fixture(scope="session")
def record() -> Callable[..., Recording]:
    """`recorded`."""
    return recorded


@pytest.fixture(scope="session")
def sound_record() -> Recording:
    """Nothing is wrong."""
    return recorded()
