"""A browser and running desks for the journeys."""

import pytest
from playwright.sync_api import sync_playwright

from tests.journeys.serving import chromium, serve_desk
from tests.journeys.watching import start_browser


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item):
    """Where a journey fails, show what its desk had to say."""
    report = yield
    if report.failed:
        for name in ("demo_desk", "empty_desk"):
            if desk := getattr(item, "funcargs", {}).get(name):
                report.sections.append((f"{name} said", "\n".join(desk.said[-60:])))
    return report


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
