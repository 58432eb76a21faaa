"""Every healthy vertical speed reading of every airplane in the hangar in steady climbs and descents.

Five time constants after it begins the reading is within 5 % of the rate of pressure altitude, from sea level
to 25,000 ft. The time constant is that of the height: behind the same leak air thinner by half takes twice as
long. What the mechanism's friction holds back is stated in the airplane file and comes on top.
"""

import numpy as np
import pytest

from ramstill import air, airplane
from ramstill.air.constants import P0, RHO0
from ramstill.air.units import FPM, FT
from ramstill.instruments import pointers_of, read
from ramstill.pneumatics import Surroundings, Truth, compile_network, settle
from ramstill.pneumatics.integrate import integrate

ALLOWED = 0.05
# The older leak, a capillary and an orifice in a row, is right where it is balanced, at full scale. The
# capillary alone reads 20 % high at 25,000 ft (by the ratio of standard temperatures), and at a small share
# of full scale the flow is all its own.
ALLOWED_OLDER = 0.15
LATE = 2.0  # seconds within which lines, pointer and an air-data computer's filter follow, assumed

READINGS = [
    (name, pointer.name)
    for name in airplane.hangar()
    for pointer in pointers_of(airplane.load(name))
    if pointer.shows == "vertical-speed"
]


def climb(plane, name, height_m, rate_m_s):
    """What a reading shows [m/s] after five time constants of a climb (or a descent) to `height_m`."""
    pointer = next(p for p in pointers_of(plane) if p.name == name)
    leak = getattr(pointer.instrument, "leak", None)
    late = LATE if leak is None else float(leak.time_constant) * RHO0 / float(air.standard_density(height_m))
    times = np.linspace(0.0, 5.0 * late + LATE, 120)
    static = np.asarray(air.static_pressure(height_m + rate_m_s * (times - times[-1])))
    network = compile_network(plane)
    names = network.boundary_names
    around = Surroundings.from_samples(
        times, names, np.repeat(static[:, None], len(names), axis=1), Truth.steady(times)
    )
    start = settle(network, dict.fromkeys(names, static[0]))
    pressure = integrate(network, around, times, initial_pa=start)
    by_name = dict(zip(network.node_names, pressure.T, strict=True))
    shown = read(plane, times, by_name, P0, truth=around.truth, network=network)
    return float(shown[name][-1])


@pytest.mark.parametrize("height_ft", [0.0, 5000.0, 15_000.0, 25_000.0])
@pytest.mark.parametrize(("name", "reading"), READINGS)
def test_a_steady_climb_reads_right(name, reading, height_ft):
    plane = airplane.load(name)
    instrument = next(p for p in pointers_of(plane) if p.name == reading).instrument
    full = float(getattr(instrument, "full_scale", 2000.0 * FPM))
    friction = float(getattr(instrument, "friction", 0.0))
    older = getattr(getattr(instrument, "leak", None), "law", "") == "capillary-and-orifice"
    for rate in (500.0 * FPM, min(1000.0 * FPM, 0.6 * full), 0.95 * full):
        allowed = ALLOWED_OLDER if older and rate < 0.9 * full else ALLOWED
        for way in (rate, -rate):
            shown = climb(plane, reading, height_ft * FT, way)
            assert abs(shown - way) <= allowed * rate + friction, (rate / FPM, shown / FPM)
            if not older and rate >= 0.4 * full:  # here friction is within the 5 % as well
                assert abs(shown - way) <= ALLOWED * rate
