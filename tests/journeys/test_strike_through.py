"""A mistake is struck through: it stays to be seen, and what followed from it goes."""

import re

import pytest
from playwright.sync_api import expect

from tests.journeys.steps import due_texts, log_in
from tests.journeys.watching import watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def note_soft_stool(page):
    """Write a sign down about the first dog that is well; its id."""
    page.goto("/dogs/")
    page.locator("li.row", has=page.locator(".is-well")).locator(
        "a.row-link"
    ).first.click()
    dog = re.search(r"/dogs/([^/]+)/", page.url).group(1)
    page.goto(f"/round/dog/{dog}/")
    page.get_by_text("soft stool", exact=True).first.click()
    page.get_by_role("button", name="Write it down").click()
    return dog


def test_mistake_is_struck_through(browser, demo_desk):
    """Soft stool noted on the wrong dog: due items come, and go when it is struck."""
    with watched_page(browser, address=demo_desk.address) as page:
        log_in(page, username="demo", password=demo_desk.password)
        before = due_texts(page)
        dog = note_soft_stool(page)
        after = due_texts(page)
        assert len(after) > len(before), "a sign sets rules going"

        page.goto(f"/book/?dog={dog}")
        newest = page.locator("li.entry").first
        expect(newest).to_contain_text("soft stool")
        newest.get_by_role("link", name="Strike through").click()
        page.get_by_role("button", name="Strike it through").click()
        expect(page.get_by_role("button", name="Strike it through")).to_be_visible()
        page.get_by_label("What is wrong with it").fill("the wrong dog")
        page.get_by_role("button", name="Strike it through").click()

        page.goto(f"/book/?dog={dog}")
        struck = page.locator("li.entry.is-struck").first
        expect(struck).to_contain_text("soft stool")
        expect(struck).to_contain_text("the wrong dog")
        assert due_texts(page) == before
        page.goto("/book/verify/")
        expect(page.locator(".panel.is-good")).to_contain_text("every link holds")
