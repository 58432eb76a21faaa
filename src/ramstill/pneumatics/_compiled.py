"""Compiling the kernel: `jit`, and where the compiled code is kept between runs.

Kept beside the package; where that cannot be written, in the user's cache folder; where neither can, in a
private folder among the temporary ones, with one warning; and if even that fails, compiled anew each time.
"""

import hashlib
import os
import stat
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path
from typing import Any, ParamSpec, TypeVar, cast

import numba

P = ParamSpec("P")
T = TypeVar("T")

_HERE = Path(__file__).parent
_STAMP = "ramstill-kernel.stamp"
_settled: dict[str, bool] = {}


def jit(function: Callable[P, T]) -> Callable[P, T]:
    """Compile a function without Python objects, and keep the compiled code for the next run."""
    return _compiled(function)


def lean_jit(function: Callable[P, T]) -> Callable[P, T]:
    """As `jit`, for what the engine does most often; not for a function that makes arrays, or calls one.

    Nobody counts who holds which array, products are added without rounding in between, and all is put in
    its place in the caller's code. Without these a step takes twice the time.
    """
    return _compiled(function, _nrt=False, fastmath={"contract"}, forceinline=True)


def entry_jit(function: Callable[P, T]) -> Callable[P, T]:
    """As `lean_jit`, for what Python calls and nothing else: its code stands in one place."""
    return _compiled(function, _nrt=False, fastmath={"contract"})


def inner_jit(function: Callable[P, T]) -> Callable[P, T]:
    """As `lean_jit`, for what only compiled code calls: Python gets a TypeError."""
    return _without_wrapper(function, forceinline=True)


def outer_jit(function: Callable[P, T]) -> Callable[P, T]:
    """As `inner_jit`, for what is long, and called from several places: it stays a call."""
    return _without_wrapper(function)


def _without_wrapper(function: Callable[P, T], **options: Any) -> Callable[P, T]:
    made: Any = _compiled(function, _nrt=False, fastmath={"contract"}, no_cpython_wrapper=True, **options)

    def refuse(*_: object, **__: object) -> None:
        raise TypeError(f"only compiled code calls {function.__name__}")

    # Numba would jump to where the wrapper is not, and the process would end: let it find nothing.
    made._compile_for_args = refuse
    made._insert = lambda *_: None
    return cast(Callable[P, T], made)


def _compiled(function: Callable[P, T], **options: Any) -> Callable[P, T]:
    options = {"nogil": True, "no_cfunc_wrapper": True, "error_model": "numpy", **options}
    try:
        made = numba.njit(cache=True, **options)(function)
    except RuntimeError:  # Numba found nowhere to write
        if not _keep_in_temporary_folder():
            return cast(Callable[P, T], numba.njit(**options)(function))
        made = numba.njit(cache=True, **options)(function)
    _freshen(made.stats.cache_path, Path(function.__code__.co_filename).parent)
    return cast(Callable[P, T], made)


def _keep_in_temporary_folder() -> bool:
    """Point Numba's cache at a folder of our own among the temporary ones; False where there is none."""
    if "temporary" not in _settled:
        folder = _private_folder()
        where = f"kept in {folder}" if folder else "not kept: expect some seconds at each start"
        print(
            f"warning: no place to write beside the program or at home; compiled code is {where}",
            file=sys.stderr,
        )
        if folder:
            os.environ["NUMBA_CACHE_DIR"] = str(folder)
            numba.config.CACHE_DIR = str(folder)  # type: ignore[attr-defined]
        _settled["temporary"] = folder is not None
    return _settled["temporary"]


def _private_folder() -> Path | None:
    """A folder nobody else can write to: compiled code is trusted when it is read back."""
    try:
        folder = Path(tempfile.gettempdir()) / f"ramstill-{os.getuid() if hasattr(os, 'getuid') else 'user'}"
        folder.mkdir(mode=0o700, exist_ok=True)
        found = folder.lstat()
        if hasattr(os, "getuid") and (
            not stat.S_ISDIR(found.st_mode) or found.st_uid != os.getuid() or found.st_mode & 0o077
        ):
            return Path(tempfile.mkdtemp(prefix="ramstill-"))
        return folder
    except OSError:
        return None


def _freshen(cache_path: str | None, folder: Path) -> None:
    """Forget compiled code when any kernel source changed: Numba itself looks at one file at a time.

    Those of this folder count, and those of the function's own and of the folders around it.
    """
    if cache_path is None or cache_path in _settled:
        return
    _settled[cache_path] = True
    sources = set(_HERE.glob("*.py"))
    while _HERE.parent in folder.parents:
        sources |= set(folder.glob("*.py"))
        folder = folder.parent
    digest = hashlib.sha256()
    for source in sorted(sources):
        text = source.read_bytes()
        if b"jit\n" in text or source.name == Path(__file__).name:
            digest.update(source.name.encode() + b"\0" + text)
    stamp = Path(cache_path) / _STAMP
    try:
        if stamp.is_file() and stamp.read_text() == digest.hexdigest():
            return
        for index in Path(cache_path).glob("*.nbi"):
            index.unlink(missing_ok=True)
        stamp.write_text(digest.hexdigest())
    except OSError:
        return
