"""`ramstill run` and `ramstill demo`, from start to end."""

import csv
import json
from html import escape
from pathlib import Path

import pytest

from ramstill.cli.app import main
from ramstill.run import bundled, load_scenario


@pytest.mark.parametrize("name", bundled())
def test_every_bundled_scenario_end_to_end(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], name: str
) -> None:
    out = tmp_path / "out"
    assert main(["run", name, "--out", str(out)]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    lines = printed.out.splitlines()
    assert lines[-1] == str(out / "page.html")
    assert any(line.startswith("Caution: ") for line in lines)
    story = load_scenario(name).note
    assert " ".join(printed.out.split()).startswith(story)
    page = (out / "page.html").read_text(encoding="utf-8")
    assert page.lstrip().lower().startswith("<!doctype html>")
    assert page.rstrip().endswith("</html>")
    assert escape(story, quote=False).replace("'", "&#39;") in page
    with (out / "run.csv").open(newline="", encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    assert len(rows) > 300
    assert {"time_s", "airspeed_kt", "altimeter_ft", "vertical_speed_fpm", "true_airspeed_kt"} <= set(rows[0])
    assert all(value not in ("", "NaN", "inf") for row in rows[::50] for value in row.values())


def test_json_stands_alone_on_stdout(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["demo", "--out", str(tmp_path / "out"), "--json"]) == 0
    printed = capsys.readouterr()
    assert printed.err == ""
    figures = json.loads(printed.out)
    assert figures["airplane"] == "low-wing-mast"
    assert figures["invented_example"] is True
    assert Path(figures["page"]).is_file()
    assert Path(figures["csv"]).is_file()
    assert 2 <= len(figures["moments"]) <= 8
    assert {"fault", "air", "pointer", "worst", "safety"} == {p["about"] for p in figures["account"]}


def test_the_accounts_are_printed_and_in_the_figures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["demo", "--out", str(tmp_path / "out"), "--json"]) == 0
    figures = json.loads(capsys.readouterr().out)
    accounts = figures["accounts"]
    assert len(accounts) == 4 * len(figures["moments"])
    for account in accounts:
        suffix = {"kt": "kt", "ft": "ft", "ft/min": "fpm"}[account["unit"]]
        error = account[f"indicated_{suffix}"] - account[f"true_{suffix}"]
        assert sum(part[suffix] for part in account["parts"]) == pytest.approx(error, abs=1e-6)
        assert all(part[f"standard_error_{suffix}"] == 0.0 for part in account["parts"])
    (onset,) = {p["onset_s"] for a in accounts for p in a["parts"] if p["kind"] == "fault"}
    assert onset == 180.0
    assert main(["demo", "--out", str(tmp_path / "out")]) == 0
    printed = capsys.readouterr().out
    assert "Why, where a pointer is astray:" in printed
    lines = [
        line for line in printed.splitlines() if " airspeed " in line and "kt: pitot inlet blocked" in line
    ]
    assert len(lines) >= 4
    assert "At its worst" not in printed


def test_what_was_too_quick_is_printed_and_in_the_figures(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["run", "alternate-static", "--out", str(tmp_path / "out"), "--json"]) == 0
    (event,) = json.loads(capsys.readouterr().out)["too_quick"]
    assert event["pointer"] == "vertical-speed"
    assert event["cause"] == "alternate static open"
    assert 270.0 <= event["at_s"] < event["until_s"] < 271.0
    page = (tmp_path / "out" / "page.html").read_text(encoding="utf-8")
    words = f"up to about {round(abs(event['real_less_shown_fpm']), -1):.0f} ft/min"
    assert words in page
    assert "stands in the account above" in page
    assert main(["run", "alternate-static", "--out", str(tmp_path / "out")]) == 0
    assert words in " ".join(capsys.readouterr().out.split())
    assert main(["run", "spring-afternoon", "--out", str(tmp_path / "out"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["too_quick"] == []
    page = (tmp_path / "out" / "page.html").read_text(encoding="utf-8")
    assert "Nothing in this run was so quick" in page


def test_the_demo_writes_where_it_is_run(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    for _ in range(2):  # the second time it replaces its own folder
        assert main(["demo"]) == 0
        assert capsys.readouterr().out.splitlines()[-1] == "ramstill-demo/page.html"
    assert [p.name for p in tmp_path.iterdir()] == ["ramstill-demo"]


def test_a_mistake_of_ours_is_one_line(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    import ramstill.cli.run as command

    def broken(*_: object) -> None:
        raise ZeroDivisionError("a slip\nof ours")

    monkeypatch.setattr(command, "carry_out", broken)
    assert main(["run", "spring-afternoon"]) == 3
    (line,) = capsys.readouterr().err.splitlines()
    assert "ZeroDivisionError: a slip of ours" in line
    assert "RAMSTILL_TRACE=1" in line
    monkeypatch.setenv("RAMSTILL_TRACE", "1")
    with pytest.raises(ZeroDivisionError):
        main(["run", "spring-afternoon"])


def test_an_interrupted_run_ends_with_130(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    import ramstill.cli.run as command

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(command, "carry_out", interrupted)
    assert main(["run", "spring-afternoon", "--out", str(tmp_path / "out")]) == 130
    assert len(capsys.readouterr().err.splitlines()) == 1
