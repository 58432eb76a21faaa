"""The account of a reading: it adds up, gives nothing to what does nothing, and says what hand says."""

from collections.abc import Callable
from dataclasses import replace
from itertools import permutations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from ramstill import air, simulate
from ramstill.air.units import FT, INHG, KT
from ramstill.airplane.reading import hangar
from ramstill.errors import InputError
from ramstill.faults import Fault
from ramstill.pictures import account_ledger
from ramstill.pneumatics import Surroundings
from ramstill.run import Run, Scenario, bundled, load_scenario
from ramstill.run.account import Account, ledgers
from ramstill.run.airs import Airs, Case
from ramstill.run.kinds import kind_of
from ramstill.run.shown_without import Shown, Without

UNIT = 1e-6  # how exactly parts add up [kt, ft, ft/min]
LEVEL = {"kind": "level", "duration": "60 s"}
CLIMB = {"kind": "climb", "duration": "90 s", "rate": "600 ft/min", "speed": "75 kt"}
DOWN = {"kind": "descent", "duration": "60 s", "rate": "600 ft/min", "speed": "90 kt"}
FAULTS = [
    ("pitot-inlet-blocked", None),
    ("static-ports-blocked", None),
    ("alternate-static-open", None),
    ("vsi-glass-broken", None),
    ("static-line-leak", None),
    ("pitot-line-leak", None),
    ("altimeter-sticking", None),
    ("altimeter-setting-wrong", "0.3 inHg"),
    ("port-deformed", None),
    ("lines-crossed", None),
]
AIRPLANES = {
    "high-wing-tube": None,
    "pressurised-turboprop": "180 kt",
    "glass-trainer": None,
}


def left_over(account: Account) -> float:
    """What the parts miss the error by, in units."""
    return (sum(part.value_si for part in account.parts) - account.error_si) / account.unit.size


def by_name(account: Account) -> dict[str, float]:
    return {part.name: part.value_si for part in account.parts}


@pytest.fixture(scope="session")
def airs(flight: Callable[..., Scenario]) -> dict[str, Scenario]:
    """A climb and a descent in airplanes of several kinds."""
    made = {}
    for name in AIRPLANES:
        made[name] = flight(LEVEL, CLIMB, DOWN, airplane=name)
    return made


def fault_of(draw: st.DrawFn, name: str, size: str | None) -> Fault:
    onset = draw(st.floats(-30.0, 230.0))
    if name == "lines-crossed":
        return Fault(name, onset_s=onset)
    gradual = draw(st.sampled_from([0.0, 15.0]))
    severity = draw(st.sampled_from([0.0, 0.4, 1.0]))
    return Fault(name, severity=severity, onset_s=onset, gradual_s=gradual, size=size)


@st.composite
def broken(draw: st.DrawFn) -> tuple[str, tuple[Fault, ...], float]:
    """An airplane, up to three faults that fit it, and a time to look."""
    from ramstill.faults import check

    name = draw(st.sampled_from(sorted(AIRPLANES)))
    chosen = draw(st.lists(st.sampled_from(FAULTS), max_size=3, unique=True))
    from ramstill import airplane

    plane, faults = airplane.load(name), []
    for one in chosen:
        fault = fault_of(draw, *one)
        try:
            check(fault, plane)
        except InputError:
            continue
        faults.append(fault)
    return name, tuple(faults), draw(st.floats(0.0, 210.0))


@settings(max_examples=15)
@given(broken())
def test_parts_add_up_and_idle_faults_get_nothing(
    airs: dict[str, Scenario], case: tuple[str, tuple[Fault, ...], float]
) -> None:
    name, faults, at_s = case
    run = replace(airs[name], faults=faults).run()
    at_s = min(at_s, float(run.time_s[-1]))
    for accounts in run.accounts([at_s]):
        for account in accounts:
            if account.blank:
                assert account.parts == ()
                continue
            assert abs(left_over(account)) < UNIT
            for part in account.parts:
                fault = next((f for f in faults if f.name == part.name), None)
                if fault is not None and (fault.severity == 0.0 or fault.onset_s >= account.at_s):
                    assert part.value_si == 0.0, part


@pytest.mark.parametrize("name", sorted(hangar()))
def test_with_none_of_the_parts_a_pointer_shows_what_is_true(
    flight: Callable[..., Scenario], name: str
) -> None:
    """The definitions themselves, before what is left over by rounding is put right.

    0.01 of a unit: the search for the pressures at rest ends at 1e-7 Pa, and what makes up for a drain is
    straight between eight times.
    """
    run = flight(LEVEL, CLIMB, airplane=name).run()
    rows = [run.index(t) for t in (5.0, 63.0, 100.0, 148.0)]
    airs = Airs(run, rows[-1])
    nothing = Case(False, False, False, frozenset())
    for pointer in run.panel:
        shown = Shown(run, airs, pointer, rows)
        value = shown.value(nothing, Without(*(False,) * len(Without._fields)))
        assert value == pytest.approx(shown.true, abs=0.01 * kind_of(pointer).size), pointer.name


@pytest.mark.parametrize("name", bundled())
def test_every_bundled_run_adds_up_at_every_moment(name: str) -> None:
    run = load_scenario(name).run()
    for accounts in run.accounts([moment.at_s for moment in run.moments()]):
        for account in accounts:
            assert account.blank or abs(left_over(account)) < UNIT
            assert list(account.parts) == sorted(account.parts, key=lambda p: (-abs(p.value_si), p.name))


def test_it_adds_up_at_more_times_than_are_settled(nest: Run) -> None:
    rows = list(range(0, len(nest.time_s), 9))
    assert len(rows) > 200
    for ledger in ledgers(nest, rows):
        off = ledger.value_si.sum(axis=0) - nest.error(ledger.pointer.name)[rows]
        assert np.abs(off).max() < UNIT * KT


def test_the_order_of_faults_does_not_matter(flight: Callable[..., Scenario]) -> None:
    three = [
        Fault("static-line-leak", onset_s=20.0),
        Fault("pitot-inlet-blocked", onset_s=30.0),
        Fault("vsi-glass-broken", onset_s=10.0),
    ]
    scenario = flight(LEVEL, CLIMB, airplane="high-wing-tube")
    found = []
    for order in permutations(three):
        run = replace(scenario, faults=tuple(order)).run()
        found.append(by_name(run.account("airspeed", 110.0)))
    for other in found[1:]:
        assert other == pytest.approx(found[0], abs=1e-3 * KT)  # the engine's own error control


def test_a_fault_of_the_other_system_gets_exactly_nothing(flight: Callable[..., Scenario]) -> None:
    """Two systems that share no air: the pilot's pointers owe nothing to the copilot's blocked port."""
    from ramstill.faults import catalogue

    scenario = flight(LEVEL, CLIMB, airplane="pressurised-turboprop")
    places = catalogue()["pitot-inlet-blocked"].places(scenario.airplane)
    inlets = [p for p in places if p != "all"]
    assert len(inlets) == 2
    run = replace(scenario, faults=(Fault("pitot-inlet-blocked", inlets[0], onset_s=20.0),)).run()
    found = {
        pointer.name: by_name(run.account(pointer.name, 100.0))["pitot-inlet-blocked"]
        for pointer in run.panel
        if pointer.kind in ("altimeter", "airspeed-indicator")
    }
    hit = [name for name, value in found.items() if abs(value) > KT]
    assert hit
    assert sum(value == 0.0 for value in found.values()) >= 2


def test_two_faults_that_do_the_same_share_alike(flight: Callable[..., Scenario]) -> None:
    fault = Fault("static-ports-blocked", onset_s=20.0)
    run = replace(flight(LEVEL, CLIMB), faults=(fault, fault)).run()
    account = run.account("altimeter", 140.0)
    first, second = (part.value_si for part in account.parts if part.kind == "fault")
    assert abs(first) > 100.0 * FT
    assert first == pytest.approx(second, abs=1e-9)


def test_two_parts_with_interaction_by_hand() -> None:
    """A leak of the static line into the cabin: it does nothing without the cabin's own pressure, and the
    cabin nothing without the leak, so each has half of what both do.

    Settled in level flight with ideal openings, the altimeter feels a pressure between that of the port and
    the cabin's; what that is worth in feet is read off the pressure in its case.
    """
    from ramstill import airplane
    from ramstill.flight.outside import boundary_names

    plane = airplane.load("high-wing-tube")
    static, impact, suction = 90_000.0, 2_000.0, -140.0
    outside = dict.fromkeys(boundary_names(plane), static)
    outside |= {"cabin": static + suction, "wing-bay": static, "alternate-static": static + suction}
    inlet = next(o.name for o in plane.openings if o.kind == "pitot-inlet")
    outside[inlet] = static + impact
    around = Surroundings.steady(0.0, 60.0, outside)
    truth = replace(
        around.truth,
        static_pressure_pa=np.full(2, static),
        impact_pressure_pa=np.full(2, impact),
        cas_m_s=np.full(2, float(air.calibrated_airspeed(impact))),
        pressure_altitude_m=np.full(2, float(air.pressure_altitude(static))),
        geometric_altitude_m=np.full(
            2, float(air.geometric_from_geopotential(air.pressure_altitude(static)))
        ),
        outside_temperature_k=np.full(2, float(air.standard_temperature(air.pressure_altitude(static)))),
    )
    run = simulate(plane, replace(around, truth=truth), [Fault("static-line-leak", onset_s=-60.0)])
    account = run.account("altimeter", 60.0)
    felt = float(run.pressure_pa["altimeter.static"][-1])
    worth = float(air.pressure_altitude(felt)) - float(air.pressure_altitude(static))
    assert worth > 1.0 * FT
    found = by_name(account)
    # 0.05 Pa of error control is 0.02 ft
    assert found["static-line-leak"] == pytest.approx(0.5 * worth, abs=0.02 * FT)
    assert found["cabin"] == pytest.approx(0.5 * worth, abs=0.02 * FT)
    assert found["temperature"] == found["setting"] == 0.0


def test_position_error_is_what_the_coefficients_are_worth(healthy: Run) -> None:
    """In level flight, where nothing is late: the port's pressure less still air, in feet."""
    at = healthy.index(100.0)
    felt = float(healthy.pressure_pa["altimeter.static"][at])
    true = float(healthy.truth.static_pressure_pa[at])
    worth = float(air.pressure_altitude(felt)) - float(air.pressure_altitude(true))
    account = healthy.account("altimeter", 100.0)
    assert by_name(account)["position"] == pytest.approx(worth, abs=0.5 * FT)
    assert abs(by_name(account)["lag"]) < 0.1 * FT


def test_lag_in_a_climb_is_what_the_lines_and_the_leak_are_late_by(healthy: Run) -> None:
    """A climb of 600 ft/min: lag makes an altimeter read low by its time constants times the rate."""
    account = healthy.account("altimeter", 200.0)
    lag = by_name(account)["lag"]
    instrument = healthy.instrument("altimeter")
    pointer = float(instrument.lag) * 600.0 * FT / 60.0
    assert -2.0 * pointer - 5.0 * FT < lag < -0.9 * pointer
    assert abs(by_name(healthy.account("altimeter", 60.0))["lag"]) < 0.1 * FT


def test_a_setting_of_one_inch_too_much_is_a_part_of_its_own(flight: Callable[..., Scenario]) -> None:
    run = flight(LEVEL).run()
    flown = run.surroundings.truth
    right_pa = float(flown.altimeter_setting_pa[0])
    wrong_pa = right_pa + INHG
    truth = replace(flown, altimeter_setting_pa=np.full_like(flown.altimeter_setting_pa, wrong_pa))
    off = simulate(run.airplane, replace(run.surroundings, truth=truth))
    worth = float(air.pressure_altitude(right_pa)) - float(air.pressure_altitude(wrong_pa))
    # 2 ft: it shares with the correction card, which is another one 900 ft higher
    assert by_name(off.account("altimeter", 50.0))["setting"] == pytest.approx(worth, abs=2.0 * FT)
    assert by_name(run.account("altimeter", 50.0))["setting"] == 0.0
    assert "setting" not in by_name(off.account("encoder", 50.0))


def test_where_a_pointer_stands_at_its_stop_the_stop_has_a_part(nest: Run, taped: Run) -> None:
    """Shut ports in a climb let an airspeed fall to its lowest reading, a shut inlet drives it to the top."""
    low, high = taped.account("airspeed", 230.0), nest.account("airspeed", 230.0)
    assert low.indicated_si == float(taped.instrument("airspeed").lowest_reading)
    assert high.indicated_si == float(nest.instrument("airspeed").top_mark)
    assert by_name(low)["stop"] > 0.0 > by_name(high)["stop"]
    assert by_name(taped.account("airspeed", 60.0))["stop"] == 0.0
    assert by_name(nest.account("airspeed", 60.0))["stop"] == 0.0


def test_beyond_eight_parts_orders_are_drawn_and_their_error_is_told(flight: Callable[..., Scenario]) -> None:
    many = tuple(
        Fault(name, onset_s=5.0 + i, severity=severity)
        for i, (name, severity) in enumerate(
            [
                ("pitot-line-leak", 1.0),
                ("static-line-leak", 1.0),
                ("airspeed-capsule-leak", 0.5),
                ("altimeter-case-leak", 1.0),
                ("pitot-inlet-blocked", 0.9),
                ("port-deformed", 1.0),
                ("alternate-static-open", 1.0),
            ]
        )
    )
    run = replace(flight(LEVEL, airplane="high-wing-tube"), faults=many).run()
    account = run.account("airspeed", 40.0)
    assert abs(left_over(account)) < UNIT
    assert max(part.standard_error_si for part in account.parts) > 0.0
    assert account == run.account("airspeed", 40.0)


def test_the_bench_speaks_of_what_is_applied(bench: Run) -> None:
    """A breath into the inlet, then a pull at the ports: the side that it is applied to has nearly all."""
    for at_s, side in ((12.0, "applied-ram"), (50.0, "applied-still")):
        account = bench.account("airspeed", at_s)
        assert "position" not in {part.kind for part in account.parts}
        assert account.parts[0].name == side
        # 1 kt: the instrument's own card and friction have the rest
        assert account.part(side).value_si == pytest.approx(account.error_si, abs=1.0 * KT)
        assert account.error_si > 50.0 * KT


def test_a_reading_that_shows_nothing_has_no_parts(flight: Callable[..., Scenario]) -> None:
    fault = Fault("air-data-computer-dead", onset_s=10.0)
    run = replace(flight(LEVEL, airplane="glass-trainer"), faults=(fault,)).run()
    name = next(p.name for p in run.panel if np.isnan(run.pointers[p.name][run.index(40.0)]))
    account = run.account(name, 40.0)
    assert account.blank
    assert account.parts == ()
    assert "shows nothing" in account.words()[0].text


@pytest.mark.parametrize(
    ("instrument", "at_s", "field"),
    [
        ("tachometer", 10.0, "instrument"),
        ("airspeed", -1.0, "at_s"),
        ("airspeed", 1e6, "at_s"),
        ("airspeed", float("nan"), "at_s"),
    ],
)
def test_a_wrong_question_is_one_line(healthy: Run, instrument: str, at_s: float, field: str) -> None:
    with pytest.raises(InputError) as refused:
        healthy.account(instrument, at_s)
    assert refused.value.field == field
    assert len(str(refused.value).splitlines()) == 1
    with pytest.raises(InputError, match="account"):
        account_ledger(healthy, instrument, at_s)


@pytest.mark.parametrize("at_s", [-1.0, 1e6, float("nan")])
def test_so_it_is_for_many_times(healthy: Run, at_s: float) -> None:
    with pytest.raises(InputError, match="a time of the run"):
        healthy.accounts([10.0, at_s])
    assert healthy.accounts([]) == ()


def test_in_words(nest: Run, healthy: Run) -> None:
    said = nest.account("airspeed", 150.0).words()
    assert [p.title for p in said] == ["Airspeed indicator", "Trapped air", "What it will do next"]
    assert "pitot inlet blocked +" in said[0].text
    assert "From 30 s" in said[1].text
    assert "limb 1,000 ft" in said[2].text
    sound = healthy.account("altimeter", 60.0).words()
    assert sound[-1].text.endswith("it does as it should.")
