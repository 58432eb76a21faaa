"""The evidence as a drawing: what is drawn where, one finding at a time, gaps left open."""

import re
from dataclasses import replace
from xml.etree import ElementTree

import numpy as np
import pytest

from ramstill.pictures.evidence import COMPACT, WIDE, Guess, Lane, Odds, evidence
from ramstill.pictures.evidence_lanes import scale_of
from ramstill.pictures.evidence_words import gaps_in, odds_words, off_by

TIME = np.arange(0.0, 600.0)
SPEED = 90.0 + 10.0 * np.sin(TIME / 60.0)
LANE = Lane("Airspeed", "kt", SPEED, np.full(600, 1.5), SPEED + 1.0, 20.0)
RIGHT = Guess("Static ports blocked", (SPEED,), 200.0, 9.0)
WRONG = Guess("No fault", (SPEED + 6.0,))
ODDS = Odds(np.linspace(0.0, 12.0, 600), "No fault", 250.0)
SVG = "{http://www.w3.org/2000/svg}"


def drawn(**changes: object) -> ElementTree.Element:
    asked = {"lanes": [LANE], "guesses": [RIGHT, WRONG], "odds": ODDS, "time_s": TIME} | changes
    return ElementTree.fromstring(evidence(**asked))  # type: ignore[arg-type]


def of_class(root: ElementTree.Element, *names: str) -> list[ElementTree.Element]:
    return [one for one in root.iter() if set(names) <= set((one.get("class") or "").split())]


def points(path: ElementTree.Element) -> np.ndarray:
    return np.array(
        [[float(n) for n in p.split(",")] for p in re.findall(r"[\d.]+,[\d.]+", path.get("d", ""))]
    )


def test_only_the_first_finding_is_in_sight() -> None:
    groups = of_class(drawn(), "guess")
    assert len(groups) == 4  # under the recorded line and over it, for each of two
    for group in groups:
        assert (group.get("display") == "none") == ("of-1" in str(group.get("class")))


def test_the_recorded_line_is_where_the_right_prediction_is() -> None:
    root = drawn()
    recorded = points(of_class(root, "pointer")[1])  # the first one is that of the legend
    first = next(g for g in of_class(root, "guess", "of-0") if of_class(g, "guessed"))
    predicted = points(of_class(first, "guessed")[0])
    level = np.interp(recorded[:, 0], predicted[:, 0], predicted[:, 1])
    # both lines are thinned to 0.35 px and rounded to 0.1 px
    assert np.abs(level - recorded[:, 1]).max() < 0.9


def test_time_runs_along_the_picture() -> None:
    at = float(of_class(drawn(), "decided")[0].get("x1", "nan"))
    wide = WIDE.width - WIDE.left - WIDE.right
    # coordinates are written to a hundredth of a pixel
    assert at == pytest.approx(WIDE.left + 250.0 / 599.0 * wide, abs=0.01)


def test_onset_and_its_spread_are_shaded() -> None:
    when = of_class(drawn(), "when")
    assert len(when) == 1  # no fault sets in nowhere
    wide = WIDE.width - WIDE.left - WIDE.right
    assert float(when[0].get("width", "nan")) == pytest.approx(4 * 9.0 / 599.0 * wide, abs=0.01)
    assert "sets in 3:20 ± 18 s" in "".join(drawn().itertext())


def test_distances_beyond_the_band_stand_out_and_others_do_not() -> None:
    groups = [g for g in of_class(drawn(), "guess") if of_class(g, "off")]
    right, wrong = (of_class(g, "off", "far") for g in groups)
    assert not right
    assert len(wrong) == 1  # 6 kt off where the spread is 1.5 kt
    assert len(re.findall("M", wrong[0].get("d", ""))) > 100


def test_nothing_is_drawn_where_nothing_was_recorded() -> None:
    there = (TIME < 200.0) | (TIME > 320.0)
    speed = np.where((TIME > 400.0) & (TIME < 450.0), np.nan, SPEED)[there]
    lane = replace(LANE, recorded=speed, spread=LANE.spread[there], elsewhere=None)
    root = drawn(time_s=TIME[there], lanes=[lane], guesses=[Guess("No fault", (SPEED[there],))], odds=None)
    lines = [points(p) for p in of_class(root, "pointer") if p.get("d")]
    assert len(lines) == 3
    assert gaps_in(TIME[there]) == [(199.0, 321.0)]
    assert len(of_class(root, "gap")) == 1
    assert "no readings" in "".join(root.itertext())
    assert "No readings from 3:19 to 5:21." in "".join(root.itertext())


def test_a_lonely_reading_is_a_dot() -> None:
    speed = np.full(600, np.nan)
    speed[[100, 300, 301]] = 90.0
    root = drawn(lanes=[replace(LANE, recorded=speed, elsewhere=None)])
    assert len(of_class(root, "pointer-dot")) == 1


def test_a_wild_prediction_does_not_flatten_what_was_recorded() -> None:
    low, high = scale_of(LANE, [SPEED, np.linspace(0.0, 4000.0, 600)], 4)
    assert high - low <= 100.0  # 20 kt were recorded
    root = drawn(guesses=[RIGHT, Guess("Lines crossed", (np.linspace(0.0, 4000.0, 600),))])
    clipped = [g for g in root.iter(f"{SVG}g") if g.get("clip-path")]
    assert len(clipped) == 4  # band and line of each


def test_a_long_recording_makes_no_large_picture() -> None:
    """An hour at 1 Hz, three instruments, six findings: both pictures within what a light page allows."""
    time = np.arange(3600.0)
    noise = np.random.default_rng(5).normal(0.0, 1.0, (3, 3600))
    lanes = [Lane("Airspeed", "kt", 90.0 + noise[i], np.ones(3600)) for i in range(3)]
    slow = 90.0 + 5.0 * np.sin(time / 300.0)
    guesses = [Guess(f"No {i}", (slow + i, slow, slow)) for i in range(6)]
    odds = Odds(time / 100.0, "No 1", 300.0)
    sizes = [len(evidence(time, lanes, guesses, odds, compact=c)) for c in (False, True)]
    assert sum(sizes) < 900_000


def test_words_say_what_the_picture_shows() -> None:
    words = "".join(drawn().itertext())
    assert "Airspeed: recorded 80 to 100 kt" in words
    assert "Static ports blocked 0.0, No fault 4.0." in words  # 6 kt of 1.5 kt
    assert "Decided against No fault by 4:10." in words
    assert off_by(LANE, SPEED + 3.0) == pytest.approx(2.0)
    assert [odds_words(n) for n in (-2, 0, 3, 6)] == ["1:100", "even", "1,000:1", "10⁶:1"]


@pytest.mark.parametrize("compact", [False, True])
def test_it_keeps_inside_its_frame(compact: bool) -> None:
    root = drawn(compact=compact)
    size = COMPACT if compact else WIDE
    assert float(root.get("width", "nan")) == size.width
    for path in [*of_class(root, "pointer"), *of_class(root, "guessed"), *of_class(root, "odds")]:
        if path.get("d"):
            across = points(path)[:, 0]
            # coordinates of lines are rounded to a tenth of a pixel
            assert across.min() > size.left - 0.1
            assert across.max() < size.width - size.right + 0.1


def test_one_reading_of_one_instrument_is_drawn() -> None:
    lane = Lane("Altitude", "ft", np.full(5, 1000.0), np.zeros(5))
    root = drawn(
        time_s=np.arange(5.0), lanes=[lane], guesses=[Guess("No fault", (np.full(5, 1000.0),))], odds=None
    )
    assert of_class(root, "pointer")
