"""What a user can get wrong, through the command line: exit 2, one line, no traceback, nothing written."""

import subprocess
import sys
from importlib import resources
from pathlib import Path

import pytest

from ramstill.cli.app import main

AIRPLANE = (resources.files("ramstill.airplane") / "hangar" / "low-wing-mast.toml").read_text(
    encoding="utf-8"
)
SCENARIO = """
format = 1
title = "A test"
airplane = "plane.toml"
[flight]
start_altitude = "3000 ft"
start_speed = "90 kt"
[[flight.leg]]
kind = "level"
duration = "20 s"
"""
RECORDING = 'format = 1\ntitle = "A test"\nairplane = "low-wing-mast"\n[recording]\nfile = "flight.csv"\n'
ROWS = ["time_s,ias_kt,altitude_ft", *(f"{t},90,3000" for t in range(30))]


def refused(
    folder: Path, files: dict[str, str | bytes], capsys: pytest.CaptureFixture[str], *words: str
) -> str:
    """Run scenario.toml among `files`; check how it is refused and return the line."""
    for name, text in files.items():
        (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    before = sorted(p.name for p in folder.iterdir())
    assert main(["run", str(folder / "scenario.toml"), "--out", str(folder / "out")]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    (line,) = printed.err.splitlines()
    assert line.startswith("ramstill: ")
    assert "; allowed: " in line
    for word in words:
        assert word in line, line
    assert sorted(p.name for p in folder.iterdir()) == before
    return line


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('bore = "5.0 mm"', 'bore = "5.0 kg"', ("opening", "mast-inlet", "bore", "5.0 kg")),
        ('bore = "5.0 mm"', "bore = 5.0", ("mast-inlet", "bore", "5.0")),
        ('bore = "5.0 mm"', 'bore = "-5.0 mm"', ("mast-inlet", "bore", "-5.0 mm")),
        ('bore = "5.0 mm"', 'boer = "5.0 mm"', ("mast-inlet", "boer", "bore")),
        ('to = "pitot-root"', 'to = "pitot-rout"', ("pitot-wing", "pitot-rout", "pitot-root")),
        ('to = "altimeter.static"', 'to = "static-sump"', ("altimeter",)),
        ('kind = "altimeter"', 'kind = "altimetre"', ("instrument", "altimetre", "altimeter")),
        ("format = 1", "format = 99", ("format", "99")),
        ("[wing]", "[wing", ("line ", "bad TOML")),
    ],
)
def test_a_bad_airplane(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, words: tuple[str, ...]
) -> None:
    assert old in AIRPLANE
    files = {"plane.toml": AIRPLANE.replace(old, new, 1), "scenario.toml": SCENARIO}
    refused(tmp_path, files, capsys, "plane.toml", *words)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('"90 kt"', '"90 hPa"', ("flight.start_speed", "90 hPa")),
        ('"20 s"', '"nan s"', ("flight.leg[1].duration", "nan s")),
        ('"20 s"', '"-20 s"', ("flight.leg[1].duration", "-20 s")),
        ('"20 s"', '"1e30 s"', ("duration",)),
        ('"level"', '"levle"', ("flight.leg[1]", "levle", "level")),
        ("plane.toml", "plan.toml", ("plan.toml",)),
        ("plane.toml", "high-wing-tub", ("airplane", "high-wing-tub", "high-wing-tube")),
    ],
)
def test_a_bad_scenario(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], old: str, new: str, words: tuple[str, ...]
) -> None:
    files = {"plane.toml": AIRPLANE, "scenario.toml": SCENARIO.replace(old, new, 1)}
    refused(tmp_path, files, capsys, *words)


@pytest.mark.parametrize(
    ("fault", "words"),
    [
        ('name = "pitot-inlet-blockt"', ("fault[1]", "pitot-inlet-blockt", "pitot-inlet-blocked")),
        ('name = "static-ports-blocked"\nseverity = 1.5', ("fault[1].severity", "1.5")),
        ('name = "pitot-drain-blocked"', ("fault[1]", "low-wing-mast")),
        ('name = "pitot-line-leak"\nsize = "2 kg"', ("fault[1]", "size", "2 kg")),
        ('name = "pitot-line-leak"\nwhen = "2 s"', ("fault[1]", "when", "onset")),
    ],
)
def test_a_bad_fault(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], fault: str, words: tuple[str, ...]
) -> None:
    files = {"plane.toml": AIRPLANE, "scenario.toml": f"{SCENARIO}\n[[fault]]\n{fault}\n"}
    refused(tmp_path, files, capsys, *words)


@pytest.mark.parametrize(
    ("row", "text", "words"),
    [
        (8, "nan,90,3000", ("line 9", "time_s", "nan")),
        (8, "3,90,3000", ("line 9", "time_s", "3")),
        (8, "7,ninety,3000", ("line 9", "ias_kt", "ninety")),
        (0, "time,ias,altitude", ("time_s",)),
    ],
)
def test_a_bad_recording(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], row: int, text: str, words: tuple[str, ...]
) -> None:
    rows = [*ROWS[:row], text, *ROWS[row + 1 :]]
    files = {"flight.csv": "\n".join(rows), "scenario.toml": RECORDING}
    refused(tmp_path, files, capsys, "flight.csv", *words)


@pytest.mark.parametrize("data", [b"", b"\xff\xfe\x00", b"\0" * 40, b"time_s\n"])
def test_an_unreadable_recording(tmp_path: Path, capsys: pytest.CaptureFixture[str], data: bytes) -> None:
    refused(tmp_path, {"flight.csv": data, "scenario.toml": RECORDING}, capsys, "flight.csv")


def test_files_that_are_not_there(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    refused(tmp_path, {}, capsys, "scenario.toml")
    refused(tmp_path, {"scenario.toml": RECORDING}, capsys, "flight.csv")
    refused(tmp_path, {"scenario.toml": b"\xff\xfe"}, capsys, "scenario.toml", "UTF-8")


def test_a_folder_of_the_user_is_not_replaced(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "photos").mkdir()
    (tmp_path / "photos" / "one.jpg").touch()
    assert main(["demo", "--out", str(tmp_path / "photos")]) == 2
    assert "allowed: a folder that is new" in capsys.readouterr().err
    assert [p.name for p in (tmp_path / "photos").iterdir()] == ["one.jpg"]


def test_the_real_command_leaves_no_traceback(tmp_path: Path) -> None:
    command = [sys.executable, "-m", "ramstill", "run", "nowhere.toml"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True)
    assert (done.returncode, done.stdout) == (2, "")
    assert len(done.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []
