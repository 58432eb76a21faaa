"""A folder of results is whole or not there, and nothing of the user's is replaced."""

from pathlib import Path

import pytest

from ramstill.errors import InputError
from ramstill.run import whole_file, whole_folder
from ramstill.run.folder import check_replaceable


def fill(out: Path, text: str = "page") -> None:
    with whole_folder(out) as folder:
        (folder / "page.html").write_text(text, encoding="utf-8")


def test_a_new_folder_appears_with_its_parents(tmp_path: Path) -> None:
    fill(tmp_path / "a" / "b")
    assert (tmp_path / "a" / "b" / "page.html").read_text(encoding="utf-8") == "page"
    assert [p.name for p in (tmp_path / "a").iterdir()] == ["b"]


def test_our_own_folder_is_replaced_whole(tmp_path: Path) -> None:
    fill(tmp_path / "out")
    (tmp_path / "out" / "old.txt").touch()
    fill(tmp_path / "out", "newer")
    assert (tmp_path / "out" / "page.html").read_text(encoding="utf-8") == "newer"
    assert not (tmp_path / "out" / "old.txt").exists()


def test_a_failure_leaves_what_was_there_and_nothing_beside(tmp_path: Path) -> None:
    fill(tmp_path / "out")
    with pytest.raises(UnicodeEncodeError):
        fill(tmp_path / "out", "half \ud800")
    assert (tmp_path / "out" / "page.html").read_text(encoding="utf-8") == "page"
    assert [p.name for p in tmp_path.iterdir()] == ["out"]


@pytest.mark.parametrize("kind", ["a file", "a folder"])
def test_what_is_not_ours_stays(tmp_path: Path, kind: str) -> None:
    out = tmp_path / "out"
    if kind == "a file":
        out.write_text("mine", encoding="utf-8")
    else:
        out.mkdir()
        (out / "mine.txt").write_text("mine", encoding="utf-8")
    before = sorted(p.name for p in tmp_path.rglob("*"))
    for attempt in (lambda: fill(out), lambda: check_replaceable(out)):
        with pytest.raises(InputError, match="allowed: a folder that is new"):
            attempt()
    assert sorted(p.name for p in tmp_path.rglob("*")) == before


def test_a_parent_that_is_a_file_is_refused_in_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    with pytest.raises(InputError, match="file, which is a file; allowed: a folder in a folder"):
        fill(tmp_path / "file" / "out")


@pytest.mark.parametrize("out", ["/", "null\0", "long" * 100], ids=["root", "null", "long"])
def test_what_no_folder_or_file_can_be_called_is_one_line(tmp_path: Path, out: str) -> None:
    for attempt in (lambda: check_replaceable(tmp_path / out), lambda: whole_file(tmp_path / out, b"x")):
        with pytest.raises(InputError) as refused:
            attempt()
        assert len(str(refused.value).splitlines()) == 1
    assert list(tmp_path.iterdir()) == []
