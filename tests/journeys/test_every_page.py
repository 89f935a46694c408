"""Every page: accessible in light and dark, fits a phone, says nothing to the console.

Audit: axe-core with its default rules (WCAG 2 A and AA, and best practices).
"""

from datetime import UTC, datetime
from urllib.parse import urlsplit

import pytest

from kennelward.demo import demo_book
from kennelward.kennel import Book
from tests.journeys.steps import answer_danger_check, log_in
from tests.journeys.walking import named_patterns, walk
from tests.journeys.watching import axe_violations, overflows, watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

# Addresses that are no page: they take a form, give a file, or are closed for good.
TAKES_A_FORM = {
    "bench:again", "bench:apart", "bench:drop", "bench:photo", "bench:reread",
    "bench:seen", "danger:apart", "danger:called", "dogs:tick", "due:decline",
    "due:done", "due:put-off", "due:tick", "foresee:ask", "foresee:stop",
    "litters:end", "litters:late",
    "litters:sync", "litters:weigh", "pens:move", "pens:place", "pens:turn",
    "round:save", "setup:look", "trace:apart", "trace:ask", "trace:stop",
}  # fmt: skip
GIVES_A_FILE = {
    "alive", "authority", "bench:alarm", "bench:overlay", "bench:picture", "litters:worker",
}  # fmt: skip
CLOSED = {
    "account_email", "account_email_verification_sent", "account_reauthenticate",
    "account_reset_password", "account_set_password", "account_signup",
}  # fmt: skip
ELSEWHERE = {
    "account_login",  # below, before anyone is logged in
    "account_logout",  # ends the visit; a button, not a link
    "account_inactive",  # for someone who may not log in any more
    "setup:first",  # below, on an empty desk
}


def faults_of(page):
    """What is wrong with the open page, in both looks."""
    faults = []
    page.emulate_media(color_scheme="light")
    faults += [f"light: {one}" for one in axe_violations(page)]
    if overflows(page):
        faults.append("scrolls sideways")
    page.emulate_media(color_scheme="dark")
    faults += [f"dark: {one}" for one in axe_violations(page)]
    return faults


def beginnings(page):
    """Where to begin: the start page, and pages that only an answer leads to."""
    book = Book.from_entries(demo_book(on=datetime.now(UTC).date()))
    well, ill = sorted(
        d for d, card in book.dogs.items() if card.is_here and not card.apart
    )[:2]
    apart = [dog for dog, card in book.dogs.items() if card.apart][:1]
    gone = [dog for dog, card in book.dogs.items() if not card.is_here][:1]
    page.goto(f"/danger/{well}/")
    answer_danger_check(page)
    page.goto(f"/danger/{ill}/")
    answer_danger_check(page, yes=("Cold",))
    page.goto("/what-may-happen/?about=giardia")
    page.get_by_role("button", name="Try it out").click()
    page.wait_for_url("**/what-may-happen/*-*/")
    foreseen = urlsplit(page.url).path
    page.get_by_role("heading", name="In words").wait_for(timeout=300_000)
    page.goto("/trace/")
    page.get_by_label("Dog", exact=True).select_option(label="Hazel")
    page.get_by_label("Infection").select_option("giardia")
    page.get_by_role("button", name="Trace", exact=True).click()
    page.wait_for_url("**/trace/*-*/")
    traced = urlsplit(page.url).path
    page.get_by_role("heading", name="Do now").wait_for(timeout=300_000)
    return [
        "/",
        foreseen,
        traced,
        "/account/password/",
        f"/danger/{well}/clear/",
        f"/bench/{well}/giardia-antigen/",
        f"/danger/{ill}/vet/",
        f"/round/dog/{well}/",
        "/round/after/",
        *(f"/dogs/{dog}/apart-ended/" for dog in apart),
        *(f"/dogs/{dog}/arrive/" for dog in gone),
    ]


@pytest.mark.parametrize("width", [390, 1280])
def test_every_page_is_accessible(browser, demo_desk, width):
    """Reached from the start page, none left out, no violation, nothing sideways."""
    faults = {}
    reached = set()
    with watched_page(browser, address=demo_desk.address, width=width) as page:
        log_in(page, username="demo", password=demo_desk.password)
        for name, path in walk(page, start=beginnings(page)):
            reached.add(name)
            if found := faults_of(page):
                faults[path] = found
    assert faults == {}
    expected = set(named_patterns()) - TAKES_A_FORM - GIVES_A_FILE - CLOSED - ELSEWHERE
    assert sorted(expected - reached) == []


def test_pages_before_anyone_is_logged_in(browser, demo_desk, empty_desk):
    """Login and the very first page."""
    for desk, path in ((demo_desk, "/account/login/"), (empty_desk, "/")):
        with watched_page(browser, address=desk.address) as page:
            page.goto(path)
            assert faults_of(page) == []
