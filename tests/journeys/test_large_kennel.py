"""The answers of tracing and of what may happen, for 70 dogs with long names among them."""

import subprocess
import sys

import pytest
from playwright.sync_api import expect

from tests.journeys.large_kennel import FOUND, PENS, USER, name_of
from tests.journeys.serving import serve_desk
from tests.journeys.steps import PASSWORD, log_in
from tests.journeys.watching import SIZES, axe_violations, overflows, watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

PATIENCE_MS = 300_000  # the first run compiles


@pytest.fixture(scope="module")
def large_desk(tmp_path_factory):
    """A desk on the large kennel."""
    folder = tmp_path_factory.mktemp("large")
    subprocess.run(
        [sys.executable, "-m", "tests.journeys.large_kennel", str(folder)], check=True
    )
    with serve_desk(folder) as desk:
        yield desk


def traced(page):
    """The tracing of the dog that was found."""
    page.goto("/trace/")
    dog = name_of(int(FOUND.removeprefix("dog-")))
    page.get_by_label("Dog", exact=True).select_option(label=dog)
    page.get_by_label("Infection").select_option("giardia")
    page.get_by_role("button", name="Trace", exact=True).click()
    page.get_by_role("heading", name="Do now").wait_for(timeout=PATIENCE_MS)


def foreseen(page):
    """What may happen with Giardia."""
    page.goto("/what-may-happen/?about=giardia")
    page.get_by_role("button", name="Try it out").click()
    page.get_by_role("heading", name="In words").wait_for(timeout=PATIENCE_MS)


def fits_opened_or_closed(page):
    """In both sizes, as it comes and with every fold open."""
    for is_open in (False, True):
        for width, height in SIZES.values():
            page.set_viewport_size({"width": width, "height": height})
            assert not overflows(page), f"scrolls sideways at {width}, open: {is_open}"
            assert axe_violations(page) == []
        page.eval_on_selector_all(
            "main details", "folds => folds.forEach(fold => { fold.open = true; })"
        )


def top_of(found):
    """Pixels from the top of the page."""
    return found.evaluate("one => one.getBoundingClientRect().top + window.scrollY")


def test_a_tracing_of_70_dogs_begins_with_what_to_do_and_folds_the_rest(
    browser, large_desk
):
    with watched_page(browser, address=large_desk.address) as page:
        log_in(page, username=USER, password=PASSWORD)
        traced(page)
        first = page.locator("main").get_by_role("button", name="Keep apart").first
        assert top_of(first) < SIZES[390][1]  # of the first screen
        assert "stays apart until the vet says otherwise" in page.inner_text("main")
        expect(page.locator("ol.traced > li:visible")).to_have_count(8)
        expect(page.get_by_text("more dogs, the first of them")).to_be_visible()
        page.set_viewport_size({"width": 1280, "height": 900})
        pens = page.locator(".yard > .pen").count()
        empty = page.get_by_text("hold no dog of the list")
        expect(empty).to_have_text(f"{len(PENS) - pens} pens hold no dog of the list")
        fits_opened_or_closed(page)


def test_what_may_happen_in_a_large_kennel_begins_with_what_to_do(browser, large_desk):
    with watched_page(browser, address=large_desk.address) as page:
        log_in(page, username=USER, password=PASSWORD)
        foreseen(page)
        text = page.inner_text("main")
        assert text.index("Suspects today: Dog 7, Dog 31") < text.index("In words")
        assert text.index("plans") < text.index("In 1000 simulated")
        fits_opened_or_closed(page)
