"""The hangar's altimeters against what a tested altimeter is allowed.

Source: 14 CFR Part 43 Appendix E, Table II (hysteresis) and Table III (friction), tests/outside/data. The
files state assumed figures of healthy instruments, so each has to be within. Read as the rule reads: on the
way down against the way up, at a half and two fifths of the highest altitude; the change on vibrating while
climbing at 750 ft/min. After-effect is not compared: the model has no time, the rule has five minutes.
"""

import numpy as np
import pytest

from ramstill import air, airplane
from ramstill.air.constants import P0
from ramstill.air.units import FPM, FT
from ramstill.instruments import altimeter as altimeters
from ramstill.instruments.edits import Edited

ALTIMETERS = [
    (name, instrument.name)
    for name in airplane.hangar()
    for instrument in airplane.load(name).instruments_of("altimeter")
]


def shown(instrument, time, felt, edited):
    """Its reading [m] at the standard setting."""
    return altimeters.mechanism(instrument, P0, edited).pointer(time, altimeters.law(instrument, felt))


@pytest.mark.parametrize(("name", "altimeter"), ALTIMETERS)
def test_hysteresis(name, altimeter, read, residual):
    plane = airplane.load(name)
    top = float(plane.instrument(altimeter).top_mark)
    rows = {row["test"]: float(row["tolerance_ft"]) for row in read("part43_appE_table2_tests")}
    up = np.linspace(0.0, top, 2001)
    flight = np.concatenate([up, up[::-1]])
    time = np.arange(len(flight)) * (top / 2000.0) / (750.0 * FPM)
    # tapped before each reading: friction is another test
    instrument = plane.instrument(altimeter).model_copy(update={"friction": 0.0, "lag": 0.0})
    felt = np.asarray(air.static_pressure(flight))
    reading = shown(instrument, time, felt, Edited())
    there, back = reading[:2001], reading[2001:][::-1]
    for share, row in ((0.5, "hysteresis_first_point"), (0.4, "hysteresis_second_point")):
        gap = float(back[int(2000 * share)] - there[int(2000 * share)]) / FT
        residual(f"{name} {altimeter}: {row} [ft]", abs(gap), rows[row])


@pytest.mark.parametrize(("name", "altimeter"), ALTIMETERS)
def test_friction(name, altimeter, read, residual):
    """Climbing at 750 ft/min with nothing that shakes, then shaken: the change of the reading."""
    plane = airplane.load(name)
    instrument, rows = plane.instrument(altimeter), read("part43_appE_table3_friction")
    time = np.arange(0.0, 240.0, 0.5)
    for row in rows:
        at = float(row["altitude_ft"]) * FT
        if at > float(instrument.top_mark):
            continue
        height = at + 750.0 * FPM * (time - time[-1])
        unshaken, shaken = (instrument.model_copy(update={"friction": f}) for f in (instrument.friction, 0.0))
        none = Edited(vibrator_lost=1.0)
        felt = np.asarray(air.static_pressure(height))
        readings = [shown(i, time, felt, none)[-1] for i in (unshaken, shaken)]
        change = float(readings[1] - readings[0]) / FT
        residual(f"{name} {altimeter}: friction at {at / FT:.0f} ft [ft]", change, float(row["tolerance_ft"]))
