"""Which air is shut in, read from the network: against the plumbing as it is described."""

from collections.abc import Callable

import pytest

from ramstill.run import Run, Scenario, sealed_at
from ramstill.run.sealed import sealed_over, volume_m3

PITOT = {"airspeed.pitot", "mast-ram", "pitot-root"}


def of(run: Run) -> list[tuple[set[str], float, float]]:
    found = sealed_over(run.applied.network, run.applied.surroundings)
    return [(set(s.tappings), s.since_s, s.until_s) for s in found]


def test_a_healthy_airplane_has_no_sealed_air(healthy: Run) -> None:
    assert of(healthy) == []


def test_a_shut_inlet_seals_the_pitot_side(nest: Run) -> None:
    ((tappings, since, until),) = of(nest)
    assert tappings == PITOT
    assert (since, until) == (30.0, nest.surroundings.end_s)


def test_taped_static_openings_seal_every_case(taped: Run) -> None:
    ((tappings, since, until),) = of(taped)
    assert (since, until) == (taped.surroundings.start_s, taped.surroundings.end_s)
    assert {"airspeed.static", "altimeter.static", "vertical-speed.static", "vertical-speed.case"} <= tappings
    assert not tappings & PITOT
    # no part of the static side is left out: all its volumes but the open cup under the quick drain
    assert set(taped.applied.network.node_names) - tappings - PITOT == {"quick-drain-cup"}
    assert volume_m3(taped.applied.network, tuple(tappings)) == pytest.approx(1.2e-3, rel=0.5)


def test_a_finger_seals_as_a_fault_does(bench: Run) -> None:
    ((tappings, since, until),) = of(bench)
    assert tappings == PITOT
    assert since == pytest.approx(80.2)  # the finger takes 0.2 s to close
    assert until == pytest.approx(119.8, abs=0.5)


def test_sealed_air_is_free_again_when_the_fault_ends(flight: Callable[..., Scenario]) -> None:
    fault = {"name": "pitot-inlet-blocked", "onset": "30 s", "end": "60 s"}
    run = flight(faults=(fault,)).run()
    ((tappings, since, until),) = of(run)
    assert (tappings, since, until) == (PITOT, 30.0, 60.0)
    assert sealed_at(run.applied.network, run.applied.surroundings, 59.9) == (
        tuple(sorted(PITOT, key=run.applied.network.node_names.index)),
    )
    assert sealed_at(run.applied.network, run.applied.surroundings, 60.0) == ()


@pytest.mark.parametrize("severity", [0.5, 0.999])
def test_a_leak_however_small_is_a_way_out(flight: Callable[..., Scenario], severity: float) -> None:
    fault = {"name": "pitot-inlet-blocked", "severity": severity, "onset": "30 s"}
    assert of(flight(faults=(fault,)).run()) == []


def test_an_inlet_with_a_drain_seals_nothing_until_both_are_shut(flight: Callable[..., Scenario]) -> None:
    inlet = {"name": "pitot-inlet-blocked", "onset": "30 s"}
    drain = {"name": "pitot-drain-blocked", "onset": "50 s"}
    assert of(flight(airplane="high-wing-tube", faults=(inlet,)).run()) == []
    ((tappings, since, _),) = of(flight(airplane="high-wing-tube", faults=(inlet, drain)).run())
    assert "airspeed.pitot" in tappings
    assert since == 50.0
