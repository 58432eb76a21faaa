"""The time line of a class: what it draws of lanes, answers and changes, and what it says in words."""

import re
from xml.etree import ElementTree

import numpy as np

from ramstill.pictures.class_line import Lane, Mark, Row, class_line
from ramstill.pictures.strip import Span

TIME_S = np.arange(100.0, 201.0)
SHOWN = np.where(TIME_S >= 140.0, 60.0 - (TIME_S - 140.0), 60.0)
LANE = Lane("Airspeed", "kt", SHOWN, np.full(101, 60.0), TIME_S >= 146.0, 146.0, "low, falling", 20.0)
FAULT = Span(140.0, 200.0, "static ports blocked")
ROWS = (Row("Static ports blocked", "right"), Row("Line crushed", "alike"), Row("Nothing is wrong", "wrong"))


def _drawn(*marks: Mark, compact: bool = False, lanes: tuple[Lane, ...] = (LANE,)) -> ElementTree.Element:
    drawing = class_line(TIME_S, lanes, (FAULT,), ROWS, marks, 120.0, compact=compact)
    assert "style=" not in drawing
    return ElementTree.fromstring(drawing)


def _of(root: ElementTree.Element, *classes: str) -> list[ElementTree.Element]:
    return [one for one in root.iter() if set(classes) <= set(one.get("class", "").split())]


def test_a_mark_stands_at_its_time_and_its_row() -> None:
    root = _drawn(Mark(1, "Ines", 0, 150.0), Mark(2, "Bo", 1, 175.0))
    right, alike = _of(root, "call", "right")[0], _of(root, "call", "alike")[0]
    assert right.tag.endswith("circle")
    assert float(right.get("cx", 0)) == 64.0 + 0.50 * (940.0 - 64.0 - 22.0)
    assert float(alike.get("cx", 0)) == 64.0 + 0.75 * (940.0 - 64.0 - 22.0)
    assert float(alike.get("cy", 0)) > float(right.get("cy", 0))


def test_how_an_answer_stands_is_told_by_shape_as_well_as_by_colour() -> None:
    root = _drawn(*(Mark(n, "x", row, 150.0 + n) for n, row in enumerate((0, 1, 2))))
    assert _of(root, "call", "wrong")[0].tag.endswith("rect")
    assert len(_of(root, "call-half")) == 1


def test_answers_at_one_time_lie_above_one_another() -> None:
    root = _drawn(*(Mark(n, "x", 0, 150.0) for n in range(1, 6)))
    heights = [float(one.get("cy", 0)) for one in _of(root, "call", "right")]
    assert len(set(heights)) == 5


def test_a_changed_answer_is_joined_to_the_one_that_stood() -> None:
    root = _drawn(Mark(1, "Ines", 2, 130.0, last=False), Mark(1, "Ines", 0, 160.0, since_s=141.0))
    (change,) = _of(root, "change")
    assert float(change.get("x1", 0)) < float(change.get("x2", 0))
    assert len(_of(root, "call", "changed")) == 1
    assert len(_of(root, "held-since")) == 2  # the line and its end


def test_a_class_without_room_for_them_has_no_lines_back() -> None:
    root = _drawn(*(Mark(n, "x", 0, 150.0 + n % 30, since_s=141.0) for n in range(60)))
    assert _of(root, "held-since") == []


def test_names_are_text_and_the_words_say_what_is_drawn() -> None:
    root = _drawn(Mark(1, "<script>Ines", 0, 150.0))
    said = next(one.text for one in root if one.tag.endswith("desc")) or ""
    assert "low, falling from 2:26" in said
    assert "<script>Ines at 2:30" in said
    assert "static ports blocked, from 2:20" in said


def test_where_nothing_could_be_seen_it_says_so() -> None:
    root = _drawn(lanes=())
    words = " ".join(text for text in root.itertext())
    assert "Nothing could be seen on the panel." in words


def test_the_narrow_one_fits_a_phone() -> None:
    root = _drawn(Mark(1, "Ines", 0, 150.0), compact=True)
    assert root.get("width") == "360"
    points = re.findall(r"[ML ](\d+\.?\d*),", " ".join(one.get("d", "") for one in root.iter()))
    assert all(float(x) <= 360.0 for x in points)
