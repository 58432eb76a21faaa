"""PDFs by Typst: data stay data, pictures come in as vectors, nothing of the machine gets in."""

import io

import pypdf
import pytest

from ramstill import airplane, pictures
from ramstill.report import typst_pdf

SHEET = b"""#import "house.typ": *
#let d = json("data.json")
#show: house.with(d.title, d.across)
#d.words
#if d.picture { image("map.svg", width: 100%, alt: "line map") }
"""


@pytest.fixture
def sheet(monkeypatch: pytest.MonkeyPatch):
    """A template of the test's own beside the house's."""
    read = typst_pdf._read
    monkeypatch.setattr(typst_pdf, "_read", lambda *at: SHEET if at[-1] == "test.typ" else read(*at))

    def made(words: str = "words", across: str = "", files=None) -> bytes:
        data = {"title": "A test", "across": across, "words": words, "picture": bool(files)}
        return typst_pdf.pdf("test.typ", data, files)

    return made


def text(made: bytes) -> str:
    return " ".join(" ".join(p.extract_text() for p in pypdf.PdfReader(io.BytesIO(made)).pages).split())


def test_data_are_no_markup(sheet):
    words = '#import "x" = heading *b* _i_ `c` $m$ @r <l> \\ // −5° 3 % ½ é'
    assert text(sheet(words)) == words


def test_a_picture_comes_in_as_vectors(sheet):
    drawing = pictures.standalone(pictures.line_map(airplane.load("low-wing-mast")))
    made = sheet(files={"map.svg": drawing.encode()})
    page = pypdf.PdfReader(io.BytesIO(made)).pages[0]
    assert not page.images
    assert len(made) > len(sheet()) + 5_000


def test_words_across_the_page(sheet):
    assert "NOT YOURS" in text(sheet(across="NOT YOURS"))
    assert "NOT YOURS" not in text(sheet())


def test_a_wrong_template_is_a_mistake_of_the_program(sheet, monkeypatch):
    read = typst_pdf._read
    monkeypatch.setattr(typst_pdf, "_read", lambda *at: b"#nonsense" if at[-1] == "bad.typ" else read(*at))
    with pytest.raises(RuntimeError):
        typst_pdf.pdf("bad.typ", {})
