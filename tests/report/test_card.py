"""What a card says in words, as a page and as a PDF."""

import io
import re
from html.parser import HTMLParser

import pypdf
import pytest

from ramstill import airplane, report
from ramstill.errors import InputError
from ramstill.report.card import ACROSS, card_content
from ramstill.report.card_words import GOVERNS
from ramstill.safety import SAFETY

NAMES = airplane.hangar()
WIDE = {"A": 595.3, "B": 841.9}  # A4 [pt]


def words_of(page: str) -> str:
    """The words of a page, spaces evened out."""
    found: list[str] = []

    class Words(HTMLParser):
        skip = 0

        def handle_starttag(self, tag, attrs):
            self.skip += tag == "style"

        def handle_endtag(self, tag):
            self.skip -= tag == "style"

        def handle_data(self, data):
            if not self.skip:
                found.append(data)

    Words().feed(page)
    return " ".join(" ".join(found).split())


def of_pdf(sheet: bytes) -> tuple[pypdf.PdfReader, str]:
    reader = pypdf.PdfReader(io.BytesIO(sheet))
    return reader, " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def own(name: str = "twin-two-ports", **speeds: object) -> airplane.Airplane:
    """A hangar airplane made a real one, its speeds measured."""
    table = airplane.table(name)
    table["invented"] = False
    table["speeds"] |= {"basis": "measured", "date": "2026-03-01", "source": "flight manual"} | speeds
    return airplane.from_dict(table)


@pytest.mark.parametrize("name", NAMES)
def test_page_and_pdf_say_the_same_on_one_sheet(name):
    plane = airplane.load(name)
    content = card_content(plane)
    reader, printed = of_pdf(report.card_pdf(plane))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((WIDE["A"], WIDE["B"]), abs=0.1)
    page = words_of(report.card_html(plane))
    # a word may be broken at the end of a printed line; spaces and hyphens there are not compared
    flat_print, flat_page = (re.sub(r"[\s\-]", "", text) for text in (printed, page))
    said = [content["title"], content["airplane"], GOVERNS, SAFETY, content["banner"], ACROSS]
    said += [*content["fly"], *content["check"], *content["then"], content["phase_note"]]
    said += [content["alternate_note"], content["blockage_note"]]
    said += [row["what"] for row in content["blockages"]]
    said += [text for row in content["lines"] for text in (row["from"], row["to"])]
    said += [one["title"] for one in content["speeds"]]
    said += [
        text for row in content["phases"] for one in row["at"] for text in one[1 : 2 + content["powered"]]
    ]
    for words in said:
        flat = re.sub(r"[\s\-]", "", words)
        assert flat in flat_page, words
        assert flat in flat_print, words
    assert printed.count("assumed") >= 3
    assert page.count("assumed") >= 3


def test_steps_run_on_from_flying_to_finding_out():
    page = report.card_html(airplane.load("high-wing-tube"))
    assert page.index("1. Fly first") < page.index("2. Then find out")
    assert re.findall(r'<ol start="(\d+)">', page) == ["1", "5"]


def test_what_the_airplane_really_has():
    says = {name: card_content(airplane.load(name)) for name in NAMES}

    def steps(name):
        return " ".join([*says[name]["fly"], *says[name]["check"], *says[name]["then"]])

    assert "warms the ram openings, not the static ports" in steps("high-wing-tube")
    assert "warms the ram openings and the static ports" in steps("business-jet")
    assert "no heater" in steps("sailplane")
    assert "open the alternate static source under the panel" in steps("high-wing-tube")
    assert "no alternate static source" in steps("low-wing-mast")
    assert "quick drain is no alternate source" in steps("low-wing-mast")
    assert "Use what hangs on other openings: the right air-data computer" in steps("business-jet")
    assert "can clear the pointer, never the line" in steps("twin-two-ports")
    assert "hangs on the lines of the right altimeter, not on those of the left" in steps(
        "pressurised-turboprop"
    )
    assert "same lines as the air-data computer: they err together" in steps("glass-trainer")
    assert "Autopilot" not in steps("sailplane")
    assert "encoder" not in steps("business-jet")
    assert says["low-wing-mast"]["alternate"] == []
    assert says["sailplane"]["unit"] == "km/h"
    assert any("no drain" in row["from"] for row in says["low-wing-mast"]["lines"])


def test_an_example_says_so_across_the_page_and_one_s_own_does_not():
    for plane, example in ((airplane.load("twin-two-ports"), True), (own(), False)):
        page = report.card_html(plane)
        _, printed = of_pdf(report.card_pdf(plane))
        for text in (words_of(page), printed):
            assert (ACROSS in text) == example
            assert ("Example, not your airplane" in text) == example
        assert GOVERNS.replace("'", "&#39;") in page
    nobody = airplane.table("twin-two-ports") | {"invented": False}
    content = card_content(airplane.from_dict(nobody))
    assert content["example"]
    assert "measured with a date and a source" in content["banner"]


def test_one_assumed_speed_among_measured_ones_is_marked_alone():
    table = airplane.table("twin-two-ports") | {"invented": False}
    known = {"basis": "measured", "date": "2026-03-01", "source": "flight manual"}
    table["speeds"] |= known | {"approach": {"value": "95 kt", "basis": "assumed"}}
    content = card_content(airplane.from_dict(table))
    assert not content["speeds_assumed"]
    assert [one["title"] for one in content["speeds"] if one["assumed"]] == ["approach"]


def test_no_flight_model_says_why():
    table = airplane.table("high-wing-tube")
    del table["performance"]
    plane = airplane.from_dict(table)
    _, printed = of_pdf(report.card_pdf(plane))
    for text in (words_of(report.card_html(plane)), printed):
        assert "are left out: the airplane file has no [performance]" in text
        assert "your handbook" in text
        assert "Alternate static correction" in text


@pytest.mark.parametrize("kinds", [("airspeed-indicator",), ("altimeter", "encoder")])
def test_an_airplane_without_an_instrument_still_gets_its_card(kinds):
    table = airplane.table("high-wing-tube")
    gone = [one["name"] for one in table["instrument"] if one["kind"] in kinds]
    table["instrument"] = [one for one in table["instrument"] if one["name"] not in gone]
    table["line"] = [
        one for one in table["line"] if not {one["from"].split(".")[0], one["to"].split(".")[0]} & set(gone)
    ]
    plane = airplane.from_dict(table)
    reader, _ = of_pdf(report.card_pdf(plane))
    assert len(reader.pages) == 1
    assert "1. Fly first" in report.card_html(plane)


def test_names_are_words_never_markup():
    table = airplane.table("high-wing-tube")
    table["title"] = 'Mine <script>alert("x")</script> #panic() *bold* $x$ \\ @here'
    plane = airplane.from_dict(table)
    page = report.card_html(plane)
    assert "<script>" not in page
    _, printed = of_pdf(report.card_pdf(plane))
    assert "#panic() *bold* $x$ \\ @here" in printed


def test_the_same_figures_give_the_same_file():
    plane = airplane.load("low-wing-mast")
    assert report.card_pdf(plane) == report.card_pdf(plane)


def test_the_pdf_carries_its_own_faces_a_title_a_language_and_tags():
    reader, _ = of_pdf(report.card_pdf(airplane.load("low-wing-mast")))
    assert reader.metadata.title == "What the pilot should do"
    root = reader.trailer["/Root"]
    assert root["/Lang"].lower().startswith("en")
    assert root["/MarkInfo"]["/Marked"]
    fonts = {
        font.get_object()["/BaseFont"].split("+")[1]
        for font in reader.pages[0]["/Resources"]["/Font"].values()
    }
    assert fonts == {"Roboto-Regular", "Roboto-Bold"}


def test_both_files_or_none(tmp_path):
    plane = airplane.load("low-wing-mast")
    out = tmp_path / "card"
    assert report.write_card(plane, out) == (out / "card.html", out / "card.pdf")
    assert (out / "card.pdf").read_bytes().startswith(b"%PDF")
    report.write_card(plane, out)  # ours, so it may be replaced
    (sheet,) = report.write_card(plane, tmp_path / "mine.pdf")
    assert sheet.read_bytes() == (out / "card.pdf").read_bytes()
    (page,) = report.write_card(plane, tmp_path / "mine.HTML")
    assert page.read_text(encoding="utf-8") == report.card_html(plane)
    other = tmp_path / "other"
    other.mkdir()
    (other / "keep.txt").write_text("mine")
    with pytest.raises(InputError, match="--card: read a folder with other things in it"):
        report.write_card(plane, other)
    assert [one.name for one in other.iterdir()] == ["keep.txt"]
    with pytest.raises(InputError, match=r"--card: read .*; allowed: a file that can be written"):
        report.write_card(plane, tmp_path / "none" / "card.pdf")
    assert sorted(one.name for one in tmp_path.iterdir()) == ["card", "mine.HTML", "mine.pdf", "other"]


def test_without_typst_one_line_says_what_is_missing(tmp_path, monkeypatch):
    monkeypatch.setitem(__import__("sys").modules, "typst", None)
    with pytest.raises(InputError, match="PDF: typst: read not installed; allowed: the Python package typst"):
        report.write_card(airplane.load("low-wing-mast"), tmp_path / "card")
    assert list(tmp_path.iterdir()) == []


def test_an_alternate_source_that_moves_no_altimeter_has_dashes_in_its_place() -> None:
    table = airplane.table("high-wing-tube")
    for part in ("instrument", "line"):
        table[part] = [one for one in table[part] if "altimeter.static" not in one.values()]
    table["instrument"] = [one for one in table["instrument"] if one["kind"] != "altimeter"]
    rows = card_content(airplane.from_dict(table))["alternate"]
    assert [cell for row in rows for _, cell in row["at"]] == ["–"] * 6
