"""What the instructor's page can do, on a real server: each deed once, and what is no deed of a page's."""

import struct
import tomllib
from pathlib import Path
from typing import Any

import pytest
from a_server import Live, Page, serving

from ramstill.run import load_scenario


@pytest.fixture
def bench(session: Live) -> Page:
    """A page at a flight by levers that has just begun."""
    page = session.bench()
    assert page.act("run", on=False)["say"] == "done"
    assert page.act("pace", times=1.0)["say"] == "done"
    assert page.act("stage", airplane="high-wing-tube", mode="levers")["say"] == "done"
    return page


def last(page: Page, say: str) -> dict[str, Any]:
    return next(message for message in reversed(page.heard) if message["say"] == say)


def at(page: Page, time_s: float) -> dict[str, float]:
    """The figures of the newest frame, which is or will be of a time, by field."""
    fields = last(page, "stage")["fields"]
    while True:
        raw = page.frames[-1] if page.frames else page.frame()
        if len(raw) == 16 + 4 * len(fields) and abs(struct.unpack_from("<d", raw, 8)[0] - time_s) < 0.01:
            return dict(zip(fields, struct.unpack_from(f"<{len(fields)}f", raw, 16), strict=True))
        page.frame()


def test_levers_move_and_are_told(bench: Page) -> None:
    assert bench.act("levers", speed_kt=90, climb_fpm=500, altitude_ft=5000, flap=0.5)["say"] == "done"
    told = last(bench, "levers")
    assert (told["speed_kt"], told["climb_fpm"], told["altitude_ft"], told["flap"]) == (90, 500, 5000, 0.5)
    assert bench.act("levers", speed_kt=900)["say"] == "refused"
    assert bench.act("levers", power="fits", setting_inhg=30.1)["say"] == "done"
    assert last(bench, "levers")["setting_inhg"] == 30.1
    assert bench.act("step", seconds=60.0)["say"] == "done"
    seen = at(bench, 60.0)
    assert seen["height"] > 3000 * 0.3048 + 100.0
    assert seen["true:altimeter"] == pytest.approx(seen["height"], abs=1.0)  # over a field at sea level
    assert seen["pace"] == 1.0


def test_a_fault_is_laid_moved_lifted_and_dropped(bench: Page) -> None:
    bench.act("step", seconds=10.0)
    assert bench.act("fault", name="static-ports-blocked", severity=0.5)["say"] == "done"
    (fault,) = bench.until("timeline")["faults"]
    assert (fault["onset_s"], fault["end_s"], fault["severity"]) == (10.05, None, 0.5)
    assert bench.act("move_fault", fault=fault["id"], onset_s=5.0, severity=1.0)["say"] == "done"
    (moved,) = bench.until("timeline")["faults"]
    assert (moved["id"], moved["onset_s"], moved["severity"]) == (fault["id"], 5.0, 1.0)
    bench.act("step", seconds=5.0)
    assert bench.act("lift", fault=fault["id"])["say"] == "done"
    assert last(bench, "timeline")["faults"][0]["end_s"] == 15.05
    assert bench.act("move_fault", fault=fault["id"], end_s=None)["say"] == "done"
    assert last(bench, "timeline")["faults"][0]["end_s"] is None
    assert bench.act("drop", fault=fault["id"])["say"] == "done"
    assert last(bench, "timeline")["faults"] == []
    assert bench.act("drop", fault=fault["id"])["say"] == "refused"
    assert bench.act("fault", name="static-ports-blocked", where="nowhere")["say"] == "refused"


def test_a_fault_waits_for_its_altitude(bench: Page) -> None:
    assert bench.act("fault", name="static-ports-blocked", at_altitude_ft=3200)["say"] == "done"
    (fault,) = last(bench, "timeline")["faults"]
    assert (fault["onset_s"], fault["at_altitude_ft"]) == (None, pytest.approx(3200))
    bench.act("levers", climb_fpm=600, altitude_ft=5000)
    bench.act("step", seconds=60.0)
    assert 10.0 < last(bench, "timeline")["faults"][0]["onset_s"] < 60.0
    assert last(bench, "timeline")["trapped"]["altimeter.static"] > 10.0


def test_back_and_another_way(bench: Page, session: Live) -> None:
    bench.act("step", seconds=20.0)
    there = at(bench, 20.0)
    assert bench.act("rewind", to_s=10.0)["say"] == "done"
    assert last(bench, "strip")["time_s"][-1] == 10.0
    assert bench.act("levers", climb_fpm=-500)["say"] == "done"
    bench.act("step", seconds=10.0)
    assert at(bench, 20.0)["altimeter"] < there["altimeter"] - 5.0
    branches = last(bench, "timeline")["branches"]
    assert [branch["here"] for branch in branches] == [False, True]
    assert bench.act("branch", branch=branches[0]["id"])["say"] == "done"
    assert at(session.bench(), 20.0) == there
    assert bench.act("branch", branch="99")["say"] == "refused"


def test_switches_are_told(bench: Page) -> None:
    assert bench.act("alternate", open=True)["say"] == "done"
    assert bench.act("heat", on=False)["say"] == "done"
    bench.act("step", seconds=1.0)
    told = last(bench, "levers")
    assert (told["alternate"], told["heat"]) == (True, False)
    assert bench.act("alternate", open=False)["say"] == "done"
    bench.act("step", seconds=1.0)
    assert last(bench, "levers")["alternate"] is False


def test_what_was_flown_is_saved_as_a_scenario(bench: Page, session: Live) -> None:
    bench.act("levers", climb_fpm=400, altitude_ft=4000)
    bench.act("step", seconds=20.0)
    bench.act("fault", name="pitot-inlet-blocked")
    bench.act("step", seconds=20.0)
    assert bench.act("save", title="A <lesson>")["say"] == "done"
    saved = last(bench, "saved")
    assert saved["name"].startswith("flight-a-lesson-")
    assert tomllib.loads(saved["text"])["title"] == "A <lesson>"
    run = load_scenario(session.room.kept.folder / saved["name"]).run()
    shown = at(bench, 40.0)
    for name, values in run.pointers.items():  # the engine's error of a step, as tests of the world have it
        assert float(values[-1]) == pytest.approx(shown[name], abs=0.2), name
    again = bench.act("stage", toml=saved["text"])
    assert again["say"] == "done", again
    assert last(bench, "stage")["title"] == "A <lesson>"


def test_an_account_on_demand(bench: Page) -> None:
    assert bench.act("account", pointer="altimeter")["say"] == "refused"  # nothing was flown
    bench.act("fault", name="static-ports-blocked")
    bench.act("levers", climb_fpm=500, altitude_ft=5000)
    bench.act("step", seconds=30.0)
    found = bench.act("account", pointer="altimeter")
    assert found["say"] == "account"
    assert found["at_s"] == 30.0
    assert found["svg"].startswith("<svg")
    assert " style=" not in found["svg"]
    assert found["lines"][0]["title"] == "static ports blocked"
    assert found["words"]
    assert bench.act("account", pointer="nothing")["say"] == "refused"


def test_hands_on_the_ground(bench: Page) -> None:
    assert bench.act("stage", airplane="high-wing-tube", mode="ground")["say"] == "done"
    inlet = next(one["name"] for one in last(bench, "stage")["openings"] if one["ram"])
    assert bench.act("press", opening=inlet, how="blow", inh2o=8.0)["say"] == "done"
    bench.act("step", seconds=5.0)
    assert at(bench, 5.0)["airspeed"] > 40.0  # m/s: 8 in of water are some 110 kt
    while last(bench, "force")["inh2o"] < 7.99:
        bench.next()
    force = last(bench, "force")
    assert force["opening"] == inlet
    assert 105.0 < force["knots"] < 125.0
    assert any(one["instrument"] == "airspeed" and one["share"] > 0.4 for one in force["near"])
    assert bench.act("press", opening=inlet, how="free")["say"] == "done"
    assert bench.act("press", opening="nowhere", how="finger")["say"] == "refused"
    assert bench.act("levers", speed_kt=90)["say"] == "refused"
    bench.act("step", seconds=5.0)
    assert at(bench, 10.0)["airspeed"] < 5.0


def test_a_scenario_flies_by_itself_to_its_end(bench: Page) -> None:
    assert bench.act("stage", scenario="spring-afternoon", mode="scenario")["say"] == "done"
    end = last(bench, "timeline")["end_s"]
    assert end > 100.0
    assert [fault["name"] for fault in last(bench, "timeline")["faults"]] == ["pitot-inlet-blocked"]
    while True:
        bench.act("step", seconds=60.0)
        flags, now = struct.unpack_from("<Id", bench.frame(), 4)
        if flags & 2:
            break
    assert now == pytest.approx(end, abs=0.05)
    assert bench.act("run", on=True)["say"] == "refused"
    assert bench.act("levers", speed_kt=90)["say"] == "refused"


@pytest.mark.parametrize(
    "asked",
    [
        {},
        {"airplane": "low-wing-mast", "scenario": "spring-afternoon"},
        {"airplane": "no-such"},
        {"airplane": "/etc/passwd"},
        {"airplane": "../hangar/low-wing-mast.toml"},
        {"airplane": "low-wing-mast", "mode": "scenario"},
        {"scenario": "/etc/passwd"},
        {"scenario": "spring-afternoon.toml"},
        {"toml": "= ="},
        {"toml": "format = 1"},
        {"toml": 'format = 1\ntitle = "x"\nairplane = "/etc/passwd.toml"'},
        {"toml": 'format = 1\ntitle = "x"\nairplane = "low-wing-mast"\n[recording]\nfile = "/etc/passwd"'},
        {"toml": "a = " + "[" * 5000},
    ],
)
def test_a_page_names_nothing_of_the_disk(bench: Page, asked: dict[str, Any]) -> None:
    before = last(bench, "stage")
    assert bench.act("stage", **asked)["say"] == "refused"
    assert bench.act("step", seconds=1.0)["say"] == "done"
    assert last(bench, "stage") == before


def test_at_sixty_times_a_minute_takes_a_second_or_the_pace_says_so(bench: Page) -> None:
    bench.act("pace", times=60.0)
    bench.act("run", on=True)
    fields = last(bench, "stage")["fields"]
    while struct.unpack_from("<d", bench.frame(), 8)[0] < 60.0:
        pass
    pace = struct.unpack_from("<f", bench.frames[-1], 16 + 4 * fields.index("pace"))[0]
    assert 0.0 < pace < 75.0
    assert bench.act("run", on=False)["say"] == "done"


def test_a_class_goes_over_to_another_flight(bench: Page, session: Live) -> None:
    token, seat = session.sit(session.open_class(bench))
    learner = session.seat(token)
    bench.act("give", seat=seat, faults=[{"name": "vsi-glass-broken"}])
    assert bench.act("stage", airplane="sailplane", mode="levers")["say"] == "done"
    assert learner.until("stage", airplane="sailplane")["title"]
    assert session.room.school.craft_of(seat) == "bench"
    assert bench.act("class", open=False)["say"] == "done"


def test_a_session_of_its_own_begins_as_it_was_asked_to(tmp_path: Path) -> None:
    with serving(tmp_path, {"do": "stage", "scenario": "spring-afternoon", "mode": "scenario"}) as live:
        assert last(live.bench(), "stage")["mode"] == "scenario"
