"""Icing clouds that certification reckons with: 14 CFR Part 25 Appendix C, Part I.

Takeoff maximum icing, paragraph (c): 0.35 g/m3, 20 micrometres, -9 degC: seen in a public copy. The
envelopes of figures 1 and 4 are drawn curves; their ends are from memory: continuous maximum 0.04 to 0.8
g/m3, 15 to 40 micrometres, 0 to -30 degC; intermittent maximum up to 2.9 g/m3, 15 to 50 micrometres, 0 to
-40 degC.
"""

import numpy as np
import pytest

from ramstill.air.units import CELSIUS_ZERO, KT
from ramstill.pneumatics import growth_rate, open_share

PROBE, BORE = 12e-3, 5e-3


@pytest.mark.parametrize("water", [0.04e-3, 0.35e-3, 0.8e-3, 2.9e-3])
@pytest.mark.parametrize("droplet", [15e-6, 20e-6, 40e-6, 50e-6])
def test_the_whole_envelope_is_within_the_law(water, droplet):
    """60 to 250 kt, 10 to -40 degC: at most all the water in the way freezes, and nothing above 0 degC."""
    v, t = np.meshgrid(np.linspace(60.0, 250.0, 20) * KT, CELSIUS_ZERO + np.linspace(-40.0, 10.0, 26))
    rate = growth_rate(v, t, water, droplet, PROBE)
    assert (rate <= water * v).all()
    assert (rate[t >= CELSIUS_ZERO] <= 0.0).all()
    assert (rate[t < CELSIUS_ZERO - 12.0] > 0.0).all()


def test_takeoff_maximum_closes_an_unheated_inlet_in_minutes():
    time = np.arange(0.0, 1801.0)
    share = open_share(time, 70.0 * KT, CELSIUS_ZERO - 9.0, 0.35e-3, 20e-6, 0.0, BORE, PROBE)
    closed = time[np.argmax(share == 0.0)]
    assert 60.0 < closed < 900.0
