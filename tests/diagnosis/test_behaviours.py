"""The standard flight, the table of one airplane, and the arithmetic that weighs a report from it."""

import json
from math import exp, log

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from ramstill import airplane
from ramstill.diagnosis import behaviours, noticing, phases, saying
from ramstill.diagnosis.behaviours import BEFORE, BehaviourTable, behaviour_table
from ramstill.diagnosis.saying import Said
from ramstill.faults import Fault

PLANE = airplane.load("low-wing-mast")
FROZEN = Said("climb", "altimeter", "frozen")
ZERO = Said("climb", "vsi", "zero")


@pytest.fixture(scope="module")
def table():
    return behaviour_table(PLANE, [FROZEN, ZERO], progress=False)


def made_up(candidates=6, seed=1):
    """A table of made-up figures with all onsets of three phases."""
    rng = np.random.default_rng(seed)
    wanted = (phases.GROUND, phases.CLIMB, phases.LEVELLED)
    onsets = ["", *([BEFORE, phases.CLIMB, phases.LEVELLED] * candidates)]
    shape = (len(onsets), len(wanted), 2, len(noticing.NAMES))
    return BehaviourTable(
        airplane="made-up",
        phases=wanted,
        instruments=("airspeed", "altimeter"),
        behaviours=noticing.NAMES,
        candidates=((), *((Fault(f"f{k // 3}"),) for k in range(3 * candidates))),
        onsets=tuple(onsets),
        weights=np.array([0.25, *np.full(3 * candidates, 0.65 / candidates)]),
        probability=rng.uniform(noticing.SLIP, 1.0, shape),
        none_fits=rng.uniform(0.1, 0.9, shape[1:]),
        none_weight=0.1,
    )


things = st.tuples(
    st.sampled_from([phases.GROUND, phases.CLIMB, phases.LEVELLED]),
    st.sampled_from(["airspeed", "altimeter"]),
    st.sampled_from(noticing.NAMES),
).map(lambda one: Said(*one))


@given(st.lists(things, min_size=1, max_size=12), st.integers(0, 50), st.randoms())
def test_any_order_gives_the_same_and_all_sums_to_one(said, seed, shuffle):
    table = made_up(seed=seed)
    weights, none = table.weigh(said)
    assert np.isfinite(weights).all()
    assert (weights >= 0.0).all()
    assert weights.sum() + none == pytest.approx(1.0, abs=1e-12)  # sums of a few hundred doubles
    shuffle.shuffle(said)
    again, none_again = table.weigh([*said, *said])  # what is said twice counts once
    np.testing.assert_array_equal(weights, again)
    assert none == none_again


def test_all_that_can_be_said_at_once_is_still_a_probability():
    table = made_up()
    every = [Said(p, i, b) for p in table.phases for i in table.instruments for b in table.behaviours]
    weights, none = table.weigh(every)
    assert np.isfinite(weights).all()
    assert weights.sum() + none == pytest.approx(1.0, abs=1e-12)


def test_the_arithmetic_that_the_docstring_states():
    table = made_up()
    said = [Said("climb", "airspeed", "low"), Said("climb", "altimeter", "normal")]
    low, normal = noticing.NAMES.index("low"), noticing.NAMES.index("normal")
    logs = []
    for c, onset in enumerate(table.onsets):
        share = {"": 1.0, BEFORE: 0.4, phases.CLIMB: 0.6, phases.LEVELLED: 0.0}[onset]
        if share:
            likely = table.probability[c, 1, 0, low], table.probability[c, 1, 1, normal]
            logs.append(log(table.weights[c] * share) + sum(log(p) for p in likely))
        else:
            logs.append(-np.inf)
    none = log(0.1) + log(table.none_fits[1, 0, low]) + log(table.none_fits[1, 1, normal])
    total = sum(exp(one) for one in logs) + exp(none)
    weights, rest = table.weigh(said)
    np.testing.assert_allclose(weights, [exp(one) / total for one in logs], rtol=1e-12)
    assert rest == pytest.approx(exp(none) / total, rel=1e-12)


@pytest.mark.parametrize(
    ("said", "used"),
    [
        (["on the ground"], ()),
        (["take-off roll"], ("take-off roll",)),
        (["on the ground", "climb"], ("climb",)),
        (["climb"], ("climb",)),
        (["after level-off"], ("climb", "after level-off")),
        (["descent", "climb"], ("climb", "descent")),
        (["descent"], ("slowing down", "descent")),
    ],
)
def test_onsets_in_use(said, used):
    assert behaviours.onsets_in_use(said) == used


@pytest.mark.parametrize("said", [[FROZEN], [Said("on the ground", "altimeter", "high")]])
def test_what_is_likely_beforehand_sums_to_one(said):
    found = behaviour_table(PLANE, said, progress=False)
    assert found.priors(said).sum() + found.none_weight == pytest.approx(1.0, abs=1e-12)


def test_a_table_of_an_airplane(table):
    assert table.phases == ("climb",)
    assert table.instruments == ("altimeter", "vsi")
    assert set(table.onsets) == {"", BEFORE, "climb"}
    assert table.probability.shape == (len(table.candidates), 1, 2, len(noticing.NAMES))
    assert (table.probability >= noticing.SLIP).all()
    assert (table.probability <= 1.0).all()
    sound = dict(zip(noticing.NAMES, table.probability[0, 0, 0], strict=True))
    assert table.candidates[0] == ()
    assert sound["normal"] == 1.0
    assert sound["rising"] > 0.99
    assert sound["frozen"] == pytest.approx(noticing.SLIP, abs=1e-3)
    with pytest.raises(KeyError):
        table.weigh([Said("descent", "altimeter", "high")])


def test_blocked_ports_in_the_table(table):
    c = next(
        c
        for c, faults in enumerate(table.candidates)
        if faults and faults[0].name == "static-ports-blocked" and table.onsets[c] == "climb"
    )
    assert table.candidates[c][0].severity == 1.0
    p, i, b = table.places([FROZEN, ZERO])
    assert (table.probability[c, p, i, b] > 0.95).all()


def test_a_table_goes_through_json(table):
    again = json.loads(json.dumps(table.as_json()))
    np.testing.assert_allclose(again["probability"], table.probability, atol=5.1e-4)  # rounded to thousandths
    assert np.min(again["probability"]) > 0.0
    assert len(again["candidates"]) == len(again["weights"]) == len(again["onsets"])
    assert again["candidates"][0] == []


@pytest.mark.parametrize("name", airplane.hangar())
def test_the_standard_flight_of_every_airplane(name):
    plane = airplane.load(name)
    flight = phases.standard_flight(plane)
    assert tuple(flight.spans) == phases.NAMES
    begins = [begin for begin, _ in flight.spans.values()]
    assert begins == sorted(begins)
    assert all(end - begin > 10.0 for begin, end in flight.spans.values())
    truth = flight.surroundings.truth
    climb = flight.spans[phases.CLIMB]
    steady = (truth.time_s > climb[0]) & (truth.time_s < climb[1])
    assert np.ptp(truth.cas_m_s[steady]) < 0.01  # so that a reading that falls there is the instrument's
    assert not flight.situation(phases.ROLL).airborne
    assert flight.situation(phases.CLIMB).airborne
    assert flight.situation(phases.CLIMB).cas_m_s == pytest.approx(truth.cas_m_s[steady][-1])


def test_a_flight_to_an_earlier_phase_is_the_same_flight_cut_short():
    whole, short = phases.standard_flight(PLANE), phases.standard_flight(PLANE, phases.LEVEL)
    for name, span in short.spans.items():
        assert whole.spans[name] == pytest.approx(span)
    at = np.arange(0.0, short.surroundings.end_s - 1.0, 5.0)
    np.testing.assert_allclose(whole.surroundings.at(at), short.surroundings.at(at), rtol=1e-9)
    with pytest.raises(KeyError):
        phases.standard_flight(PLANE, "spin")


def test_heat_left_off_shows_in_cloud_only_and_the_sound_airplane_flies_through():
    plane = airplane.load("high-wing-tube")
    flight = phases.standard_flight(plane)
    looked_at = saying.instruments(plane)[:1]
    cases = [(), (Fault("heat-left-off"),)]
    batch = behaviours.worked_out(plane, flight, cases, looked_at, progress=False)
    found = behaviours.noted(flight, batch, ["", BEFORE], [phases.DESCENT, phases.CLOUD], looked_at)
    normal = found[..., noticing.NAMES.index("normal")][..., 0]
    np.testing.assert_allclose(normal, [[1.0, 1.0], [1.0, noticing.SLIP]], atol=0.02)
