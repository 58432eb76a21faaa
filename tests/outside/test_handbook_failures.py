"""The handbook table of failures, every cell worked out by the engine on the airplanes of the hangar.

Source: data/blockage_facts.csv, in own words; each row names its source and how it was come by. Most restate
FAA-H-8083-25, Pilot's Handbook of Aeronautical Knowledge, chapter on flight instruments, as seen elsewhere;
two FAA-H-8083-15 (one from memory); rows marked "derived" follow from the physics and no page says them.

A cell is checked on every airplane that has the parts for it. Readings are held against the same airplane
without the fault in the same flight, so that position and scale errors drop out; figures that say "no effect"
allow what friction may hang back (the largest in the hangar is 1 kt, 15 ft, 25 ft/min).
"""

import csv
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from ramstill import air, airplane, flight, simulate
from ramstill.air.units import FPM, FT, KT
from ramstill.faults import Fault, catalogue
from ramstill.flight.outside import boundary_names, pressures
from ramstill.pneumatics import Schedule, Surroundings, Truth

with (Path(__file__).parent / "data" / "blockage_facts.csv").open(encoding="utf-8") as file:
    ROWS = list(csv.DictReader(file))
# The airplanes that the handbook speaks of: one system with the three instruments.
HANGAR = [
    name
    for name in airplane.hangar()
    if {"airspeed", "altimeter", "vertical-speed"} <= {i.name for i in airplane.load(name).instruments}
]
ONSET_S = 40.0
SAME_KT, SAME_FT, SAME_FPM = 1.5, 16.0, 30.0  # as good as no difference: friction and rounding


# ---- flights

TOUR = [
    {"kind": "level", "name": "level", "duration": "90 s"},
    {"kind": "speed-change", "name": "slowing", "speed": "climb"},
    {"kind": "level", "name": "slow", "duration": "30 s"},
    {"kind": "speed-change", "name": "quickening", "speed": "cruise"},
    {"kind": "level", "name": "quick", "duration": "30 s"},
    {"kind": "climb", "name": "climb", "to": "6000 ft", "rate": "700 ft/min", "speed": "cruise"},
    {"kind": "level", "name": "above", "duration": "60 s"},
    {"kind": "descent", "name": "descent", "to": "4000 ft", "rate": "700 ft/min", "speed": "cruise"},
    {"kind": "level", "name": "below", "duration": "60 s"},
]
RAPID = [
    {"kind": "level", "name": "low", "duration": "40 s"},
    {"kind": "climb", "name": "climb", "to": "9000 ft", "rate": "4000 ft/min", "speed": "cruise"},
    {"kind": "level", "name": "high", "duration": "40 s"},
    {"kind": "descent", "name": "descent", "to": "5000 ft", "rate": "4000 ft/min", "speed": "cruise"},
    {"kind": "level", "name": "end", "duration": "40 s"},
]
DEPARTURE = [
    {"kind": "take-off", "name": "take-off", "wait": "20 s", "to": "500 ft"},
    {"kind": "climb", "name": "climb", "to": "2500 ft"},
    {"kind": "level", "name": "level", "duration": "30 s"},
]
FLIGHTS = {"tour": TOUR, "rapid": RAPID, "departure": DEPARTURE}


@cache
def outside(name, which):
    """Surroundings of one flight of one airplane, and when each leg begins [s]."""
    plane = airplane.load(name)
    speeds = {word: f"{getattr(plane.speeds, word) / KT} kt" for word in ("climb", "cruise")}
    legs = [
        {key: speeds.get(value, value) if key == "speed" else value for key, value in leg.items()}
        for leg in FLIGHTS[which]
    ]
    table = {"leg": legs}
    if which != "departure":
        table |= {"start_altitude": "5000 ft", "start_speed": speeds["cruise"]}
    path = flight.plan(flight.parse_flight(table, "test"), plane)
    around = flight.surroundings(plane, path)
    starts = {leg: at for at, leg in around.truth.phases}
    return plane, around, starts


@cache
def flown(name, which, *faults):
    """A run of one flight with faults, (name, onset) each."""
    plane, around, _ = outside(name, which)
    return simulate(plane, around, [Fault(fault, onset_s=at) for fault, at in faults])


@cache
def pressurised(name, *faults):
    """The tour with the cabin pumped up by 25 kPa from 10 to 30 s on."""
    plane, around, _ = outside(name, "tour")
    around = around.with_pressure_change("cabin", Schedule((10.0, 30.0), (0.0, 25_000.0)))
    return simulate(plane, around, [Fault(fault, onset_s=at) for fault, at in faults])


def tour(name, *faults):
    return flown(name, "tour", *((fault, ONSET_S) for fault in faults))


def leg(run, name):
    """The samples of one leg."""
    starts = {title: at for at, title in run.truth.phases}
    begin = starts[name]
    end = min((at for at in starts.values() if at > begin), default=run.time_s[-1])
    return (run.time_s >= begin) & (run.time_s < end)


def last(run, name, values):
    """A value at the end of one leg."""
    return float(values[leg(run, name)][-1])


def middle(run, name, values):
    """The median of one leg: its steady part."""
    return float(np.median(values[leg(run, name)]))


def at(run, time_s, values):
    return float(values[run.index(time_s)])


SIZE = {"airspeed": KT, "altimeter": FT, "vertical-speed": FPM}


def shown(run, instrument):
    return run.pointers[instrument] / SIZE[instrument]


def off(run, instrument):
    """What the fault changes [kt, ft or ft/min]."""
    return run.change(instrument) / SIZE[instrument]


def having(*faults):
    """The airplanes of the hangar that can have these faults."""
    planes = {name: airplane.load(name) for name in HANGAR}
    return [n for n, p in planes.items() if all(catalogue()[fault].places(p) for fault in faults)]


# ---- the cells


def pitot_bleeds(name):
    run = tour(name, "pitot-inlet-blocked")
    difference = run.pressure_pa["airspeed.pitot"] - run.pressure_pa["airspeed.static"]
    # to the pressure at the drain, which sees a few hundredths of impact pressure less than a static port
    assert abs(last(run, "level", difference)) < 0.06 * at(run, ONSET_S - 1.0, difference)
    assert last(run, "level", shown(run, "airspeed")) <= 0.0
    assert at(run, ONSET_S - 1.0, shown(run, "airspeed")) > 80.0


def no_effect(instrument, same, *faults):
    def check(name):
        run = tour(name, *faults)
        assert np.abs(off(run, instrument)).max() < same

    return check


def trapped(name):
    """The fault that shuts all of the pitot side."""
    return "pitot-and-drain-blocked" if name in having("pitot-drain-blocked") else "pitot-inlet-blocked"


def with_trapped(check):
    return lambda name: check(tour(name, trapped(name)))


def pitot_frozen_in_speed_change(run):
    true = run.truth.cas_m_s / KT
    change = last(run, "slow", true) - last(run, "level", true)
    assert abs(change) > 15.0
    read = last(run, "slow", shown(run, "airspeed")) - last(run, "level", shown(run, "airspeed"))
    assert abs(read) < 0.1 * abs(change)  # position error of the static openings is all that is left


def pitot_like_an_altimeter_up(run):
    reading = shown(run, "airspeed")[leg(run, "climb")]
    assert (np.diff(reading) > -0.01).all()
    assert reading[-1] - reading[0] > 30.0
    assert last(run, "above", off(run, "airspeed")) > 30.0


def pitot_like_an_altimeter_down(run):
    reading = shown(run, "airspeed")[leg(run, "descent")]
    assert (np.diff(reading) < 0.01).all()
    assert reading[-1] - reading[0] < -30.0
    assert last(run, "below", off(run, "airspeed")) < -30.0


def trapped_no_effect(instrument, same):
    return lambda name: no_effect(instrument, same, trapped(name))(name)


def before_take_off(name):
    return flown(name, "departure", (trapped(name), 1.0))


def dead_on_the_roll(name):
    run = before_take_off(name)
    rolling = leg(run, "take-off") & (run.truth.height_over_ground_m < 0.1)
    assert (run.truth.cas_m_s[rolling] / KT).max() > 40.0
    assert np.abs(shown(run, "airspeed")[rolling]).max() < 12.0  # suction at the static openings is left


def alive_in_the_climb(name):
    run = before_take_off(name)
    climbing = shown(run, "airspeed")[leg(run, "climb")]
    assert (np.diff(climbing) > -0.01).all()
    assert last(run, "level", shown(run, "airspeed")) > 100.0


def static_right_at_its_altitude(name):
    run = tour(name, "static-ports-blocked")
    assert abs(last(run, "level", off(run, "airspeed"))) < SAME_KT


def static_low_above(name):
    run = tour(name, "static-ports-blocked")
    on_the_scale = leg(run, "climb") & (shown(run, "airspeed") > 1.0)
    gap = off(run, "airspeed")[on_the_scale]
    middle = len(gap) // 2
    assert gap[-1] < gap[middle] < gap[middle // 2] < 0.0
    assert last(run, "above", off(run, "airspeed")) < -20.0


def static_high_below(name):
    run = tour(name, "static-ports-blocked")
    below = leg(run, "descent") & (run.truth.pressure_altitude_m < 4950.0 * FT)
    gap = off(run, "airspeed")[below]
    assert gap[0] < gap[len(gap) // 2] < gap[-1]
    assert last(run, "below", off(run, "airspeed")) > 20.0


def stays(instrument, same, *faults):
    def check(name):
        run = tour(name, *faults)
        reading = shown(run, instrument)
        after = run.time_s > ONSET_S + 0.1
        assert np.abs(reading[after] - at(run, ONSET_S, reading)).max() < same

    return check


def zero_rate(*faults):
    def check(name):
        run = tour(name, *faults)
        after = run.time_s > ONSET_S + 1.0
        assert np.abs(shown(run, "vertical-speed")[after]).max() < SAME_FPM

    return check


def higher(instrument, least, most, *faults):
    """Higher than without the fault at the end of the first level leg, within bounds."""

    def check(name):
        run = tour(name, *faults)
        assert least < last(run, "level", off(run, instrument)) < most

    return check


def momentary_climb(name):
    run = tour(name, "alternate-static-open")
    soon = (run.time_s > ONSET_S) & (run.time_s < ONSET_S + 5.0)
    assert off(run, "vertical-speed")[soon].max() > 50.0
    assert abs(last(run, "level", off(run, "vertical-speed"))) < SAME_FPM
    assert middle(run, "climb", shown(run, "vertical-speed")) == pytest.approx(700.0, rel=0.05, abs=SAME_FPM)


def glass_altimeter(name):
    run = tour(name, "static-ports-blocked", "vsi-glass-broken")
    assert 5.0 < last(run, "level", off(run, "altimeter")) < 150.0
    assert 5.0 < last(run, "above", off(run, "altimeter")) < 150.0  # it follows the climb
    if name in having("alternate-static-open"):
        alternate = tour(name, "alternate-static-open")
        assert last(alternate, "level", off(alternate, "altimeter")) > 0.0  # the same sign


def glass_unusable(name):
    run = tour(name, "static-ports-blocked", "vsi-glass-broken")
    assert np.abs(off(run, "vertical-speed")[leg(run, "climb")]).max() > 1000.0


def glass_reversed(name):
    run = tour(name, "static-ports-blocked", "vsi-glass-broken")
    assert middle(run, "climb", shown(run, "vertical-speed")) < -700.0  # and more than the true rate
    assert middle(run, "descent", shown(run, "vertical-speed")) > 700.0


def drain_only(name):
    run = tour(name, "pitot-drain-blocked")
    for name_of_leg in ("level", "slow", "quick", "above", "below"):
        assert abs(last(run, name_of_leg, off(run, "airspeed"))) < SAME_KT


def lower_in_a_pressurised_cabin(instrument, least):
    def check(name):
        run = pressurised(name, ("static-line-leak", ONSET_S))
        assert last(run, "level", off(run, instrument)) < -least

    return check


def leak_in_an_ordinary_cabin(name):
    run = tour(name, "static-line-leak")
    healthy = tour(name)
    port = next(o.name for o in run.airplane.openings if o.kind == "static-port")

    def altitude(pressure_pa):
        return last(run, "level", air.pressure_altitude(pressure_pa)) / FT

    suction = altitude(run.outside_pa["cabin"]) - altitude(run.outside_pa[port])
    rise = altitude(run.pressure_pa["altimeter.static"]) - altitude(healthy.pressure_pa["altimeter.static"])
    assert 0.5 < rise < suction  # [ft]


def pitot_leak(name):
    run = tour(name, "pitot-line-leak")
    for name_of_leg in ("level", "slow", "quick", "above", "below"):
        assert last(run, name_of_leg, off(run, "airspeed")) < -1.0


def healthy_level(name):
    run = tour(name)
    for name_of_leg in ("level", "above", "below"):
        assert abs(last(run, name_of_leg, shown(run, "vertical-speed"))) < SAME_FPM


def trend_then_rate(name):
    run = tour(name)
    _, _, starts = outside(name, "tour")
    reading = shown(run, "vertical-speed")
    assert 50.0 < at(run, starts["climb"] + 2.0, reading) < 500.0
    assert middle(run, "climb", reading) == pytest.approx(700.0, rel=0.05, abs=SAME_FPM)


def rough_air(name):
    """Up and down by 26 ft every five seconds: 2,000 ft/min both ways."""
    plane, around, _ = outside(name, "tour")
    time = np.arange(0.0, 60.0, 0.05)
    height = (5000.0 + 26.5 * np.sin(2.0 * np.pi * time / 5.0)) * FT
    start = {
        quantity: np.full_like(time, getattr(around.truth, quantity)[0])
        for quantity in ("impact_pressure_pa", "cas_m_s", "angle_of_attack_rad", "height_over_ground_m")
    }
    truth = Truth.steady(
        time, **start, pressure_altitude_m=height, static_pressure_pa=air.static_pressure(height)
    )
    rough = Surroundings.from_samples(time, boundary_names(plane), pressures(plane, truth), truth)
    run = simulate(plane, rough)
    rate = np.gradient(run.truth.pressure_altitude_m, run.time_s) / FPM
    reading = shown(run, "vertical-speed")
    wrong_way = (rate * reading < 0.0) & (np.abs(rate) > 500.0) & (np.abs(reading) > 50.0)
    assert 0.05 < wrong_way.mean() < 0.6


def altimeter_lag(name_of_leg, before, after, sign):
    def check(name):
        run = flown(name, "rapid")
        wrong = run.error("altimeter") / FT
        level = 0.5 * (last(run, before, wrong) + last(run, after, wrong))
        moving = leg(run, name_of_leg)
        middle = float(np.median(wrong[moving]))
        assert sign * (middle - level) > 5.0

    return check


ALL_WITH_DRAIN = "pitot inlet blocked, drain open"
TRAPPED = "pitot inlet and drain blocked"
STATIC = "static blocked, pitot clear"
BOTH = "static and pitot (with drain) blocked"
ALTERNATE = "alternate static selected, vented to an unpressurised cabin"
GLASS = "VSI glass broken as a substitute alternate source"
PRESSURISED = "static line leak inside a pressurised cabin"
CELLS = {
    (ALL_WITH_DRAIN, "any", "ASI"): (["pitot-drain-blocked"], pitot_bleeds),
    (ALL_WITH_DRAIN, "any", "altimeter"): (
        ["pitot-drain-blocked"],
        no_effect("altimeter", SAME_FT, "pitot-inlet-blocked"),
    ),
    (ALL_WITH_DRAIN, "any", "VSI"): (
        ["pitot-drain-blocked"],
        no_effect("vertical-speed", SAME_FPM, "pitot-inlet-blocked"),
    ),
    (TRAPPED, "level, true speed changes", "ASI"): ([], with_trapped(pitot_frozen_in_speed_change)),
    (TRAPPED, "climb", "ASI"): ([], with_trapped(pitot_like_an_altimeter_up)),
    (TRAPPED, "descent", "ASI"): ([], with_trapped(pitot_like_an_altimeter_down)),
    (TRAPPED, "any", "altimeter"): ([], trapped_no_effect("altimeter", SAME_FT)),
    (TRAPPED, "any", "VSI"): ([], trapped_no_effect("vertical-speed", SAME_FPM)),
    (f"{TRAPPED} before take-off", "take-off roll", "ASI"): ([], dead_on_the_roll),
    (f"{TRAPPED} before take-off", "climb after take-off", "ASI"): ([], alive_in_the_climb),
    (STATIC, "at the altitude of blockage", "ASI"): ([], static_right_at_its_altitude),
    (STATIC, "above the altitude of blockage", "ASI"): ([], static_low_above),
    (STATIC, "below the altitude of blockage", "ASI"): ([], static_high_below),
    (STATIC, "any", "altimeter"): ([], stays("altimeter", SAME_FT, "static-ports-blocked")),
    (STATIC, "any", "VSI"): ([], zero_rate("static-ports-blocked")),
    (BOTH, "any", "ASI"): ([], stays("airspeed", SAME_KT, "everything-blocked")),
    (BOTH, "any", "altimeter"): ([], stays("altimeter", SAME_FT, "everything-blocked")),
    (BOTH, "any", "VSI"): ([], zero_rate("everything-blocked")),
    (ALTERNATE, "on selection, level", "altimeter"): (
        ["alternate-static-open"],
        higher("altimeter", 5.0, 150.0, "alternate-static-open"),
    ),
    (ALTERNATE, "on selection, level", "ASI"): (
        ["alternate-static-open"],
        higher("airspeed", 0.5, 10.0, "alternate-static-open"),
    ),
    (ALTERNATE, "on selection, level", "VSI"): (["alternate-static-open"], momentary_climb),
    (GLASS, "level", "altimeter"): ([], glass_altimeter),
    (GLASS, "any", "VSI"): ([], glass_unusable),
    (GLASS, "climb or descent", "VSI"): ([], glass_reversed),
    ("drain hole only blocked, inlet clear", "any", "ASI"): (["pitot-drain-blocked"], drain_only),
    (PRESSURISED, "cruise", "altimeter"): ([], lower_in_a_pressurised_cabin("altimeter", 50.0)),
    (PRESSURISED, "cruise", "ASI"): ([], lower_in_a_pressurised_cabin("airspeed", 2.0)),
    ("static line leak inside an unpressurised cabin", "level", "altimeter"): ([], leak_in_an_ordinary_cabin),
    ("pitot line leak", "any airspeed", "ASI"): ([], pitot_leak),
    ("level flight, healthy system", "steady", "VSI"): ([], healthy_level),
    ("start of a climb or descent", "first seconds", "VSI"): ([], trend_then_rate),
    ("abrupt pitch change or turbulence", "transient", "VSI"): ([], rough_air),
    ("rapid descent", "transient", "altimeter"): ([], altimeter_lag("descent", "high", "end", +1)),
    ("rapid climb", "transient", "altimeter"): ([], altimeter_lag("climb", "low", "high", -1)),
}


def key(row):
    return row["situation"], row["phase"], row["instrument"]


def identity(row):
    origin = (
        "derived" if row["provenance"].startswith("derived") or row["source"] == "derived" else row["source"]
    )
    return f"{row['situation']} / {row['phase']} / {row['instrument']} [{origin.partition(' ')[0]}]"


def test_every_cell_of_the_table_has_a_check():
    assert len(ROWS) == 34
    assert {key(row) for row in ROWS} == set(CELLS)


@pytest.mark.parametrize("row", ROWS, ids=identity)
def test_cell(row):
    needs, check = CELLS[key(row)]
    able = having(*needs)
    assert able, f"no airplane of the hangar has what this cell needs: {needs}"
    for name in able:
        try:
            check(name)
        except AssertionError as error:
            raise AssertionError(f"{name}: {row['expected_behaviour']} ({row['source']})\n{error}") from error
