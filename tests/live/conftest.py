"""A server that the tests of one file share."""

from collections.abc import Iterator

import pytest
from a_server import Live, serving


@pytest.fixture(scope="module")
def session(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Live]:
    """A server with a flight by levers in this process."""
    with serving(tmp_path_factory.mktemp("kept"), {"do": "stage", "airplane": "low-wing-mast"}) as live:
        yield live
