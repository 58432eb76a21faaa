"""`ramstill hangar NAME --card`: where the card goes, and what is refused."""

import json
import subprocess
import sys

import pytest

from ramstill.airplane.reading import HANGAR
from ramstill.cli.hangar import hangar
from ramstill.errors import InputError


def test_a_folder_gets_page_and_pdf(tmp_path, capsys):
    hangar("low-wing-mast", card=tmp_path / "out")
    paths = capsys.readouterr().out.splitlines()[-2:]
    assert paths == [str(tmp_path / "out" / "card.html"), str(tmp_path / "out" / "card.pdf")]
    assert (tmp_path / "out" / "card.pdf").read_bytes().startswith(b"%PDF")


def test_json_names_the_files(tmp_path, capsys):
    hangar("low-wing-mast", as_json=True, card=tmp_path / "one.pdf", svg=tmp_path / "map.svg")
    data = json.loads(capsys.readouterr().out)
    assert data["card"] == [str(tmp_path / "one.pdf")]
    assert data["map"] == str(tmp_path / "map.svg")
    hangar("low-wing-mast", as_json=True)
    assert json.loads(capsys.readouterr().out)["card"] == []


@pytest.mark.parametrize("name", ["nowhere/card.pdf", "nowhere/card.html"])
def test_a_file_that_cannot_be_written(tmp_path, capsys, name):
    with pytest.raises(InputError, match=r"--card: read .*; allowed: a file that can be written"):
        hangar("low-wing-mast", card=tmp_path / name)
    assert list(tmp_path.iterdir()) == []
    assert capsys.readouterr().out == ""


def test_a_folder_of_the_reader_s_own_is_left_alone(tmp_path):
    (tmp_path / "notes.txt").write_text("mine")
    with pytest.raises(InputError, match="--card: read a folder with other things in it"):
        hangar("low-wing-mast", card=tmp_path)
    assert [path.name for path in tmp_path.iterdir()] == ["notes.txt"]


def test_only_of_one_airplane(tmp_path):
    with pytest.raises(InputError, match=r"--card: read .*; allowed: a file only together with"):
        hangar(card=tmp_path / "card.pdf")


def test_typst_is_brought_in_by_the_option_only():
    code = (
        "import sys, ramstill, ramstill.report, ramstill.cli.hangar as h\n"
        "h.hangar('low-wing-mast', as_json=True)\n"
        "sys.exit('typst' in sys.modules)"
    )
    assert subprocess.run([sys.executable, "-c", code], capture_output=True).returncode == 0


def test_a_card_of_an_own_file(tmp_path, capsys):
    path = tmp_path / "mine.toml"
    text = (HANGAR / "twin-two-ports.toml").read_text(encoding="utf-8")
    path.write_text(text.replace("invented = true", "invented = false"), encoding="utf-8")
    hangar(str(path), card=tmp_path / "card.html")
    assert "No figure in its file is measured" in (tmp_path / "card.html").read_text(encoding="utf-8")
