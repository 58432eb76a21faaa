"""What each fault edits in the network, the surroundings and the instruments."""

import numpy as np
import pytest

from ramstill import airplane
from ramstill.air.constants import P0
from ramstill.air.units import INHG
from ramstill.errors import InputError
from ramstill.faults import Fault, apply, catalogue, where_on_airplane
from ramstill.pneumatics import Surroundings, Truth, compile_network

HANGAR = airplane.hangar()


def in_flight(plane, network):
    """Steady flight in the cold: what is ahead of the mast is 1,500 Pa above the rest."""
    time = np.array([0.0, 100.0])
    names = network.boundary_names
    ram = {o.name for o in plane.openings if o.sees == "ram"}
    pressure = np.array([[P0 + 1500.0 * (name in ram) for name in names]] * 2)
    cold = {"outside_temperature_k": 258.0, "tas_m_s": 50.0, "static_pressure_pa": 60_000.0}
    truth = Truth.steady(time, impact_pressure_pa=1500.0, **cold)
    return Surroundings.from_samples(time, names, pressure, truth)


def put(fault, name="low-wing-mast"):
    plane = airplane.load(name)
    network = compile_network(plane)
    around = in_flight(plane, network)
    return plane, network, around, apply([fault], plane, network, around)


def openness(network, link, at_s):
    schedule = network.openness[network.link_of(link)]
    return 1.0 if schedule is None else float(schedule.at(at_s))


def added(healthy, network):
    """The links a fault added: (a, b) by name."""
    names = (*network.node_names, *network.boundary_names)
    first = len(healthy.link_names)
    ends = zip(network.link_a[first:], network.link_b[first:], strict=True)
    return [(names[a], names[b]) for a, b in ends]


@pytest.mark.parametrize("name", HANGAR)
@pytest.mark.parametrize("fault", [name for name, entry in catalogue().items() if not entry.first])
def test_every_fault_does_something_at_every_place_and_nothing_before_its_onset(name, fault):
    plane = airplane.load(name)
    network = compile_network(plane)
    around = in_flight(plane, network)
    for place in catalogue()[fault].places(plane):
        faults = [Fault(fault, where=place, onset_s=50.0)]
        if fault.endswith("icing") and catalogue()["heat-left-off"].places(plane):
            faults.append(Fault("heat-left-off"))
        applied = apply(faults, plane, network, around)
        shifted = [edit.schedule for edit in applied.pointer_edits]
        assert all(schedule.at(49.0) == 0.0 for schedule in shifted)
        assert [openness(applied.network, link, 49.0) for link in network.link_names] == [
            openness(network, link, 49.0) for link in network.link_names
        ]
        links = applied.network.link_names
        extra = links[len(network.link_names) :]
        assert all(openness(applied.network, link, 49.0) == 0.0 for link in extra)
        np.testing.assert_allclose(applied.surroundings.at([49.0]), around.at([49.0]), rtol=1e-12)
        changed = (
            any(
                openness(applied.network, link, 99.0) != openness(network, link, 99.0)
                for link in network.link_names
            )
            or any(openness(applied.network, link, 99.0) > 0.0 for link in extra)
            or any(schedule.at(99.0) != 0.0 for schedule in shifted)
            or not np.allclose(applied.surroundings.at([99.0]), around.at([99.0]), rtol=1e-9)
        )
        assert changed, place
        assert applied.places, place


def test_no_fault_leaves_another_network_object_than_the_healthy_one():
    _, network, _, applied = put(Fault("altimeter-setting-wrong"))
    assert applied.network is not network
    assert applied.network.link_names == network.link_names


def test_severity_is_the_share_that_is_shut():
    _, _, _, applied = put(Fault("static-ports-blocked", severity=0.75, onset_s=10.0, gradual_s=10.0))
    assert openness(applied.network, "mast-static-inner", 15.0) == pytest.approx(0.625)
    assert openness(applied.network, "mast-static-outer", 30.0) == pytest.approx(0.25)
    assert openness(applied.network, "mast-inlet", 30.0) == 1.0


def test_two_faults_at_one_opening_act_together():
    plane = airplane.load("low-wing-mast")
    network = compile_network(plane)
    faults = [Fault("insect-nest", severity=0.5), Fault("pitot-inlet-blocked", severity=0.5)]
    applied = apply(faults, plane, network, in_flight(plane, network))
    assert openness(applied.network, "mast-inlet", 1.0) == pytest.approx(0.25)


def test_a_line_off_is_shut_and_open_at_both_ends():
    _, network, _, applied = put(Fault("static-line-off", where="static-wing", onset_s=5.0))
    assert openness(applied.network, "static-wing", 6.0) == 0.0
    assert added(network, applied.network) == [("mast-still", "wing-bay"), ("static-root", "wing-bay")]
    _, network, _, applied = put(Fault("pitot-line-off"))
    assert added(network, applied.network) == [("pitot-root", "cabin"), ("airspeed.pitot", "cabin")]


def test_lines_crossed_at_the_mast_lead_each_chamber_to_the_other_root():
    _, network, _, applied = put(Fault("lines-crossed", where="mast"))
    assert openness(applied.network, "pitot-wing", 1.0) == 0.0
    assert openness(applied.network, "static-wing", 1.0) == 0.0
    assert added(network, applied.network) == [("mast-ram", "static-root"), ("mast-still", "pitot-root")]


def test_lines_crossed_at_one_instrument_leave_the_others_alone():
    _, network, _, applied = put(Fault("lines-crossed", where="airspeed"))
    assert added(network, applied.network) == [
        ("pitot-root", "airspeed.static"),
        ("static-tee-airspeed", "airspeed.pitot"),
    ]
    assert openness(applied.network, "static-tee-to-tee", 1.0) == 1.0


def test_a_quick_drain_left_open_is_a_passage_to_its_cup():
    _, network, _, applied = put(Fault("quick-drain-left-open"))
    assert added(network, applied.network) == [("static-sump", "quick-drain-cup")]


def test_setting_and_offset_say_how_much():
    edit = put(Fault("altimeter-setting-wrong", size="-10 hPa"))[3].pointer_edits[0]
    assert (edit.what, edit.schedule.at(1.0)) == ("setting offset", -1000.0)
    edit = put(Fault("altimeter-setting-wrong"))[3].pointer_edits[0]
    assert edit.schedule.at(1.0) == pytest.approx(INHG)
    edit = put(Fault("encoder-offset", severity=0.5))[3].pointer_edits[0]
    assert edit.schedule.at(1.0) == pytest.approx(150 * 0.3048)


def test_a_deformed_port_sees_its_share_of_impact_pressure_from_the_onset_on():
    fault = Fault("port-deformed", where="mast-static-outer", size="0.2", onset_s=30.0, severity=0.5)
    _, _, around, applied = put(fault)
    column = around.column("mast-static-outer")
    change = (applied.surroundings.at([29.999, 30.0, 80.0]) - around.at([29.999, 30.0, 80.0]))[:, column]
    np.testing.assert_allclose(change, [0.0, 150.0, 150.0], atol=1e-6)
    assert 30.0 in applied.surroundings.kinks_s


def test_where_on_airplane():
    plane = airplane.load("low-wing-mast")
    assert where_on_airplane(Fault("static-line-leak"), plane) == (("line", "static-riser"),)
    assert where_on_airplane(Fault("vsi-glass-broken"), plane) == (("instrument", "vertical-speed"),)
    assert where_on_airplane(Fault("pitot-inlet-blocked"), plane) == (("opening", "mast-inlet"),)
    assert where_on_airplane(Fault("tee-plugged"), plane) == (("fitting", "static-tee-airspeed"),)
    assert where_on_airplane(Fault("quick-drain-left-open"), plane) == (("valve", "static-drain-valve"),)


def test_a_loss_that_no_hole_makes_is_one_line():
    with pytest.raises(
        InputError, match=r"fault: size: read 5e\+09 ft/min; allowed: a loss that a hole can make"
    ):
        put(Fault("static-line-leak", size="5000000000 ft/min"))
