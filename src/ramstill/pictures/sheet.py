"""The style that all pictures share, what moves them, and a picture that stands in a file of its own."""

from functools import cache
from importlib import resources


@cache
def style() -> str:
    """The style sheet of the pictures."""
    return (resources.files("ramstill.pictures") / "pictures.css").read_text(encoding="utf-8")


@cache
def moving() -> str:
    """The script module that moves the pictures, by figures that a page hands it."""
    return (resources.files("ramstill.pictures") / "moving.js").read_text(encoding="utf-8")


def standalone(picture: str) -> str:
    """A picture with its style inside, ready to be written to a .svg file."""
    head, rest = picture.split(">", 1)
    return f"{head}><style>{style()}</style>{rest}"
