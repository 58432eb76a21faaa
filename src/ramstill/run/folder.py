"""A folder or file of results that is either whole or not there: written beside, then renamed."""

import os
import shutil
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from ramstill.errors import InputError

MARK = ".ramstill"  # an empty file that says: this folder is ours and may be replaced


@contextmanager
def whole_folder(out: str | Path, option: str = "--out") -> Iterator[Path]:
    """Give a new folder to write into; it becomes `out` when the block ends well, and else vanishes.

    An `out` that exists is replaced only if it is empty or was written by this function. Raises InputError,
    naming `option`, when it may not be replaced or its parent cannot be written to.
    """
    target = Path(out).absolute()
    check_replaceable(target, option)
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        new = Path(tempfile.mkdtemp(prefix=f".{target.name}-", dir=target.parent))
    except OSError as error:
        raise _cannot_write(out, error, option) from None
    try:
        new.chmod(0o755)  # mkdtemp makes it private; a folder of results is not
        yield new
        (new / MARK).touch()
        _swap(new, target)
    except OSError as error:
        raise _cannot_write(out, error, option) from None
    finally:
        shutil.rmtree(new, ignore_errors=True)


def check_replaceable(out: str | Path, option: str = "--out") -> None:
    """Raise InputError if `out` is something we may not replace; call it before long work."""
    _writable(out, option)
    target = Path(out)
    try:
        above = next((folder for folder in target.absolute().parents if folder.exists()), None)
        if above is not None and not above.is_dir():
            raise InputError(str(out), option, f"{above}, which is a file", "a folder in a folder")
        if not target.exists() and not target.is_symlink():
            return
        ours = target.is_dir() and ((target / MARK).exists() or not any(target.iterdir()))
    except OSError as error:  # a name that is too long, or what may not be looked at
        raise _cannot_write(out, error, option) from None
    if not ours:
        raise InputError(
            str(out),
            option,
            "a folder with other things in it" if target.is_dir() else "a file",
            "a folder that is new, empty, or was written by ramstill",
        )


def _swap(new: Path, target: Path) -> None:
    old = None
    if target.exists():
        old = target.with_name(f"{new.name}-old")
        target.rename(old)
    try:
        new.rename(target)
    except OSError:
        if old is not None:
            old.rename(target)
        raise
    if old is not None:
        shutil.rmtree(old, ignore_errors=True)


def whole_file(path: str | Path, content: bytes, option: str = "--out") -> None:
    """Write a file, in the place of one that may be there.

    Raises InputError, naming `option`, where it cannot be written, and leaves what was there.
    """
    _writable(path, option)
    target = Path(path)
    beside: Path | None = None
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.name}-", dir=target.absolute().parent)
        beside = Path(name)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        beside.chmod(0o644)  # mkstemp makes it private
        beside.replace(target)
    except OSError as error:
        if beside is not None:
            beside.unlink(missing_ok=True)
        raise InputError(str(path), option, error.strerror or error, "a file that can be written") from None


def _writable(path: str | Path, option: str) -> None:
    """Refuse what no system takes as a path."""
    if "\0" in str(path):
        raise InputError(repr(str(path)), option, "a null character", "a path without one")


def _cannot_write(out: str | Path, error: OSError, option: str) -> InputError:
    return InputError(str(out), option, error.strerror or str(error), "a folder that can be written to")
