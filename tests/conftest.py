"""Quick counts by default; RAMSTILL_FULL=1 (`make test-all`) runs what is marked full, and more examples.

The browser that tests marked `browser` share is here too.
"""

import os
import shutil
from collections.abc import Iterator
from typing import Any

import pytest
from hypothesis import settings

FULL = os.environ.get("RAMSTILL_FULL", "") not in ("", "0")
MORE = 10  # times as many examples with full counts

settings.register_profile("quick", deadline=None, derandomize=True, max_examples=25, database=None)
settings.register_profile("full", deadline=None, derandomize=True, max_examples=250, database=None)
settings.load_profile("full" if FULL else "quick")


@pytest.fixture(scope="session")
def full_counts() -> bool:
    """Whether this is `make test-all`."""
    return FULL


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Leave out what is marked full; with full counts, raise each property test's own number of examples."""
    for item in items:
        if not FULL and item.get_closest_marker("full"):
            item.add_marker(pytest.mark.skip(reason="only in make test-all"))
        test = getattr(item, "function", None)
        own = getattr(test, "_hypothesis_internal_use_settings", None)
        if FULL and own is not None and not getattr(test, "_ramstill_raised", False):
            test._hypothesis_internal_use_settings = settings(own, max_examples=own.max_examples * MORE)
            test._ramstill_raised = True


# What keeps a browser from reaching out or asking questions.
BROWSER_ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable")


@pytest.fixture(scope="session")
def browser() -> Iterator[Any]:
    """A real browser for tests marked `browser`. Without one they skip, and say so; they fail where
    RAMSTILL_BROWSER_REQUIRED is set.
    """
    found = os.environ.get("RAMSTILL_BROWSER") or next(filter(None, map(shutil.which, BROWSERS)), None)
    if found is None:
        why = f"no browser found ({', '.join(BROWSERS)}; or name one in RAMSTILL_BROWSER)"
        if os.environ.get("RAMSTILL_BROWSER_REQUIRED", "") not in ("", "0"):
            pytest.fail(why)
        pytest.skip(f"BROWSER TESTS NOT RUN: {why}")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        window = play.chromium.launch(executable_path=found, args=BROWSER_ARGUMENTS)
        yield window
        window.close()
