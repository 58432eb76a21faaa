"""The files that pages are made of: a fixed list, read once, nothing else of the disk."""

from __future__ import annotations

from importlib import resources

_KINDS = {
    ".html": "text/html; charset=utf-8",
    ".js": "text/javascript; charset=utf-8",
    ".css": "text/css; charset=utf-8",
    ".svg": "image/svg+xml",
    ".woff2": "font/woff2",
}
_SHARED = ("moving.js", "pictures.css")  # of the pictures, which reports have too


def page_files() -> dict[str, tuple[bytes, str]]:
    """By name: content and media type of every file of `pages`, and of the shared ones."""
    folder, pictures = resources.files("ramstill.live") / "pages", resources.files("ramstill.pictures")
    found = {}
    own = folder.iterdir() if folder.is_dir() else ()
    for file in [*own, *(pictures / name for name in _SHARED)]:
        kind = _KINDS.get(file.name[file.name.rfind(".") :])
        if kind is not None and file.is_file():
            found[file.name] = (file.read_bytes(), kind)
    return found
