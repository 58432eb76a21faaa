"""PDFs by Typst: a template of this folder, its figures as data, the same file on any machine, offline."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib import resources
from typing import Any

from ramstill.errors import InputError

HOUSE = "house.typ"  # what every PDF of ours looks like; a template imports it by this name
FIXED_TIME = 0  # in every file instead of the day it was made, so that equal figures give equal files


def pdf(template: str, data: Mapping[str, Any], files: Mapping[str, bytes] | None = None) -> bytes:
    """Return the PDF (tagged, PDF/UA-1) that a template makes of `data`.

    template: the name of a .typ file in `templates`; it imports "house.typ" and reads `json("data.json")`,
    so that no word of the data is ever taken for markup. files: more that it may read, such as SVG pictures,
    by name; each picture in it needs an `alt`. Set in the faces of `fonts`, never in those of the machine.
    Raises InputError where Typst is not installed; a template that is wrong raises RuntimeError.
    """
    try:
        import typst
    except ImportError:
        raise InputError("PDF", "typst", "not installed", "the Python package typst, 0.15 or newer") from None
    together: Any = {
        "main.typ": _read("templates", template),
        HOUSE: _read("templates", HOUSE),
        "data.json": json.dumps(data, ensure_ascii=False, allow_nan=False).encode(),
        **(files or {}),
    }
    with resources.as_file(resources.files("ramstill.report") / "fonts") as fonts:
        made = typst.compile(
            together,
            format="pdf",
            font_paths=[str(fonts)],
            ignore_system_fonts=True,
            pdf_standards=["ua-1"],
            timestamp=FIXED_TIME,
        )
    return bytes(made)


def _read(*place: str) -> bytes:
    return resources.files("ramstill.report").joinpath(*place).read_bytes()
