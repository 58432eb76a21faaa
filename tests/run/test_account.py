"""The account in words: worked out, so that it says different things of different faults, and true ones."""

import re
from collections.abc import Callable

import numpy as np
import pytest

from ramstill import air
from ramstill.air.units import FPM, FT, KT
from ramstill.run import Run, Scenario
from ramstill.run.ahead import Reaction, ahead, inside_at
from ramstill.run.phrases import clock, listed, number
from ramstill.run.reactions import reaction_text


def text_of(run: Run, about: str, subject: str | None = None) -> str:
    return " ".join(p.text for p in run.words() if p.about == about and subject in (None, p.subject))


def test_what_would_come_next_is_what_comes(nest: Run) -> None:
    """Run ahead from the middle of the blocked stretch, against pressures worked out by hand."""
    at = nest.index(60.0)
    trapped = nest.pressure_pa["airspeed.pitot"][at]
    static = nest.truth.static_pressure_pa[at]
    reactions = ahead(nest, 60.0)
    higher = air.static_pressure(air.pressure_altitude(static) + 1000 * FT)
    # 2 kt: friction and scale error of the pointer, position error, and the end of its scale above that
    expected = air.calibrated_airspeed(trapped - higher) - nest.pointers["airspeed"][at]
    assert reactions["up"]["airspeed"].moved == pytest.approx(expected, abs=2 * KT)
    assert reactions["up"]["airspeed"].right == pytest.approx(0.0, abs=1 * KT)
    assert reactions["faster"]["airspeed"].moved == pytest.approx(0.0, abs=1 * KT)
    assert reactions["faster"]["airspeed"].right == pytest.approx(10 * KT, abs=1.5 * KT)
    assert reactions["down"]["airspeed"].stopped  # 75 kt are used up within 270 ft
    assert reactions["up"]["altimeter"].moved == pytest.approx(1000 * FT, abs=30 * FT)
    assert reactions["up"]["vertical-speed"].during == pytest.approx(1000 * FPM, rel=0.08)


def test_frozen_static_air_is_told(taped: Run) -> None:
    altimeter = text_of(taped, "pointer", "altimeter")
    assert "does not move" in altimeter
    assert "shows nothing" in text_of(taped, "pointer", "vertical-speed")
    airspeed = text_of(taped, "pointer", "airspeed")
    assert re.search(r"[Cc]limb 1,000 ft at a steady airspeed and it falls by", airspeed)
    assert re.search(r"descend 1,000 ft at a steady airspeed and it rises by", airspeed)


def test_trapped_air_is_told_with_its_pressure_and_worth(nest: Run, taped: Run) -> None:
    ram = text_of(nest, "air", "mast-ram")
    assert "From 30 s to the end" in ram
    held = nest.pressure_pa["airspeed.pitot"][-1]
    assert f"{held / 100:,.1f} hPa" in ram
    assert "the ram pressure of 75 kt at" in ram
    still = next(p.text for p in taped.words() if p.title == "Trapped air")
    altitude = float(air.pressure_altitude(taped.pressure_pa["altimeter.static"][-1])) / FT
    assert f"the still air of {round(altitude / 10) * 10:,} ft" in still


def test_a_pointer_that_goes_the_wrong_way_is_told(flight: Callable[..., Scenario]) -> None:
    shut, broken = ({"name": name, "onset": "10 s"} for name in ("static-ports-blocked", "vsi-glass-broken"))
    run = flight(airplane="twin-two-ports", faults=(shut, broken)).run()
    assert "goes the wrong way" in text_of(run, "pointer", "vertical-speed")


def test_what_is_not_touched_is_told_in_one_line(nest: Run) -> None:
    subjects = [p.subject for p in nest.words() if p.about == "pointer"]
    assert subjects == ["airspeed", ""]
    (sound,) = [p.text for p in nest.words() if p.about == "pointer" and not p.subject]
    for name in ("altimeter", "vertical speed indicator", "encoder"):
        assert name in sound.lower()


def test_a_healthy_run_says_so(healthy: Run) -> None:
    assert [p.about for p in healthy.words()] == ["fault", "worst", "safety"]
    assert "Nothing is broken" in text_of(healthy, "fault")


def test_a_fault_that_does_nothing_hides(flight: Callable[..., Scenario]) -> None:
    run = flight(faults=({"name": "pitot-inlet-blocked", "onset": "20 s", "severity": 0.3},)).run()
    assert "the fault hides" in text_of(run, "worst")


def test_every_account_ends_with_the_caution(healthy: Run, nest: Run, bench: Run) -> None:
    for run in (healthy, nest, bench):
        last = run.words()[-1]
        assert last.about == "safety"
        assert "not for use in flight" in last.text
        assert "Never blow into or pull on a live system" in last.text


def test_the_bench_is_told_step_by_step(bench: Run) -> None:
    told = {p.title: p.text for p in bench.words() if p.about == "pointer"}
    assert "airspeed indicator 14" in told["A breath into the inlet"]
    assert "altimeter" not in told["A breath into the inlet"]
    assert "altimeter" in told["A pull on the static openings"]


def test_the_account_is_the_same_each_time(nest: Run) -> None:
    assert nest.words() == nest.words()


def test_moments(healthy: Run, nest: Run, bench: Run) -> None:
    for run in (healthy, nest, bench):
        found = run.moments()
        times = [moment.at_s for moment in found]
        assert times == sorted(times)
        assert 2 <= len(found) <= 8
        assert times[0] == run.time_s[0]
        assert times[-1] == run.time_s[-1]
        assert all(moment.title and moment.why for moment in found)
    around_onset = [m for m in nest.moments() if 29.0 <= m.at_s <= 41.0]
    assert any(m.at_s < 30.0 for m in around_onset)
    assert any(m.at_s > 30.0 for m in around_onset)
    assert any(m.title == "Just before: pitot inlet blocked" for m in around_onset)
    furthest = next(m for m in nest.moments() if "furthest off" in m.title)
    assert furthest.at_s == nest.time_s[np.argmax(np.abs(nest.change("airspeed")))]


@pytest.mark.parametrize(
    ("moved", "words"),
    [
        (1000, None),
        (1040, None),
        (0, "does not move"),
        (500, "rises by only 500 ft"),
        (1500, "rises by 1,500 ft"),
        (-300, "goes the wrong way: it falls by 300 ft"),
    ],
)
def test_the_phrase_comes_from_the_figure(healthy: Run, moved: float, words: str | None) -> None:
    up = Reaction(moved * FT, 1000 * FT, moved * FT, 1000 * FT)
    down = Reaction(-moved * FT, -1000 * FT, -moved * FT, -1000 * FT)
    text = reaction_text(healthy.pointer("altimeter"), {"up": up, "down": down}, 1000.0, 10.0)
    assert text == "" if words is None else words in text


def test_phrases() -> None:
    assert [clock(t) for t in (0, 59.6, 65, 3600, -60)] == [
        "0 s",
        "1 min 00 s",
        "1 min 05 s",
        "60 min 00 s",
        "−1 min 00 s",
    ]
    assert [number(x, 10) for x in (-4.0, 1234.0, -1236.0)] == ["0", "1,230", "−1,240"]
    assert [listed(x) for x in ([], ["a"], ["a", "b"], ["a", "b", "c"])] == ["", "a", "a and b", "a, b and c"]


def test_it_runs_on_with_the_air_as_warm_as_it_is(flight: Callable[..., Scenario]) -> None:
    """In a descent the air inside is warmer than the walls: what is run ahead starts with it so."""
    legs = ({"kind": "descent", "duration": "60 s", "rate": "2000 ft/min", "speed": "110 kt"},)
    run = flight(*legs, faults=({"name": "static-ports-blocked", "onset": "50 s"},)).run()
    healthy = run.healthy_network
    inside = inside_at(run, healthy, 45.0)
    at = run.index(45.0)
    there = np.array([run.pressure_pa[name][at] for name in healthy.node_names])
    assert inside.pressure_pa == pytest.approx(there, abs=0.5)  # ten steps' worth of error control
    warmer = inside.temperature_k - healthy.temperature_k
    assert warmer.max() > 0.1
    start = inside_at(run, healthy, float(run.time_s[0]))
    assert start.pressure_pa == pytest.approx([run.pressure_pa[n][0] for n in healthy.node_names], abs=0.05)
