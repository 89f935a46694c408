"""From an empty folder to a first test with a photo, by the words on the screen."""

import re

import pytest
from playwright.sync_api import expect

from kennelward.demo.scenes import draw_strip_photo
from kennelward.terms import stream
from tests.journeys.steps import (
    add_dog,
    confirm_leaflet,
    due_texts,
    make_pens,
    open_new_book,
    start_test,
)
from tests.journeys.watching import watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]
READ_FROM_MINUTES = 1  # the least a leaflet may say; the journey waits for it


@pytest.mark.parametrize("width", [390, 1280])
def test_from_empty_to_first_test(browser, empty_desk, width, tmp_path):
    """Owner, pens, dog, leaflet, danger check, strip, own reading, photo, due list."""
    photo = tmp_path / "strip.jpg"
    photo.write_bytes(
        draw_strip_photo(test_od=0.3, control_od=0.5, rng=stream(7, "journey.strip"))
    )
    with watched_page(browser, address=empty_desk.address, width=width) as page:
        open_new_book(page)
        make_pens(page)
        add_dog(page, name="Moss", born_on="2026-09-20", pen="Litter pen 1")
        confirm_leaflet(page, "giardia-antigen", minutes=(READ_FROM_MINUTES, 20))
        start_test(page, dog="Moss")
        # The clock counts from its start, so closing the page changes nothing.
        clock = page.url
        page.goto("/")
        page.wait_for_timeout(READ_FROM_MINUTES * 60_000 + 1500)
        page.goto(clock)
        page.locator("button.sight[value=two]:visible").first.click()
        expect(page.locator(".verdict-words")).to_contain_text("positive")
        page.locator("input[type=file]").set_input_files(str(photo))
        page.get_by_role("button", name="Let the reader look").click()
        expect(page.locator("figure.overlay img")).to_be_visible()
        expect(page.locator(".verdict-words")).to_contain_text("positive")
        due = " ".join(due_texts(page))
        assert re.search(r"Ask the vet whether Moss needs treating", due), due
