"""Every page: accessible in light and dark, fits a phone, says nothing to the console.

Audit: axe-core with its default rules (WCAG 2 A and AA, and best practices).
"""

import pytest

from tests.journeys.steps import log_in
from tests.journeys.walking import named_patterns, walk
from tests.journeys.watching import axe_violations, overflows, watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

ONLY_TAKES = set()  # filled from what answers 405 to a visit; see the test below


def faults_of(page):
    """What is wrong with the open page, in both looks and both widths."""
    faults = []
    page.emulate_media(color_scheme="light")
    faults += [f"light: {one}" for one in axe_violations(page)]
    if overflows(page):
        faults.append("scrolls sideways at 390 px")
    page.emulate_media(color_scheme="dark")
    faults += [f"dark: {one}" for one in axe_violations(page)]
    return faults


def test_every_page_is_accessible_on_a_phone(browser, demo_desk):
    """Reached by links from the start page, none left out."""
    faults = {}
    reached = set()
    with watched_page(browser, address=demo_desk.address) as page:
        log_in(page, username="demo", password=demo_desk.password)
        for name, path in walk(page, start=["/", "/account/password/"]):
            reached.add(name)
            found = faults_of(page)
            if found:
                faults[path] = found
    assert faults == {}
    assert len(reached) > 25, sorted(reached)


def test_every_page_is_accessible_on_a_wide_screen(browser, demo_desk):
    """The same at 1280 px, where the pages stand in columns."""
    faults = {}
    with watched_page(browser, address=demo_desk.address, width=1280) as page:
        log_in(page, username="demo", password=demo_desk.password)
        for _, path in walk(page, start=["/"]):
            found = axe_violations(page)
            if found or overflows(page):
                faults[path] = [*found, "scrolls sideways" * overflows(page)]
    assert faults == {}


def test_pages_before_anyone_is_logged_in(browser, demo_desk, empty_desk):
    """Login and the very first page."""
    for desk, path in ((demo_desk, "/account/login/"), (empty_desk, "/")):
        with watched_page(browser, address=desk.address) as page:
            page.goto(path)
            assert faults_of(page) == []


def test_no_page_is_out_of_reach(browser, demo_desk):
    """Each address with a page is found by following links, or answers no visit."""
    with watched_page(browser, address=demo_desk.address) as page:
        log_in(page, username="demo", password=demo_desk.password)
        reached = {name for name, _ in walk(page, start=["/", "/account/password/"])}
    expected = {name for name in named_patterns() if name not in NOT_BY_LINK}
    assert expected - reached == set()


NOT_BY_LINK = {
    "account_login": "seen above, before anyone is logged in",
    "account_logout": "ends the visit",
}
