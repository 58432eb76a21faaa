"""A real jet's climb, decoded Mode S messages: sample data of the Python package `traffic` 2.13 (MIT
licence), resampled to 1 Hz by last value, identity removed.

Mach from indicated airspeed (step 1 kt) and altitude (step 25 ft) against the Mach transmitted (step 0.004).
Every row counts; rows more than 0.01 off are listed by their time.
"""

import numpy as np

from ramstill import air
from ramstill.air.units import FT, KT


def test_mach_of_every_row(read, residual):
    rows = read("recorded_flight_climb")
    time, ias, altitude, sent = (
        np.array([float(r[c]) for r in rows]) for c in ("time_s", "ias_kt", "altitude_ft", "mach")
    )
    assert len(rows) == 1501
    assert np.all(np.isfinite(sent))
    off = air.mach_from_calibrated(ias * KT, air.static_pressure(altitude * FT)) - sent
    far = [f"{t:.0f} s: {d:+.4f}" for t, d in zip(time, off, strict=True) if abs(d) > 0.01]
    listed = f"rows more than 0.01 off: {', '.join(far) or 'none'}"
    print(listed)
    residual("median of the signed difference [Mach]", abs(float(np.median(off))), 0.0005)
    residual("95 % of absolute differences [Mach]", float(np.quantile(np.abs(off), 0.95)), 0.003)
    # one dropped-out message is known; more of them would mean that the law, or the file, has changed
    assert len(far) <= 1, listed
