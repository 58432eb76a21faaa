"""What docs/ says about commands and formats is what the program says."""

import json
from importlib.machinery import SourceFileLoader
from importlib.util import module_from_spec, spec_from_loader
from pathlib import Path
from types import ModuleType

import pytest

from ramstill import run
from ramstill.cli.app import COMMANDS

ROOT = Path(__file__).parents[2]


@pytest.fixture(scope="module")
def writer() -> ModuleType:
    """scripts/write-docs as a module."""
    loader = SourceFileLoader("write_docs", str(ROOT / "scripts" / "write-docs"))
    spec = spec_from_loader("write_docs", loader)
    assert spec is not None
    module = module_from_spec(spec)
    loader.exec_module(module)
    return module


def test_the_page_of_commands_is_what_they_print(writer: ModuleType) -> None:
    page = (ROOT / "docs" / "command-line.md").read_text(encoding="utf-8")
    assert page == writer.command_line(), "run scripts/write-docs"
    for command in COMMANDS:
        assert f"## ramstill {command}\n" in page


def test_the_scenario_schema_in_docs_is_the_program_s() -> None:
    written = json.loads((ROOT / "docs" / "scenario.schema.json").read_text(encoding="utf-8"))
    assert written == json.loads(json.dumps(run.json_schema())), "run scripts/write-docs"


def test_the_readme_names_every_command_and_file_that_exists() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    for command in COMMANDS:
        assert f"ramstill {command}" in readme
    for line in readme.splitlines():
        for part in line.split("](")[1:]:
            target = part.split(")")[0]
            if not target.startswith(("http", "#")):
                assert (ROOT / target).exists(), f"README.md points to {target}, which is not there"


def test_the_python_in_the_readme_runs(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    monkeypatch.chdir(tmp_path)
    code = (ROOT / "README.md").read_text(encoding="utf-8").split("```python\n", 1)[1].split("```", 1)[0]
    exec(compile(code, "README.md", "exec"), {})
    assert list(tmp_path.iterdir()) == []
