"""A browser and running desks for the journeys."""

import pytest
from playwright.sync_api import sync_playwright

from tests.journeys.serving import chromium, serve_desk
from tests.journeys.watching import start_browser


@pytest.fixture(scope="session")
def browser():
    """Chromium, started once."""
    executable = chromium()
    if not executable:
        pytest.fail("no chromium on this machine; install it by name (`.ci/run` does)")
    with sync_playwright() as playwright:
        browser = start_browser(playwright, executable)
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def demo_desk(tmp_path_factory):
    """A desk on the made-up kennel; journeys may add to it and must not rely on order."""
    with serve_desk(tmp_path_factory.mktemp("demo"), "--demo") as desk:
        yield desk


@pytest.fixture
def empty_desk(tmp_path):
    """A desk on a new data folder, as on the first day."""
    with serve_desk(tmp_path / "data") as desk:
        yield desk
