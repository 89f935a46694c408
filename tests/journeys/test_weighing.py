"""Weighing a litter as a kitchen scale's rhythm wants it: keyboard only, then a list."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from tests.journeys.steps import log_in
from tests.journeys.watching import watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]


@pytest.mark.parametrize("width", [390, 1280])
def test_a_whole_litter_by_keyboard(browser, demo_desk, width):
    """Number, Enter, number, Enter: focus moves on; the last Enter writes them all."""
    with watched_page(browser, address=demo_desk.address, width=width) as page:
        log_in(page, username="demo", password=demo_desk.password)
        page.goto("/litters/")
        page.get_by_role("link", name="Tansy's litter").click()
        boxes = page.locator(".weight-box")
        count = boxes.count()
        assert count > 3
        boxes.first.focus()
        for number in range(count):
            expect(boxes.nth(number)).to_be_focused()
            page.keyboard.type(str(1500 + 10 * number))
            page.keyboard.press("Enter")
        expect(page.get_by_role("status")).to_contain_text(f"{count} weights written")
        expect(page.locator(".weigh-row").first).to_contain_text("1.50 kg, 0 hours ago")


def test_a_list_is_pasted_looked_at_and_written(browser, demo_desk):
    """A bad line is named, the rest is written after a tick, nothing is typed twice."""
    with watched_page(browser, address=demo_desk.address) as page:
        log_in(page, username="demo", password=demo_desk.password)
        page.goto("/litters/")
        page.get_by_role("link", name="Sorrel's litter").click()
        page.get_by_role("link", name="Weights from a list").click()
        example = page.get_by_label("Paste the list").get_attribute("placeholder")
        header, line = example.splitlines()[:2]
        name = line.split(";")[0]
        yesterday = (datetime.now(UTC) - timedelta(days=1)).date().isoformat()
        page.get_by_label("Paste the list").fill(
            f"{header}\n{name};{yesterday};12 stone\n1;{yesterday} 08:00;361\n"
        )
        page.get_by_role("button", name="Show me the report").click()
        expect(page.get_by_text("Line 2")).to_be_visible()
        expect(page.get_by_text("1 weight is new")).to_be_visible()
        page.get_by_label("I looked at the lines").check(force=True)
        page.get_by_role("button", name="Write these weights").click()
        expect(page.get_by_role("status")).to_contain_text("1 weight written")
