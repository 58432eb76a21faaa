"""Real runs of the bundled scenarios, worked out once."""

from collections.abc import Callable
from functools import cache
from pathlib import Path

import pytest

from ramstill import report
from ramstill.run import Run, bundled, load_scenario


@cache
def _run(name: str) -> Run:
    return load_scenario(bundled()[name]).run()


@pytest.fixture(scope="session")
def run_of() -> Callable[[str], Run]:
    """The run of a bundled scenario."""
    return _run


@pytest.fixture(scope="session")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of one bundled scenario, written to disk with its table."""
    return report.write(_run("spring-afternoon"), tmp_path_factory.mktemp("page") / "out")
