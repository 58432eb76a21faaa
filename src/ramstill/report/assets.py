"""Templates and styles of this folder, and the names by which a page's security policy lets them through."""

from __future__ import annotations

import base64
import hashlib
import re
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from jinja2 import Template


def text_of(name: str) -> str:
    """A file of the folder `templates`."""
    return (resources.files("ramstill.report") / "templates" / name).read_text(encoding="utf-8")


def inlined(script: str, module: str) -> str:
    """A script that imports one module from beside it, and that module, as one script without imports."""
    own = "\n".join(row for row in script.splitlines() if not row.startswith("import "))
    theirs = re.sub(r"^export ", "", module, flags=re.MULTILINE)
    return f'"use strict";\n(() => {{\n{theirs}\n{own}\n}})();\n'


def policy_hash(text: str) -> str:
    """The name by which a content security policy lets an inline style or script through."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()


@cache
def template(name: str) -> Template:
    """A page's template, which escapes what is put in and refuses what is missing."""
    from jinja2 import Environment, StrictUndefined

    env = Environment(autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True)
    return env.from_string(text_of(name))
