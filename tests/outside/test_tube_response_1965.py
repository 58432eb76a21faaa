"""Amplitude and phase at the end of tubes with a volume.

H. Bergh and H. Tijdeman, Theoretical and experimental results for the dynamic response of pressure measuring
systems, NLR-TR F.238 (1965), figures 9, 11 and 13: points digitised from the printed figures, see
data/README.md. The tolerances are on the median: reading a point off a steep flank of a resonance is worth
several times as much in single rows. Phases are printed unwrapped, down to below -360 degrees.
"""

from collections import defaultdict

import numpy as np
import pytest

from ramstill.air.constants import P0, T0
from ramstill.pneumatics import tube_response


@pytest.fixture(scope="module")
def errors(read):
    """{(figure, quantity): errors} over all rows."""
    groups = defaultdict(list)
    for r in read("tube_response_1965"):
        key = (
            r["figure"],
            r["tubes_mm_length_x_inner_radius"],
            float(r["end_volume_mm3"]) * 1e-9,
            float(r["polytropic_exponent_in_volume"]),
            float(r["mean_pressure_atm"]) * P0,
            r["quantity"],
        )
        groups[key].append((float(r["frequency_hz"]), float(r["value"])))
    found = defaultdict(list)
    for (figure, tubes, volume, exponent, pressure, quantity), rows in groups.items():
        length, radius = (float(part) * 1e-3 for part in tubes.split("x"))
        f, printed = np.array(sorted(rows)).T
        # a fine way up in frequency, so that the phase can be unwrapped; the rows' own frequencies are on it
        grid = np.unique(np.concatenate([np.arange(0.0, f[-1], 0.25), f]))
        h = tube_response([length], [radius], [volume], grid, pressure, T0, exponent)
        curve = np.abs(h) if quantity == "amplitude_ratio" else np.degrees(np.unwrap(np.angle(h)))
        found[figure, quantity].extend(np.abs(curve[np.searchsorted(grid, f)] - printed))
    return found


def test_all_rows(errors, residual):
    for quantity, tolerance in (("amplitude_ratio", 0.02), ("phase_deg", 2.5)):
        every = np.concatenate([e for (_, q), e in errors.items() if q == quantity])
        assert len(every) == {"amplitude_ratio": 454, "phase_deg": 314}[quantity]
        residual(f"median {quantity}, {len(every)} rows", np.median(every), tolerance)


# A figure alone may be drawn or read worse than all together.
@pytest.mark.parametrize("figure", ["9", "11", "13"])
def test_each_figure(errors, residual, figure):
    residual(f"figure {figure}: median amplitude", np.median(errors[figure, "amplitude_ratio"]), 0.025)
    residual(f"figure {figure}: median phase [deg]", np.median(errors[figure, "phase_deg"]), 2.5)
