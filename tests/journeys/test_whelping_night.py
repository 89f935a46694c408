"""A whelping night with the network cut: taps stay on the phone, then are sent once."""

import json
import re
from datetime import UTC, datetime, timedelta
from random import Random

import pytest
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import expect

from kennelward.demo import demo_book
from kennelward.handbook import load_handbook
from kennelward.kennel import Book
from kennelward.litters import Seen, Sign, Urgency, night
from tests.journeys.steps import log_in, make_pens, open_new_book
from tests.journeys.watching import watched_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]

CUT = "ERR_INTERNET_DISCONNECTED"  # what the browser itself says of the cut network


BITCHES = sorted(  # of the made-up kennel; each journey takes one of its own
    card.dog
    for card in Book.from_entries(demo_book(on=datetime.now(UTC).date())).dogs_here
    if card.described.sex == "bitch" and not card.described.litter
)


@pytest.fixture
def night_page(browser, demo_desk):
    """The whelping night of a bitch that is due, open on a phone."""
    try:
        with watched_page(browser, address=demo_desk.address) as page:
            log_in(page, username="demo", password=demo_desk.password)
            page.goto(f"/litters/bitch/{BITCHES.pop()}/")
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
    out_now(page)


def out_now(page):
    """The big button under the thumb."""
    page.locator(".bar").get_by_role("button", name="Puppy is out now").click()


def kept_on_phone(page):
    """What still waits on the phone."""
    return page.evaluate("store.waiting()")


def test_nothing_is_lost_or_doubled_when_the_network_goes(night_page):
    """Three taps offline, a page opened again, the network back, an answer lost."""
    page = night_page
    network = page.context
    page.get_by_role("button", name="Restless, panting, nesting").click()
    expect(page.locator("#night-sent")).to_have_text("All sent")

    network.set_offline(True)
    puppy_is_out(page, marking="green band", grams="402")
    page.get_by_role("button", name="Placenta", exact=True).click()
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
    page.evaluate("entries => store.keep(entries)", waiting)
    page.reload()
    expect(page.locator("#night-sent")).to_have_text("All sent")
    expect(page.locator("#night-list li")).to_have_count(3)
    expect(page.locator("#night-puppies")).to_have_text("1")
    expect(page.locator("#night-placentas")).to_have_text("1 / 1")
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
    expect(page.locator("#night-alerts")).to_contain_text("stuck: call the vet now")
    page.context.set_offline(False)
    expect(page.locator("#night-sent")).to_have_text("All sent")


def bitch_of_a_new_book(page):
    """The id of the only bitch of a book just opened."""
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
    return re.search(r"/dogs/([^/]+)/", page.url).group(1)


def test_the_page_opens_again_with_the_network_cut(browser, empty_desk):
    """A phone that closed the page at 3 a.m.: kept by the phone, taps and all."""
    try:
        with watched_page(browser, address=empty_desk.address) as page:
            dam = bitch_of_a_new_book(page)
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
        if any(
            CUT not in line and "ERR_FAILED" not in line
            for line in str(trouble).splitlines()
        ):
            raise


def rows(page):
    """Lines of the night that are not struck through."""
    return page.locator("#night-list li:not(.is-struck)")


def test_a_slip_is_undone_and_put_right_without_the_network(night_page):
    """Undo, bring back, and a puppy's details later; the desk ends with the same."""
    page = night_page
    before = rows(page).count()
    page.context.set_offline(True)
    out_now(page)
    page.get_by_role("button", name="Rests", exact=True).click()
    expect(rows(page)).to_have_count(before + 2)
    rows(page).first.get_by_role("button", name="Undo").click()
    expect(rows(page)).to_have_count(before + 1)
    struck = page.locator("#night-list li.is-struck").first
    struck.get_by_role("button", name="Bring back").click()
    expect(rows(page)).to_have_count(before + 2)

    line = rows(page).filter(has_text="Puppy").first
    line.get_by_role("button", name="Change").click()
    page.get_by_label("Colour or marking").fill("brown ear")
    page.get_by_label("Weight in grams").fill("3500")
    save = page.locator(".bar").get_by_role("button", name="Save the change")
    save.click()
    expect(page.locator("#weight-doubt")).to_be_visible()
    page.get_by_label("Weight in grams").fill("350")
    save.click()
    expect(rows(page).filter(has_text="brown ear, 350 g")).to_have_count(1)
    expect(rows(page)).to_have_count(before + 2)

    page.context.set_offline(False)
    expect(page.locator("#night-sent")).to_have_text("All sent", timeout=30_000)
    page.reload()
    expect(rows(page).filter(has_text="brown ear, 350 g")).to_have_count(1)
    expect(rows(page)).to_have_count(before + 2)


def test_the_scripts_clocks_are_those_of_the_rules(night_page):
    """The script's twin of `litters.night`, on 400 nights of up to ten signs."""
    luck = Random(20261126)
    start = datetime(2026, 10, 24, 20, tzinfo=UTC)  # the clocks go back in this night
    cases = []
    for _ in range(400):
        signs = [
            {
                "at": start + timedelta(minutes=luck.randrange(0, 1800, 10)),
                "sign": luck.choice(list(Sign)),
            }
            for _ in range(luck.randrange(1, 10))
        ]
        cases.append((signs, start + timedelta(minutes=luck.randrange(0, 3000, 10))))
    given = [
        [
            [{"at": ms(one["at"]), "sign": one["sign"].value} for one in signs],
            ms(now),
        ]
        for signs, now in cases
    ]
    found = night_page.evaluate(
        "cases => cases.map(([seen, now]) => nightState(seen, now, frame.minutes))",
        given,
    )
    rules = load_handbook().litters(start.date()).whelping
    for (signs, now), state in zip(cases, found, strict=True):
        wanted = night([Seen(**one) for one in signs], now=now, rules=rules)
        assert state["puppies"] == wanted.puppies
        assert state["placentas"] == wanted.placentas
        assert alerts_of(state["alerts"]) == rules_of(wanted.alerts)
        assert sorted(alerts_of(state["coming"])) == sorted(rules_of(wanted.coming))


def test_times_across_the_change_of_the_clocks(night_page):
    """Berlin, 25 October 2026: 02:30 comes twice, an hour apart, and says which."""
    page = night_page
    twice = ["2026-10-25T00:30:00Z", "2026-10-25T01:30:00Z"]
    said = page.evaluate(
        """moments => {
            frame.zone = "Europe/Berlin";
            const changes = clocksChange(moments.map((at) => ({ at })));
            const times = moments.map((at) => clockTime(at, changes));
            const gap = hours(Date.parse(moments[1]) - Date.parse(moments[0]));
            return { changes, times, gap };
        }""",
        twice,
    )
    assert said["changes"]
    assert said["gap"] == "1:00"
    assert all("02:30" in one for one in said["times"])
    assert said["times"][0] != said["times"][1]


def ms(moment):
    """A moment as scripts count it."""
    return round(moment.timestamp() * 1000)


def alerts_of(said):
    """The script's alerts as plain values."""
    return [(one["rule"], one["urgency"], one["at"], one["since"]) for one in said]


def rules_of(alerts):
    """The room's alerts as the script says them."""
    return [
        (
            one.rule,
            "red" if one.urgency is Urgency.RED else "amber",
            ms(one.at),
            ms(one.since),
        )
        for one in alerts
    ]


def test_after_logging_out_the_kept_page_is_gone(browser, empty_desk):
    """The phone kept it for the night; whoever takes the phone next cannot read it."""
    try:
        with watched_page(browser, address=empty_desk.address) as page:
            dam = bitch_of_a_new_book(page)
            page.goto(f"/litters/night/{dam}/")
            page.evaluate("navigator.serviceWorker.ready.then(() => true)")
            page.reload()
            expect(page.locator("#night-sent")).to_have_text("All sent")
            assert kept_pages(page)
            page.locator("details.foot-more summary").click()
            page.locator(".sheet").get_by_role("button", name="Log out").click()
            page.wait_for_url("**/account/login/**")
            page.wait_for_function("caches.keys().then(names => names.length === 0)")
            page.context.set_offline(True)
            with pytest.raises(PlaywrightError, match="ERR_FAILED|" + CUT):
                page.goto(f"/litters/night/{dam}/")
    except AssertionError as trouble:
        if any(
            CUT not in line and "ERR_FAILED" not in line
            for line in str(trouble).splitlines()
        ):
            raise


def kept_pages(page):
    """Addresses of pages that the phone keeps."""
    return page.evaluate(
        "caches.keys().then(names => Promise.all(names.map(n => caches.open(n)"
        ".then(c => c.keys()).then(rs => rs.map(r => r.url)))).then(all => all.flat()"
        ".filter(url => url.includes('/litters/night/'))))"
    )
