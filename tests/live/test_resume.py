"""The command as a process of its own: killed in mid-class it goes on; told to go it goes in peace."""

import os
import signal
import struct
import subprocess
import sys
from pathlib import Path

import pytest
from a_process import command

from ramstill.errors import InputError
from ramstill.live.address import listen
from ramstill.run import load_scenario

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals of POSIX")


def seen(raw: bytes) -> tuple[float, tuple[float, ...]]:
    """Time and figures of a frame."""
    return struct.unpack_from("<d", raw, 8)[0], struct.unpack_from(f"<{(len(raw) - 16) // 4}f", raw, 16)


def test_a_class_goes_on_where_it_was_killed(tmp_path: Path) -> None:
    with command(tmp_path / "kept") as (process, live):
        bench = live.bench()
        word = live.open_class(bench)
        (mine, seat), (other, _) = live.sit(word, "Ines"), live.sit(word, "Tomasz")
        assert bench.act("levers", climb_fpm=600, altitude_ft=6000)["say"] == "done"
        assert bench.act("step", seconds=30.0)["say"] == "done"
        assert bench.act("fault", name="pitot-inlet-blocked")["say"] == "done"
        assert bench.act("give", seat=seat, faults=[{"name": "static-ports-blocked"}])["say"] == "done"
        assert bench.act("step", seconds=30.0)["say"] == "done"
        assert bench.act("rewind", to_s=45.0)["say"] == "done"
        assert bench.act("levers", speed_kt=85)["say"] == "done"  # another branch
        assert bench.act("step", seconds=15.0)["say"] == "done"
        assert bench.act("ask")["say"] == "done"
        learner = live.seat(mine)
        answer = learner.act(
            "call", fault="static-ports-blocked", since_s=30.0, would_do="open the alternate"
        )
        assert answer["say"] == "called"
        bench.act("pace", times=1.0)
        was, own = seen(live.bench().frame()), seen(live.seat(mine).frame())
        assert was[0] == own[0] == 60.0
        os.kill(process.pid, signal.SIGKILL)
        process.wait(30)

    with command(tmp_path / "kept") as (process, again):
        assert "Taken up again" in again.said
        assert again.key == live.key
        bench = again.bench()
        assert seen(bench.frame()) == was, "to the last bit"
        timeline = bench.until("timeline")
        assert [fault["name"] for fault in timeline["faults"]] == ["pitot-inlet-blocked"]
        assert len(timeline["branches"]) == 2
        assert next(m["word"] for m in bench.heard if m["say"] == "class") == word
        learner = again.seat(mine)
        assert next(m["call"] for m in learner.heard if m["say"] == "called") == answer["call"]
        assert seen(learner.frame()) == own
        second = again.seat(other)
        assert next(m["open"] for m in second.heard if m["say"] == "asked") is True
        assert second.act("call", fault="none")["say"] == "called"
        third, _ = again.sit(word, "Adaeze")
        assert again.seat(third).act("call", fault="unsure")["say"] == "called"
        assert bench.act("run", on=True)["say"] == "done"
        while seen(bench.frame())[0] <= 60.0:
            pass
        again.open_pages.close()
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=30)
        assert process.returncode == 0, err
        assert err == ""
    (saved,) = (tmp_path / "kept").glob("flight-*.toml")
    scenario = load_scenario(saved)
    assert [fault.name for fault in scenario.faults] == ["pitot-inlet-blocked"]
    assert scenario.surroundings.end_s > 60.0

    with command(tmp_path / "kept") as (_, fresh):  # it was ended, so this is another
        assert fresh.key != live.key
        assert seen(fresh.bench().frame())[0] == 0.0
    assert len(list((tmp_path / "kept").glob("session-*.sqlite"))) == 2


@pytest.mark.full
def test_a_running_flight_runs_on(tmp_path: Path) -> None:
    with command(tmp_path) as (process, live):
        bench = live.bench()
        bench.act("pace", times=20)
        bench.act("run", on=True)
        while seen(bench.frame())[0] < 40.0:
            pass
        os.kill(process.pid, signal.SIGKILL)
        process.wait(30)
        last = seen(bench.frames[-1])[0]
    with command(tmp_path) as (_, again):
        bench = again.bench()
        first = seen(bench.frame())[0]
        assert first >= 0.0
        assert last - first < 1.5 * 20, "noted once a second"
        while seen(bench.frame())[0] <= first:
            pass


@pytest.mark.full
def test_killed_right_after_an_answer_the_flight_is_where_the_answer_was_given(tmp_path: Path) -> None:
    with command(tmp_path) as (process, live):
        bench = live.bench()
        token, _ = live.sit(live.open_class(bench))
        learner = live.seat(token)
        bench.act("ask")
        bench.act("step", seconds=30.0)
        assert learner.act("call", fault="none")["say"] == "called"
        os.kill(process.pid, signal.SIGKILL)
        process.wait(30)
    with command(tmp_path) as (_, again):
        assert seen(again.bench().frame())[0] == 30.0


@pytest.mark.full
def test_resume_takes_up_what_was_ended_and_no_resume_what_was_not(tmp_path: Path) -> None:
    def run(*more: str) -> tuple[str, float]:
        with command(tmp_path, *more) as (process, live):
            bench = live.bench()
            at = seen(bench.frame())[0]
            bench.act("step", seconds=1.0)
            live.open_pages.close()
            process.send_signal(signal.SIGTERM)
            assert process.wait(30) == 0
            return live.key, at

    first = run()
    again = run("--resume")
    assert again == (first[0], 1.0)
    assert run("--no-resume")[1] == 0.0


def test_on_the_network_it_says_so_and_answers_to_its_address(tmp_path: Path) -> None:
    with command(tmp_path, "--on-network", "--reached-as", "bench.example") as (process, live):
        said = live.said  # type: ignore[attr-defined]
        assert f"http://127.0.0.1:{live.port}/bench#" in said  # the instructor's stays on this machine
        assert f"http://bench.example:{live.port}/" in said
        assert live.ask("GET", "/", Host=f"bench.example:{live.port}")[0] == 200
        assert live.ask("GET", "/", Host=f"other.example:{live.port}")[0] == 403
        status, _, _ = live.ask(
            "POST",
            "/join",
            b'{"word":"a b"}',
            Host=f"bench.example:{live.port}",
            Origin=f"http://bench.example:{live.port}",
        )
        assert status == 403  # let to the door, with a wrong word
        process.send_signal(signal.SIGINT)
        _, err = process.communicate(timeout=30)
        assert "traffic is unencrypted" in err


def test_alone_it_listens_on_the_loopback_address_only() -> None:

    alone, everywhere = listen(0, False), listen(0, True, ("bench.example",))
    try:
        assert alone.socket.getsockname()[0] == "127.0.0.1"
        assert alone.hosts == (f"127.0.0.1:{alone.port}", f"localhost:{alone.port}")
        assert not alone.on_network
        assert everywhere.on_network
        assert everywhere.learners == f"http://bench.example:{everywhere.port}/"
    finally:
        alone.socket.close()
        everywhere.socket.close()


def refused(*arguments: str) -> str:
    done = subprocess.run(
        [sys.executable, "-m", "ramstill", "live", *arguments], capture_output=True, text=True, timeout=60
    )
    assert done.returncode == 2, done
    assert done.stdout == ""
    (line,) = done.stderr.splitlines()
    return line


def test_what_cannot_be_is_said_in_one_line_and_leaves_nothing_behind(tmp_path: Path) -> None:
    kept = tmp_path / "kept"
    assert "--resume" in refused("--keep", str(kept), "--port", "0", "--resume")
    assert "no-such-airplane" in refused("--keep", str(kept), "--port", "0", "--airplane", "no-such-airplane")
    assert "no such scenario" in refused("--keep", str(kept), "--port", "0", "--scenario", "no-such")
    assert "0 to 65535" in refused("--keep", str(kept), "--port", "70000")
    assert "one of them" in refused("--keep", str(kept), "--ground", "--scenario", "spring-afternoon")
    assert not kept.exists()
    (tmp_path / "file").touch()
    assert "--keep" in refused("--keep", str(tmp_path / "file"), "--port", "0")


@pytest.mark.parametrize(
    ("on_network", "name"), [(False, "bench.example"), (True, ""), (True, "a b"), (True, "bad/host")]
)
def test_a_name_that_is_none_is_refused(on_network: bool, name: str) -> None:
    with pytest.raises(InputError, match="--reached-as"):
        listen(0, on_network, (name,))


@pytest.mark.full
def test_a_port_that_is_taken_is_said_so(tmp_path: Path) -> None:
    with command(tmp_path) as (_, live):
        assert "--port" in refused("--keep", str(tmp_path / "other"), "--port", str(live.port))
        assert "another ramstill live" in refused("--keep", str(tmp_path), "--port", "0", "--resume")
