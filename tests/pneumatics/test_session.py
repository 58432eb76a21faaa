"""The engine a little at a time is the engine: same pressures, and it can go back and look ahead."""

import numpy as np
import pytest
from hangar_cases import END_S, ONSET_S, faults, hangar, short_flight

from ramstill.pneumatics import Schedule, Session, SolverError, Surroundings, Truth, integrate, settle
from ramstill.pneumatics.integrate import TOLERANCE_PA

CASES = {name: (plane, network) for name, plane, network in hangar()}
WHEN = np.linspace(0.0, END_S, 81)  # every 0.25 s
ODD = np.linspace(0.0, END_S, 78)  # so that onsets lie within a call
# Errors of single steps of up to a tolerance add up over an onset's many; both methods make them.
USUAL = 10.0 * TOLERANCE_PA


def straight(around, when=WHEN):
    """The same in straight lines between some times: what a session is told."""
    pressure = around.at(when)
    return Surroundings.from_samples(
        when, around.boundary_names, pressure, Truth.steady(when), curve="straight"
    )


@pytest.mark.parametrize("name", CASES)
def test_a_session_is_what_integrate_says(name: str) -> None:
    """With faults that set in on the way, hard as they come."""
    plane, healthy = CASES[name]
    for what, network in faults(plane, healthy).items():
        around = straight(short_flight(plane, network), ODD)
        start = settle(healthy, around.pressure_pa[0])
        session = Session(network, around.pressure_pa[0], 0.0, inside=start)
        assert np.array_equal(session.pressure_pa, start)
        rows = [session.advance(t, there) for t, there in zip(ODD[1:], around.pressure_pa[1:], strict=True)]
        usual = integrate(network, around, ODD, initial_pa=start)
        np.testing.assert_allclose(np.array(rows), usual[1:], rtol=0.0, atol=USUAL, err_msg=what)


def test_on_cubics_it_is_what_integrate_says_of_those() -> None:
    plane, network = CASES["business-jet"]
    around = short_flight(plane, network)
    around = Surroundings.from_samples(
        WHEN, around.boundary_names, around.at(WHEN) + 30.0 * np.sin(WHEN)[:, None] ** 2, Truth.steady(WHEN)
    )
    names = around.boundary_names
    flat = np.zeros(len(names))
    session = Session(network, dict(zip(names, around.pressure_pa[0], strict=True)))
    session.advance(0.0, around.pressure_pa[0], around.slope_right_pa_s[0])
    found = np.array(
        [
            session.advance(t, dict(zip(names, there, strict=True)), slope)
            for t, there, slope in zip(
                WHEN[1:], around.pressure_pa[1:], around.slope_left_pa_s[1:], strict=True
            )
        ]
    )
    usual = integrate(network, around, WHEN, initial_pa=settle(network, around.pressure_pa[0]))
    np.testing.assert_allclose(found, usual[1:], rtol=0.0, atol=USUAL)
    # settled already where nothing moves
    still = Session(network, around.pressure_pa[0])
    np.testing.assert_allclose(
        still.advance(9.0, around.pressure_pa[0], flat), still.state().state[: found.shape[1]]
    )
    assert np.ptp(still.pressure_pa - settle(network, around.pressure_pa[0])) < TOLERANCE_PA


def test_what_is_opened_by_hand_is_as_if_it_had_been_planned() -> None:
    plane, network = CASES["high-wing-tube"]
    around = straight(short_flight(plane, network))
    inlet = next(o.name for o in plane.openings if o.kind == "pitot-inlet")
    alternate = plane.valves[0].name
    planned = network.opened_by(alternate, Schedule.step(ONSET_S, 0.0, 0.5)).with_openness(
        inlet, Schedule.step(ONSET_S, 1.0, 0.0)
    )
    session = Session(network, around.pressure_pa[0])
    rows = []
    for t, there in zip(WHEN[1:], around.pressure_pa[1:], strict=True):
        rows.append(session.advance(t, there))
        if t == ONSET_S:
            session.open(inlet, 0.0)
            session.open(alternate, 0.5)
    usual = integrate(planned, around, WHEN, initial_pa=settle(network, around.pressure_pa[0]))
    np.testing.assert_allclose(np.array(rows), usual[1:], rtol=0.0, atol=USUAL)
    session.open(inlet, None)
    session.open(alternate, None)
    session.advance(END_S + 60.0, around.pressure_pa[-1])
    rest = settle(network, around.pressure_pa[-1])
    np.testing.assert_allclose(session.pressure_pa, rest, atol=2.0 * TOLERANCE_PA)


def test_a_fault_laid_on_in_mid_run_is_as_if_it_had_been_planned() -> None:
    plane, network = CASES["twin-two-ports"]
    around = straight(short_flight(plane, network))
    case = plane.instruments_of("altimeter")[0].name + ".static"
    leaking = network.with_hole("leak", case, "cabin", 1e-3, 1e-3, Schedule.step(ONSET_S, 0.0, 1.0))
    session = Session(network, around.pressure_pa[0])
    rows = []
    for t, there in zip(WHEN[1:], around.pressure_pa[1:], strict=True):
        rows.append(session.advance(t, there))
        if t == ONSET_S:
            session.exchange(network.with_hole("leak", case, "cabin", 1e-3, 1e-3))
    usual = integrate(leaking, around, WHEN, initial_pa=settle(network, around.pressure_pa[0]))
    np.testing.assert_allclose(np.array(rows), usual[1:], rtol=0.0, atol=USUAL)


def test_an_abrupt_change_outside() -> None:
    plane, network = CASES["low-wing-mast"]
    first = short_flight(plane, network).pressure_pa[0]
    then = first + 500.0
    around = Surroundings.from_samples(
        [0.0, 1.0, 1.0, 3.0],
        network.boundary_names,
        np.stack([first, first, then, then]),
        Truth.steady([0.0, 1.0, 1.0, 3.0]),
    )
    when = np.array([1.0, 1.01, 1.1, 1.5, 3.0])
    usual = integrate(network, around, when, initial_pa=settle(network, first))
    session = Session(network, first)
    found = [session.advance(1.0, first)]
    found += [session.advance(t, then, jump=t == when[1]) for t in when[1:]]
    np.testing.assert_allclose(np.array(found), usual, rtol=0.0, atol=USUAL)
    at_once = Session(network, first)
    at_once.advance(1.0, first)
    at_once.advance(1.0, then)  # no time passes: the same jump
    np.testing.assert_allclose(at_once.advance(1.1, then), usual[2], rtol=0.0, atol=USUAL)


def test_it_goes_back_and_looks_ahead_to_the_last_digit() -> None:
    plane, network = CASES["pressurised-turboprop"]
    faulty = faults(plane, network)["pitot line off"]
    pressure = straight(short_flight(plane, faulty)).pressure_pa
    session = Session(faulty, pressure[0])
    whole, kept = [], {}
    for i, t in enumerate(WHEN[1:], 1):
        kept[i] = session.state()
        whole.append(session.advance(t, pressure[i]))
        ahead = session.state()
        session.open(faulty.link_names[0], 0.3)
        session.exchange(network)
        session.advance(t + 5.0, pressure[-1])
        session.restore(ahead)
    other = Session(network, pressure[0])
    other.restore(kept[20])
    assert other.time_s == WHEN[19]
    again = [other.advance(WHEN[i], pressure[i]) for i in range(20, len(WHEN))]
    assert np.array_equal(np.array(again), np.array(whole[19:]))


def test_another_volume_keeps_its_air_as_it_is() -> None:
    plane, network = CASES["low-wing-mast"]
    first = short_flight(plane, network).pressure_pa[0]
    session = Session(network, first)
    session.advance(1.0, first - 200.0)
    before = session.inside
    session.exchange(network.with_volume(network.node_names[0], 2.0 * float(network.volume_m3[0])))
    np.testing.assert_allclose(session.pressure_pa, before.pressure_pa)
    np.testing.assert_allclose(session.temperature_k, before.temperature_k)


def test_what_does_not_fit_is_refused() -> None:
    plane, network = CASES["low-wing-mast"]
    first = short_flight(plane, network).pressure_pa[0]
    session = Session(network, first, 5.0)
    with pytest.raises(ValueError, match="does not go back"):
        session.advance(4.0, first)
    with pytest.raises(ValueError, match="one figure"):
        session.advance(6.0, first[1:])
    with pytest.raises(ValueError, match="no link"):
        session.open("nothing", 0.0)
    with pytest.raises(ValueError, match="less than nothing"):
        session.open(network.link_names[0], -0.5)
    with pytest.raises(ValueError, match="same volumes"):
        session.exchange(CASES["sailplane"][1])
    with pytest.raises(ValueError, match="above zero"):
        Session(network, first, tolerance_pa=0.0)
    with pytest.raises(ValueError, match="starts at a time"):
        Session(network, first, np.nan)
    by_name = dict(zip(network.boundary_names, first.tolist(), strict=True))
    del by_name[network.boundary_names[1]]
    with pytest.raises(ValueError, match=f"{network.boundary_names[1]!r} has none"):
        Session(network, by_name)
    for to, outside, slope, why in (
        (np.nan, first, None, "goes on to a time"),
        (np.inf, first, None, "goes on to a time"),
        (6.0, by_name, None, "has none"),
        (6.0, np.nan * first, None, "finite"),
        (5.0, np.nan * first, None, "finite"),
        (6.0, -first, None, "above zero"),
        (6.0, first, np.inf * first, "finite"),
    ):
        with pytest.raises(ValueError, match=why):
            session.advance(to, outside, slope)
    assert session.time_s == 5.0
    np.testing.assert_array_equal(session.outside_pa, first)


def test_where_it_gives_up_it_stands_where_it_stood(monkeypatch: pytest.MonkeyPatch) -> None:
    plane, network = CASES["low-wing-mast"]
    first = short_flight(plane, network).pressure_pa[0]
    session = Session(network, first)
    monkeypatch.setattr("ramstill.pneumatics.session.MOST_STEPS", 3)
    before = session.pressure_pa
    with pytest.raises(SolverError, match="more than 3 steps"):
        session.advance(1.0, first + 3000.0, jump=True)
    assert session.time_s == 0.0
    assert np.array_equal(session.pressure_pa, before)
