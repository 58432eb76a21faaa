"""What the trade knows of a blade mast without a drain, each figure worked out by the engine.

Source: common practice, no source. On the bench or in a short flight of low-wing-mast, unless a test says so.
Nothing here is to be done on a live airplane: never blow into or pull on one.
"""

import importlib.resources
from functools import cache

import numpy as np
import pytest

from ramstill import airplane, bench, flight, simulate
from ramstill.air.units import FPM, FT, KT
from ramstill.faults import Fault

NAME = "low-wing-mast"
SIZE = {"airspeed": KT, "altimeter": FT, "vertical-speed": FPM}
# No more than friction and rounding: the pointer has not moved.
SHOWS_KT, SHOWS_FT, SHOWS_FPM = 1.0, 15.0, 30.0


def on_the_bench(*steps, name=NAME):
    plane = airplane.load(name)
    programme = bench.parse_bench({"apply": list(steps)}, "test")
    return simulate(plane, bench.surroundings(plane, programme))


@cache
def in_flight(*faults):
    """Level, climb 1,000 ft, level, descend 2,000 ft, level; faults (name, onset) each."""
    plane = airplane.load(NAME)
    cruise = f"{plane.speeds.cruise / KT} kt"
    legs = [
        {"kind": "level", "name": "level", "duration": "60 s"},
        {"kind": "climb", "name": "climb", "to": "5000 ft", "rate": "700 ft/min", "speed": cruise},
        {"kind": "level", "name": "above", "duration": "40 s"},
        {"kind": "descent", "name": "descent", "to": "3000 ft", "rate": "700 ft/min", "speed": cruise},
        {"kind": "level", "name": "below", "duration": "40 s"},
    ]
    table = {"start_altitude": "4000 ft", "start_speed": cruise, "leg": legs}
    path = flight.plan(flight.parse_flight(table, "test"), plane)
    surroundings = flight.surroundings(plane, path)
    return simulate(plane, surroundings, [Fault(fault, onset_s=onset) for fault, onset in faults])


def shown(run, instrument):
    return run.pointers[instrument] / SIZE[instrument]


def moved(run, instrument):
    """The most a pointer moved from where it stood at first."""
    reading = shown(run, instrument)
    return np.abs(reading - reading[0]).max()


def ends(run):
    """The last sample of each leg."""
    starts = [at for at, _ in run.truth.phases]
    after = [*starts[1:], run.time_s[-1] + 1.0]
    return {name: run.index(end) - 1 for (_, name), end in zip(run.truth.phases, after, strict=True)}


def difference(run):
    return run.pressure_pa["airspeed.pitot"] - run.pressure_pa["airspeed.static"]


BREATH = {"opening": "pitot-inlet", "what": "breath", "from": "5 s"}
PULL = {"opening": "static-ports", "what": "breath", "draw": True, "from": "5 s"}
BLOW = {"opening": "static-ports", "what": "breath", "from": "5 s"}


def test_a_light_breath_into_the_inlet_is_worth_140_to_150_knots():
    assert 140.0 < shown(on_the_bench(BREATH), "airspeed").max() < 150.0


def test_pitot_reaches_the_airspeed_indicator_alone():
    run = on_the_bench(BREATH)
    assert moved(run, "airspeed") > 100.0
    assert moved(run, "altimeter") < SHOWS_FT
    assert moved(run, "vertical-speed") < SHOWS_FPM


def test_static_reaches_all_three():
    run = on_the_bench(PULL)
    assert moved(run, "airspeed") > 40.0
    assert moved(run, "altimeter") > 200.0
    assert moved(run, "vertical-speed") > 500.0


def test_a_gentle_pull_on_the_static_openings_alone():
    run = on_the_bench(PULL)
    assert 1000.0 < shown(run, "vertical-speed").max() < 2000.0
    assert 200.0 < shown(run, "altimeter").max() - shown(run, "altimeter")[0] < 500.0
    pulled = (run.time_s > 5.5) & (run.time_s < run.time_s[np.argmax(shown(run, "altimeter"))])
    assert (np.diff(shown(run, "airspeed")[pulled]) > -0.01).all()
    assert shown(run, "airspeed").max() > 60.0


def test_blowing_into_the_static_openings_shows_the_reverse():
    run = on_the_bench(BLOW)
    assert -2000.0 <= shown(run, "vertical-speed").min() < -1000.0
    assert -500.0 < shown(run, "altimeter").min() - shown(run, "altimeter")[0] < -200.0
    assert difference(run).min() < -500.0  # below zero: this pointer rests on its pin
    assert shown(run, "airspeed").max() < SHOWS_KT


def test_below_zero_shows_where_the_airplane_file_says_the_pointer_goes_below():
    run = on_the_bench(BLOW, name="twin-two-ports")
    assert difference(run).min() < -500.0
    assert -20.0 <= shown(run, "airspeed").min() < -10.0  # down to the stop, not as far as the law would go


def test_covering_the_inlet_and_pulling_on_the_static_openings_raises_the_airspeed_as_well():
    finger = {"opening": "pitot-inlet", "what": "finger", "from": "2 s", "for": "40 s"}
    covered, open_ = on_the_bench(finger, PULL), on_the_bench(PULL)
    assert shown(covered, "airspeed").max() > 60.0
    # the trapped air swells into nothing here: the capsule takes no volume, so both read nearly the same
    assert shown(covered, "airspeed").max() == pytest.approx(shown(open_, "airspeed").max(), abs=5.0)


def test_inlet_blocked_without_a_drain_follows_altitude_like_an_altimeter():
    run = in_flight(("pitot-inlet-blocked", 30.0))
    at = ends(run)
    reading = shown(run, "airspeed")
    assert reading[at["above"]] > reading[at["level"]] + 50.0
    assert reading[at["below"]] < reading[at["level"]] - 50.0
    altitude = run.truth.pressure_altitude_m
    climbing = slice(at["level"], at["climb"])
    assert np.corrcoef(reading[climbing], altitude[climbing])[0, 1] > 0.98
    assert np.abs(run.change("altimeter")).max() / FT < SHOWS_FT


def test_both_blocked_freezes_everything_and_the_rate_dies_away_through_the_calibrated_leak():
    onset = 100.0  # in the climb
    run = in_flight(("everything-blocked", onset))
    vsi = run.instrument("vertical-speed")
    rate = shown(run, "vertical-speed")
    at_onset = rate[run.index(onset)]
    assert at_onset > 600.0
    tau = vsi.leak.time_constant
    # The case empties into all that hangs on the static line: it settles sooner than by its leak alone.
    assert 0.0 < rate[run.index(onset + 0.5 * tau)] < at_onset
    assert rate[run.index(onset + tau)] < 0.5 * at_onset
    settled = run.time_s > onset + 8.0 * tau
    assert np.abs(rate[settled]).max() < SHOWS_FPM
    for instrument, still in (("airspeed", SHOWS_KT), ("altimeter", SHOWS_FT)):
        assert np.ptp(shown(run, instrument)[settled]) < still


def test_static_alone_blocked():
    run = in_flight(("static-ports-blocked", 30.0))
    at = ends(run)
    after = run.time_s > 31.0
    assert np.ptp(shown(run, "altimeter")[after]) < SHOWS_FT
    assert np.abs(shown(run, "vertical-speed")[after]).max() < SHOWS_FPM
    wrong = run.change("airspeed") / KT
    assert abs(wrong[at["level"]]) < SHOWS_KT
    assert wrong[at["above"]] < -40.0
    assert wrong[at["below"]] > 40.0


def test_order_along_the_static_line_does_not_change_what_the_instruments_settle_at(tmp_path):
    text = (importlib.resources.files("ramstill.airplane") / "hangar" / f"{NAME}.toml").read_text()
    there, elsewhere = '"airspeed.static"', '"vertical-speed.static"'
    other_order = text.replace(there, '"?"').replace(elsewhere, there).replace('"?"', elsewhere)
    assert other_order != text
    other_order = other_order.replace('length = "0.15 m"', 'length = "0.30 m"')  # now further apart
    (tmp_path / "other-order.toml").write_text(other_order)
    step = {
        "opening": "static-ports",
        "what": "pressure",
        "pressure": "-2 inH2O",
        "from": "5 s",
        "for": "60 s",
    }
    first, second = (on_the_bench(step, name=name) for name in (NAME, str(tmp_path / "other-order.toml")))
    held = first.index(60.0)
    assert shown(first, "altimeter")[held] > 100.0
    for tapping in ("airspeed.static", "altimeter.static", "vertical-speed.static", "vertical-speed.case"):
        # both within the engine's error control of the pressure applied
        assert first.pressure_pa[tapping][held] == pytest.approx(second.pressure_pa[tapping][held], abs=0.2)
