"""The Python examples in the docs give what is printed there."""

import doctest
from pathlib import Path

import pytest

DOCS = Path(__file__).parents[2] / "docs"


@pytest.mark.parametrize("page", ["a-little-at-a-time.md", "frequency-response.md", "ice-and-water.md"])
def test_examples(page):
    found = doctest.testfile(str(DOCS / page), module_relative=False)
    assert found.attempted >= 4
    assert found.failed == 0
