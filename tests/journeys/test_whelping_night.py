"""A whelping night with the network cut: taps stay on the phone, then are sent once."""

import json
import re

import pytest
from playwright.sync_api import expect

from tests.journeys.steps import log_in, make_pens, open_new_book
from tests.journeys.watching import watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

CUT = "ERR_INTERNET_DISCONNECTED"  # what the browser itself says of the cut network


@pytest.fixture
def night_page(browser, demo_desk):
    """The whelping night of a bitch that is due, open on a phone."""
    try:
        with watched_page(browser, address=demo_desk.address) as page:
            log_in(page, username="demo", password=demo_desk.password)
            page.goto("/litters/")
            page.locator("main a.row-link[href*='/bitch/']").first.click()
            page.get_by_role("link", name="Whelping night").click()
            expect(page.locator("#night-sent")).to_have_text("All sent")
            yield page
    except AssertionError as trouble:
        rest = [line for line in str(trouble).splitlines() if CUT not in line]
        if rest:
            raise


def puppy_is_out(page, *, marking, grams):
    """Fill in what one hand can, and tap."""
    page.get_by_text("Alive", exact=True).click()
    page.locator("#puppy-form").get_by_text("Bitch", exact=True).click()
    page.get_by_label("Colour or marking").fill(marking)
    page.get_by_label("Weight in grams").fill(grams)
    page.get_by_role("button", name="Puppy is out now").click()


def kept_on_phone(page):
    """What still waits on the phone."""
    return page.evaluate(
        "JSON.parse(localStorage.getItem("
        "'kennelward-night-' + document.getElementById('night').dataset.dam) || '[]')"
    )


def test_nothing_is_lost_or_doubled_when_the_network_goes(night_page):
    """Three taps offline, a page opened again, the network back, an answer lost."""
    page = night_page
    network = page.context
    page.get_by_role("button", name="Restless, panting, nesting").click()
    expect(page.locator("#night-sent")).to_have_text("All sent")

    network.set_offline(True)
    puppy_is_out(page, marking="green band", grams="402")
    page.get_by_role("button", name="Placenta").click()
    expect(page.locator("#night-sent")).to_contain_text("2 kept on this phone")
    expect(page.locator("#night-puppies")).to_have_text("1")
    expect(page.locator("#night-list li")).to_have_count(3)
    assert [one["what"] for one in kept_on_phone(page)] == ["puppy", "placenta"]

    # Closing the night must wait for what the desk has not yet heard.
    page.get_by_role("button", name="Close the night").click()
    expect(page.locator("#end-waits")).to_be_visible()

    # The desk hears it, but its answer is lost on the way back: the phone sends again.
    waiting = kept_on_phone(page)
    network.set_offline(False)
    expect(page.locator("#night-sent")).to_have_text("All sent")
    page.evaluate(
        "entries => localStorage.setItem('kennelward-night-' + "
        "document.getElementById('night').dataset.dam, JSON.stringify(entries))",
        waiting,
    )
    page.reload()
    expect(page.locator("#night-sent")).to_have_text("All sent")
    expect(page.locator("#night-list li")).to_have_count(3)
    expect(page.locator("#night-puppies")).to_have_text("1")
    expect(page.locator("#night-placentas")).to_have_text("1")
    seen = json.loads(page.locator("#night-seen").text_content())
    assert len({one["id"] for one in seen}) == 3

    page.get_by_label("What the litter is called").fill("First Frost")
    page.on("dialog", lambda asked: asked.accept())
    page.get_by_role("button", name="Close the night").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("First Frost")
    expect(page.locator(".weight-box")).to_have_count(1)
    page.goto("/book/")
    expect(page.locator("li.entry", has_text="green band, 402 g")).to_have_count(1)


def test_an_emergency_is_said_without_the_network(night_page):
    """The clocks and alarms run on the phone itself."""
    page = night_page
    page.context.set_offline(True)
    page.get_by_role("button", name="A puppy is stuck").click()
    expect(page.locator("#night-alerts")).to_contain_text("Call the vet now")
    page.context.set_offline(False)
    expect(page.locator("#night-sent")).to_have_text("All sent")


def test_the_page_opens_again_with_the_network_cut(browser, empty_desk):
    """A phone that closed the page at 3 a.m.: kept by the phone, taps and all."""
    try:
        with watched_page(browser, address=empty_desk.address) as page:
            open_new_book(page)
            make_pens(page)
            page.goto("/dogs/add/")
            page.get_by_label("Name", exact=True).fill("Ivy")
            page.get_by_role("radio", name="bitch").check(force=True)
            page.get_by_label("Born on").fill("2023-05-01")
            page.get_by_label("Pen", exact=True).select_option(index=1)
            page.get_by_role("button", name="Put it in the book").click()
            page.goto("/dogs/")
            page.get_by_role("link", name="Ivy").first.click()
            dam = re.search(r"/dogs/([^/]+)/", page.url).group(1)
            page.goto(f"/litters/night/{dam}/")
            page.evaluate("navigator.serviceWorker.ready.then(() => true)")
            page.reload()  # now through the worker, which keeps it
            expect(page.locator("#night-sent")).to_have_text("All sent")
            page.context.set_offline(True)
            page.reload()
            page.get_by_role("button", name="Strains hard").click()
            expect(page.locator("#night-sent")).to_contain_text("1 kept on this phone")
            page.reload()
            expect(page.locator("#night-list li")).to_have_count(1)
            page.context.set_offline(False)
            expect(page.locator("#night-sent")).to_have_text("All sent")
    except AssertionError as trouble:
        if any(CUT not in line for line in str(trouble).splitlines()):
            raise
