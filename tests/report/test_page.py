"""The page as text: whole, safe to open, and honest about what it rests on."""

import base64
import hashlib
import json
import re
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path

import numpy as np
import pytest

from ramstill import report
from ramstill.errors import InputError
from ramstill.pictures.of_walls import walls_of
from ramstill.report.frames import embedded, frames
from ramstill.run import Run, bundled, load_scenario
from ramstill.safety import SAFETY

RunOf = Callable[[str], Run]


class Outline(HTMLParser):
    """Ids, and elements left open."""

    VOID = frozenset({"meta", "input", "br", "link"})

    def __init__(self) -> None:
        super().__init__()
        self.ids: list[str] = []
        self.open: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value for name, value in attrs if name == "id" and value]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.ids += [value for name, value in attrs if name == "id" and value]

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


@pytest.mark.parametrize("name", sorted(bundled()))
def test_every_bundled_scenario_makes_a_page(run_of: RunOf, name: str) -> None:
    text = report.page(run_of(name))
    outline = Outline()
    outline.feed(text)
    assert outline.open == []
    assert len(outline.ids) == len(set(outline.ids))
    assert len(text.encode()) < 2_000_000
    assert "nan" not in re.findall(r'(?:x|y|d|transform)="[^"]*?(nan)', text)


def test_it_says_the_tolerance_that_was_used() -> None:
    run = load_scenario("glass-broken").run(tolerance_pa=0.5)
    assert "(to 0.5 Pa a step)" in report.page(run)


def test_it_names_no_outside_address(run_of: RunOf) -> None:
    text = report.page(run_of("spring-afternoon"))
    addresses = set(re.findall(r"https?://[^\"' <)]+", text))
    assert addresses <= {"http://www.w3.org/2000/svg"}
    assert not re.search(r"\s(?:src|href)=\"(?!#)", text)
    assert "style=" not in text  # an inline style would be blocked by the page's own policy


def test_the_policy_names_the_very_style_and_script(run_of: RunOf) -> None:
    text = report.page(run_of("spring-afternoon"))
    policy = re.search(r'Content-Security-Policy" content="([^"]*)"', text)
    assert policy is not None
    assert policy[1].startswith("default-src 'none'")
    for tag in ("style", "script"):
        inside = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.S)
        assert len(inside) == 1
        name = base64.b64encode(hashlib.sha256(inside[0].encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{name}'" in policy[1]


def test_it_says_what_it_is_not(run_of: RunOf) -> None:
    text = report.page(run_of("spring-afternoon"))
    assert SAFETY.replace("'", "&#39;") in text
    assert "Invented example, not your airplane." in text
    assert "are assumed" in text


def test_the_account_and_the_moments_are_there(run_of: RunOf) -> None:
    run = run_of("alternate-static")
    text = report.page(run)
    for moment in run.moments():
        assert moment.title in text
    for paragraph in run.words():
        if paragraph.about != "safety":
            assert paragraph.title in text


def test_a_title_cannot_break_out(run_of: RunOf) -> None:
    nasty = '</title><script>alert("x")</script>'
    run = run_of("spring-afternoon")
    phases = ((0.0, "</script><b>"),)
    text = report.page(replace(run, title=nasty, truth=replace(run.truth, phases=phases)))
    assert nasty not in text
    assert "</script><b>" not in text


def test_frames_carry_the_run(run_of: RunOf) -> None:
    run = run_of("glass-broken")
    data = json.loads(embedded(frames(run, walls_of(run))))
    count = len(data["time"])
    assert count <= 1300
    for name in ("columns", "hands", "trueHands", "shown", "true"):
        assert all(len(values) == count for values in data[name].values())
    index = [run.index(t) for t in data["time"]]
    over = run.pressure_pa["airspeed.pitot"] - run.truth.static_pressure_pa
    np.testing.assert_allclose(data["columns"]["airspeed.pitot"], over[index], atol=0.051)  # one decimal kept
    for moment in run.moments():
        assert min(abs(t - moment.at_s) for t in data["time"]) < 0.06  # a sample apart


def test_embedded_figures_cannot_end_their_element() -> None:
    assert "</" not in embedded({"phase": ["</script>", "<!--", "a & b"]})
    assert json.loads(embedded({"a": "</script>"})) == {"a": "</script>"}


def test_the_gist_names_fault_time_and_the_worst(run_of: RunOf) -> None:
    from ramstill.report.pages import gist

    words = gist(run_of("spring-afternoon"))
    assert "pitot inlet blocked from 3:00" in words
    assert re.search(r"airspeed indicator shows -?\d+ kt where \d+ kt is true", words)


def test_write_gives_a_whole_folder_and_respects_others(run_of: RunOf, tmp_path: Path) -> None:
    run = run_of("spring-afternoon")
    page = report.write(run, tmp_path / "out")
    assert {p.name for p in page.parent.iterdir()} >= {"page.html", "run.csv"}
    assert report.write(run, tmp_path / "out") == page
    mine = tmp_path / "mine"
    mine.mkdir()
    (mine / "letter.txt").write_text("keep", encoding="utf-8")
    with pytest.raises(InputError):
        report.write(run, mine)
    assert (mine / "letter.txt").read_text(encoding="utf-8") == "keep"
    assert sorted(p.name for p in tmp_path.iterdir()) == ["mine", "out"]
