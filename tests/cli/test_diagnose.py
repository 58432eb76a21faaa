"""`ramstill diagnose`, from start to end."""

import json
from importlib import resources
from pathlib import Path

import numpy as np
import pytest

from ramstill import air
from ramstill.air import units
from ramstill.cli.app import main

SAW = "climb: altimeter frozen, vsi zero, airspeed falling"
LOG = str(resources.files("ramstill.scenarios") / "recorded-lesson.csv")


def trapped(path: Path) -> Path:
    """A climb and a descent of `low-wing-mast` whose static openings are blocked at 200 s, by algebra.

    From then on the altimeter stands and the airspeed indicator feels total less trapped static pressure.
    """
    time = np.arange(600.0)
    climb = np.interp(time, [0, 20, 380, 400, 600], [0, 600, 600, -500, -500]) * units.FPM
    height = 600.0 + np.concatenate([[0.0], np.cumsum(climb[1:])])
    cas = units.KT * np.interp(time, [0, 380, 420, 600], [72, 72, 90, 90]) + 0.7 * np.sin(time / 17.0)
    static = np.asarray(air.static_pressure(height))
    shut = np.where(time < 200.0, static, static[200])
    felt = np.maximum(static + np.asarray(air.impact_pressure(cas)) - shut, 0.0)
    shown = np.asarray(air.calibrated_airspeed(felt)) / units.KT
    altitude = np.asarray(air.pressure_altitude(shut)) / units.FT
    rate = np.where(time < 200.0, climb, 0.0) / units.FPM
    rows = [f"{t:.0f},{a:.0f},{10 * round(h / 10)},{50 * round(v / 50)},{g / units.FT:.0f}"
            for t, a, h, v, g in zip(time, shown, altitude, rate, height, strict=True)]  # fmt: skip
    path.write_text("time_s,IAS,altitude_ft,vsi_fpm,gps_altitude_ft\n" + "\n".join(rows) + "\n")
    return path


def test_a_recording_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    log = trapped(tmp_path / "log.csv")
    call = ["diagnose", "low-wing-mast", str(log), "--column", "ias_kt=IAS", "--json"]
    assert main([*call, "--out", str(tmp_path / "out")]) == 0
    read = json.loads(capsys.readouterr().out)
    total = sum(one["probability"] for one in read["ranking"]) + read["none_fits"]
    assert total == pytest.approx(1.0, abs=1e-9)  # round-off
    assert [] in [one["faults"] for one in read["ranking"]]
    first = read["ranking"][0]
    shut = {"static-ports-blocked", "tape-over-static-port", "line-crushed", "tee-plugged"}
    assert set(first["faults"]) <= shut
    assert first["faults"]
    assert first["onset_s"] == pytest.approx(200.0, abs=15.0)  # what is asked of the median
    assert read["airplane"] == "low-wing-mast"
    assert all(check["title"] and check["how"] for check in read["next_check"])
    page = Path(read["page"])
    assert page == tmp_path / "out" / "diagnosis.html"
    assert "</html>" in page.read_text(encoding="utf-8")


def test_a_reported_defect_as_text(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["diagnose", "high-wing-tube", "--saw", SAW]) == 0
    text = capsys.readouterr().out
    said = " ".join(text.split())
    assert said.startswith("Fly first, diagnose second. In the air hold a pitch and a power")
    assert "Reported: climb: airspeed falling, altimeter frozen, vsi zero" in said
    assert "None of these: something outside the catalogue" in said
    assert "static-ports-blocked" in said
    assert "What this cannot tell apart:" in said
    assert "1. " in said.partition("What to check next")[2]
    assert "--then " in said
    assert "an invented example and not yours" in said
    assert "handbook governs" in said
    assert text.rstrip().endswith("live system.") or "live system." in said[-80:]
    assert list(tmp_path.iterdir()) == []


def test_an_outcome_is_taken_account_of(capsys: pytest.CaptureFixture[str]) -> None:
    call = ["diagnose", "high-wing-tube", "--saw", SAW, "--json"]
    assert main(call) == 0
    before = json.loads(capsys.readouterr().out)
    openings = next(one for one in before["next_check"] if one["check"] == "look-openings")
    taped = next(one for one in openings["outcomes"] if "taped" in one["then"])
    assert main([*call, "--then", taped["then"]]) == 0
    after = json.loads(capsys.readouterr().out)
    assert after["checked"] == [taped["then"]]
    assert after["ranking"][0]["faults"] == ["tape-over-static-port"]
    assert "look-openings" not in [one["check"] for one in after["next_check"]]
    total = sum(one["probability"] for one in after["ranking"]) + after["none_fits"]
    assert total == pytest.approx(1.0, abs=1e-9)


def test_nothing_given_writes_the_form(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert main(["diagnose", "sailplane"]) == 0
    lines = capsys.readouterr().out.splitlines()
    assert lines[-1] == "ramstill-diagnosis/diagnosis.html"
    assert lines[0].startswith("Fly first, diagnose second. In the air hold a pitch that you know")
    assert "<form" in (tmp_path / lines[-1]).read_text(encoding="utf-8")


ROWS = [f"{t},{60 + t % 7},{3000 + 2 * t}" for t in range(60)]
HEAD = "time_s,ias_kt,altitude_ft"


def csv(*rows: str, head: str = HEAD) -> bytes:
    return "\n".join([head, *rows, ""]).encode()


def changed(row: int, text: str) -> bytes:
    return csv(*ROWS[:row], text, *ROWS[row + 1 :])


BAD: dict[str, tuple[bytes, tuple[str, ...]]] = {
    "empty": (b"", ("line 1", "an empty file")),
    "headers alone": (csv(), ("0 rows",)),
    "binary": (bytes(range(256)) * 4, ("UTF-8",)),
    "zeros": (b"\0" * 99, ("zero bytes",)),
    "no time": (csv(*ROWS, head="t,ias_kt,altitude_ft"), ("line 1", "time_s")),
    "no instrument": (csv(*ROWS, head="time_s,a,b"), ("ias_kt",)),
    "few rows": (csv(*ROWS[:20]), ("20 readings", "30 readings or more")),
    "a stuck clock": (csv(*(f"5,{60 + t},3000" for t in range(40))), ("line 3, time_s", "in every line")),
    "a repeated time": (changed(9, "8,70,3000"), ("line 11, time_s", '"8" after "8"')),
    "a row twice": (csv(*ROWS[:9], *ROWS[8:]), ("line 11", "the line before once more")),
    "time backwards": (changed(9, "3,70,3000"), ("line 11, time_s", '"3" after "8"')),
    "a word": (changed(9, "9,seventy,3000"), ("line 11, ias_kt", "seventy")),
    "infinite": (changed(9, "9,inf,3000"), ("line 11, ias_kt", "inf")),
    "a short row": (changed(9, ""), ("line 11, time_s",)),
    "a long row": (changed(9, "9,70,3000,1,2,3"), ("as many cells",)),
    "milliseconds": (
        csv(*(f"{1000 * t},{60 + t % 7},{3000 + 2 * t}" for t in range(60))),
        ("milliseconds", "time_ms"),
    ),
    "feet as metres": (
        csv(*(f"{t},60,{33000 * t}" for t in range(60)), head="time_s,ias_kt,altitude_m"),
        ("line 4, altitude_m", "read "),
    ),
    "another airplane": (
        csv(*(f"{t},{300 + t % 40},{3000 + 20 * t}" for t in range(200))),
        ("another airplane", "low-wing-mast"),
    ),
}


@pytest.mark.parametrize("case", BAD)
def test_a_recording_that_cannot_be_used(
    case: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    raw, words = BAD[case]
    path = tmp_path / "log.csv"
    path.write_bytes(raw)
    refused(["low-wing-mast", str(path), "--out", str(tmp_path / "out")], capsys, str(path), *words)
    assert [one.name for one in tmp_path.iterdir()] == ["log.csv"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["low-wing-mast", "nowhere.csv"], ("nowhere.csv", "No such file")),
        (["low-wing-mast", "."], ("directory",)),
        (["low-wing-mats", LOG], ("low-wing-mats", "low-wing-mast")),
        (["low-wing-mast", LOG, "--column", "ias_kt"], ("--column", "ias_kt=IAS")),
        (["low-wing-mast", LOG, "--column", "ias_kt=IAS"], ("columns.ias_kt", '"IAS"')),
        (["low-wing-mast", LOG, "--column", "IAS=ias_kt"], ("columns", '"IAS"')),
        (["low-wing-mast", LOG, "--column", "ias_kt=a", "--column", "ias_kt=b"], ("one header for ias_kt",)),
        (["low-wing-mast", LOG, "--saw", SAW], ("--saw", "one of them")),
        (["low-wing-mast", "--then", "heat on: no change"], ("--then", "only after")),
        (["low-wing-mast", "--column", "ias_kt=IAS"], ("--column", "only of a recording")),
        (["low-wing-mast", "--saw", "climb: flux capacitor humming"], ("saw", "flux", "altimeter")),
        (["low-wing-mast", "--saw", ""], ("saw",)),
        (["low-wing-mast", "--saw", SAW, "--then", "kick it: it works"], ("--then", "kick it")),
        (["low-wing-mast", "--saw", SAW, "--out", "pyproject.toml"], ("--out",)),
    ],
)
def test_what_cannot_be_asked(
    arguments: list[str], words: tuple[str, ...], capsys: pytest.CaptureFixture[str],
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    monkeypatch.chdir(tmp_path)
    (tmp_path / "pyproject.toml").touch()
    refused(arguments, capsys, *words)
    assert [one.name for one in tmp_path.iterdir()] == ["pyproject.toml"]


def refused(arguments: list[str], capsys: pytest.CaptureFixture[str], *words: str) -> None:
    assert main(["diagnose", *arguments]) == 2
    printed = capsys.readouterr()
    assert printed.out == ""
    *bar, line = printed.err.splitlines()
    assert all("Working out" in one or "Trying" in one for one in bar)  # on a slow machine
    assert "; allowed: " in line
    for word in words:
        assert word in line, line
