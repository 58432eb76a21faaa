import numpy as np
import pytest
from hangar_cases import hangar

from ramstill.air.constants import P0
from ramstill.pneumatics import compile_network, lag_time_constants
from ramstill.pneumatics.compiling import INSIDE
from ramstill.pneumatics.network import HOLE, LEAK_LAMINAR, LEAK_ORIFICE, TUBE

PLANES = [(plane, network) for _, plane, network in hangar()]


@pytest.mark.parametrize(("plane", "network"), PLANES, ids=[p.name for p, _ in PLANES])
def test_every_part_of_the_airplane_is_there_under_its_own_name(plane, network):
    assert set(network.node_names) == set(plane.tappings)
    assert network.boundary_names == (*(o.name for o in plane.openings), *INSIDE)
    kinds = dict(zip(network.link_names, network.link_kind.tolist(), strict=True))
    assert {o.name for o in plane.openings} <= {n for n, k in kinds.items() if k == HOLE}
    assert {line.name for line in plane.lines} == {n for n, k in kinds.items() if k == TUBE}
    leaks = {f"{i.name}.leak" for i in plane.instruments if getattr(i, "leak", None)}
    assert leaks == {n for n, k in kinds.items() if k in (LEAK_LAMINAR, LEAK_ORIFICE)}
    assert (network.temperature_k == plane.inside.cabin_temperature).all()


@pytest.mark.parametrize(("plane", "network"), PLANES, ids=[p.name for p, _ in PLANES])
def test_no_air_is_lost(plane, network):
    whole = (
        sum(float(f.volume) for f in plane.fittings)
        + sum(line.volume_m3 for line in plane.lines)
        + sum(v for i in plane.instruments for v in i.volumes.values())
    )
    # empty fittings hold a cubic millimetre each
    assert network.volume_m3.sum() == pytest.approx(whole, abs=1e-9 * len(plane.fittings) + 1e-15)


@pytest.mark.parametrize(("plane", "network"), PLANES, ids=[p.name for p, _ in PLANES])
def test_valves_stand_as_in_ordinary_flight(plane, network):
    for valve in plane.valves:
        schedule = network.openness[network.link_of(valve.name)]
        assert (0.0 if valve.normally == "closed" else 1.0) == (1.0 if schedule is None else schedule.at(0.0))


@pytest.mark.parametrize(("plane", "network"), PLANES, ids=[p.name for p, _ in PLANES])
def test_every_tapping_is_reached_and_soon(plane, network):
    lags = lag_time_constants(network, P0, float(plane.inside.cabin_temperature))
    assert np.isfinite(list(lags.values())).all()
    for instrument in plane.instruments_of("vertical-speed-indicator"):
        behind = lags[f"{instrument.name}.case"] - lags[f"{instrument.name}.static"]
        if instrument.leak.law == "compensated-laminar":
            assert behind == pytest.approx(float(instrument.leak.time_constant), rel=1e-6)
        assert lags[f"{instrument.name}.static"] < 1.0


def test_the_same_airplane_compiles_to_the_same_arrays():
    plane, network = PLANES[0]
    again = compile_network(plane)
    assert (again.link_size == network.link_size).all()
    assert again.node_names == network.node_names
